"""What is left to do, and what must not be mixed up, on the sample machines: their own stories are the judge."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from putback.reports.alike import alike, alike_text
from putback.reports.todo import soaks, to_do, todo_text
from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Soak

NOW = datetime(2025, 7, 1, 12, 0, tzinfo=UTC)
SAMPLES = Path(__file__).parents[2] / "sample_sessions"


@pytest.fixture(scope="module")
def press() -> Iterator[Record]:
    name = "ticket_dating_press.toml"
    yield rehearse(read_session_file((SAMPLES / name).read_text("utf-8"), name, now=NOW)).record


def test_the_cross_bars_bolts_only_look_alike(press: Record) -> None:
    """The story of the press, step 53: same thread, longer; swapped, they bottom."""
    found = alike(press, press.get(Machine, 1))
    bolts = [m for m in found.look_alike if "cross bar" in m.one and "cross bar" in m.other]
    assert len(bolts) == 1 and "1/4 in longer" in bolts[0].why and "bottoms" in bolts[0].why
    assert "cross bar" in alike_text(found)


def test_the_lids_four_screws_interchange(press: Record) -> None:
    found = alike(press, press.get(Machine, 1))
    assert any("step 3, lid: 1 3 7 9" in same.holes for same in found.interchange)
    counts = [same.count for same in found.interchange]
    assert counts == sorted(counts, reverse=True) and min(counts) > 1


def test_todo_has_the_jobs_and_what_has_to_be_got(press: Record) -> None:
    """Counted by hand in the sample: two to do, two to make, four to get, one to send out."""
    found = to_do(press, press.get(Machine, 1), now=NOW.isoformat())
    assert [row.job.do for row in found.jobs] == ["do", "do", *["make"] * 2, *["get"] * 4, "send out"]
    assert {(w.what, w.why) for w in found.shopping} >= {("ribbon", "scrapped"), ("detent ball 1/8", "missing")}
    new = [w for w in found.shopping if w.why == "goes in new"]
    assert [(w.count, w.what.split(" x ")[0]) for w in new] == [(1, "split pin 1/16")]
    assert "goes in new" in todo_text(found)
    assert not found.soaks, "the shaft came out after the soak, so it is over"
    assert "To send out" in todo_text(found)


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
    assert early.told == "12 h to go"
    due = soaks(record, 1, now=datetime(2025, 3, 2, 9, 33, tzinfo=UTC).isoformat())[0]
    assert due.told == "due"
    late = soaks(record, 1, now=datetime(2025, 3, 3, 9, 3, tzinfo=UTC).isoformat())[0]
    assert late.told == "overdue by 24 h"
