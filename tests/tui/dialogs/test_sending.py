"""Sending things out: numbers that stay, what was said is kept, and the card of a trip that is all back is left."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.trip import Sent
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.dialogs.prompts import Pick
from putback.tui.dialogs.sending import GOES, SENDS
from putback.tui.pages.jobs import JobsScreen
from tests.tui.conftest import Bench, Opened

WALK = ("1", "1", "1")


def lines(bench: Bench) -> list[str]:
    """The lines of the list on the screen, without what marks them."""
    listed = bench.app.screen
    assert isinstance(listed, Pick)
    return [option.removeprefix(GOES) for option in listed._options]


async def test_things_are_marked_sent_and_taken_in_again(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "w", "6", "1", "plater", "enter", "nickel", "enter", "soon", "enter")
        assert "is not a day" in bench.picture()
        await bench.keys(*["backspace"] * 4, "14", "enter")
        before = lines(bench)
        await bench.keys("1")
        assert lines(bench) == [*before, SENDS] and "it goes: " in bench.picture()
        await bench.keys("2")
        assert lines(bench) == [*before, SENDS], "each line keeps its number"
        await bench.keys(".")
        assert bench.said.startswith("nothing is sent to plater yet")
        assert not list(bench.app.workshop.record.all(Sent, bench.app.machine_id))
        await bench.keys("w", "6", "1", "enter", "enter", "enter", "1", "enter")
        [sent] = bench.app.workshop.record.all(Sent, bench.app.machine_id)
        assert (sent.to, sent.what, bool(sent.due)) == ("plater", "nickel", True)
        await bench.keys("0")
        page = bench.app.screen
        assert isinstance(page, JobsScreen)
        while "sent out" not in bench.picture():
            at = page._at
            await bench.keys("*")
            assert page._at != at
        await bench.keys("1", "1", "1", "enter")
        assert isinstance(bench.app.screen, JobsScreen) and "as sent" in bench.said
        assert "no longer" not in bench.picture()
        await bench.keys(".")
        assert isinstance(bench.app.screen, BenchScreen)
        await bench.keys("w", "6", "1", "degreaser", "enter", "enter", "enter", "1", "2", "enter", "0")
        await until(bench, "degreaser, 2 things")
        await bench.keys(number(bench, "degreaser, 2 things"))
        await bench.keys(number(bench, "in one tin"), "enter")
        lot = "box mixed from degreaser"
        record, machine = bench.app.workshop.record, bench.app.machine_id
        assert record.total(machine, lot) == 2 and isinstance(bench.app.screen, JobsScreen)
        await until(bench, "sort by hand: 2 things")
        await bench.keys(number(bench, "sort by hand: 2 things"), "1", "enter", "2")
        assert bench.said.startswith("sorted by hand, 2 things out of box mixed") and "1 missing" in bench.said
        assert record.total(machine, lot) == 0
        await bench.keys("-")
        assert record.total(machine, lot) == 2
        await until(bench, "sort by hand: 2 things")
        await bench.keys(number(bench, "sort by hand: 2 things"), "2")
        assert record.total(machine, lot) == 0 and "missing" not in bench.said


async def until(bench: Bench, words: str) -> None:
    """Turn the pages of the jobs page until these words are on it."""
    for _ in range(20):
        if words in " ".join(bench.picture().split()):
            return
        await bench.keys("*")
    raise AssertionError(words)


def number(bench: Bench, words: str) -> str:
    """The number of the line with these words."""
    row = next(line for line in bench.picture().splitlines() if words in line)
    return next(word for word in row.split() if word.isdecimal())
