"""What is typed or pasted too long stays in the line and is refused there; nothing of it is dropped."""

from __future__ import annotations

from pathlib import Path

from textual import events

from putback.trade.commands.machines import LONGEST_NAME
from putback.trade.files.fields import LONGEST_TEXT
from putback.trade.record.step import Step
from putback.tui.dialogs.prompts import AskLine
from putback.tui.widgets.text_input import PASTED, Line
from tests.tui.conftest import Bench, Opened

WALK = ("1", "1", "1")


async def paste(bench: Bench, text: str) -> None:
    bench.app.post_message(events.Paste(text))
    await bench.settle()


def typed(bench: Bench) -> str:
    return bench.app.screen.query_one(Line).value


def why(bench: Bench) -> str:
    """What is said under the line; nothing while nothing is."""
    assert isinstance(bench.app.screen, AskLine)
    refusal = bench.app.screen._refusal
    return str(refusal.visual) if refusal.display else ""


def last(bench: Bench) -> Step:
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return step


async def test_a_name_pasted_too_long_stays_and_is_taken_once_it_fits(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        before = bench.app.workshop.store.number
        await bench.keys(*WALK, "n")
        bench.app.screen.query_one(Line).value = ""
        await paste(bench, "name\r\n" + "n" * LONGEST_NAME)
        await bench.keys("enter")
        assert typed(bench) == "name " + "n" * LONGEST_NAME
        assert why(bench).startswith("5 too many: at most 500 characters")
        assert "5 too many" in bench.picture() and last(bench).name != typed(bench)
        await bench.keys(*("backspace",) * 5)
        assert why(bench) == ""
        await bench.keys("enter")
        assert bench.screen == "BenchScreen" and last(bench).name == "name " + "n" * (LONGEST_NAME - 5)
        assert bench.app.workshop.store.number > before


async def test_a_note_keeps_its_lines_and_every_character_up_to_its_limit(demo: Path, opened: Opened) -> None:
    note = "first line\nsecond [line]\n" + "x" * (LONGEST_TEXT - 25)
    assert len(note) == LONGEST_TEXT
    async with opened(demo) as bench:
        await bench.keys(*WALK, "t")
        await paste(bench, note.replace("\n", "\r\n") + "yy")
        await bench.keys("enter")
        assert why(bench).startswith("2 too many: at most 10,000 characters")
        await bench.keys("backspace", "backspace", "enter", "1")
        assert last(bench).note.endswith(note)


async def test_pasted_text_that_nothing_can_take_is_said(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        before = bench.app.workshop.store.number
        await paste(bench, "1832")
        assert bench.app.message.sort == "refused" and "nothing was recorded" in bench.said
        await bench.keys("t")
        await paste(bench, "x" * (PASTED + 1))
        assert typed(bench) == "" and "none of it was taken" in why(bench)
        assert bench.app.workshop.store.number == before


async def test_a_paste_that_comes_right_behind_the_key_goes_into_its_question(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "370", "enter")
        bench.app.post_message(events.Key("t", "t"))
        bench.app.post_message(events.Paste("felt strip faces the drum"))
        await bench.settle()
        assert typed(bench) == "felt strip faces the drum"
