"""Places: where a thing is. Always exactly one, written as a person would say it.

A place is kept as its text, so that journal and snapshot read without a key:
`fitted`, `loose`, `bag 4`, `box B`, `kept with drum`, `shelf`, `away: plater`,
`borrowed: holds the bar`, `scrapped`, `missing`.
"""

from __future__ import annotations

from putback.errors import BadInput
from putback.trade.record.phrases import quoted, whole_in

FITTED = "fitted"
LOOSE = "loose"
SHELF = "shelf"
SCRAPPED = "scrapped"
MISSING = "missing"

PLAIN = (FITTED, LOOSE, SHELF, SCRAPPED, MISSING)
"""Places that need no further word."""

SORTS = (FITTED, LOOSE, "bag", "box", "kept with", SHELF, "away", "borrowed", SCRAPPED, MISSING)
"""Every sort of place, in the order a trial balance lists them."""

OUT_OF_REACH = frozenset({"away", "borrowed", SCRAPPED, MISSING})
"""Sorts of place from which nothing can be put back."""

MOST_BAGS = 99_999
"""The highest number of a bag."""

LONGEST_WORD = 500
"""How long the free word in a place may be."""

_FREE = {"box": "box ", "kept with": "kept with ", "away": "away: ", "borrowed": "borrowed: "}


def sort_of(place: str) -> str:
    """Return the sort of `place`, one of SORTS; `place` is a text that `read_place` gave.

    Raises BadInput for a text that is not a place.
    """
    if place in PLAIN:
        return place
    if place.startswith("bag "):
        return "bag"
    for sort, start in _FREE.items():
        if place.startswith(start):
            return sort
    raise BadInput(f"{quoted(place)} is not a place.")


def bag_number(place: str) -> int | None:
    """Return the number of the bag that `place` names, or None where it is not a bag."""
    return int(place[4:]) if place.startswith("bag ") else None


def in_bag(number: int) -> str:
    """Return the place that is bag `number`."""
    return f"bag {number}"


def checked_bag(number: int) -> int:
    """Return the number of a bag as it is. Raises BadInput where no bag can have it."""
    if not 1 <= number <= MOST_BAGS:
        raise BadInput(f"A bag has a number from 1 to {MOST_BAGS}; {number} was said.")
    return number


def out_of_reach(place: str) -> bool:
    """Tell whether a thing at `place` cannot be put back as it is."""
    return sort_of(place) in OUT_OF_REACH


def in_line(place: str) -> str:
    """Return a place as it stands within a line that has a colon of its own: `away (plater)`, `bag 3`."""
    sort, colon, word = place.partition(": ")
    return f"{sort} ({word})" if colon else place


def is_at_hand(words: str) -> bool:
    """Tell whether a place, as it is told, is one where something lies that can be fetched: not `went into ...`."""
    return words in (LOOSE, SHELF) or words.startswith(("bag ", "box ", "kept with "))


def going(place: str) -> str:
    """Return where something goes, as the end of a sentence: `to shelf`, `away: plater`, `kept with drum`."""
    if place == LOOSE:
        return "loose on the bench"
    return place if sort_of(place) in ("away", "borrowed", "kept with", SCRAPPED, MISSING) else f"to {place}"


def read_place(text: str) -> str:
    """Return the place that `text` names, in its one spelling.

    Takes what a person or a session file says: `Bag 4`, `shelf`, `away: plater`. Raises BadInput
    with the list of what would do where it names none.
    """
    words = " ".join(text.split())
    low = words.casefold()
    if low in ("loose on the bench", "bench"):
        return LOOSE
    if low in PLAIN:
        return low
    first, _, rest = low.partition(" ")
    if first == "bag":
        number = whole_in(rest)
        if number is not None and 0 < number <= MOST_BAGS:
            return in_bag(number)
        raise BadInput(f"{quoted(text)}: a bag has a number from 1 to {MOST_BAGS}, as in “bag 3”.")
    for sort, start in _FREE.items():
        if low.startswith(sort) and low[len(sort) : len(sort) + 1] in ("", " ", ":"):
            what = words[len(sort) :].lstrip(" :")
            if len(what) > LONGEST_WORD:
                raise BadInput(f"The words for a place have at most {LONGEST_WORD} characters.")
            if what:
                return start + what
            raise BadInput(f"{quoted(text)}: a word is missing, as in “{_EXAMPLES[sort]}”.")
    raise BadInput(
        f"{quoted(text)} is not a place; say bag 3, box B, shelf, loose, kept with a part, "
        "away: where, borrowed: what for, scrapped or missing."
    )


_EXAMPLES = {
    "box": "box B",
    "kept with": "kept with drum",
    "away": "away: plater",
    "borrowed": "borrowed: holds the bar",
}
