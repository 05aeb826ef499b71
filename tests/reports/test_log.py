"""The logbook: every change once, in order, with what was taken back marked."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path
from random import Random

import pytest

from putback.errors import Damaged
from putback.reports.blocks import as_text
from putback.reports.log import log_blocks, log_rows
from putback.scans.bag_code import new_code
from putback.store import Entry
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.record.record import Record
from putback.workshop import Workshop


class Hands:
    """A workshop on a clock that goes on by a minute for each stamp."""

    def __init__(self, folder: Path) -> None:
        self.when = datetime(2025, 3, 1, 23, 57, tzinfo=timezone(timedelta(hours=1)))
        rng = Random(1)
        self.workshop = Workshop.open(folder, clock=self.clock, codes=lambda taken: new_code(rng, taken), who="Zoë")

    def clock(self) -> datetime:
        self.when += timedelta(minutes=1)
        return self.when

    def rows(self, machine: int = 0, last: int | None = None) -> list[tuple[int, str, int]]:
        found = log_rows(self.workshop.store.entries_back(), self.workshop.record, machine=machine, last=last)
        return [(row.number, row.did, row.undone_by) for row in found]


@pytest.fixture
def hands(tmp_path: Path) -> Iterator[Hands]:
    made = Hands(tmp_path / "bench")
    with made.workshop as workshop:
        workshop.do(c.NewMachine(name="press", serial="41?7"))
        workshop.do(c.NewMachine(name="recorder"))
        workshop.do(c.Begin(name="lid"), 1)
        workshop.do(c.Enter(hole="1"), 1)
        workshop.do(c.Begin(name="lever"), 2)
        workshop.take_back(1)
        yield made


def test_newest_last_and_what_was_taken_back_is_marked(hands: Hands) -> None:
    assert hands.rows() == [
        (1, "NewMachine", 0),
        (2, "NewMachine", 0),
        (3, "Begin", 0),
        (4, "Enter", 6),
        (5, "Begin", 0),
        (6, "Undo", 0),
    ]
    assert hands.rows(last=3) == [(4, "Enter", 6), (5, "Begin", 0), (6, "Undo", 0)]
    assert hands.rows(machine=2) == [(2, "NewMachine", 0), (5, "Begin", 0)]
    assert hands.rows(machine=1, last=2) == [(4, "Enter", 6), (6, "Undo", 0)]


def test_no_more_is_read_than_is_wanted(hands: Hands) -> None:
    def entries() -> Iterator[Entry]:
        for number, entry in enumerate(hands.workshop.store.entries_back()):
            assert number < 2, "a third change was read"
            yield entry

    assert [row.number for row in log_rows(entries(), hands.workshop.record, last=2)] == [5, 6]


def test_folds_leave_nothing_out(hands: Hands) -> None:
    before = hands.rows()
    hands.workshop.store.fold()
    hands.workshop.take_back(1)
    hands.workshop.store.fold()
    assert hands.rows() == [*before[:2], (3, "Begin", 7), *before[3:], (7, "Undo", 0)]


def test_what_came_after_a_damaged_line_can_be_read(hands: Hands) -> None:
    store, record = hands.workshop.store, hands.workshop.record

    def entries() -> Iterator[Entry]:
        for entry in store.entries_back():
            if entry.number == 3:
                raise Damaged("workshop.journal, line 4 does not fit its checksum.")
            yield entry

    with pytest.raises(Damaged, match=r"line 4 does not fit its checksum\. What came .* read: putback log --last 3\."):
        log_rows(entries(), record)
    assert [row.number for row in log_rows(entries(), record, last=3)] == [4, 5, 6]


def test_as_text_and_as_json(hands: Hands) -> None:
    rows = log_rows(hands.workshop.store.entries_back(), hands.workshop.record)
    assert as_text(log_blocks(rows[:4])).splitlines() == [
        "2025-03-01 (UTC+0100)",
        "  1  23:59:00  Zoë  press 41?7 is on the bench  [press 41?7]",
        "2025-03-02 (UTC+0100)",
        "  2  00:00:00  Zoë  recorder is on the bench  [recorder]",
        "  3  00:01:00  Zoë  step 1: take off lid  [press 41?7]",
        "x 4  00:02:00  Zoë  hole 1: screw into bag 1  [press 41?7]  (taken back by 6)",
    ]
    assert as_text(log_blocks([])) == "Nothing has been done yet."
    assert rows[3].to_json() == {
        "number": 4,
        "at": "2025-03-02T00:02:00+01:00",
        "who": "Zoë",
        "machine": "press 41?7",
        "did": "Enter",
        "said": "hole 1: screw into bag 1",
        "undoes": None,
        "undone_by": 6,
    }
    assert rows[5].to_json()["undoes"] == 4


def test_a_line_of_an_odd_stamp_is_shown_as_it_is() -> None:
    entry = Entry(1, "some day", "", rules.apply(Record(), 0, c.NewMachine(name="x"), at=""))
    rows = log_rows([entry], Record())
    assert as_text(log_blocks(rows)) == "some day\n  1    x is on the bench"
