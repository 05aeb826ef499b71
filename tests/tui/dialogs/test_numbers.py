"""Numbers typed into a question: read with their unit, and what is not one stays in the line."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.errors import BadInput
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.dialogs.numbers import BELL, COUNT, HOURS, MINUTES, PIECES, STEP, TURNS, Of, number_in, steps_in
from putback.tui.dialogs.prompts import AskLine
from tests.tui.conftest import Opened


@pytest.mark.parametrize(
    ("typed", "of", "number"),
    [
        ("12", HOURS, 12),
        ("12 h", HOURS, 12),
        ("1,5 hours", HOURS, 1.5),
        ("0", MINUTES, 0),
        ("1 1/2 min", MINUTES, 1.5),
        ("1/4 turn", TURNS, 0.25),
        ("2-3/4", TURNS, 2.75),
        ("2*3/4", TURNS, 2.75),
        ("3", PIECES, 3),
        ("0", COUNT, 0),
    ],
)
def test_a_number_is_read_with_or_without_its_unit(typed: str, of: Of, number: float) -> None:
    assert number_in(typed, of) == number


@pytest.mark.parametrize(
    ("typed", "of", "says"),
    [
        ("overnight", HOURS, "“overnight” is not a number of hours; type it in figures, as 12 or 0.5."),
        ("3mm", HOURS, "not a number of hours"),
        ("0", HOURS, "longer than 0 hours"),
        ("9000", HOURS, "at most a year"),
        ("-3", MINUTES, "not a number of minutes"),
        ("1/", TURNS, "not a number of turns"),
        ("2-3", TURNS, "not a number of turns"),
        ("3-5", HOURS, "not a number of hours"),
        ("2.5", PIECES, "whole numbers"),
        ("0", PIECES, "from 1"),
        ("0", STEP, "numbered from 1"),
        ("2000", BELL, "to a day"),
    ],
)
def test_what_is_not_one_is_refused_in_words_of_what_was_asked(typed: str, of: Of, says: str) -> None:
    with pytest.raises(BadInput) as refusal:
        number_in(typed, of)
    assert says in str(refusal.value) and "measure" not in str(refusal.value)


def test_numbers_of_steps_are_read_with_blanks_or_commas() -> None:
    assert steps_in("3, 5 7") == (3, 5, 7) and steps_in("") == ()
    with pytest.raises(BadInput, match="not numbers of steps"):
        steps_in("3 lid")


async def test_a_wrong_word_for_the_hours_of_a_soak_stays_in_the_line(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "o", "8", "bush in diesel", "enter", "overnight", "enter")
        shown = bench.picture()
        assert isinstance(bench.app.screen, AskLine) and "overnight" in shown
        assert "is not a number of hours" in shown and "measure" not in shown
        await bench.keys(*["backspace"] * 9, "12", "enter")
        assert isinstance(bench.app.screen, BenchScreen)
        [*_, step] = bench.app.workshop.record.soaked_steps(bench.app.machine_id)
        assert step.soak is not None and (step.soak.what, step.soak.hours) == ("bush in diesel", 12)
