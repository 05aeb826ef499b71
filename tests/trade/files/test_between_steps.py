"""What a session file says between two steps: rows that are read, and a sentence for each that cannot be."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from putback.errors import BadSessionFile
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record

NOW = datetime(2025, 6, 1, tzinfo=UTC)
HEAD = """
[machine]
name = "press"
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "take off"
part = "pawl"
put = "shelf"
bag = 1
fasteners = [{ hole = "1", gauge = "832", length = ".372" }]
todo = [{ do = "do", what = "tip broken off", takes = "an evening" }]
"""


def played(rows: str) -> Record:
    """The record of the head with rows behind it."""
    return rehearse(read_session_file(HEAD + rows, "a.toml", now=NOW)).record


def test_jobs_are_noted_and_worked_on_between_steps() -> None:
    record = played("""
[[session.job]]
after = 1
bag = 1
do = "do"
what = "degrease"
[[session.job]]
after = 1
do = "find out"
what = "which year"
when = "no hurry"
[[session.work]]
after = 1
step = 1
what = "tip broken off"
state = "done"
result = "brazed"
""")
    step, bag = record.step(1, 1), record.bag(1, 1)
    assert step is not None and (step.todo[0].state, step.todo[0].result) == ("done", "brazed")
    assert step.todo[0].takes == "an evening"
    assert bag is not None and bag.todo[0].what == "degrease"
    assert record.get(Machine, 1).todo[0].what == "which year"


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ('[[session.job]]\nafter = 2\ndo = "do"\nwhat = "x"', "session 1, job 1: after: there is no step 2 so far"),
        ('[[session.work]]\nafter = 1\nstep = 1\nbag = 1\nwhat = "x"\nstate = "done"', "leave one of them out"),
        ('[[session.work]]\nafter = 0\nstep = 1\nwhat = "x"\nstate = "done"', "step 1 was not done by then"),
        ('[[session.work]]\nafter = 1\nstep = 1\nwhat = "x"\nstate = "half"', "state"),
        ('[[session.job]]\nafter = 1\ndo = "do"\nwhat = "x"\ntakes = "a week"', "takes"),
        ('[[session.job]]\nafter = 1\ndo = "do"\nwhat = "x"\ncolour = "red"', "colour"),
    ],
)
def test_a_row_that_cannot_be_read_is_told_with_its_place(rows: str, sentence: str) -> None:
    with pytest.raises(BadSessionFile, match=sentence):
        played(rows)
