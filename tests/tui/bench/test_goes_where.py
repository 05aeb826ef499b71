"""Where a part goes: as was said for it alone, else as is set for the machine."""

from __future__ import annotations

from pathlib import Path

from putback.trade import commands as c
from putback.trade.record.step import Step
from tests.tui.conftest import Bench, Opened

MACHINE = ("fare stamp", "enter", "2", "enter")


def last(bench: Bench) -> Step:
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return step


async def test_a_choice_holds_for_one_part_alone_and_is_told(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "w", "4", "A", "enter")
        assert bench.said == "guard: to box A; later ones to shelf" and "part to box A" in bench.picture()
        await bench.keys("0")
        assert last(bench).put == "box A" and "part to box A" in bench.said
        await bench.keys("enter", "lever", "enter")
        assert "part to shelf" in bench.picture()
        await bench.keys("0")
        assert last(bench).put == "shelf" and bench.said == "step 2: took off lever, part to shelf"


async def test_a_choice_before_the_part_is_begun_is_its_own(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "w", "3")
        assert bench.said == "the next part: loose on the bench; later ones to shelf"
        await bench.keys("enter", "guard", "enter", "0", "enter", "lever", "enter", "0")
        steps = list(bench.app.workshop.record.all(Step, bench.app.machine_id))
        assert [step.put for step in steps] == ["loose", "shelf"]


async def test_taken_back_the_choice_still_holds_for_that_part(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "w", "7", "0")
        assert last(bench).put == "scrapped"
    async with opened(tmp_path) as bench:
        await bench.keys("1", "-")
        assert last(bench).is_open and last(bench).name == "guard"
        await bench.keys("0")
        assert last(bench).put == "scrapped"
        await bench.keys("-", "ctrl+y")
        assert last(bench).put == "scrapped"


async def test_the_box_now_open_can_be_where_parts_go(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "m", "4", "*", "+", "4", "2")
        assert bench.said == "the machine: parts go into the box now open, unless said otherwise"
        await bench.keys(".", "enter", "guard", "enter")
        assert "part to shelf" in bench.picture()  # no box is open yet
        bench.app.workshop.do(c.EndSession(), bench.app.machine_id)
        bench.app.workshop.do(c.StartSession(box="B"), bench.app.machine_id)
    async with opened(tmp_path) as bench:
        await bench.keys("escape")
        assert "part to box B" in bench.picture()
        await bench.keys("0")
        assert last(bench).put == "box B" and "part to box B" in bench.said
        await bench.keys("enter", "lever", "enter", "w", "1")
        assert bench.said == "lever: to shelf; later ones to box B"


async def test_the_place_that_holds_until_now_is_the_one_marked(tmp_path: Path, opened: Opened) -> None:
    """Enter there is Enter for what is, not for something else."""
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "w", "enter", "0")
        assert last(bench).put == "shelf"
        await bench.keys("enter", "lever", "enter", "w", "3", "w")
        assert "3 ▶ loose on the bench" in bench.picture()
        await bench.keys("enter", "0")
        assert last(bench).put == "loose"
