"""The words of an evening at the bench on the number pad alone: each says what the key there does."""

from __future__ import annotations

from pathlib import Path

from tests.tui.conftest import Opened


async def test_the_foot_and_the_questions_say_what_is_there(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys("enter", "4", "enter", "enter", "enter")
        await bench.keys(".", "1", "2", "5", "enter")
        assert bench.said == "Type the gauge first.", "and no + where no nut came before"
        await bench.keys("5", "enter")
        assert "hole 5: nut M5" in bench.said
        await bench.keys(".", "1", "3", "5")
        assert bench.said == "hole 5: a washer with what came out there", "stacked, and no question"
        await bench.keys("1", "0", "enter", "1", "enter")
        assert "hole 5: washer 10 mm x 1 mm" in bench.said
        await bench.keys(".", "1", "+", "+", "2", "4", ".", "8", "enter", "0")
        assert "across: 0 so far" in bench.picture(), "the field by its name in the form"
        await bench.keys("5", "enter", "enter", "+", "3")
        assert "Enter on its wire, then its across" in bench.said
        await bench.keys("-", "0", "1", "5", "enter", "8", "enter", ".", "+", "9", "1", "enter")
        assert "1 Enter: take up part 2" in bench.picture()
        await bench.keys("enter", "1", "enter", "0", "r")
        for _read_on in range(6):
            await bench.keys("enter")
        assert "Everything is back" in bench.picture()
        assert "skip" not in bench.picture() and "other step" not in bench.picture(), "no key that does nothing here"
