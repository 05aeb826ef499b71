"""What lies in a bag, as the book prints it: equal pieces of one step in one line, with all their holes."""

from __future__ import annotations

from msgspec import Struct

from putback.reports.bags import BagCard, Content
from putback.trade.record.holes import spots_named


class BagLine(Struct, frozen=True):
    """Equal pieces of one step in a bag."""

    count: int
    """How many."""
    called: str
    """What they are, with their size."""
    step: int
    """The number of the step that released them."""
    about: str
    """What that step was about, and the holes they came from: `right cheek, holes 1 3 7`."""
    note: str
    """What was said of them; empty for nothing."""


def bag_lines(card: BagCard) -> tuple[BagLine, ...]:
    """Return a bag's contents, summed by step, size and what was said of them, in the order of the card."""
    alike: dict[tuple[int, str, str, str, bool], list[Content]] = {}
    for row in card.contents:
        alike.setdefault((row.step, row.part, row.called, row.note, row.hole is None), []).append(row)
    return tuple(
        BagLine(
            count=sum(row.count for row in rows),
            called=called,
            step=step,
            about=", ".join(filter(None, (part, spots_named([row.spot for row in rows if row.hole])))),
            note=note,
        )
        for (step, part, called, note, _), rows in alike.items()
    )
