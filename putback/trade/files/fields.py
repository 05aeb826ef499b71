"""Reading one table of a session file, field by field, with an error's sentence for each."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, tzinfo
from decimal import Decimal
from math import isfinite
from typing import Any, TypeVar, cast, overload

from putback.errors import BadInput
from putback.trade.record.phrases import instead, quoted
from putback.trade.record.place import read_place

T = TypeVar("T")
W = TypeVar("W", bound=str)

_MISSING: Any = object()

LONGEST_TEXT = 10_000
"""How long one text may be."""

LARGEST = 10**9
"""The largest number that anything at a bench comes to."""

FIRST_YEAR, LAST_YEAR = 1800, 2999
"""Between these a session was held; a slip in the year is caught outside."""


class Fields:
    """One table, its place in the file, and the fields it may have. Every error is a BadInput."""

    def __init__(self, table: object, where: str, known: Collection[str]) -> None:
        """`where` begins every error's sentence; `known` names every field that may be there."""
        if not isinstance(table, dict):
            raise BadInput(f"{where}: a table was expected; {_kind(table)} is there.")
        self._found: dict[str, Any] = table
        self.where = where
        for name in table:
            if name not in known:
                raise BadInput(f"{where}: {quoted(name)} is not a field here{instead(name, known)}")

    def __contains__(self, name: str) -> bool:
        """Whether the file gives that field."""
        return name in self._found

    def _get(self, name: str, default: Any) -> Any:
        if name in self._found:
            return self._found[name]
        if default is _MISSING:
            raise BadInput(f"{self.where}: the field {quoted(name)} is missing.")
        return default

    def fault(self, name: str, words: str) -> BadInput:
        """Return the error that says `words` of a field."""
        return BadInput(f"{self.where}: {name}: {words}")

    def _unlike(self, name: str, expected: str, found: object) -> BadInput:
        return BadInput(f"{self.where}: {quoted(name)} is {expected}; {_kind(found)} is there.")

    def text(self, name: str, default: str = _MISSING) -> str:
        """Return a text; one that may not be absent may not be empty either."""
        found = self._get(name, default)
        if not isinstance(found, str):
            raise self._unlike(name, "a text in quotation marks", found)
        if len(found) > LONGEST_TEXT:
            raise BadInput(f"{self.where}: {quoted(name)} is longer than {LONGEST_TEXT} characters.")
        if default is _MISSING and not found.strip():
            raise BadInput(f"{self.where}: {quoted(name)} is empty.")
        return found

    def reading(self, name: str, default: str = _MISSING) -> str:
        """Return a reading as said: a text, or a number as a person would write it."""
        found = self._get(name, default)
        if _is_number(found):
            if not _is_sensible(found):
                raise self._unlike(name, "a reading, as text or number", found)
            return format(Decimal(repr(found)), "f")
        if not isinstance(found, str):
            raise self._unlike(name, "a reading, as text or number", found)
        return self.text(name, default)

    def word(self, name: str, words: Collection[W], default: W = _MISSING) -> W:
        """Return one of `words`."""
        found = self.text(name, default)
        if name not in self:
            return default
        if found not in words:
            raise BadInput(f"{self.where}: {name} = {quoted(found)} is unknown{instead(found, words)}")
        return cast(W, found)

    def flag(self, name: str, default: bool = False) -> bool:
        """Return true or false; `default` where it is absent."""
        found = self._get(name, default)
        if not isinstance(found, bool):
            raise self._unlike(name, "true or false", found)
        return found

    def whole(self, name: str, default: int = _MISSING, *, least: int = 0) -> int:
        """Return a whole number from `least` up."""
        found = self._get(name, default)
        if not isinstance(found, int) or isinstance(found, bool):
            raise self._unlike(name, "a whole number", found)
        if name in self and not least <= found <= LARGEST:
            raise self._unlike(name, f"a whole number from {least} up", found)
        return found

    def wholes(self, name: str, default: T) -> tuple[int, ...] | T:
        """Return a list of whole numbers."""
        if name not in self:
            return default
        found = self._found[name]
        if not isinstance(found, list) or any(not isinstance(n, int) or isinstance(n, bool) for n in found):
            raise self._unlike(name, "a list of whole numbers, as [3, 5]", found)
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
        if not _is_number(found) or not _is_sensible(found) or found < 0:
            raise self._unlike(name, "a number from 0 up", found)
        return float(found)

    @overload
    def minutes(self, name: str, default: float) -> float: ...
    @overload
    def minutes(self, name: str, default: None) -> float | None: ...
    def minutes(self, name: str, default: float | None) -> float | None:
        """Return minutes, from a number or a text as “45 min”."""
        found = self._get(name, default)
        if found is None or found is default:
            return default
        given = found
        if isinstance(found, str):
            digits = found.strip().rstrip(".").removesuffix("minutes").removesuffix("min").strip()
            if digits.isascii() and digits.replace(".", "", 1).isdecimal() and len(digits) < 12:
                given = float(digits)
        if not _is_number(given) or not _is_sensible(given) or not 0 <= given <= 24 * 60:
            raise self._unlike(name, "minutes, as 45 or “45 min”, up to a day", found)
        return float(given)

    def place(self, name: str) -> str:
        """Return a place in its one spelling; empty where it is absent."""
        found = self.text(name, "")
        try:
            return read_place(found) if found else ""
        except BadInput as fault:
            raise self.fault(name, str(fault)) from fault

    def texts(self, name: str) -> tuple[str, ...]:
        """Return a list of texts; empty where it is absent."""
        found = self._get(name, [])
        if not isinstance(found, list) or any(not isinstance(t, str) or len(t) > LONGEST_TEXT for t in found):
            raise self._unlike(name, 'a list of texts, as ["gloves", "goggles"]', found)
        return tuple(found)

    def table(self, name: str, default: dict[str, Any] = _MISSING) -> dict[str, Any]:
        """Return a table."""
        found = self._get(name, default)
        if not isinstance(found, dict):
            raise self._unlike(name, "a table", found)
        return found

    def tables(self, name: str, default: list[dict[str, Any]] = _MISSING, most: int = 0) -> list[dict[str, Any]]:
        """Return a list of tables, of at most `most` where that is said."""
        found = self._get(name, default)
        if not isinstance(found, list) or any(not isinstance(row, dict) for row in found):
            raise self._unlike(name, "a list of tables", found)
        if most and len(found) > most:
            raise self.fault(name, f"{len(found):,} are too many; a step holds at most {most:,}.")
        return found

    def stamp(self, name: str, default: datetime, zone: tzinfo | None) -> datetime:
        """Return a date and time with an offset; one without is taken in `zone`."""
        found = self._get(name, default)
        if not isinstance(found, datetime):
            expected = "a date and time without quotation marks, as 2024-10-06T19:10:00"
            raise self._unlike(name, expected, found)
        if name in self and not FIRST_YEAR <= found.year <= LAST_YEAR:
            raise BadInput(f"{self.where}: {quoted(name)} is in the year {found.year}; that must be a mistake.")
        return found if found.tzinfo else found.replace(tzinfo=zone)


def stamped(at: datetime) -> str:
    """Return a date and time as it is kept."""
    return at.isoformat(timespec="seconds")


def _is_number(found: object) -> bool:
    return isinstance(found, int | float) and not isinstance(found, bool)


def _is_sensible(found: float) -> bool:
    """Whether a number is one that can be worked with; an int may be too large for a float."""
    return abs(found) <= LARGEST if isinstance(found, int) else isfinite(found) and abs(found) <= LARGEST


def _kind(found: object) -> str:
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, list):
        return "a list"
    if isinstance(found, date) and not isinstance(found, datetime):
        return "a date"
    if isinstance(found, int) and abs(found) > LARGEST:
        return "a number far too large"
    if isinstance(found, str):
        return quoted(found)
    return str(found)
