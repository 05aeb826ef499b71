"""What a session file says between two steps: jobs and how they stand, what is sent and comes back, spares.

Each row names the step that it comes after; its table names the reader of the row.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from msgspec import Struct

from putback.trade import commands as c
from putback.trade.files.fields import Fields
from putback.trade.record.fastener import HEADS, KINDS
from putback.trade.record.job import SORTS, STATES, Job
from putback.trade.record.trip import HOW_BACK, UNITS

OF = ("step", "bag")
"""What a job is of; of neither is of the machine itself."""

Placed = dict[int, list[tuple[str, c.Command]]]
"""Commands by the step that they follow, each with where it stands in the file."""

ReadJob = Callable[[dict[str, Any], str], Job]
"""Reads the fields of a job from a row that has no others."""


class _Table(Struct, frozen=True):
    fields: tuple[str, ...]
    """Every field of a row but `after`, and but those of a job where it has them."""
    read: Callable[[Fields, dict[str, Any], ReadJob], c.Command]
    """Makes the command of a row."""
    has_job: bool = False
    """Whether the rest of a row is a job."""


def _of(f: Fields) -> dict[str, Any]:
    """Return what a row's job is of, as the fields of its command."""
    if "step" in f and "bag" in f:
        raise f.fault("bag", "a job is of a step or of a bag; leave one of them out.")
    step, bag = f.whole("step", 0, least=1), f.whole("bag", 0, least=1)
    return {"step": step, "bag": bag, "of_machine": not (step or bag)}


def _job(f: Fields, rest: dict[str, Any], read_job: ReadJob) -> c.Command:
    return c.SayJob(job=read_job(rest, f.where), **_of(f))


def _work(f: Fields, rest: dict[str, Any], read_job: ReadJob) -> c.Command:
    return c.WorkOn(
        what=f.text("what"),
        state=f.word("state", STATES),
        result=f.text("result", ""),
        do=f.word("do", SORTS, ""),
        **_of(f),
    )


def _named(f: Fields, row: object, index: int) -> tuple[int, str]:
    g = Fields(row, f"{f.where}, things {index}", ("step", "what"))
    return g.whole("step", least=1), g.text("what")


def _sent(f: Fields, rest: dict[str, Any], read_job: ReadJob) -> c.Command:
    things = tuple(_named(f, row, index) for index, row in enumerate(f.tables("things", default=[]), 1))
    bags = f.wholes("bags", ())
    if not things and not bags:
        raise f.fault("things", "say what is sent: things, or bags.")
    return c.SendOut(to=f.text("to"), what=f.text("what", ""), due=f.text("due", ""), named=things, bags=bags)


def _back(f: Fields, rest: dict[str, Any], read_job: ReadJob) -> c.Command:
    return c.CameBack(
        how=f.word("how", HOW_BACK),
        named=(f.whole("step", least=1), f.text("what")),
        note=f.text("note", ""),
        put=f.place("put") if "put" in f else "",
        mixed=f.flag("mixed"),
        unit=f.word("unit", UNITS, ""),
    )


def _sorted_row(f: Fields, row: object, index: int) -> c.Sorted:
    g = Fields(row, f"{f.where}, things {index}", ("step", "what", "count", "put"))
    named = (g.whole("step", least=1), g.text("what"))
    return c.Sorted(named=named, count=g.whole("count", 1, least=1), put=g.place("put"))


def _sorted(f: Fields, rest: dict[str, Any], read_job: ReadJob) -> c.Command:
    rows = tuple(_sorted_row(f, row, index) for index, row in enumerate(f.tables("things", default=[]), 1))
    return c.SortLot(place=f.place("from"), rows=rows)


def _spare(f: Fields, rest: dict[str, Any], read_job: ReadJob) -> c.Command:
    return c.AddSpare(
        size=f.text("size"),
        count=f.whole("count", 1, least=1),
        kind=f.word("kind", ("", *KINDS), "screw"),
        head=f.word("head", HEADS, ""),
        origin=f.text("origin", ""),
        place=f.text("place", ""),
    )


TABLES: Final[Mapping[str, _Table]] = {
    "job": _Table(OF, _job, has_job=True),
    "work": _Table((*OF, "what", "do", "state", "result"), _work),
    "sent": _Table(("to", "what", "due", "things", "bags"), _sent),
    "came_back": _Table(("step", "what", "how", "note", "put", "mixed", "unit"), _back),
    "sorted": _Table(("from", "things"), _sorted),
    "spare": _Table(("size", "count", "kind", "head", "origin", "place"), _spare),
}
"""Each table of a session with how its rows are read."""


def between_steps(session: Fields, last: int, read_job: ReadJob) -> Placed:
    """Return what a session says between its steps; `last` is its last step's number.

    Raises BadInput naming session, row and field.
    """
    placed: Placed = {}
    for name, table in TABLES.items():
        for index, row in enumerate(session.tables(name, default=[]), 1):
            where = f"{session.where}, {name} {index}"
            known = ("after", *table.fields)
            rest = {key: value for key, value in row.items() if key not in known} if table.has_job else {}
            f = Fields({key: value for key, value in row.items() if key not in rest}, where, known)
            after = f.whole("after")
            if after > last:
                raise f.fault("after", f"there is no step {after} so far; the last one here is {last}.")
            if f.whole("step", 0) > after:
                raise f.fault("step", f"step {f.whole('step')} was not done by then.")
            placed.setdefault(after, []).append((where, table.read(f, rest, read_job)))
    return placed
