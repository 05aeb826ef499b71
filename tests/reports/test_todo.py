"""What is left to do on the sample press: its own story is the judge."""

from __future__ import annotations

from datetime import UTC, datetime

from putback.reports.blocks import as_text
from putback.reports.soaking import soaks
from putback.reports.todo import to_do, todo_blocks
from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Soak

NOW = datetime(2025, 7, 1, 12, 0, tzinfo=UTC)


def test_todo_has_the_jobs_and_what_has_to_be_got(sample_press: Record) -> None:
    """Counted by hand in the sample: three to do, two to make, four to get, one to send out; three are done."""
    found = to_do(sample_press, sample_press.get(Machine, 1), now=NOW.isoformat())
    assert [row.job.do for row in found.jobs] == [*["do"] * 3, *["make"] * 2, *["get"] * 4, "send out"]
    assert sorted(row.job.do for row in found.jobs if not row.job.open) == ["do", "get", "make"]
    assert {(w.what, w.why) for w in found.shopping} >= {("ribbon", "scrapped"), ("detent ball 1/8", "missing")}
    new = [w for w in found.shopping if w.why == "goes in new"]
    assert [(w.count, w.what.split(" x ")[0]) for w in new] == [(1, "split pin 1/16")]
    assert "goes in new" in as_text(todo_blocks([found]))
    assert not found.soaks, "the shaft came out after the soak, so it is over"
    assert "to send out: have a licensed electrician" in as_text(todo_blocks([found]))


def test_a_soak_counts_down_and_then_is_due() -> None:
    record = Record()
    stamps = [datetime(2025, 3, 1, 9, minute, tzinfo=UTC).isoformat() for minute in range(5)]
    for at, command in zip(
        stamps,
        (
            c.NewMachine(name="press"),
            c.Begin(do="soak", name="bush"),
            c.Annotate(soak=Soak("penetrant, bush", 24)),
            c.Finish(),
        ),
        strict=False,
    ):
        record.absorb(apply(record, 1, command, at=at, codes=("a", "b")))
    early = soaks(record, 1, now=datetime(2025, 3, 1, 21, 3, tzinfo=UTC).isoformat())[0]
    assert early.text == "12 h to go"
    due = soaks(record, 1, now=datetime(2025, 3, 2, 9, 33, tzinfo=UTC).isoformat())[0]
    assert due.text == "due"
    late = soaks(record, 1, now=datetime(2025, 3, 3, 9, 3, tzinfo=UTC).isoformat())[0]
    assert late.text == "overdue by 24 h"
