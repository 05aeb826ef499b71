"""On the bare pad everything can be recorded: pieces without a name, notes and cautions by their figures."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.trade.record.given_words import CAUTIONS, NOTES
from putback.trade.record.machine import Machine
from tests.tui.conftest import Opened

MACHINE = ("fare stamp", "enter", "2", "enter")
LOOSE, NOTE, CAUTION = (".", "6"), (".", "+", "3"), (".", "+", "4")


async def test_a_loose_piece_without_a_name_gets_a_number(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "1", "632", "enter", "370", "enter")
        await bench.keys(*LOOSE, "enter", "2", "enter", "enter")
        await bench.keys(*LOOSE, "enter", "enter", "enter")
        record = bench.app.workshop.record
        (step,) = record.latest_steps(1)
        assert [(thing.count, thing.name) for thing in record.things_of(step)][1:] == [
            (2, "loose piece 1"),
            (1, "loose piece 2"),
        ]
        await bench.keys("-")
        assert len(record.things_of(step)) == 2
        await bench.keys(*LOOSE, "-")
        assert bench.screen == "BenchScreen" and len(record.things_of(step)) == 2


async def test_note_and_caution_are_a_figure_and_what_is_typed_is_as_typed(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, ".", "3", "2", "enter")  # before a part the list begins with what is said of it
        assert bench.app.workshop.record.get(Machine, 1).notes == (NOTES[1],)
        await bench.keys("1", "632", "enter", "370", "enter", *NOTE)
        assert bench.screen == "AskListed" and all(phrase in bench.picture() for phrase in NOTES)
        await bench.keys("4", "enter")
        assert bench.said == f"noted: {NOTES[3]} (step 1)"
        await bench.keys("t", "4 turns in", "enter", *NOTE)
        assert "1  4 turns in" in bench.picture()
        await bench.keys("1", "enter", *CAUTION, "1", "enter")
        await bench.keys("t", " 7", "enter")
        (step,) = bench.app.workshop.record.latest_steps(1)
        assert step.note.splitlines() == [NOTES[3], "4 turns in", "4 turns in", "7"]
        assert step.cautions == (CAUTIONS[0],)


async def test_a_shoulder_is_typed_on_the_pad_and_seen_while_it_is(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, ".", "-", "1", "6", "5", "640", "enter", "185", "enter")
        assert "diameter * length of the shoulder" in bench.picture()
        await bench.keys("187", "*")
        shown = bench.picture()
        assert "shoulder 187 x _" in shown and "* x" in shown and "diameter *" not in shown
        await bench.keys("125", "enter")
        assert "shoulder screw #6-40 UNF x 3/16, shoulder .187 x .125" in bench.said


@pytest.mark.parametrize("size", [(80, 24), (60, 17)])
async def test_all_nine_the_line_and_its_keys_are_seen(demo: Path, opened: Opened, size: tuple[int, int]) -> None:
    async with opened(demo, size) as bench:
        await bench.keys("1", "1", "1", "c")
        shown = bench.picture()
        assert all(f" {figure}  " in shown for figure in range(1, 10))
        assert "a number above, or your own words" in shown and "Enter keeps it" in shown
        assert "- in an" in " ".join(shown.split()) and "leaves it" in shown
        await bench.keys("0", "-", "-", "1", "2", "-", "-", "-")
        assert bench.picture().count("- in an") == 1, "all that the pad typed is erased again"
        await bench.keys("0--1", "-")
        assert "twice: erases" in " ".join(bench.picture().split())
        await bench.keys("-", "7/8 -- deep", "enter", "enter")
        assert "7/8 -- deep" in bench.said, "who has letters has Backspace, and means the dashes"
