"""Sessions and segments stay right whatever is done to the clock: set back or on, a computer asleep, two zones."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.bench_clock import SLEW, BenchClock, Ticks
from putback.errors import DiskTrouble
from putback.opening import local_ticks
from putback.reports.export import export_json
from putback.scans.bag_code import is_code, new_code
from putback.trade import commands as c
from putback.trade.files.importing import read_export
from putback.trade.record.session import Session
from putback.workshop import Workshop

START = datetime(2025, 3, 1, 10, 0, tzinfo=timezone(timedelta(hours=1)))


class Computer:
    """A computer whose clock can be set, and which sleeps; true time only goes on."""

    def __init__(self) -> None:
        self.true = 0.0
        self.slept = 0.0
        self.set = timedelta()
        self.zone = timezone(timedelta(hours=1))

    def work(self, minutes: float) -> None:
        self.true += minutes * 60

    def sleep(self, minutes: float) -> None:
        self.true += minutes * 60
        self.slept += minutes * 60

    def set_clock(self, minutes: float) -> None:
        self.set += timedelta(minutes=minutes)

    def wall(self) -> datetime:
        return (START + timedelta(seconds=self.true) + self.set).astimezone(self.zone)

    def ticks(self) -> Ticks:
        return Ticks(self.true + 1e6, self.slept + 1e3)


@pytest.fixture
def computer() -> Computer:
    return Computer()


Opener = Callable[..., Workshop]


@pytest.fixture
def open_bench(tmp_path: Path, computer: Computer) -> Opener:
    """Opens the one workshop of a test; with `ticks=None` on a computer that knows no second clock."""

    def opened(ticks: Callable[[], Ticks] | None = computer.ticks, read_only: bool = False) -> Workshop:
        rng = Random(1)
        return Workshop.open(
            tmp_path / "bench",
            clock=computer.wall,
            codes=lambda taken: new_code(rng, taken),
            who="Ann",
            ticks=ticks,
            read_only=read_only,
        )

    return opened


def session(workshop: Workshop) -> Session:
    """The machine's last session."""
    return list(workshop.record.all(Session, 1))[-1]


def stamps(found: Session) -> list[datetime]:
    return [datetime.fromisoformat(s) for segment in found.segments for s in (segment.start, segment.end) if s]


def sit_down(workshop: Workshop) -> None:
    workshop.do(c.NewMachine(name="press"))
    workshop.do(c.StartSession(), 1)


# -- set back, set on --------------------------------------------------------------------------------


@pytest.mark.parametrize("minutes", [-60, -5, 60, 60 * 24 * 365 * 30])
def test_a_clock_that_is_set_changes_no_minutes(open_bench: Opener, computer: Computer, minutes: float) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(20)
        workshop.do(c.Begin(name="lid"), 1)
        computer.set_clock(minutes)
        computer.work(10)
        assert session(workshop).segment_minutes(workshop.now()) == 30
        workshop.do(c.Pause(), 1)
        computer.work(5)
        workshop.do(c.Resume(), 1)
        computer.work(7)
        workshop.do(c.EndSession(), 1)
        found = session(workshop)
        assert found.minutes(workshop.now()) == 37
        assert stamps(found) == sorted(stamps(found)) == [START + timedelta(minutes=m) for m in (0, 30, 35, 42)]
        computer.work(1)
        workshop.do(c.StartSession(), 1)
        begun = datetime.fromisoformat(session(workshop).start)
        assert begun == computer.wall(), "the next session believes the clock"


def test_without_a_second_clock_stamps_still_never_run_back(open_bench: Opener, computer: Computer) -> None:
    with open_bench(ticks=None) as workshop:
        sit_down(workshop)
        for _ in range(20 * 60):
            computer.true += 1
            workshop.now()
        computer.set_clock(-45)
        for _ in range(10 * 60):
            computer.true += 1
            workshop.now()
        workshop.do(c.Pause(), 1)
        assert session(workshop).minutes(workshop.now()) == pytest.approx(30, abs=0.05), "one look was lost"


def test_a_clock_set_back_before_the_program_starts_again(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(20)
        workshop.do(c.Begin(name="lid"), 1)
        workshop.store.close()
    computer.set_clock(-120)
    computer.work(1)
    with open_bench() as workshop:
        workshop.come_back(1)
        computer.work(10)
        workshop.do(c.EndSession(), 1)
        found = session(workshop)
        assert found.minutes(workshop.now()) == 30 and stamps(found) == sorted(stamps(found))


def test_a_paused_session_goes_on_after_its_pause(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(20)
        workshop.do(c.Pause(), 1)
    computer.set_clock(-120)
    with open_bench() as workshop:
        workshop.come_back(1)
        workshop.do(c.Resume(), 1)
        computer.work(5)
        workshop.do(c.Pause(), 1)
        found = session(workshop)
        assert found.minutes(workshop.now()) == 25 and stamps(found) == sorted(stamps(found))


@given(st.lists(st.tuples(st.sampled_from(["work", "sleep", "set_clock"]), st.integers(-9, 9)), max_size=20))
def test_whatever_happens_time_goes_on_as_it_truly_does(story: list[tuple[str, int]]) -> None:
    computer = Computer()
    clock = BenchClock(computer.wall, computer.ticks)
    first, before = clock.now(), clock.now()
    for what, minutes in story:
        getattr(computer, what)(minutes if what == "set_clock" else abs(minutes))
        now = clock.now()
        assert now >= before
        assert abs((now - first).total_seconds() - computer.true) <= SLEW
        before = now
    assert sum((nap.end - nap.start).total_seconds() for nap in clock.naps) == pytest.approx(computer.slept, abs=1)


def test_a_clock_that_is_nudged_is_followed() -> None:
    """A time server moves a clock by fractions of a second; that is no setting of it."""
    computer = Computer()
    clock = BenchClock(computer.wall, computer.ticks)
    clock.now()
    for _ in range(100):
        computer.true += 60
        computer.set += timedelta(seconds=0.5)
        assert clock.now() == computer.wall()


# -- asleep ------------------------------------------------------------------------------------------


def test_time_asleep_is_no_time_at_the_bench(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(20)
        assert workshop.woke() == ""
        computer.sleep(3 * 60)
        assert workshop.woke() == "The computer slept for 180 minutes; the session is paused since 10:20."
        assert session(workshop).paused and workshop.woke() == ""
        computer.work(1)
        workshop.do(c.Resume(), 1)
        computer.work(15)
        workshop.do(c.EndSession(), 1)
        assert session(workshop).minutes(workshop.now()) == 35
        assert workshop.last_done(1) is None, "nothing of it is for taking back"


def test_a_short_sleep_is_a_stretch_of_the_arms(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(20)
        workshop.now()
        computer.sleep(3)
        assert workshop.woke() == "" and not session(workshop).paused
        assert session(workshop).minutes(workshop.now()) == 23


def test_a_sleep_in_a_break_is_no_news(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        workshop.do(c.Pause(), 1)
        computer.sleep(200)
        assert workshop.woke() == ""
        workshop.do(c.Resume(), 1)
        assert workshop.woke() == "" and not session(workshop).paused


def test_every_machine_that_ran_is_paused(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        workshop.do(c.NewMachine(name="recorder"))
        workshop.do(c.StartSession(), 2)
        computer.work(5)
        workshop.now()
        computer.sleep(60)
        assert workshop.woke()
        assert all(found.paused and found.minutes(workshop.now()) == 5 for found in workshop.record.all(Session))


def test_where_the_disk_refuses_it_is_tried_again(
    open_bench: Opener, computer: Computer, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.sleep(60)
        with monkeypatch.context() as patch:

            def full(*given: object, **named: object) -> int:
                raise DiskTrouble("The disk is full.")

            patch.setattr(workshop.store, "commit", full)
            with pytest.raises(DiskTrouble):
                workshop.woke()
        assert workshop.woke() and session(workshop).minutes(workshop.now()) == 0


def test_a_copy_that_only_reads_pauses_nothing(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        with open_bench(read_only=True) as other:
            other.now()
            computer.sleep(60)
            assert other.woke() == "" and not session(other).paused
        assert workshop.woke() and session(workshop).paused, "the one that writes does"


def test_a_session_that_came_from_another_workshop_was_left_there(
    open_bench: Opener, computer: Computer, tmp_path: Path
) -> None:
    with open_bench() as there:
        sit_down(there)
        computer.work(20)
        there.do(c.Begin(name="lid"), 1)
        there.do(c.Finish(put="shelf"), 1)
        text = json.dumps(export_json(there.record, changes=there.store.number))
    computer.work(60 * 24 * 30)
    with Workshop.open(tmp_path / "here", clock=computer.wall, codes=lambda taken: "PB0000017") as here:
        here.take_in(read_export(text, "there.json", is_code))
        assert here.come_back(1) == "Session 1 was left on 1 Mar at 10:20 and has ended there."
        assert session(here).ended and session(here).minutes(here.now()) == 20
        assert here.last_done(1) is None, "nothing that was done there is taken back here"


# -- two zones ---------------------------------------------------------------------------------------


def test_a_bench_carried_to_another_zone(open_bench: Opener, computer: Computer) -> None:
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(20)
        workshop.do(c.Pause(), 1)
    computer.zone = timezone(timedelta(hours=-5))
    computer.work(3 * 60)
    with open_bench() as workshop:
        workshop.come_back(1)
        workshop.do(c.Resume(), 1)
        computer.work(10)
        computer.zone = timezone(timedelta(hours=9))
        computer.work(10)
        workshop.do(c.EndSession(), 1)
        found = session(workshop)
        assert found.minutes(workshop.now()) == 40
        assert [s.start[-6:] for s in found.segments] == ["+01:00", "-05:00"] and found.ended.endswith("+09:00")


def test_a_session_left_open_is_judged_across_zones(open_bench: Opener, computer: Computer) -> None:
    """The last change is 11:20+01:00; five hours west, eleven minutes later, the clock says 05:31-05:00."""
    with open_bench() as workshop:
        sit_down(workshop)
        computer.work(80)
        workshop.do(c.Begin(name="lid"), 1)
        workshop.store.close()
    computer.zone = timezone(timedelta(hours=-5))
    computer.work(11)
    with open_bench() as workshop:
        workshop.come_back(1)
        assert session(workshop).paused and session(workshop).minutes(workshop.now()) == 80


# -- a real computer ---------------------------------------------------------------------------------


def test_this_computer_knows_how_long_it_has_run() -> None:
    first, second = local_ticks(), local_ticks()
    assert second.elapsed >= first.elapsed > 0
    assert second.asleep == pytest.approx(first.asleep, abs=0.5)
    clock = BenchClock(lambda: datetime.now(UTC), local_ticks)
    assert clock.now() <= clock.now() and clock.naps == []
