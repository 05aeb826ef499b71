"""A part that does not come off yet, told with keys: on hold, what is in its way off, and taken up again."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.step import Step
from tests.tui.bench.test_inside import SCREW, WALK, last
from tests.tui.conftest import Bench, Opened

HOLD = (".", "+", "9")


def held(bench: Bench) -> list[Step]:
    """Return the steps on hold."""
    return bench.app.workshop.record.held_steps(bench.app.machine_id)


async def test_what_is_in_the_way_comes_off_first(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, *HOLD)
        assert "No part is coming off that could be put on hold." in bench.said
        await bench.keys("enter", "strut", "enter", "1", *SCREW, *HOLD, "1", "cap", "enter")
        strut, cap = held(bench)[0], last(bench)
        assert strut.on_hold == "cap is in the way" and (cap.name, cap.is_open) == ("cap", True)
        assert "in the way of strut" in bench.said and "on hold: strut" in bench.picture()
        await bench.keys("0")
        assert "on hold strut: cap is in the way" in bench.picture()
        await bench.keys("enter", "1", "enter")
        assert "strut is taken up again" in bench.said and not held(bench)
        again = last(bench)
        assert again.id == strut.id and again.number == strut.number + 1 and strut.number in again.needs
        await bench.keys("3", *SCREW, *HOLD, "2", "soaks", "enter", *HOLD)  # the list takes it up again, too
        assert last(bench).is_open and not held(bench) and len(bench.app.workshop.record.things_of(last(bench))) == 2
        await bench.keys("-", "-")
        assert last(bench).id == strut.id and last(bench).is_open and not held(bench), "waiting was taken back, too"


async def test_another_name_begins_another_part_and_its_own_takes_it_up(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "strut", "enter", *HOLD, "1", "enter")
        assert held(bench)[0].on_hold == "something is in the way"
        await bench.keys("enter", "flap", "enter", "0", "enter", "Strut", "enter")
        assert last(bench).name == "strut" and last(bench).is_open


async def test_on_the_way_back_it_holds_nothing_up_and_is_dropped_at_the_end(opened: Opened, tmp_path: Path) -> None:
    async with opened(tmp_path / "workshop") as bench:
        await bench.keys("lathe", "enter", "1", "enter", "enter", "lid", "enter", "0")
        await bench.keys("enter", "bracket", "enter", *HOLD, "2", "enter", "r", "/")
        assert "bracket, on hold, still on the machine" in bench.picture()
        await bench.keys("escape", "enter", "enter", "enter")
        assert "on hold, still on the machine: bracket" in bench.picture()
        await bench.keys("/")
        assert "bracket is on hold: it has to wait. What becomes of it?" in " ".join(bench.picture().split())
        await bench.keys("2")
        assert not held(bench) and "bracket, is dropped: it stays on" in bench.said
        assert "Everything is back." in bench.picture()
        await bench.keys("-")
        assert [step.name for step in held(bench)] == ["bracket"]
