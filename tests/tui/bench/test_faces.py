"""Which face a part comes off: what was said for it, what its name says, or not said."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.trade.record.machine import face_named
from putback.trade.record.step import Step
from putback.tui.bench.bench_screen import BenchScreen
from tests.tui.conftest import Bench, Opened

MACHINE = ("fare stamp", "enter", "2", "enter")
SCREW = ("1", "832", "enter", "372", "enter")


def last(bench: Bench) -> Step:
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return step


def face(bench: Bench) -> str:
    screen = bench.app.screen
    assert isinstance(screen, BenchScreen)
    return screen.hand.facing.face


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("right side", "right"), ("Left panel", "left"), ("left-hand cheek", "left"), ("top cover", "top"),
        ("feed lever", ""), ("right rail", ""), ("backing plate", ""), ("left side of the right panel", ""),
    ],
)  # fmt: skip
def test_the_face_that_a_name_says(name: str, message: str) -> None:
    assert face_named(name) == message


async def test_a_part_without_a_screw_has_no_face_of_the_part_before(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/", "6", "enter", "guard", "enter", *SCREW, "0")
        assert last(bench).face == "right"
        await bench.keys("enter", "felt", "enter", "0")
        assert last(bench).name == "felt" and last(bench).face == ""
        await bench.keys("enter", "left side", "enter", "0")
        assert last(bench).face == "left"
        await bench.keys("/", "8", "enter", "cap", "enter", "0")
        assert last(bench).face == "top"


async def test_a_hole_says_the_face_that_is_before_the_person(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/", "0", *SCREW, "0", *SCREW)
        assert last(bench).number == 2 and last(bench).face == "back"
        await bench.keys("-")
        assert last(bench).face == "" and face(bench) == "back"
        await bench.keys("ctrl+y", "0")
        assert last(bench).face == "back"


async def test_after_a_take_back_the_face_is_what_it_was_before(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/", "6", *SCREW, "0", "/", "8", "enter", "cap", "enter")
        assert last(bench).face == "top"
        await bench.keys("/", "2")
        assert last(bench).face == "bottom" == face(bench)
        await bench.keys("-")
        assert last(bench).face == "top" == face(bench)
        await bench.keys("-")
        assert last(bench).name != "cap" and face(bench) == "top"  # said for the next part, and still so
        await bench.keys("enter", "cap", "enter", "0")
        assert last(bench).face == "top"
        await bench.keys("enter", "felt", "enter", "/", "4", "-")
        assert last(bench).face == "" and face(bench) == "top"


async def test_a_restart_keeps_the_face(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/", "6", *SCREW, "0", "enter", "felt", "enter", "0")
    async with opened(tmp_path) as bench:
        await bench.keys("1", "1")
        assert bench.screen == "BenchScreen" and face(bench) == "right"
        await bench.keys("-", "-")
        assert face(bench) == "right"


async def test_the_choice_of_a_face_by_keys(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/")
        assert bench.screen == "FacePick" and "8 top" in bench.picture()
        await bench.keys("/")
        assert face(bench) == "right" and bench.said == "right face"
        await bench.keys("/", ".")
        assert face(bench) == "right"
        await bench.keys("/", "*", "enter", "cap", "enter", *SCREW, "0")
        assert last(bench).face == "" and len(bench.app.workshop.record.things_of(last(bench))) == 2


def flat(bench: Bench) -> str:
    """The picture in one line."""
    return " ".join(bench.picture().replace("│", " ").split())


def spots(bench: Bench) -> list[str]:
    """The holes of the last step, as entered."""
    return [thing.spot for thing in bench.app.workshop.record.things_of(last(bench)) if thing.hole]


async def test_a_digit_behind_the_slash_is_a_face_or_nothing_never_a_hole(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "side", "enter", "/", "1")
        assert bench.screen == "FacePick" and "no face on 1: 8 top, 4 left, 5 front, 6 right" in flat(bench)
        await bench.keys("3", "9")
        assert bench.screen == "FacePick" and not spots(bench)
        await bench.keys("-")
        assert bench.screen == "BenchScreen" and last(bench).face == ""
        await bench.keys("/", "7")
        assert last(bench).face == "inside" == face(bench)
        await bench.keys("/", "/")
        assert last(bench).face == "front", "the next one, once around"
        await bench.keys("-", "-")
        assert last(bench).face == "" and last(bench).name == "side"


async def test_a_bracket_held_from_three_faces(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/", "4", "enter", "bracket", "enter", *SCREW, "3", "+")
        await bench.keys("/")
        assert "so far left 2" in flat(bench) and "not said" not in flat(bench)
        await bench.keys("6")
        assert "right face for the next holes; so far left 2" in bench.said
        assert (last(bench).face, face(bench), spots(bench)) == ("left", "right", ["1", "3"])
        assert "left 2" in bench.picture(), "the map has the face in view and counts the rest"
        await bench.keys("5", "+", "/", "8", "1", "+")
        assert spots(bench) == ["1", "3", "5, right", "1, top"] and "left 2, right 1" in bench.picture()
        await bench.keys("-", "-")
        assert spots(bench) == ["1", "3", "5, right"] and face(bench) == "right"
        await bench.keys("ctrl+y", "ctrl+y")
        assert spots(bench)[-1] == "1, top" and face(bench) == "top"
    async with opened(tmp_path) as bench:  # killed in the middle of the part
        await bench.keys("1")
        assert bench.screen == "BenchScreen" and face(bench) == "top"
        await bench.keys("3", "+", "/", "4", "1")
        assert "hole 1 has one already" in bench.said
        await bench.keys("-", "-")
        assert face(bench) == "top", "what was typed let go of, the turn to the left taken back"
        await bench.keys("0", "r")
        seen = flat(bench)
        for _page in range(2):
            await bench.keys("enter")
            seen += flat(bench)
        assert "left, right and top faces" in seen and "right 1, top 2" in seen
        assert "holes 3 1, top" in seen and "hole 5, right" in seen and "holes 3 1, left:" in seen, (
            "a map for each face"
        )
        await bench.keys(".")


async def test_a_hole_on_another_face_is_said_right_and_lost(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "/", "4", "enter", "lever", "enter", *SCREW, "/", "6", "1", "+", "0")
        await bench.keys(".", "7")
        assert bench.screen == "SizesScreen" and "right 1" in bench.picture(), "it opens on a face and counts the rest"
        await bench.keys("3")
        assert "came out of hole 3 here" in flat(bench)
        await bench.keys("/", "6", "1", "632", "enter", "enter")
        await bench.keys("1")  # of this one alone
        sizes = {t.spot: t.size for t in bench.app.workshop.record.things_of(last(bench)) if t.hole}
        assert sizes == {"1": "#8-32 UNC x 3/8", "1, right": "#6-32 UNC x 3/8"}
        await bench.keys("r", "7", "1", "2")  # trouble: lost, on the right face, where there is one hole alone
        lost = [t.spot for t in bench.app.workshop.record.things_of(last(bench)) if "lost" in t.trouble]
        assert lost == ["1, right"] and "hole 1, right: #6-32 UNC x 3/8 lost" in bench.said
        await bench.keys(".")
