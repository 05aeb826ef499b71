"""The hole marked as next says by what it is guessed, and what was left is said once the part is off."""

from __future__ import annotations

from pathlib import Path

from putback.tui.views import taken_holes
from tests.tui.conftest import Bench, Opened

MACHINE = ("fare stamp", "enter", "2", "enter")
SCREW = ("832", "enter", "372", "enter")


def holes(bench: Bench) -> str:
    step = bench.app.workshop.record.open_step(bench.app.machine_id)
    return "" if step is None else " ".join(taken_holes(bench.app.workshop.record, step))


async def test_the_twin_is_followed_and_named_and_what_was_left_is_said(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "left plate", "enter", "9", *SCREW, "1+", "3+", "6+", "0")
        await bench.keys("enter", "right plate", "enter")
        assert "as on the left plate: 7 3 1 4" in bench.picture()
        await bench.keys("3", *SCREW, "+")
        assert holes(bench) == "3 1"
        await bench.keys("0")
        assert bench.said.endswith("; holes 4 and 7 were left") and "takes back" in bench.picture()


async def test_a_first_hole_elsewhere_drops_what_was_expected(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "left rail", "enter", "1", *SCREW, "7+", "0")
        await bench.keys("enter", "right rail", "enter", "1", *SCREW)
        assert "as on" not in bench.picture() and "as for corners" in bench.picture()
        await bench.keys("+", "0")
        assert "left" not in bench.said.partition(";")[2]


async def test_a_single_corner_that_was_left_is_said(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "7", *SCREW, "+", "+", "0")
        assert bench.said.endswith("; hole 9 was left")
