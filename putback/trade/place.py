"""Places: where a thing is. Always exactly one, written as a person would say it.

A place is kept as its text, so that journal and snapshot read without a key:
`fitted`, `loose`, `bag 4`, `box B`, `kept with drum`, `shelf`, `away: plater`,
`borrowed: holds the bar`, `scrapped`, `missing`.
"""

from __future__ import annotations

from putback.errors import BadInput

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

LONGEST_WORD = 300
"""How long the free word in a place may be."""


def sort_of(place: str) -> str:
    """Return the sort of `place`, one of SORTS; `place` is a text that `read_place` gave."""
    if place in PLAIN:
        return place
    for sort in ("bag ", "box ", "kept with ", "away: ", "borrowed: "):
        if place.startswith(sort):
            return sort.rstrip(": ")
    raise BadInput(f"“{place}” is no place.")


def bag_number(place: str) -> int | None:
    """Return the number of the bag that `place` names, or None where it is no bag."""
    return int(place[4:]) if place.startswith("bag ") else None


def in_bag(number: int) -> str:
    """Return the place that is bag `number`."""
    return f"bag {number}"


def out_of_reach(place: str) -> bool:
    """Tell whether a thing at `place` cannot be put back as it is."""
    return sort_of(place) in OUT_OF_REACH


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
    if low.startswith("bag "):
        digits = low[4:].strip()
        if digits.isdecimal() and digits.isascii() and 0 < int(digits) < 100_000:
            return in_bag(int(digits))
        raise BadInput(f"“{text}”: a bag has a number from 1 up, as in “bag 3”.")
    if low.startswith("box ") and words[4:].strip():
        return f"box {words[4:].strip()[:LONGEST_WORD]}"
    if low.startswith("kept with ") and words[10:].strip():
        return f"kept with {words[10:].strip()[:LONGEST_WORD]}"
    for sort in ("away", "borrowed"):
        if low.startswith(sort):
            what = words[len(sort) :].lstrip(" :")
            if what:
                return f"{sort}: {what[:LONGEST_WORD]}"
            raise BadInput(f"“{text}”: say where or what for, as in “{sort}: ...”.")
    raise BadInput(
        f"“{text}” is no place; say bag 3, box B, shelf, loose, kept with a part, "
        "away: where, borrowed: what for, scrapped or missing."
    )
