"""The bag ledger and one bag's contents, as data and as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct

from putback.reports.blocks import Block
from putback.reports.size_letters import Looks, named, names_on
from putback.reports.spoken import spelled
from putback.trade.record.bag import Bag, Move
from putback.trade.record.fastener import LEFT_OVER, Thing, spot
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import counted, times
from putback.trade.record.place import in_bag
from putback.trade.record.record import Record
from putback.trade.record.step import Step


class BagRow(Struct, frozen=True):
    """One bag in the ledger."""

    code: str
    """The code on its label."""
    number: int
    """Its number on its machine."""
    state: str
    """open or closed."""
    count: int
    """Everything now in it."""
    box: str
    """The box it lies in."""


class Content(Struct, frozen=True):
    """Some of one thing in a bag."""

    count: int
    """How many."""
    what: str
    """What it is."""
    size: str
    """Its nominal size, empty for loose pieces and parts."""
    hole: str | None
    """The place of the hole it came from; None for loose pieces and parts."""
    face: str
    """The face of that hole, where it is another than the step's; else empty."""
    step: int
    """The number of the step that released it."""
    part: str
    """What that step was about."""
    called: str
    """What it is with its size, and with its head where another of the machine differs by that alone."""
    note: str = ""
    """What was said of it, and of the move that brought it here."""

    @property
    def spot(self) -> str:
        """The hole with its face, as a person says it: `3`, `3, right`; empty for loose pieces and parts."""
        return spot(self.hole or "", self.face)

    @property
    def said(self) -> str:
        """It as it is said: `hole 3: screw #8-32 UNC x 3/8; the long one`."""
        lead = f"hole {self.spot}: " if self.hole else ""
        return f"{lead}{times(self.count, self.called)}{f'; {self.note}' if self.note else ''}"

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it; `face` and `note` only where there is something to say."""
        row = {"count": self.count, "what": self.what, "size": self.size, "hole": self.hole, "step": self.step}
        more = {"face": self.face, "note": self.note}
        return row | {name: words for name, words in more.items() if words}


class BagCard(Struct, frozen=True):
    """A bag with everything in it."""

    row: BagRow
    """The bag."""
    machine: str
    """Whose it is, name and serial."""
    contents: tuple[Content, ...]
    """What is in it, by step and then as entered."""
    steps: tuple[int, ...]
    """The steps that put something in, ascending."""
    jobs: tuple[str, ...] = ()
    """The jobs on all that is in it, and how each stands."""

    def to_json(self) -> dict[str, Any]:
        """Return the card as the command line prints it."""
        return {
            "code": self.row.code,
            "number": self.row.number,
            "machine": self.machine,
            "state": self.row.state,
            "contents": [row.to_json() for row in self.contents],
            "steps": list(self.steps),
        }


def bag_row(record: Record, bag: Bag) -> BagRow:
    """Return one bag's line in the ledger."""
    return BagRow(bag.code, bag.number, bag.state, record.total(bag.machine, in_bag(bag.number)), bag.box)


def bag_rows(record: Record, machine: int) -> list[BagRow]:
    """Return the machine's bags by number."""
    return sorted((bag_row(record, bag) for bag in record.all(Bag, machine)), key=lambda row: row.number)


def bag_card(record: Record, bag: Bag) -> BagCard:
    """Return a bag with its contents and steps."""
    return bag_cards(record, [bag])[0]


def bag_cards(record: Record, bags: Sequence[Bag]) -> list[BagCard]:
    """Return bags of one machine with their contents and steps; what is asked of the whole machine is asked once."""
    machine = bags[0].machine if bags else 0
    names = names_on(record, machine)
    brought: dict[tuple[int, str], str] = {}
    for move in record.all(Move, machine):
        if move.note:
            brought[move.thing, move.target] = move.note
    return [_bag_card(record, bag, names, brought) for bag in bags]


def _bag_card(record: Record, bag: Bag, names: dict[Looks, str], brought: dict[tuple[int, str], str]) -> BagCard:
    contents, place = [], in_bag(bag.number)
    for number, count in record.in_bag(bag).items():
        thing = record.get(Thing, number)
        step = record.get(Step, thing.step)
        contents.append(
            Content(
                count,
                thing.name,
                thing.size,
                thing.hole or None,
                thing.face,
                step.number,
                step.name,
                _called(thing, names),
                "; ".join(dict.fromkeys(filter(None, (thing.note, brought.get((number, place), ""))))),
            ),
        )
    contents.sort(key=lambda c: (c.step, not c.hole, c.face, c.hole or "", c.what))
    filled = {step.number for step in record.steps_filling(bag)}
    return BagCard(
        bag_row(record, bag),
        record.get(Machine, bag.machine).caption,
        tuple(contents),
        tuple(sorted(filled | {c.step for c in contents})),
        tuple(job.text for job in bag.todo),
    )


def _called(thing: Thing, names: dict[Looks, str]) -> str:
    text = named(thing, names)
    if thing.sort == LEFT_OVER:
        return f"left-over {thing.called}"
    return text if thing.sort == "fastener" else f"{thing.name} {thing.size}".strip()


def ledger_blocks(rows: list[BagRow]) -> Iterator[Block]:
    """Give the bag ledger, a bag a row."""
    widths = -3, 6, -6, 3
    if not rows:
        yield Block("No bag yet.")
        return
    yield Block(cells=("bag", "state", "pieces", "box", "code"), widths=widths, sort="columns", said="")
    for r in rows:
        box = f", box {r.box}" if r.box else ""
        yield Block(
            cells=(str(r.number), r.state, str(r.count), r.box, r.code),
            widths=widths,
            said=f"bag {r.number}, {r.state}, {counted(r.count, 'piece')}{box}, code {spelled(r.code)}",
        )


def bag_blocks(card: BagCard) -> Iterator[Block]:
    """Give a bag with what is in it, by step and hole."""
    row = card.row
    box = f", box {row.box}" if row.box else ""
    yield Block(f"Bag {row.number}{box}, {row.state}, of {card.machine}   {row.code}", "title", said="")
    yield from (Block(said=words) for words in _said_of(card))
    yield from (Block(job, inset=2) for job in card.jobs)
    if not card.contents:
        yield Block("empty", inset=2, said="")
    step, wide = 0, max((3, *(len(c.spot) for c in card.contents)))
    for c in card.contents:
        if c.step != step:
            step = c.step
            yield Block(f"step {step}, {c.part}", "heading", inset=2, said=f"from step {step}, {c.part}:")
        hole, note = f"hole {c.spot}" if c.hole else "", f"; {c.note}" if c.note else ""
        yield Block(
            cells=(f"{c.count} x", hole, f"{c.called}{note}"),
            widths=(0, 5 + wide),
            gap=1,
            inset=4,
            said=c.said,
        )
    if card.steps:
        yield Block(said=f"its step{'s' if len(card.steps) > 1 else ''}: {', '.join(map(str, card.steps))}")


def _said_of(card: BagCard) -> Iterator[str]:
    """Give what the title of a bag shows in a line, as it is said."""
    row = card.row
    yield from (f"bag {row.number}, {row.state}", f"machine: {card.machine}", row.box and f"box {row.box}")
    yield from (f"{counted(row.count, 'thing')} in it" if row.count else "empty", f"code: {spelled(row.code)}")
