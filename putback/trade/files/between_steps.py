"""What a session file says between two steps: jobs noted, and how they stand since.

Each row names the step that it comes after; its table names the reader of the row.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from msgspec import Struct

from putback.trade import commands as c
from putback.trade.files.fields import Fields
from putback.trade.record.job import SORTS, STATES, Job

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


TABLES: Final[Mapping[str, _Table]] = {
    "job": _Table(OF, _job, has_job=True),
    "work": _Table((*OF, "what", "do", "state", "result"), _work),
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
