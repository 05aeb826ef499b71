"""How long steps take, with breaks and forgotten timers left out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.record.record import Record
from putback.trade.refit.pace import USUAL, USUAL_STEP, TimeLeft, minutes_of, time_left

START = datetime(2025, 3, 1, 9, 0, tzinfo=UTC)


class Bench:
    """A record and a clock moved by hand."""

    def __init__(self) -> None:
        self.record = Record()
        self.now = START
        self.codes = 0
        self.do(c.NewMachine(name="press"))

    def do(self, command: c.Command, after: float = 0.0) -> None:
        self.now += timedelta(minutes=after)
        self.codes += 1
        codes = (f"PB{self.codes:07}", f"PC{self.codes:07}")
        self.record.absorb(apply(self.record, 1, command, at=self.now.isoformat(), codes=codes))

    def take_off(self, name: str, minutes: float) -> None:
        self.do(c.Begin(name=name))
        self.do(c.Finish(put="shelf"), after=minutes)


def test_a_break_in_the_middle_of_a_step_is_left_out() -> None:
    bench = Bench()
    bench.do(c.StartSession())
    bench.do(c.Begin(name="lid"))
    bench.do(c.Pause(), after=4)
    bench.do(c.Resume(), after=300)
    bench.do(c.Finish(put="shelf"), after=3)
    assert minutes_of(bench.record, 1) == {1: pytest.approx(7.0)}


def test_a_forgotten_timer_is_cut_to_the_outer_fence() -> None:
    """Quartiles 4 and 6 of 4 4 5 6 6 and the long one: the fence is 6 + 3 x 2 at the most."""
    bench = Bench()
    bench.do(c.StartSession())
    for number, minutes in enumerate([4, 4, 5, 6, 6, 600]):
        bench.take_off(f"part {number}", minutes)
    found = minutes_of(bench.record, 1)
    assert [found[n] for n in range(1, 6)] == [4, 4, 5, 6, 6]
    assert found[6] <= 12


def test_before_a_pace_is_known_the_range_is_the_usual_one() -> None:
    bench = Bench()
    bench.do(c.StartSession())
    for number in range(4):
        bench.take_off(f"part {number}", 10)
    left = time_left(bench.record, 1)
    assert (left.low, left.likely, left.high) == tuple(40 * share for share in USUAL)


def test_the_pace_is_learned_from_what_was_put_back() -> None:
    """Each step goes back in half its time: of three left at 10 minutes, 15 minutes remain."""
    bench = Bench()
    bench.do(c.StartSession())
    for number in range(10):
        bench.take_off(f"part {number}", 10)
    for number in range(10, 3, -1):
        bench.do(c.PutBack(step=number), after=5)
    left = time_left(bench.record, 1)
    assert (left.low, left.likely, left.high) == (12, 15, 18)
    assert left.text == "about 15 min, from 12 min to 18 min"


def test_steps_only_written_down_count_as_long_as_the_others() -> None:
    """An evening's work typed in afterwards, a step in some seconds, does not make refit a matter of no time."""
    bench = Bench()
    bench.do(c.StartSession())
    for number in range(6):
        bench.take_off(f"quick {number}", 0.1)
    assert minutes_of(bench.record, 1) == dict.fromkeys(range(1, 7), USUAL_STEP)
    for number in range(5):
        bench.take_off(f"part {number}", 8)
    assert minutes_of(bench.record, 1) == dict.fromkeys(range(1, 12), 8)


def test_a_key_pressed_without_the_work_is_no_pace() -> None:
    bench = Bench()
    bench.do(c.StartSession())
    for number in range(8):
        bench.take_off(f"part {number}", 10)
    for number in range(8, 2, -1):
        bench.do(c.PutBack(step=number), after=0.05)
    left = time_left(bench.record, 1)
    assert (left.low, left.likely, left.high) == tuple(20 * share for share in USUAL)


@pytest.mark.parametrize(
    ("low", "high", "brief"), [(12, 18, "12 to 18 min"), (12, 57, "12 to 55 min"), (54, 144, "0.9 to 2.4 h")]
)
def test_a_range_is_told_in_one_unit(low: float, high: float, brief: str) -> None:
    assert TimeLeft(low, (low + high) / 2, high).brief == brief
