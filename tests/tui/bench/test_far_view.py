"""The bench from a metre away: the same loop, one pane."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.content import Content

from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.draw.glyphs import glyph_set
from putback.tui.draw.heads import HoleView
from putback.tui.widgets.far_pane import FarData, FarPane, halves
from tests.tui.conftest import Opened


def drawn(data: FarData, width: int, height: int, *, ascii_only: bool = False) -> list[Content]:
    pane = FarPane(id="far")
    pane.glyphs = glyph_set(ascii_only)
    return pane.lines(data, width, height)


SURE = FarData("#8-32", "1 1/4", "", "likely", "left", (HoleView("1", "taken", "A"),), "3", "Enter", "next")


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize(("width", "height"), [(60, 17), (80, 24), (120, 36), (200, 60), (40, 10), (20, 6)])
def test_it_fits_at_every_size(width: int, height: int, ascii_only: bool) -> None:
    rows = drawn(SURE, width, height, ascii_only=ascii_only)
    assert len(rows) <= height
    assert max(row.cell_length for row in rows) <= max(width, 34)
    assert "Enter" in rows[-1].plain
    if ascii_only:
        assert all(row.plain.isascii() for row in rows)


def test_at_sixty_by_seventeen_size_length_and_verdict_are_tall() -> None:
    rows = [row.plain for row in drawn(SURE, 60, 17)]
    assert len(rows) == 17
    assert sum("█" in row for row in rows[:5]) >= 4  # the thread
    assert sum("█" in row[30:] for row in rows[6:15]) >= 5  # the length, and the word
    assert "likely" not in "".join(rows)  # as figures, not as letters


def test_a_size_is_cut_into_its_two_lines() -> None:
    assert halves("#8-32 UNC x 3/8") == ("#8-32", "3/8")
    assert halves("nut M10x1.5") == ("M10x1.5", "")
    assert halves("M5x0.8 x 12 mm") == ("M5x0.8", "12 mm")


async def test_tab_shows_it_and_the_loop_is_the_same(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "1", "832", "tab")
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen) and screen.far
        assert "bags" not in bench.picture()
        await bench.keys("enter", "372", "enter", "+", "0")
        step = bench.app.workshop.record.last_step(bench.app.machine_id)
        assert step is not None and step.ended
        assert [t.hole for t in bench.app.workshop.record.things_of(step) if t.hole] == ["1", "7"]
        await bench.keys("tab")
        assert not screen.far and "bags" in bench.picture()


async def test_a_small_terminal_gets_it_unasked_and_a_larger_one_the_panes_again(demo: Path, opened: Opened) -> None:
    async with opened(demo, (60, 17)) as bench:
        await bench.keys("escape")
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen) and screen.far
        await bench.pilot.resize_terminal(80, 24)
        await bench.settle()
        assert not screen.far
        await bench.pilot.resize_terminal(60, 17)
        await bench.settle()
        await bench.keys("tab")
        assert not screen.far


async def test_a_refusal_is_said_from_afar(demo: Path, opened: Opened) -> None:
    async with opened(demo, (60, 17)) as bench:
        await bench.keys("escape", "e")
        assert "begin one first" in bench.picture()


async def test_from_afar_a_run_is_told_what_is_offered_and_nothing_as_sure_that_was_not_measured(
    tmp_path: Path, opened: Opened
) -> None:
    async with opened(tmp_path, (60, 17)) as bench:
        await bench.keys("fare stamp", "enter", "2", "enter", "enter", "guard", "enter", "3", "632", "enter", "370")
        await bench.keys("enter")
        measured = sum("█" in row or "▀" in row for row in bench.picture().splitlines())
        await bench.keys("+", "+")
        assert "same again: holes 1 7 (2 screws)" in bench.picture()
        assert sum("█" in row or "▀" in row for row in bench.picture().splitlines()) < measured, "no verdict"
        await bench.keys("8")
        assert "as the one before: 632 x 370" in bench.picture() and "Enter   this size" in bench.picture()
        await bench.keys("enter")
        assert "Enter   same again" in bench.picture()


async def test_where_there_is_no_room_for_a_map_none_is_drawn(tmp_path: Path, opened: Opened) -> None:
    """Rows of holes on one line would show a screw where there is none."""
    async with opened(tmp_path, (60, 17)) as bench:
        await bench.keys("fare stamp", "enter", "2", "enter", "1", "632", "enter", "370", "enter", "9+", "0")
        await bench.keys(".", "7", "9", "enter", "385")
        assert "length 385_" in bench.picture() and "╰─7" not in bench.picture() and "#6-32 x 3/8" in bench.picture()
        await bench.keys("escape", "z")
        assert "make it larger" in bench.picture()


async def test_the_typed_figures_are_tall_and_a_verdict_waits_until_they_can_be_whole(
    demo: Path, opened: Opened
) -> None:
    async with opened(demo, (60, 17)) as bench:
        await bench.keys("escape", "/", "6", "1")
        screen = bench.app.screen
        assert isinstance(screen, BenchScreen)

        def seen() -> tuple[str, str, str, str]:
            data = screen.from_afar.data(screen.showing.form_data(screen.hand.step), screen.from_afar.next_key())
            return data.thread, data.length, data.named, data.verdict

        await bench.keys("63")
        assert seen() == ("63", "", "", "")
        await bench.keys("2")
        assert seen()[:3] == ("632", "#6-32", "") and seen()[3]
        await bench.keys("enter", "4")
        assert seen() == ("#6-32", "4", "", "")
        await bench.keys("9")
        assert seen() == ("#6-32", "49", "", "")
        await bench.keys("7")
        assert seen()[:3] == ("#6-32", "497", "1/2") and seen()[3] == "sure"
        assert "= 1/2" in bench.picture()
