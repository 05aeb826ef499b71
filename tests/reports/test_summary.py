"""The end-of-session summary: what was done, what is open, and where to start next time."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from putback.errors import BadInput
from putback.reports.blocks import as_text, said_lines
from putback.reports.summary import open_questions, session_numbered, summarise, where_to_start
from putback.reports.summary_blocks import summary_blocks, tree_of
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Adjustment, Step

FILE = """
[machine]
name = "press"
origin = "us"
[[session]]
start = 2025-03-01T10:00:00Z
title = "outside"
note = "cold"
breaks = [{ after = 1, minutes = 10 }]
[[session.step]]
do = "take off"
part = "lid"
bag = 1
put = "shelf"
minutes = 4
fasteners = [
  { hole = "1", gauge = "832", length = ".372" },
  { hole = "3", same = true },
  { hole = "5", od = ".070" },
  { hole = "7", found = "empty", note = "bright ring" },
]
[[session.step]]
do = "soak"
part = "bush"
minutes = 1
soak = { what = "penetrant", hours = 48 }
[[session]]
start = 2025-03-02T10:00:00Z
[[session.step]]
do = "loosen"
part = "clamp"
needs = []
tag = "A"
minutes = 2
fasteners = [{ hole = "5", gauge = "832", length = ".5", turns = 2, should_be = "#8-32 UNC x 3/8" }]
[[session.step]]
do = "take off"
part = "feet"
needs = []
bag = 2
minutes = 3
todo = [{ do = "get", what = "felt" }]
loose = [{ name = "foot", count = 4 }, { name = "spring", put = "loose" }, { name = "pin", put = "scrapped" }]
[[session.move]]
after = 4
what = "foot"
step = 4
from = "bag 2"
to = "borrowed: a level"
"""


@pytest.fixture
def record() -> Record:
    """Two short sessions with one of everything that stays open."""
    return rehearse(read_session_file(FILE, "x", now=datetime(2025, 6, 1, tzinfo=UTC))).record


NOW = "2025-03-02T20:00:00+00:00"


def do(record: Record, command: c.Command, at: str = NOW) -> None:
    """Do one command."""
    record.absorb(rules.apply(record, 1, command, at=at, codes=["PBX"]))


def test_a_session_is_summed_up(record: Record) -> None:
    machine = record.get(Machine, 1)
    first = summarise(record, machine, session_numbered(record, machine, 1), now=NOW)
    assert (first.session, first.title, first.minutes, first.segments, first.note) == (1, "outside", 5, 2, "cold")
    assert [(s.number, s.text, s.fasteners, s.pieces, s.bags, s.put) for s in first.steps] == [
        (1, "took off lid", 3, 0, (1,), "shelf"),
        (2, "left to soak: bush", 0, 0, (), ""),
    ]
    assert first.sizes["screw #8-32 UNC x 3/8"] == 2 and next(iter(first.sizes)) == "screw #8-32 UNC x 3/8"
    assert [(b.number, b.count) for b in first.bags] == [(1, 3)]
    last = summarise(record, machine, session_numbered(record, machine), now=NOW)
    assert last.session == 2 and [s.number for s in last.steps] == [3, 4]
    assert (last.steps[0].fasteners, last.steps[1].pieces) == (0, 6), "what is only loosened did not come out"
    assert last.balance == {"fitted": 1, "loose": 1, "bag": 6, "shelf": 1, "borrowed": 1, "scrapped": 1}
    assert last.things == sum(last.balance.values()) == 11


def test_every_open_end_is_asked_about(record: Record) -> None:
    do(record, c.StartSession())
    do(record, c.WalkBack(step=4, answer="not so"))
    assert open_questions(record, 1, now=NOW) == [
        "loose on the bench: spring",
        "borrowed: a level: foot",
        "scrapped, nothing in its place yet: pin",
        "step 2: soak, penetrant: 14 h to go",
        "step 1, lid: hole 7 found empty; bright ring",
        f"step 1, lid: size not settled: {_unsettled(record)}",
        "step 3, clamp: hole 5 has screw #8-32 UNC x 1/2, should be #8-32 UNC x 3/8".replace("has screw ", "has "),
        "step 3, clamp: only loosened, hang-tag A",
        "to get: felt (no hurry, step 4)",
        "walk-back of step 4: wrong, and not put right yet",
    ]


def _unsettled(record: Record) -> str:
    thing = next(t for t in record.things_of(record.get(Step, 1)) if t.hole == "5")
    return f"{thing.called} ({thing.verdict})"


def test_a_soak_is_due_and_then_over(record: Record) -> None:
    later = "2025-03-05T20:00:00+00:00"
    assert "step 2: soak, penetrant: overdue by 58 h" in open_questions(record, 1, now=later)
    do(record, c.Begin(name="lever", needs=(2,)))
    do(record, c.Finish())
    assert any("soak" in question for question in open_questions(record, 1, now=later)), "only gone on elsewhere"
    do(record, c.Begin(name="bush", needs=(2,)), later)
    assert not any("soak" in question for question in open_questions(record, 1, now=later))


def test_a_soak_lifted_out_and_a_tool_found_are_no_questions_any_more(record: Record) -> None:
    do(record, c.CountTools(tools=("hook",), missing=("hook",)))
    do(record, c.EndSoak(step=2))
    found = open_questions(record, 1, now=NOW)
    assert any("a tool is missing: hook" in question for question in found)
    assert not any("soak" in question for question in found)
    do(record, c.CountTools(tools=("hook",)))
    assert not any("hook" in question for question in open_questions(record, 1, now=NOW))


def test_what_went_back_in_a_session_is_told_whatever_the_zone(record: Record) -> None:
    do(record, c.StartSession(), "2025-03-03T10:00:00+01:00")
    do(record, c.PutBack(step=3), "2025-03-03T09:30:00+00:00")
    machine = record.get(Machine, 1)
    text = summarise(record, machine, session_numbered(record, machine), now="2025-03-03T11:00:00+01:00")
    assert text.back == (2, 3) and "Put back: step 2, 3" in as_text(summary_blocks(text)), "the soak ticked itself off"
    before = summarise(record, machine, session_numbered(record, machine, 2), now=NOW)
    assert before.back == ()


@pytest.mark.parametrize(
    ("commands", "message"),
    [
        ([], "look at step 4 first: took off feet; then go on taking off"),
        ([c.Begin(name="cam")], "go on with step 5, cam: it is not off yet"),
        ([c.PutBack(step=3)], "refit goes on with step 4, feet"),
    ],
)
def test_where_to_start_next_time(record: Record, commands: list[c.Command], message: str) -> None:
    for command in commands:
        do(record, command)
    assert where_to_start(record, 1) == message


def test_where_to_start_at_either_end() -> None:
    record = Record()
    record.absorb(rules.apply(record, 0, c.NewMachine(name="press"), at=NOW))
    assert where_to_start(record, 1) == "begin with the first part"
    for command in (c.Begin(name="lid"), c.Finish(put="shelf"), c.PutBack(step=1)):
        do(record, command)
    assert where_to_start(record, 1) == "nothing: every step is back"


def test_a_summary_as_lines(record: Record) -> None:
    machine = record.get(Machine, 1)
    text = as_text(summary_blocks(summarise(record, machine, session_numbered(record, machine, 1), now=NOW)))
    lines = text.splitlines()
    assert lines[:2] == [
        "press, session 1: outside",
        "2025-03-01 10:00 to 2025-03-01 10:15, 5 min hands on in 2 segments",
    ]
    assert lines[3:5] == ["Next time: look at step 4 first: took off feet; then go on taking off", "Note: cold"]
    assert "Done: 2 steps, 3 fasteners out" in lines
    assert "    1  lid  (3 fasteners; bag 1; shelf)" in lines and "    2  left to soak: bush" in lines
    assert "     6  in bags" in lines and lines[-1] == "  11 things, each in one place: it balances"


def test_work_inside_an_assembly_hangs_under_it_with_its_time(record: Record) -> None:
    do(record, c.StartSession())
    do(record, c.LeaveNote(note="oil it"))
    do(record, c.AddAssembly(name="case"))
    do(record, c.AddAssembly(name="bell", inside="case"))
    for name, inside in (("hammer", "bell"), ("hood", "case"), ("gong", "bell")):
        do(record, c.Begin(name=name, inside=inside))
        do(record, c.EnterPiece(name="ball", count=2, put="shelf"))
        do(record, c.Finish(put="shelf", minutes=5))
    machine = record.get(Machine, 1)
    found = summarise(record, machine, session_numbered(record, machine), now=NOW)
    assert [(b.depth, b.name, b.step, b.pieces, b.text) for b in tree_of(found.steps)] == [
        (0, "case", 0, 6, ""),
        (1, "bell", 0, 4, ""),
        (2, "hammer", 5, 2, "shelf"),
        (2, "gong", 7, 2, "shelf"),
        (1, "hood", 6, 2, "shelf"),
    ]
    assert found.areas == {"bell": 10.0, "case": 5.0} and found.notes == ("oil it",)
    every = (summarise(record, machine, session_numbered(record, machine, n), now=NOW).minutes for n in (1, 2, 3))
    assert found.minutes_all == sum(every)


def test_a_session_that_is_not_there(record: Record) -> None:
    machine = record.get(Machine, 1)
    with pytest.raises(BadInput, match="There is no session 7 with press; the last is 2"):
        session_numbered(record, machine, 7)
    record.absorb(rules.apply(record, 0, c.NewMachine(name="new"), at=NOW))
    with pytest.raises(BadInput, match="There is no session with new yet"):
        session_numbered(record, record.get(Machine, 2))


def test_what_was_seen_is_in_the_summary_and_a_doubtful_serial_is_asked_about() -> None:
    record = Record()
    said = (
        c.NewMachine(name="press", serial="2041?7"),
        c.StartSession(),
        c.SayOfMachine(note="dusty", caution="lead paint", adjust=Adjustment(what="belt", gap=".25")),
        c.Begin(name="lid"),
        c.Annotate(note="rusted inside"),
        c.Annotate(note="a mark at the hinge", cautions=("sharp edge",), adjust=(Adjustment(what="stop", turns=2),)),
        c.Finish(),
        c.EndSession(),
        c.StartSession(),
    )
    for number, command in enumerate(said):
        record.absorb(rules.apply(record, int(number > 0), command, at=NOW))
    machine = record.get(Machine, 1)
    first = summarise(record, machine, session_numbered(record, machine, 1), now=NOW)
    assert first.seen == (
        "step 1, lid: caution: sharp edge",
        "step 1, lid: set as found: stop: 2 turns",
        "step 1, lid: rusted inside",
        "step 1, lid: a mark at the hinge",
    )
    assert first.of_machine == ("caution: lead paint", "as found: belt: gap .25", "dusty")
    assert "serial 2041?7: the figure after each ? is doubtful; look once more" in first.questions
    blocks = list(summary_blocks(first))
    for words in (*first.seen, *first.of_machine):
        assert words in as_text(blocks) and words in " ".join(said_lines(blocks))
    assert summarise(record, machine, session_numbered(record, machine), now=NOW).seen == ()
