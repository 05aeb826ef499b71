"""A part that does not come off yet: on hold, taken up again behind what was in its way, with its number."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from putback.errors import BadSessionFile, Refused
from putback.reports.plan import everything_home
from putback.reports.planning import refit_plan
from putback.reports.summary import open_questions, where_to_start
from putback.reports.walking import walk_back
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.checks.open_jobs import still_open
from putback.trade.commands.on_hold import IN_THE_WAY, held_because
from putback.trade.commands.rules import apply
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.change import Change
from putback.trade.record.machine import Machine
from putback.trade.record.record import TABLES, Record
from putback.trade.record.step import Step
from putback.trade.refit.way_back import what_waits

AT = "2025-03-01T10:00:00+00:00"


class Bench:
    """A record that commands are done on, one after another."""

    def __init__(self) -> None:
        self.record = Record()
        self.said: list[str] = []
        self.changes: list[Change] = []
        self.do(c.NewMachine(name="press"))

    def do(self, *commands: c.Command) -> None:
        for command in commands:
            codes = [f"PB{number:06}" for number in range(len(self.changes) * 10, len(self.changes) * 10 + 10)]
            change = apply(self.record, 1 if self.changes else 0, command, at=AT, codes=codes)
            self.record.absorb(change)
            self.changes.append(change)
            self.said.append(change.said)

    def off(self, name: str) -> None:
        self.do(c.Begin(name=name), c.Finish())

    def steps(self) -> list[tuple[int, str, tuple[int, ...]]]:
        return [(step.number, step.name, step.needs) for step in self.record.all(Step, 1)]


@pytest.fixture
def bench() -> Bench:
    """A press whose lid is off, and whose bracket is on hold with one screw out."""
    made = Bench()
    made.off("lid")
    made.do(c.Begin(name="bracket"), c.Enter(hole="1", size="#8-32 UNC x 3/8", thread="#8-32 UNC"))
    made.do(c.Annotate(note="bent at the top"), c.PutOnHold())
    return made


def test_what_comes_off_meanwhile_is_needed_first_and_the_held_one_gets_its_number_behind(bench: Bench) -> None:
    bench.do(c.Begin(name="plate"))
    assert bench.said[-1] == "step 3: take off plate, in the way of bracket"
    (held,) = bench.record.held_steps(1)
    assert held_because(bench.record, held) == IN_THE_WAY
    bench.do(c.Finish())
    bench.off("lever")
    assert held_because(bench.record, held) == f"{IN_THE_WAY}; off since: plate, lever"
    assert bench.steps() == [(1, "lid", ()), (2, "bracket", (1,)), (3, "plate", (1,)), (4, "lever", (3,))]
    bench.do(c.TakeUpHeld())
    assert (
        bench.said[-1]
        == "bracket is taken up again: step 4 now, was 2; what was in its way is off: plate (step 2), lever (step 3)"
    )
    assert bench.steps() == [(1, "lid", ()), (2, "plate", (1,)), (3, "lever", (2,)), (4, "bracket", (1, 2, 3))]
    bracket = bench.record.open_step(1)
    assert bracket is not None and (bracket.name, bracket.note) == ("bracket", "bent at the top")
    assert bracket.why_needs == "was on hold until then: something is in the way"
    assert [thing.hole for thing in bench.record.things_of(bracket)] == ["1"]
    bench.do(c.Enter(hole="3", size="#8-32 UNC x 3/8"), c.Finish())
    bench.off("cam")
    assert bench.steps()[-1] == (5, "cam", (4,))
    assert list(check_balance(bench.record)) == []


def test_every_stroke_of_it_can_be_taken_back(bench: Bench) -> None:
    begun = bench.steps()
    count = len(bench.changes)
    bench.off("plate")
    bench.do(c.TakeUpHeld(), c.Finish())
    for number, change in reversed(list(enumerate(bench.changes[count:], count))):
        bench.record.absorb(change.reversed(number=number, said=""))
    assert bench.steps() == begun
    assert [step.name for step in bench.record.held_steps(1)] == ["bracket"]
    bench.record.absorb(bench.changes[count - 1].reversed(number=count - 1, said=""))
    bracket = bench.record.open_step(1)
    assert bracket is not None and bracket.name == "bracket"


def test_taken_up_at_once_it_keeps_its_number_and_needs(bench: Bench) -> None:
    bench.do(c.TakeUpHeld(step=2))
    assert bench.said[-1] == "bracket is taken up again: step 2"
    assert bench.steps()[-1] == (2, "bracket", (1,))


def test_one_that_only_has_to_wait_needs_nothing_of_what_comes_off_meanwhile() -> None:
    bench = Bench()
    bench.off("lid")
    bench.do(c.Begin(name="pin"), c.PutOnHold(reason="soaks till tomorrow", in_the_way=False))
    bench.do(c.Begin(name="plate"))
    assert bench.said[-1] == "step 3: take off plate"
    bench.do(c.Finish(), c.TakeUpHeld())
    assert bench.steps() == [(1, "lid", ()), (2, "plate", (1,)), (3, "pin", (1,))]


def test_what_was_in_the_way_of_one_in_the_way(bench: Bench) -> None:
    bench.do(c.Begin(name="plate"), c.PutOnHold(reason="the lever is in the way"))
    bench.off("lever")
    bench.do(c.TakeUpHeld())  # the one that was put on hold last
    assert bench.said[-1] == "plate is taken up again: step 4 now, was 3; what was in its way is off: lever (step 3)"
    bench.do(c.Finish(), c.TakeUpHeld())
    assert bench.steps() == [(1, "lid", ()), (2, "lever", (1,)), (3, "plate", (1, 2)), (4, "bracket", (1, 2, 3))]


def test_work_inside_a_unit_on_the_bench_is_in_nobodys_way() -> None:
    bench = Bench()
    bench.do(c.Begin(name="motor", whole=True), c.Finish(put="shelf"))
    bench.do(c.Begin(name="bracket"), c.PutOnHold())
    bench.do(c.Begin(name="brush", inside="motor"), c.Finish(), c.TakeUpHeld(), c.Finish())
    assert bench.steps() == [(1, "motor", ()), (2, "brush", (1,)), (3, "bracket", (1,))]


def test_a_step_written_in_between_and_what_is_refused(bench: Bench) -> None:
    bench.off("plate")
    bench.do(c.InsertStep(before=3, name="strap", put="shelf"))
    assert bench.steps()[2] == (3, "strap", (1,))  # not the one on hold, which is still on
    with pytest.raises(Refused, match=r"Step 2, bracket, is on hold and still on, so step 4 cannot need it off."):
        bench.do(c.SetNeeds(step=4, needs=(2,)))
    with pytest.raises(Refused, match=r"bracket is on hold, as step 2; take it up again."):
        bench.do(c.Begin(name="Bracket"))
    with pytest.raises(Refused, match=r"Step 4 is not on hold."):
        bench.do(c.TakeUpHeld(step=4))
    with pytest.raises(Refused, match=r"Step 2, bracket, is on hold, with its part on."):
        bench.do(c.PutBack(step=2))
    bench.do(c.Begin(name="cam"))
    with pytest.raises(Refused, match=r"Step 5, cam, is not done yet."):
        bench.do(c.TakeUpHeld())
    bench.do(c.Finish(), c.TakeUpHeld(), c.Finish())
    with pytest.raises(Refused, match=r"Nothing is on hold."):
        bench.do(c.TakeUpHeld())
    with pytest.raises(Refused, match="Nothing is coming off"):
        bench.do(c.PutOnHold())


def test_it_is_told_everywhere_and_holds_nothing_up(bench: Bench) -> None:
    bench.do(c.Begin(name="plate", needs=()), c.Finish(put="shelf"))
    machine = bench.record.get(Machine, 1)
    told = "step 2, bracket: on hold, something is in the way; off since: plate"
    assert told in open_questions(bench.record, 1, now=AT)
    assert where_to_start(bench.record, 1).startswith("step 2, bracket, is on hold: something is in the way")
    assert "bracket" in [step.name for step in walk_back(bench.record, machine, now=AT).steps]
    assert what_waits(bench.record, 1) == []
    assert refit_plan(bench.record, 1).order == (3, 1)
    bench.do(c.PutBack(step=3), c.PutBack(step=1))
    assert still_open(bench.record, 1) == ["on hold, still on the machine: bracket (step 2)"]
    assert list(check_balance(bench.record)) == []
    bench.do(c.TakeUpHeld())
    assert bench.steps()[-1] == (3, "bracket", ())  # what is back was not in its way after all
    assert list(check_balance(bench.record)) == []


def test_one_with_nothing_out_is_dropped_and_gone(bench: Bench) -> None:
    bench.do(c.Begin(name="motor"), c.PutOnHold(reason="it is stuck", in_the_way=False))
    bench.do(c.Begin(name="plate", needs=(1,)), c.Finish(put="shelf"))
    before = {table: bench.record.documents(table) for table in TABLES}
    bench.do(c.DropHeld(step=3))
    assert bench.said[-1] == "step 3, motor, is dropped: it stays on"
    assert bench.steps() == [(1, "lid", ()), (2, "bracket", (1,)), (3, "plate", (1,))]
    assert list(check_balance(bench.record)) == []
    bench.record.absorb(bench.changes[-1].reversed(number=len(bench.changes) - 1, said=""))
    assert {table: bench.record.documents(table) for table in TABLES} == before


def test_what_came_out_of_one_that_is_dropped_goes_in_again(bench: Bench) -> None:
    bench.do(c.DropHeld())
    assert bench.said[-1] == "bracket stays on; what came out at step 2 goes in again on the way back"
    assert refit_plan(bench.record, 1).order == (2, 1)
    bench.do(c.PutBack(step=2), c.PutBack(step=1))
    assert everything_home(bench.record, 1)
    assert still_open(bench.record, 1) == []
    with pytest.raises(Refused, match="Nothing is on hold"):
        bench.do(c.DropHeld())


FILE = """
[machine]
name = "press"
[[session]]
[[session.step]]
do = "take off"
part = "lid"
[[session.step]]
do = "take off"
part = "bracket"
bag = 1
on_hold = "the plate is in the way"
fasteners = [{ hole = "1", gauge = "832", length = ".375" }]
[[session.step]]
do = "take off"
part = "plate"
needs = [1]
why = "comes off easily, so first"
[[session.step]]
do = "take off"
part = "bracket"
take_up = true
fasteners = [{ hole = "3", gauge = "832", length = ".375" }]
[[session.step]]
do = "take off"
part = "cam"
"""


def test_a_session_file_says_it() -> None:
    now = datetime(2025, 3, 1, 10, tzinfo=UTC)
    record = rehearse(read_session_file(FILE, "press.toml", now=now)).record
    steps = list(record.all(Step, 1))
    told = [(s.number, s.name, s.needs, s.why_needs) for s in steps]
    assert told == [
        (1, "lid", (), ""),
        (2, "plate", (1,), "comes off easily, so first"),
        (3, "bracket", (1, 2), "was on hold until then: the plate is in the way"),
        (4, "cam", (3,), ""),
    ]
    assert [thing.hole for thing in record.things_of(steps[2]) if thing.hole] == ["1", "3"]
    with pytest.raises(BadSessionFile, match="“plate” is not on hold"):
        read_session_file(
            FILE.replace('part = "plate"\n', 'part = "plate"\ntake_up = true\n')
            .replace("needs = [1]\n", "")
            .replace('why = "comes off easily, so first"\n', ""),
            "press.toml",
            now=now,
        )
