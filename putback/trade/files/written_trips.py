"""What came back from a trip, as a session file has it: where it lies, jobs that came with it, lots sorted by hand."""

from __future__ import annotations

from collections.abc import Iterator

from putback.trade.commands.sorting_lots import SORTED
from putback.trade.files.toml_writing import Table
from putback.trade.record.bag import Move
from putback.trade.record.fastener import Thing
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trip import DAMAGED, Sent


def was_sorted(record: Record, sent: Sent, lot: str) -> bool:
    """Tell whether something that came back to `lot` was sorted out of it since."""
    moves = record.all(Move, sent.machine)
    return any(m.note == SORTED and (m.thing, m.source) == (sent.thing, lot) for m in moves)


def sortings(record: Record, machine: int) -> Iterator[tuple[str, Table]]:
    """Give the lots that were sorted by hand, each with its stamp and where its things went."""
    lots: dict[tuple[str, str], list[Table]] = {}
    for move in record.all(Move, machine):
        if move.note == SORTED:
            thing = record.get(Thing, move.thing)
            step = record.get(Step, thing.step).number
            row = {"step": step, "what": thing.called, "count": move.count, "put": move.target}
            lots.setdefault((move.at, move.source), []).append(row)
    yield from ((at, {"from": place, "things": rows}) for (at, place), rows in lots.items())


def back_at(record: Record, sent: Sent) -> str:
    """Return where something came back to; empty where it is not there."""
    found = [m for m in record.all(Move, sent.machine) if (m.thing, m.at) == (sent.thing, sent.back)]
    return next((m.target for m in found if m.source == f"away: {sent.to}" and m.target != "missing"), "")


def made_by_trips(record: Record, step: Step) -> set[tuple[str, str]]:
    """Return the jobs of a step that come by themselves with what comes back damaged: what, and how it stands."""
    return {
        (f"{thing.called}, back damaged: {sent.note}", "to do")
        for sent in record.all(Sent, step.machine)
        if sent.how == DAMAGED and (thing := record.get(Thing, sent.thing)).step == step.id
    }
