"""Cards and reports for a screen reader: words alone, a fact a line, and nothing left out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from putback.reports.account import WayBack
from putback.reports.alike import alike, alike_blocks
from putback.reports.bags import bag_blocks, bag_card, bag_rows, ledger_blocks
from putback.reports.blocks import as_words
from putback.reports.card_blocks import card_blocks, walk_blocks
from putback.reports.cards import part_card, step_card, thing_card
from putback.reports.going_back import next_step
from putback.reports.plan import next_blocks, plan_blocks
from putback.reports.planning import refit_plan
from putback.reports.spoken import sentence
from putback.reports.summary import session_numbered, summarise
from putback.reports.summary_blocks import summary_blocks
from putback.reports.todo import to_do, todo_blocks
from putback.reports.walking import walk_back
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine, Part
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.refit.way_back import steps_off, what_waits

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
NOW = "2025-06-01T10:00:00+00:00"


@pytest.fixture(scope="module", params=sorted(path.name for path in SAMPLES.glob("*.toml")))
def record(request: pytest.FixtureRequest) -> Record:
    """A sample session, played."""
    from datetime import datetime

    text = (SAMPLES / request.param).read_text("utf-8")
    rehearsal = rehearse(read_session_file(text, request.param, now=datetime.fromisoformat(NOW)))
    return rehearsal.record


def everything(record: Record) -> dict[str, str]:
    """Every card and report of the machine, as it is spoken."""
    (machine,) = record.all(Machine)
    waits = what_waits(record, machine.id)
    step = next_step(record, steps_off(record, machine.id), waits)
    assert step is not None
    plan = refit_plan(record, machine.id, "reverse")
    found = {
        "ledger": as_words(ledger_blocks(bag_rows(record, machine.id))),
        "summary": as_words(summary_blocks(summarise(record, machine, session_numbered(record, machine), now=NOW))),
        "todo": as_words(todo_blocks([to_do(record, machine, now=NOW)])),
        "alike": as_words(alike_blocks(alike(record, machine))),
        "plan": as_words(plan_blocks(record, machine.id, plan, caption=machine.caption)),
        "walk": as_words(walk_blocks(record, walk_back(record, machine, now=NOW))),
        "next": as_words(next_blocks(record, WayBack(record, machine.id, waits).account(step))),
    }
    found |= {f"bag {b.number}": as_words(bag_blocks(bag_card(record, b))) for b in record.all(Bag)}
    found |= {f"step {s.number}": as_words(card_blocks(record, step_card(record, s))) for s in record.all(Step)}
    found |= {f"part {p.id}": as_words(card_blocks(record, part_card(record, p))) for p in record.all(Part)}
    things = (t for t in record.all(Thing) if t.sort != "part")
    return found | {f"thing {t.id}": as_words(card_blocks(record, thing_card(record, t))) for t in things}


def test_there_is_nothing_drawn_and_nothing_lined_up(record: Record) -> None:
    for name, text in everything(record).items():
        for line in text.split("\n"):
            assert line and line == line.strip() and "  " not in line and line[-1] in ".!?:", (name, line)
            assert not re.search(r"[─-◿|#=~^_]|(?<!\w)\.\d|^[-!*>x] ", line), (name, line)


def test_nothing_is_left_out(record: Record) -> None:
    """Every thing in a bag and every hole of a step is on its card, and every step and caution in the plan."""
    texts = everything(record)
    for bag in record.all(Bag):
        lines = texts[f"bag {bag.number}"].split("\n")
        counts = [re.match(r"(?:Hole .*?: )?(?:(\d+) times )?", line) for line in lines if not line.endswith(":")]
        card = bag_card(record, bag)
        held = counts[5 if card.row.box else 4 : len(counts) - 1] if card.contents else []
        assert sum(int(found[1] or 1) for found in held if found) == card.row.count
    for step in record.all(Step):
        told_of_it = texts[f"step {step.number}"]
        for thing in record.things_of(step):
            if thing.hole:
                assert f"Hole {' '.join(thing.hole)}, " in told_of_it
        assert f"Step {step.number}: " in texts["plan"]
        assert told_of_it.count("Caution: ") >= len(step.cautions)
    told_at_all = texts["plan"].casefold()
    for caution in (caution for step in record.all(Step) for caution in step.cautions):
        assert sentence(f"caution: {caution}").casefold() in told_at_all
