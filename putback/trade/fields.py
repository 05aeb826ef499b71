"""Reading one table of a session file, field by field, with a fault's sentence for each."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, tzinfo
from difflib import get_close_matches
from math import isfinite
from typing import Any, TypeVar, overload

from putback.errors import BadInput

T = TypeVar("T")

_MISSING: Any = object()

LONGEST_TEXT = 10_000
"""How long one text may be."""


def quoted(words: object) -> str:
    """Return `words` in quotation marks, cut where long."""
    text = str(words)
    return f"“{text if len(text) <= 60 else text[:57] + '...'}”"


def nearest(word: str, known: Collection[str]) -> str:
    """Return “; did you mean ...?” with the nearest of `known`, or the whole list where none is near."""
    near = get_close_matches(word.casefold(), [k.casefold() for k in known], n=1, cutoff=0.6)
    if near:
        match = next(k for k in known if k.casefold() == near[0])
        return f"; did you mean {quoted(match)}?"
    return f"; there is {', '.join(sorted(known))}" if known and len(known) <= 24 else ""


class Fields:
    """One table, its place in the file, and the fields it may have. Every fault is a BadInput."""

    def __init__(self, table: object, where: str, known: Collection[str]) -> None:
        if not isinstance(table, dict):
            raise BadInput(f"{where}: a table was expected, {_kind(table)} is there.")
        self.table_: dict[str, Any] = table
        self.where = where
        for name in table:
            if name not in known:
                raise BadInput(f"{where}: {quoted(name)} is no field here{nearest(name, known)}.")

    def _get(self, name: str, default: Any) -> Any:
        if name in self.table_:
            return self.table_[name]
        if default is _MISSING:
            raise BadInput(f"{self.where}: the field {quoted(name)} is missing.")
        return default

    def _fault(self, name: str, expected: str, found: object) -> BadInput:
        return BadInput(f"{self.where}: {quoted(name)} is {expected}; {_kind(found)} is there.")

    def text(self, name: str, default: str = _MISSING) -> str:
        """Return a text."""
        found = self._get(name, default)
        if not isinstance(found, str):
            raise self._fault(name, "a text in quotation marks", found)
        if len(found) > LONGEST_TEXT:
            raise BadInput(f"{self.where}: {quoted(name)} is longer than {LONGEST_TEXT} characters.")
        if name in self.table_ and default is _MISSING and not found.strip():
            raise BadInput(f"{self.where}: {quoted(name)} is empty.")
        return found

    def said(self, name: str, default: str = _MISSING) -> str:
        """Return a reading as said: a text, or a number in its shortest form."""
        found = self._get(name, default)
        if isinstance(found, int | float) and not isinstance(found, bool) and isfinite(found):
            return f"{found:g}" if isinstance(found, float) else str(found)
        return self.text(name, default)

    def word(self, name: str, words: Collection[str], default: str = _MISSING) -> str:
        """Return one of `words`."""
        found = self.text(name, default)
        if found not in words and (name in self.table_ or found != default):
            raise BadInput(f"{self.where}: {name} = {quoted(found)} is unknown{nearest(found, words)}.")
        return found

    def flag(self, name: str) -> bool:
        """Return true or false; false where it is absent."""
        found = self._get(name, False)
        if not isinstance(found, bool):
            raise self._fault(name, "true or false", found)
        return found

    def whole(self, name: str, default: int = _MISSING) -> int:
        """Return a whole number."""
        found = self._get(name, default)
        if not isinstance(found, int) or isinstance(found, bool):
            raise self._fault(name, "a whole number", found)
        if abs(found) > 10**9:
            raise BadInput(f"{self.where}: {quoted(name)} is far too large.")
        return found

    def wholes(self, name: str, default: T) -> tuple[int, ...] | T:
        """Return a list of whole numbers."""
        if name not in self.table_:
            return default
        found = self.table_[name]
        if not isinstance(found, list) or any(not isinstance(n, int) or isinstance(n, bool) for n in found):
            raise self._fault(name, "a list of whole numbers, as [3, 5]", found)
        return tuple(found)

    @overload
    def number(self, name: str) -> float: ...
    @overload
    def number(self, name: str, default: float | None) -> float | None: ...
    def number(self, name: str, default: float | None = _MISSING) -> float | None:
        """Return a number, not below 0."""
        found = self._get(name, default)
        if found is None:
            return None
        if not isinstance(found, int | float) or isinstance(found, bool) or not isfinite(found) or found < 0:
            raise self._fault(name, "a number from 0 up", found)
        return float(found)

    def minutes(self, name: str, default: float) -> float:
        """Return minutes, from a number or a text as “45 min”."""
        if name not in self.table_ or not isinstance(self.table_[name], str):
            found = self.number(name, default)
            return default if found is None else found
        words = self.table_[name].split()
        if len(words) <= 2 and words and words[-1].rstrip(".") in ("min", "minutes", "m"):
            words = words[:-1]
        if len(words) != 1 or not words[0].replace(".", "", 1).isdecimal():
            raise self._fault(name, "minutes, as “45 min”", self.table_[name])
        return float(words[0])

    def texts(self, name: str) -> tuple[str, ...]:
        """Return a list of texts; empty where it is absent."""
        found = self._get(name, [])
        if not isinstance(found, list) or any(not isinstance(t, str) or len(t) > LONGEST_TEXT for t in found):
            raise self._fault(name, "a list of texts", found)
        return tuple(found)

    def table(self, name: str, default: dict[str, Any] = _MISSING) -> dict[str, Any]:
        """Return a table."""
        found = self._get(name, default)
        if not isinstance(found, dict):
            raise self._fault(name, "a table", found)
        return found

    def tables(self, name: str, default: list[dict[str, Any]] = _MISSING) -> list[dict[str, Any]]:
        """Return a list of tables."""
        found = self._get(name, default)
        if not isinstance(found, list) or any(not isinstance(row, dict) for row in found):
            raise self._fault(name, "a list of tables", found)
        return found

    def stamp(self, name: str, default: datetime, zone: tzinfo | None) -> datetime:
        """Return a date and time with an offset; one without is taken in `zone`."""
        found = self._get(name, default)
        if not isinstance(found, datetime):
            expected = "a date and time without quotation marks, as 2024-10-06T19:10:00"
            raise self._fault(name, expected, "a date" if isinstance(found, date) else found)
        return found if found.tzinfo else found.replace(tzinfo=zone)


def _kind(found: object) -> str:
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, list):
        return "a list"
    return quoted(found)
