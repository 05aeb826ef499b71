"""The refit plan and the way to a part, as data and as lines."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from putback.reports.account.step_words import at_refit
from putback.reports.blocks import as_text
from putback.reports.plan import everything_home, plan_blocks, reach_blocks, reach_json, to_fetch
from putback.reports.planning import refit_plan
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.record import Record
from putback.trade.record.step import DOINGS, Step
from putback.trade.refit.way_back import reach

FILE = """
[machine]
name = "press"
origin = "us"
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "take off"
part = "lid"
face = "top"
bag = 1
put = "shelf"
minutes = 4
tools = ["driver 1.0 x 6"]
cautions = ["heavy"]
at_refit = ["oil the hinge"]
adjust = [{ what = "stop", turns = 2.5 }]
fasteners = [
  { hole = "9", gauge = "832", length = ".372" },
  { hole = "1", same = true },
  { hole = "3", gauge = "1032", length = ".5", hand = "left" },
]
loose = [{ name = "washer", count = 3, put = "bag 2" }]
[[session.step]]
do = "loosen"
part = "clamp"
tag = "A"
minutes = 2
fasteners = [{ hole = "5", gauge = "832", length = ".5", turns = 2.5 }]
[[session.step]]
do = "turn"
part = "press"
state = "on its side"
minutes = 1
"""


@pytest.fixture
def record() -> Record:
    """A lid off, a clamp loosened, the press turned over."""
    return rehearse(read_session_file(FILE, "x", now=datetime(2025, 6, 1, tzinfo=UTC))).record


def do(record: Record, command: c.Command) -> None:
    """Do one command."""
    record.absorb(rules.apply(record, 1, command, at="2025-06-01T10:00:00+00:00", codes=["PBX"]))


def test_a_plan_tells_each_step_with_all_it_asks(record: Record) -> None:
    plan = refit_plan(record, 1)
    assert plan.order == (3, 2, 1) and plan.bag_openings == 2 and plan.tool_changes == 1
    lines = as_text(plan_blocks(record, 1, plan, caption="press")).splitlines()
    assert lines[:2] == ["Refit plan for press: 3 of 3 steps to go", plan.text]
    assert plan.text.startswith("strict reverse, always right: 2 bag openings, 1 tool change")
    assert [line.strip() for line in lines if line[:4].strip().isdecimal()] == [
        "3  press was turned here: on its side",
        "2  tighten clamp",
        "1  put on lid, top face",
    ]
    found = [line.strip() for line in lines]
    at = found.index("1  put on lid, top face")
    assert found[at + 1 :] == [
        "! heavy",
        "! hole 3: LEFT-HAND thread",
        "tools: driver 1.0 x 6",
        "shelf: lid",
        "bag 2: 3 x washer",
        "first: oil the hinge",
        "screws: start all 3 by hand; tighten none before all have caught",
        "bag 1: hole 3: screw #10-32 UNF x 1/2, LEFT-HAND thread",
        "bag 1: holes 1 9: 2 x screw #8-32 UNC x 3/8",
        "with it on, set stop: 2.5 turns",
    ]
    assert "tighten hole 5: screw #8-32 UNC x 1/2; 2.5 turns" in found
    assert found[found.index("3  press was turned here: on its side") + 1] == "turn the machine first: stand it upright"
    after = found[found.index("2  tighten clamp") + 1]
    assert after == "hang-tag A: take it off when it is tight"  # the machine lies right by then


def test_a_plan_leaves_out_what_is_back(record: Record) -> None:
    do(record, c.Confirm(step=2, item="turn press: upright"))
    do(record, c.PutBack(step=2))
    text = as_text(plan_blocks(record, 1, refit_plan(record, 1), caption="press"))
    assert text.startswith("Refit plan for press: 1 of 3 steps to go"), "the turn ticked itself off"
    assert "turned" not in text and "clamp" not in text and not everything_home(record, 1)
    for item in ("heavy", "oil the hinge", "stop: 2.5 turns"):
        do(record, c.Confirm(step=1, item=item))
    do(record, c.PutBack(step=1))
    assert everything_home(record, 1)
    assert as_text(plan_blocks(record, 1, refit_plan(record, 1), caption="press")).endswith("Nothing is off.")


def test_an_empty_machine_has_an_empty_plan() -> None:
    record = Record()
    record.absorb(rules.apply(record, 0, c.NewMachine(name="press"), at="2025-06-01T10:00:00+00:00"))
    plan = refit_plan(record, 1)
    assert plan.to_json() == {
        "order": [], "bag_openings": 0, "tool_changes": 0, "proved_best": None, "waiting": [], "sessions": [],
        "sessions_proved": False,
    }  # fmt: skip
    assert "nothing was taken off" in as_text(plan_blocks(record, 1, plan, caption="press")) and everything_home(
        record, 1
    )


def test_a_replacement_is_what_is_fetched(record: Record) -> None:
    screw = next(t for t in record.things_of(record.get(Step, 1)) if t.hole == "9")
    do(record, c.Carry(thing=screw.id, count=1, source="bag 1", target="missing"))
    waiting = refit_plan(record, 1).waiting
    assert [(w.step, w.text) for w in waiting] == [(1, "screw #8-32 UNC x 3/8 (missing)")]
    assert "      waits for screw" in as_text(plan_blocks(record, 1, refit_plan(record, 1), caption="press"))
    do(record, c.Replace(thing=screw.id, put="box N", size="#8-32 UNC x 1/2"))
    fetched = [(f.place, f.thing.size) for f in to_fetch(record, record.get(Step, 1)) if f.thing.hole == "9"]
    assert fetched == [("box N", "#8-32 UNC x 1/2")] and refit_plan(record, 1).waiting == ()


def test_every_doing_has_words_at_refit() -> None:
    found = {at_refit(Step(id=1, machine=1, number=1, do=do, name="cam")) for do in DOINGS}
    assert len(found) == len(DOINGS) and all("cam" in words for words in found)


def test_the_way_to_a_part_is_told(record: Record) -> None:
    found = reach(record, 1, "clamp")
    assert reach_json(found) == {"steps": [1, 2], "fasteners": 3, "bags": [1, 2], "minutes": 6}
    assert as_text(reach_blocks(record, 1, found, part="clamp")).splitlines() == [
        "   1  take off lid",
        "      ! heavy",
        "      ! hole 3: LEFT-HAND thread",
        "   2  loosen clamp",
        "the way back: 2, 1",
        "2 steps, 3 fasteners, about 6 min, bags 1, 2",
    ]
    assert (
        as_text(reach_blocks(record, 1, reach(record, 1, "clamp", now=True), part="clamp"))
        == "clamp: nothing is in the way."
    )


def test_what_is_skipped_and_what_goes_in_new_stand_in_the_plan() -> None:
    file = FILE.replace('name = "washer"', 'name = "paper gasket"').replace(
        '{ hole = "1", same = true }', '{ hole = "1", gauge = "832", once = true }'
    )
    record = rehearse(read_session_file(file, "a.toml", now=datetime(2025, 4, 1, tzinfo=UTC))).record
    record.absorb(rules.apply(record, 1, c.SkipStep(step=1, reason="no oil"), at="2025-04-01T10:00:00+00:00", codes=()))
    text = as_text(plan_blocks(record, 1, refit_plan(record, 1), caption="press"))
    assert "skipped: no oil; open until it is done" in text
    assert "3 x paper gasket: in new, not the old one" in text
    assert "screw #8-32 UNC, hole 1: in new, not the old one" in text
