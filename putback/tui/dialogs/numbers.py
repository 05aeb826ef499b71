"""Numbers as they are typed into a question: hours, minutes, turns, pieces. What is not one stays in the line."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

from msgspec import Struct

from putback.errors import BadInput
from putback.sizing import Unfinished, read_measure
from putback.trade.commands.entering import MOST_PIECES
from putback.trade.commands.jobs import checked_hours
from putback.trade.commands.said import checked_minutes, checked_turns
from putback.trade.commands.sessions import check_target
from putback.trade.commands.sparing import MOST
from putback.trade.record.making import MOST_PIECES as MOST_MADE
from putback.trade.record.phrases import quoted, whole_in


class Of(Struct, frozen=True):
    """What a number is of."""

    plural: str
    """What is counted or measured, as a sentence has it: `hours`."""
    units: str = ""
    """A pattern of the words that may stand behind the number; empty where none may."""
    check: Callable[[float], object] | None = None
    """Raises BadInput where it is too few or too many."""
    whole: bool = False
    """Whether it is counted, so that halves make no sense."""
    as_in: str = "12 or 0.5"
    """How it is typed."""


def _pieces(count: float, most: int = MOST_PIECES) -> None:
    if not 1 <= count <= most:
        raise BadInput(f"Pieces are counted from 1 to {most}.")


def _step(number: float) -> None:
    if number < 1:
        raise BadInput("Steps are numbered from 1.")


HOURS = Of("hours", r"h|hrs?|hours?", checked_hours)
MINUTES = Of("minutes", r"m|mins?|minutes?", checked_minutes)
BELL = Of("minutes", r"m|mins?|minutes?", check_target, as_in="40")
TURNS = Of("turns", r"x|turns?", checked_turns, as_in="2, 2.5 or 2-3/4")
PIECES = Of("pieces", check=_pieces, whole=True, as_in="3")
SPARES = Of("pieces", check=partial(_pieces, most=MOST), whole=True, as_in="3")
TO_MAKE = Of("pieces", check=partial(_pieces, most=MOST_MADE), whole=True, as_in="3")
COUNT = Of("pieces", whole=True, as_in="3")
"""What is counted and may be none."""
STEP = Of("a step", check=_step, whole=True, as_in="5")


def steps_in(text: str) -> tuple[int, ...]:
    """Return the numbers of steps in `text`, with blanks or commas. Raises BadInput where one is not a number."""
    numbers = [whole_in(word) for word in text.replace(",", " ").split()]
    if None in numbers:
        raise BadInput(f"{quoted(text.strip())} are not numbers of steps; type them as 3 5.")
    return tuple(number for number in numbers if number is not None)


def number_in(text: str, of: Of) -> float:
    """Return the number in `text`, with or without its unit. Raises BadInput with a sentence about what it is of."""
    bare = re.sub(rf"\s*(?:{of.units})\.?$", "", text.strip(), flags=re.IGNORECASE) if of.units else text.strip()
    what = f"{quoted(text.strip())} is not a number of {of.plural}; type it in figures, as {of.as_in}."
    bare = bare.replace("*", " ")  # as in a size: a bare number pad has no blank
    if not re.fullmatch(r"[\d.,/][\d.,/ -]*", bare, re.ASCII):
        raise BadInput(what)
    if re.fullmatch(r"0+(?:[.,]0*)?", bare):
        number = 0.0
    else:
        try:
            found = read_measure(bare, "mm")
        except BadInput as fault:
            raise BadInput(what) from fault
        if isinstance(found, Unfinished):
            raise BadInput(what)
        number = float(found.value)
    if of.whole and number != int(number):
        raise BadInput(f"{of.plural.capitalize()} {'is' if of is STEP else 'are'} counted in whole numbers.")
    if of.check is not None:
        of.check(number)
    return number
