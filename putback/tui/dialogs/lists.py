"""The lists that are asked from in more than one place: one numbering of each, wherever it is asked."""

from __future__ import annotations

import re

from putback.trade.record.fastener import DRIVES, HEADS, Field

NOT_SAID = "not said"
"""The last line of a list of heads or drives."""

HEADS_LISTED = (*HEADS, NOT_SAID)
"""The list of heads."""

DRIVES_LISTED = (*DRIVES, NOT_SAID)
"""The list of what turns a fastener."""

PIECES = "nowhere: it is only its loose pieces"

IN_HAND = "the bag in hand"

PLACES = (
    "shelf",
    IN_HAND,
    "loose on the bench",
    "box ...",
    "kept with ...",
    "away: ...",
    "scrapped",
    "bag ...",
    PIECES,
)
"""Where a part goes."""


def place_line(put: str, hand: int) -> str:
    """Return the line of PLACES that a place is on, `hand` being the number of the bag in hand; PIECES for none."""
    if not put:
        return PIECES
    if put == f"bag {hand}":
        return IN_HAND
    named = {"loose": "loose on the bench"}.get(put, put)
    return next((line for line in PLACES if line == named or named.startswith(line.partition("...")[0])), PIECES)


PLACES_ASKED = {
    "box ...": ("Into which box?", "B"),
    "kept with ...": ("Which part is it kept with?", "drum"),
    "away: ...": ("Where is it sent?", "plater, machinist, on order"),
    "bag ...": ("Into which bag?", "its number"),
}
"""What is asked of the places that need a further word, and a hint."""

FOUND_BY = ("turns", "a mark", "a gap", "shims", "a measure")
"""How a setting is told as found."""

OWN_WORDS = "something else: say what"
"""The last line of a list of what the person's own words mostly are."""


def answers(field: Field) -> tuple[str, ...]:
    """Return the list from which a field of a fastener is answered; empty where it is answered in own words alone."""
    return field.words or ((field.usual, *field.offers, OWN_WORDS) if field.offers else ())


SET_WHEN = ("with the part on", "before the part goes on")
"""When a setting is set on the way back."""

TURNS = re.compile(r"([0-9.,/ *-]+?) *turns?")
"""A measure that is turns."""


BARE = re.compile(r"[0-9.,/ *-]+")
"""A number with nothing that says what it is of."""


def line_of(text: str) -> int:
    """Return the line of FOUND_BY that a text names, or -1 where it is the measure itself: one figure alone is a
    line."""
    word = text.strip()
    known = [str(number) for number in range(1, len(FOUND_BY) + 1)]
    return known.index(word) if word in known else -1
