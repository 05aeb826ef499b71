"""The hole marked as next says by what it is guessed, and what was left is said once the part is off."""

from __future__ import annotations

from pathlib import Path

from putback.tui.draw.views import taken_holes
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
        assert "as on" not in bench.picture() and "guessed: corners" in bench.picture()
        await bench.keys("+", "0")
        assert "left" not in bench.said.partition(";")[2]


async def test_a_single_corner_that_was_left_is_said(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "7", *SCREW, "+", "+", "0")
        assert bench.said.endswith("; hole 9 was left")


async def test_of_a_part_held_on_two_faces_the_hole_that_was_left_says_its_face(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "/", "4", "7", *SCREW, "+", "+")
        await bench.keys("/", "6", "1", *SCREW, "0")
        assert bench.said.endswith("; hole 9 on the left face was left")


async def test_a_run_of_the_same_is_told_whole_with_what_goes_back(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "3", *SCREW, "+")
        assert bench.said == "hole 1: screw #8-32 UNC x 3/8 into bag 1"
        await bench.keys("+", "+")
        assert bench.said == "same again: holes 1 7 9 (3 screws)" and "takes back: hole 9" in bench.picture()
        await bench.keys("-")
        assert bench.said.startswith("taken back: hole 9") and holes(bench) == "3 1 7"
        await bench.keys("+")
        assert bench.said == "same again: holes 1 7 9 (3 screws)", "the same guess, and the same run"
        await bench.keys("2", *SCREW, "+")
        assert bench.said.startswith("hole 8: "), "one that was measured begins another run"


async def test_all_nine_places_and_one_more(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "lid", "enter", "3", *SCREW, *"++++++++")
        assert bench.said == "same again: holes 1 7 9 2 8 4 6 5 (8 screws)"
        await bench.keys("+")
        assert bench.said == "Every place has one: a place, * and + take another beside it."
        await bench.keys("5*+")
        assert holes(bench).endswith("5 5a")


async def test_what_was_known_of_a_part_taken_back_is_not_said_of_the_next(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "left plate", "enter", "9", *SCREW, "1+", "0")
        await bench.keys("enter", "right plate", "enter")
        assert "as on the left plate: 7 3" in bench.picture()
        await bench.keys("-", "enter", "lid", "enter")
        assert "as on" not in bench.picture() and "no hole yet: lower right first" in bench.picture()


async def test_the_caution_of_what_freed_it_stands_beside_what_was_recorded(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "guard", "enter", "7", *SCREW, "y", "3", "1", "enter")
        assert "hole 7: was seized, freed with penetrant. solvent: window open" in bench.said
