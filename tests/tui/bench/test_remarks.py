"""A line can be written at any moment: before the first part it is the machine's, between parts it is asked whose."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from tests.tui.conftest import Bench, Opened


def machine(bench: Bench) -> Machine:
    """Return the machine on the bench."""
    found = bench.app.machine
    assert found is not None
    return found


def last(bench: Bench) -> Step:
    """Return its last step."""
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return step


async def test_before_the_first_part_a_line_is_of_the_machine(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path / "new") as bench:
        await bench.keys("Lathe", "enter", "escape", "enter", "3", "7", "enter")
        await bench.keys("t", "seized since 1950", "enter", "c", "lead paint", "enter")
        assert machine(bench).notes == ("seized since 1950",) and machine(bench).cautions == ("lead paint",)
        assert bench.app.workshop.record.open_session(bench.app.machine_id) is None
        await bench.keys("-")
        assert machine(bench).cautions == (), "taken back like anything else"
        await bench.keys("ctrl+y")
        assert machine(bench).cautions == ("lead paint",)
        await bench.keys("1", "632", "enter", "370", "enter", "0")
    async with opened(tmp_path / "new") as bench:
        assert bench.screen == "WalkBackScreen" and "caution, the machine: lead paint" in bench.picture()
        await bench.keys("1", "r")
        assert "the machine: lead paint" in bench.picture() and "the machine: seized since 1950" in bench.picture()


async def test_between_parts_it_is_asked_whose_it_is_and_in_a_step_it_is_the_steps(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("1", "1", "1", "t", "it was painted over once", "enter")
        assert "What is it about?" in bench.picture() and "just done" in bench.picture()
        await bench.keys("2")
        assert machine(bench).notes == ("it was painted over once",)
        before = last(bench)
        await bench.keys("t", "dust behind it", "enter", "enter")
        assert last(bench).id == before.id and last(bench).note.endswith("dust behind it")
        await bench.keys(".", "T")  # the letter that stands in the line does what the line does
        assert "What is to be noted" in bench.picture()
        await bench.keys("escape", ".", "?")
        assert bench.screen == "HelpScreen", "what means something in every list stays so"
        await bench.keys(".", ".")
        assert bench.screen == "BenchScreen"
        await bench.keys("t", "left open", "enter", ".")
        assert last(bench).note.endswith("left open"), "what was typed is not lost where the question is left"
        await bench.keys("1", "632", "enter", "370", "enter", "t", "clean behind it", "enter")
        assert last(bench).is_open and last(bench).note == "clean behind it", "in a step nothing is asked"
