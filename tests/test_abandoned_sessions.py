"""Sessions that nobody ended: left for four idle hours they ended at their last act; past midnight they may go on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.abandoned_sessions import crosses_midnight, is_left
from putback.cli import main
from putback.scans.bag_code import new_code
from putback.trade import commands as c
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.refit.pace import hands_on
from putback.workshop import Workshop

ZONE = timezone(timedelta(hours=1))
EVENING = datetime(2025, 3, 7, 21, 0, tzinfo=ZONE)


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = EVENING

    def __call__(self) -> datetime:
        return self.now

    def move(self, **time: float) -> None:
        self.now += timedelta(**time)


@pytest.fixture
def clock() -> Clock:
    return Clock()


Opener = Callable[..., Workshop]


@pytest.fixture
def open_bench(tmp_path: Path, clock: Clock) -> Opener:
    def opened(*, read_only: bool = False) -> Workshop:
        rng = Random(1)
        codes: Callable[..., str] = lambda taken: new_code(rng, taken)  # noqa: E731 - as the app gives it
        return Workshop.open(tmp_path / "bench", clock=clock, codes=codes, who="Ann", read_only=read_only)

    return opened


def sessions(workshop: Workshop) -> list[Session]:
    return list(workshop.record.all(Session, 1))


def an_evening(workshop: Workshop, clock: Clock) -> None:
    """A session of 25 minutes, with a part half off."""
    workshop.do(c.NewMachine(name="press"))
    workshop.do(c.StartSession(), 1)
    workshop.do(c.Begin(name="lid"), 1)
    clock.move(minutes=25)
    workshop.do(c.Enter(hole="1", readings={"gauge": "832"}), 1)


@pytest.mark.parametrize("away", [{"hours": 4}, {"hours": 30}, {"days": 22}, {"days": 400}])
@pytest.mark.parametrize("paused", [True, False])
def test_a_session_that_was_left_has_ended_at_its_last_act(
    open_bench: Opener, clock: Clock, away: dict[str, float], paused: bool
) -> None:
    with open_bench() as workshop:
        an_evening(workshop, clock)
        if paused:
            workshop.do(c.Pause(), 1)
    clock.move(**away)
    with open_bench(read_only=True) as reader:
        assert not sessions(reader)[0].ended, "who only reads ends nothing"
    with open_bench() as workshop:
        assert sessions(workshop)[0].ended == "2025-03-07T21:25:00+01:00"
        assert workshop.come_back(1) == "Session 1 was left on 7 Mar at 21:25 and has ended there."
        assert workshop.come_back(1) == "", "it is told once"
        workshop.do(c.StartSession(), 1)
        clock.move(minutes=5)
        workshop.do(c.Finish(put="shelf"), 1)
        assert [s.number for s in sessions(workshop)] == [1, 2]
        assert sessions(workshop)[0].minutes(workshop.now()) == 25
        (step,) = workshop.record.all(Step, 1)
        assert hands_on(workshop.record, step) == 30, "true minutes, of both sessions"


def test_a_command_that_writes_says_so(
    open_bench: Opener, clock: Clock, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_bench() as workshop:
        an_evening(workshop, clock)
    sample = Path(__file__).parents[1] / "sample_sessions" / "skein_winder.toml"
    assert main(["--workshop", str(tmp_path / "bench"), "replay", str(sample)]) == 0
    assert "press: Session 1 was left on 7 Mar at 21:25 and has ended there." in capsys.readouterr().err


def test_in_a_program_left_open_the_next_thing_done_finds_it_left(open_bench: Opener, clock: Clock) -> None:
    with open_bench() as workshop:
        an_evening(workshop, clock)
        clock.move(hours=3, minutes=59)
        workshop.do(c.Enter(hole="3", readings={"gauge": "832"}), 1)
        assert not sessions(workshop)[0].ended
        clock.move(hours=4)
        before = workshop.store.number
        workshop.do(c.Annotate(note="dry"), 1)
        assert sessions(workshop)[0].ended == "2025-03-08T01:24:00+01:00" and workshop.store.number == before + 2


def test_what_is_said_of_its_end_is_said_as_at_its_last_act(open_bench: Opener, clock: Clock) -> None:
    with open_bench() as workshop:
        an_evening(workshop, clock)
        clock.move(hours=12)
        workshop.do(c.EndSession(note="the lid sticks"), 1)
        assert sessions(workshop)[0].ended == "2025-03-07T21:25:00+01:00"
        assert sessions(workshop)[0].note == "the lid sticks"


def test_taking_back_ends_it_too(open_bench: Opener, clock: Clock) -> None:
    with open_bench() as workshop:
        an_evening(workshop, clock)
        clock.move(hours=12)
        workshop.take_back(1)
        assert sessions(workshop)[0].ended == "2025-03-07T21:25:00+01:00"


def test_work_past_midnight_is_one_session_and_a_gap_over_it_is_asked_about(open_bench: Opener, clock: Clock) -> None:
    with open_bench() as workshop:
        an_evening(workshop, clock)
        for _ in range(20):  # until 00:45, never ten minutes without anything done
            clock.move(minutes=9.9)
            assert workshop.over_midnight(1) == ""
            workshop.do(c.Annotate(note="on"), 1)
        assert len(sessions(workshop)) == 1 and not sessions(workshop)[0].ended
    clock.now = EVENING + timedelta(days=7)
    with open_bench() as workshop:
        workshop.do(c.StartSession(), 1)
        clock.move(hours=2, minutes=40)
        workshop.do(c.Annotate(note="late"), 1)
        clock.move(minutes=30)
        assert workshop.over_midnight(1) == "2025-03-14T23:40:00+01:00"
        text = workshop.end_at_last_act(1)
        assert text == "Session 2 was left on 14 Mar at 23:40 and has ended there." and workshop.over_midnight(1) == ""


@given(st.integers(0, 60 * 24), st.integers(0, 60 * 30), st.integers(-12, 12))
def test_a_gap_is_left_asked_about_or_neither(start: int, gap: int, zone: int) -> None:
    """The clock of now says where midnight is, whatever zone the last act was in."""
    last = EVENING + timedelta(minutes=start)
    now = (last + timedelta(minutes=gap)).astimezone(timezone(timedelta(hours=zone)))
    midnights = (now.date() - last.astimezone(now.tzinfo).date()).days
    assert is_left(last.isoformat(), now.isoformat()) == (gap >= 240)
    assert crosses_midnight(last.isoformat(), now.isoformat()) == (10 <= gap < 240 and midnights == 1)
