"""The spares of the workshop, by size and count."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from putback.reports.blocks import Block
from putback.trade.record.phrases import times
from putback.trade.record.record import Record
from putback.trade.record.spare import Spare


class SpareLine(Struct, frozen=True):
    """Equal spares that lie in one place and came from one source."""

    spare: Spare
    """What they are, how many came and how many went."""

    @property
    def text(self) -> str:
        """They in a line: `5 x screw #8-32 UNC x 3/8, fillister (bought; drawer 3)`."""
        one = self.spare
        about = "; ".join(filter(None, (one.origin, one.place)))
        head = f", {one.head}" if one.head else ""
        return f"{times(one.left, one.called)}{head}{f' ({about})' if about else ''}"

    def to_json(self) -> dict[str, Any]:
        """Return them as the command line prints them."""
        one = self.spare
        return {
            "count": one.left,
            "what": one.called,
            "size": one.size,
            "kind": one.kind,
            "head": one.head,
            "came": one.came,
            "gone": one.gone,
            "origin": one.origin,
            "place": one.place,
        }


def spare_lines(record: Record) -> list[SpareLine]:
    """Return the spares of which any is left, by what they are."""
    found = [SpareLine(one) for one in record.all(Spare) if one.left]
    return sorted(found, key=lambda line: (line.spare.called, line.spare.id))


def spare_blocks(found: list[SpareLine]) -> list[Block]:
    """Return them as blocks."""
    return [Block(line.text) for line in found] or [Block("There are no spares.")]
