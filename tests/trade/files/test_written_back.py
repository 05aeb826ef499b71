"""A machine written back as a session file: played again it is the same, and what cannot be said is named."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.files.written_back import written_back
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine
from putback.trade.record.record import TABLES, Record
from putback.trade.record.step import Step
from tests.strategies import AT, commands, session_files, toml

NOW = datetime(2025, 7, 1, 9, 0, tzinfo=UTC)
SAMPLES = sorted((Path(__file__).parents[3] / "sample_sessions").glob("*.toml"))
OF_NO_MEANING = {"id", "at", "code", "began", "ended", "opened", "closed", "segments"}
"""Stamps and codes, and numbers that only tie documents together."""


def told(record: Record) -> dict[str, list[dict[str, Any]]]:
    """Everything of a record but stamps and codes."""
    found: dict[str, list[dict[str, Any]]] = {}
    for table, kind in TABLES.items():
        rows: list[Mapping[str, Any]] = [msgspec.structs.asdict(noun) for noun in record.all(kind)]
        found[table] = [{name: value for name, value in row.items() if name not in OF_NO_MEANING} for row in rows]
    return found


def played(text: str) -> Record:
    return rehearse(read_session_file(text, "the file", now=NOW)).record


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_written_back_and_played_again_is_the_same(path: Path) -> None:
    record = played(path.read_text(encoding="utf-8"))
    back = written_back(record, 1)
    assert back.unsaid == ()
    again = played(back.text)
    assert told(again) == told(record)
    assert [(s.began, s.ended) for s in again.all(Step)] == [(s.began, s.ended) for s in record.all(Step)]


HEAD = """
[machine]
name = "Rack"
origin = "us"
notes = ["a \\"quoted\\" word, a \\\\ and an é"]
[assemblies]
gearbox = {}
[[session]]
start = 2025-03-01T10:00:00+01:00
breaks = [{ after = 1, minutes = 9 }]
"""
STEPS = """
[[session.step]]
do = "take off"
part = "lid"
face = "top"
bag = 1
put = "shelf"
minutes = 4
close = [1]
fasteners = [
  { hole = "7", gauge = "832", length = ".372", head = "fillister", drive = "slot", came_out = ["tight"] },
  { hole = "9", same = true, note = "bent" },
  { hole = "1", like = true, head = "pan" },
  { hole = "3", found = "empty" },
  { hole = "1", kind = "washer", od = ".39" },
  { hole = "3a", same = true, kind = "screw" },
]
todo = [{ do = "get", what = "felt", since = 2025-03-01T10:02:00+01:00 }]
[[session.step]]
do = "let down"
part = "spring"
in = "gearbox"
bag = 2
minutes = 3
needs = []
why = "it hangs free"
loose = [{ name = "spring" }, { name = "ball", count = 3, put = "box B", once = true }]
[[session.step]]
do = "take off"
part = "guard"
on_hold = "the plate is in the way"
"""
BETWEEN = """
[[session.move]]
after = 2
what = "lid"
step = 1
from = "shelf"
to = "box C"
[[session.job]]
after = 3
bag = 2
do = "do"
what = "wash"
[[session.sent]]
after = 2
to = "plater"
due = "2025-04-01"
things = [{ step = 2, what = "ball" }]
[[session.came_back]]
after = 3
step = 2
what = "ball"
how = "damaged"
note = "one is chipped"
"""


def test_all_that_a_session_file_says_is_written_back() -> None:
    record = played(HEAD + STEPS + BETWEEN)
    back = written_back(record, 1)
    assert back.unsaid == ()
    assert told(played(back.text)) == told(record)
    assert '{ hole = "9", same = true, note = "bent" }' in back.text and 'like = true, head = "pan"' in back.text


def test_what_it_cannot_say_is_named() -> None:
    record = played(HEAD + STEPS)
    screw = next(thing for thing in record.all(Thing) if thing.hole == "9")

    def do(command: c.Command) -> None:
        record.absorb(apply(record, 1, command, at=AT, codes=("one", "two")))

    do(c.StartSession())
    do(c.LeaveNote(note="wind the clock"))
    do(c.Trouble(what="lost", step=1, hole="9"))
    do(c.Carry(thing=next(t.id for t in record.all(Thing) if t.name == "lid"), count=1, source="shelf", target="box C"))
    assert written_back(record, 1).unsaid == ("1 count of tools or note at a break",)
    again = played(written_back(record, 1).text)
    assert again.standing(screw.id) == {"missing": 1} and again.get(Thing, screw.id).trouble == ("lost",)


TROUBLE = """
[[session.trouble]]
after = 3
step = 1
hole = "9"
what = "lost"
[[session.trouble]]
after = 3
step = 1
hole = "9"
what = "another goes in"
gauge = "m5"
length = "20 mm"
put = "box B"
[[session.trouble]]
after = 3
step = 1
hole = "7"
what = "goes in another hole"
into = "1"
[[session.trouble]]
after = 3
step = 1
hole = "3a"
what = "broken"
"""


def test_trouble_with_a_screw_is_written_back() -> None:
    record = played(HEAD + STEPS + TROUBLE)
    back = written_back(record, 1)
    assert back.unsaid == ()
    again = played(back.text)
    assert [(t.trouble, t.goes_into, t.size, again.standing(t.id)) for t in again.all(Thing) if not t.replaces] == [
        (t.trouble, t.goes_into, t.size, record.standing(t.id)) for t in record.all(Thing) if not t.replaces
    ]


@settings(max_examples=40)
@given(session_files())
def test_every_file_comes_back_as_it_was_played(file: dict[str, Any]) -> None:
    try:
        record = played(toml(file))
    except BadInput:
        return
    back = written_back(record, 1)
    again = played(back.text)
    if not back.unsaid:
        assert [again.standing(t.id) for t in again.all(Thing)] == [record.standing(t.id) for t in record.all(Thing)]
        assert written_back(again, 1) == back


@settings(max_examples=12)
@given(st.data())
def test_whatever_was_done_can_be_played_again_or_is_refused_in_a_sentence(data: st.DataObject) -> None:
    record = Record()
    for number in range(data.draw(st.integers(5, 30))):
        command = c.NewMachine(name="Rack") if not number else data.draw(commands(record, 1))
        try:
            record.absorb(apply(record, 1, command, at=AT, codes=(f"a {number}", f"b {number}")))
        except BadInput:
            continue
    try:
        back = written_back(record, 1)
    except BadInput as fault:
        assert str(fault).startswith("A session file cannot say what was done here: ")
        return
    again = played(back.text)
    assert again.get(Machine, 1).name == record.get(Machine, 1).name
    assert again.count(Step, 1) == record.count(Step, 1)
