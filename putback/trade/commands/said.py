"""What is said in a command, checked: a word of a list, readings, a number, and the fields of a fastener."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from math import isfinite
from typing import Any

from putback.errors import BadInput
from putback.trade.record.fastener import FIELDS, MOST_TURNS, READINGS, TAKEN_BY, Said
from putback.trade.record.phrases import quoted, with_article

MOST_MINUTES = 24 * 60
"""How long one step may take."""


def one_of(word: str, words: Collection[str], what: str, *, needed: bool = False) -> str:
    """Return `word` where it is among `words`, or empty and not `needed`. Raises BadInput with the list."""
    if word not in words and (word or needed):
        raise BadInput(f"{quoted(word)} is not {with_article(what)}; say {', '.join(words)}.")
    return word


def check_readings(readings: Mapping[str, str]) -> None:
    """See that readings have names of READINGS, and ways of TAKEN_BY. Raises BadInput with the list."""
    for reading, text in readings.items():
        if reading in TAKEN_BY:
            one_of(text, TAKEN_BY[reading], f"way to take the {reading.removesuffix('_by')}", needed=True)
        else:
            one_of(reading, READINGS, "reading of a fastener", needed=True)


def checked_turns(turns: float) -> float:
    """Return a number of turns as it is. Raises BadInput where nothing can be turned so often."""
    if not isfinite(turns) or not 0 <= turns <= MOST_TURNS:
        raise BadInput(f"Turns must be a number from 0 to {MOST_TURNS}.")
    return turns


def checked_minutes(minutes: float) -> float:
    """Return how long a step took, as it is. Raises BadInput where no step can take so long."""
    if not 0 <= minutes <= MOST_MINUTES:
        raise BadInput("A step must take at least 0 minutes, and at most a day.")
    return minutes


def checked(said: Said) -> dict[str, Any]:
    """Return what is said of a fastener as it is kept, by field; what is not said is left out. Raises BadInput."""
    found: dict[str, Any] = {}
    for field in FIELDS:
        value = getattr(said, field.name)
        if value is None:
            continue
        if field.most:
            checked_turns(value)
        found[field.name] = field.kept(value)
    return found
