"""Which fasteners of a machine interchange, and which only look alike."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct

from putback.reports.blocks import Block
from putback.reports.size_letters import Looks, named, names_on
from putback.sizing.alike import AlikeGroup
from putback.trade.record.fastener import Thing
from putback.trade.record.holes import spots_text
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.sizes.matching import groups


class Same(Struct, frozen=True):
    """Fasteners that go into each other's holes without a difference."""

    called: str
    """What they are."""
    count: int
    """How many."""
    holes: tuple[str, ...]
    """Where they belong, as `step 5, left panel: 1 2 4`."""


class Mixed(Struct, frozen=True):
    """Two sorts that are easily mixed up and must not be."""

    one: str
    """The one."""
    other: str
    """The other."""
    why: str
    """How they differ and what comes of it."""


class Alike(Struct, frozen=True):
    """What interchanges and what only looks alike on one machine."""

    interchange: tuple[Same, ...]
    """Sorts of which there is more than one, most first."""
    look_alike: tuple[Mixed, ...]
    """Pairs to keep apart."""

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        return {
            "interchange": [{"what": s.called, "count": s.count, "holes": list(s.holes)} for s in self.interchange],
            "look_alike": [{"one": m.one, "other": m.other, "why": m.why} for m in self.look_alike],
        }


def alike(record: Record, machine: Machine) -> Alike:
    """Compare every fastener of a machine with every other."""
    same, pairs = groups(record, machine)
    names = names_on(record, machine.id)
    return Alike(
        tuple(_same(record, group, names) for group in same if len(group.keys) > 1),
        tuple(Mixed(_called(record, pair.a, names), _called(record, pair.b, names), pair.why) for pair in pairs),
    )


def _called(record: Record, group: AlikeGroup, names: dict[Looks, str]) -> str:
    thing = record.get(Thing, group.keys[0])
    step = record.get(Step, thing.step)
    return f"{named(thing, names)} (step {step.number}, {step.name})"


def _same(record: Record, group: AlikeGroup, names: dict[Looks, str]) -> Same:
    holes: dict[str, list[str]] = {}
    for key in group.keys:
        thing = record.get(Thing, key)
        step = record.get(Step, thing.step)
        holes.setdefault(f"step {step.number}, {step.name}", []).append(thing.spot)
    where = tuple(f"{step}: {spots_text(names)}" for step, names in holes.items())
    return Same(named(record.get(Thing, group.keys[0]), names), len(group.keys), where)


def alike_blocks(found: Alike) -> Iterator[Block]:
    """Give what interchanges and what only looks alike."""
    yield Block("Interchange", "heading", said="these interchange:" if found.interchange else "nothing interchanges")
    for same in found.interchange:
        cells = f"{same.count} x", same.called
        yield Block(inset=2, cells=cells, widths=(-5,), gap=1, said=f"{same.count} of {same.called}")
        for where in same.holes:
            step, _, holes = where.rpartition(": ")
            yield Block(where, inset=8, said=f"{step}: {'; '.join(f'hole {hole}' for hole in holes.split())}")
    if not found.interchange:
        yield Block("nothing", inset=2, said="")
    said = "these only look alike:" if found.look_alike else "nothing only looks alike"
    yield Block("Only look alike", "heading", apart=True, said=said)
    for mixed in found.look_alike:
        yield Block(mixed.one, inset=2, said=f"{mixed.one} and {mixed.other}: {mixed.why}")
        yield from (Block(mixed.other, inset=2, said=""), Block(mixed.why, inset=8, said=""))
    if not found.look_alike:
        yield Block("nothing", inset=2, said="")
