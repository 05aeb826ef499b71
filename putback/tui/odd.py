"""The odd one out, asked about while it is still in the hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from putback.trade.fastener import Thing

FEW = 3
"""How many alike there must be before one can be odd (common practice, no source)."""


def odd_one(before: Sequence[Thing], new: Thing) -> str:
    """Return the question about `new` among the fasteners of the same part, or nothing.

    It is asked where at least FEW of the same kind were alike so far and all of them differ from this
    one in thread or length.
    """
    alike = Counter((t.thread, t.length or t.size) for t in before if t.name == new.name and not t.found)
    if sum(alike.values()) < FEW or len(alike) != 1:
        return ""
    (thread, length), _ = next(iter(alike.items()))
    if (thread, length) == (new.thread, new.length or new.size):
        return ""
    if thread != new.thread:
        return f"The others are {thread or 'unlike it'}: is hole {new.hole} right?"
    return f"The others are {length}: is this the long or short one?"
