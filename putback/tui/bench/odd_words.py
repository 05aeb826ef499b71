"""What the short words of a size mean, said where one first stands."""

from __future__ import annotations

from collections.abc import MutableSet

from putback.trade.record.fastener import Thing

MEANING = {
    "either": "either: more than one size fits what was read, and it is kept so until a further reading settles it",
    "none": "no size of the tables fits what was read: it is kept as measured",
    "odd": "odd: no stocked length is near, so it is kept as measured",
}
"""What each word means, in a sentence."""


def meaning_of(thing: Thing, told: MutableSet[str]) -> str:
    """Return what the short word in a fastener's size means; empty where it has none, or one that was `told`."""
    word = "odd" if "(odd)" in thing.size else thing.verdict if thing.verdict in MEANING else ""
    if not word or word in told:
        return ""
    told.add(word)
    return MEANING[word]
