"""The mouse and a touch screen: what is shown can be tapped, and does what its key does."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual._cells import cell_len

from putback.tui.bench.bench_screen import BenchScreen
from tests.tui.conftest import Bench, Opened
from tests.tui.pages.test_pages import WALK


async def tap(bench: Bench, words: str, *, at: int = 0, last: bool = True) -> None:
    """Tap some words of the screen, `at` cells into them; the lowest on the screen, or the highest."""
    rows = bench.picture().splitlines()
    found = [(row.rindex(words), y, row) for y, row in enumerate(rows) if words in row]
    assert found, f"“{words}” is not on the screen:\n{bench.picture()}"
    x, y, row = found[-1 if last else 0]
    await bench.pilot.click(offset=(cell_len(row[:x]) + at, y))
    await bench.settle()


def form(bench: Bench) -> tuple[str, str]:
    screen = bench.app.screen
    assert isinstance(screen, BenchScreen)
    return screen.hand.form.hole, screen.hand.form.text


@pytest.mark.parametrize("size", [(80, 24), (60, 17), (120, 36)])
async def test_the_walk_back_is_answered_and_the_keys_of_the_bench_pressed(
    demo: Path, opened: Opened, size: tuple[int, int]
) -> None:
    async with opened(demo, size) as bench:
        for answer in ("1 right", "3 cannot see"):
            while "1 read on" in bench.picture():
                await tap(bench, "1 read on")
            await tap(bench, answer, at=5)
        await tap(bench, ". later")
        assert bench.screen == "BenchScreen"
        if size != (60, 17):
            await tap(bench, "/ face")
            assert bench.screen == "FacePick"
            await tap(bench, "6 right")
            assert bench.said == "right face"
            await tap(bench, "Enter name", at=8)
            assert bench.screen == "AskLine"
            await bench.keys("grille")
            await tap(bench, "Enter keeps it", at=7)
            assert bench.screen == "BenchScreen"
            step = bench.app.workshop.record.open_step(bench.app.machine_id)
            assert step is not None and step.name == "grille"
            await tap(bench, "? keys")
            assert bench.screen == "HelpScreen"
            await bench.pilot.click(offset=(40, 10))
            await bench.settle()
            assert bench.screen == "BenchScreen"


@pytest.mark.parametrize("size", [(80, 24), (60, 17), (200, 60)])
async def test_every_place_of_the_hole_map_is_a_target_of_at_least_three_cells(
    demo: Path, opened: Opened, size: tuple[int, int]
) -> None:
    async with opened(demo, size) as bench:
        await bench.keys(*WALK, "1", "escape")
        screen = bench.app.screen
        where: dict[str, list[tuple[int, int]]] = {}
        for y in range(size[1]):
            for x in range(size[0]):
                what, on = screen.get_style_at(x, y).meta.get("tap", ("", ""))
                if what == "place":
                    where.setdefault(on, []).append((x, y))
        assert set(where) == set("123456789")
        for place, cells in where.items():
            assert len(cells) >= 6 and len({x for x, _ in cells}) >= 3, place
            middle = cells[len(cells) // 2]
            await bench.pilot.click(offset=middle)
            await bench.settle()
            assert form(bench)[0] == place
        assert {y for _, y in where["7"]} == {y for _, y in where["9"]}
        assert max(y for _, y in where["7"]) < min(y for _, y in where["1"])


async def test_a_place_does_not_take_away_what_is_typed(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832")
        screen = bench.app.screen
        cell = next(
            (x, y) for y in range(24) for x in range(80) if screen.get_style_at(x, y).meta.get("tap") == ("place", "9")
        )
        await bench.pilot.click(offset=cell)
        await bench.settle()
        assert form(bench) == ("1", "832") and "Finish this hole first" in bench.said
        await tap(bench, "Enter next")
        await tap(bench, "- back")
        assert form(bench) == ("1", "832")


async def test_bags_parts_lists_and_cards_open_under_the_finger(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await tap(bench, "closed", last=False)
        assert bench.screen == "BagScreen"
        await tap(bench, " 1 step ", at=4)
        assert bench.screen == "StepScreen"
        await tap(bench, " 1 ", at=6, last=False)
        assert bench.screen in ("BagScreen", "PartScreen", "ThingScreen", "StepScreen")
        await tap(bench, "0 bench")
        assert bench.screen == "BenchScreen"
        part = next(row for row in bench.app.screen.query_one("#tree").shown if row.state == "off")  # type: ignore[attr-defined]
        await tap(bench, part.name[:10], last=False)
        assert bench.screen == "PartScreen"
        await tap(bench, ". back")
        await tap(bench, ". more")
        assert bench.screen == "Pick"
        await tap(bench, "+ next")
        await tap(bench, "- before")
        await tap(bench, ". back")
        await bench.keys("k")
        await tap(bench, "washer", at=12)
        assert bench.screen == "BenchScreen" and "from now on" in bench.said


async def test_the_search_and_the_plan_go_where_they_are_tapped(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "=", "bag")
        await tap(bench, "bag 3", last=False)
        assert bench.screen == "BagScreen"
        await tap(bench, ". back")
        assert bench.screen == "FindScreen"
        await tap(bench, "/ type")
        await tap(bench, "Esc back")
        assert bench.screen == "BenchScreen"
        await bench.keys("r")
        rows = bench.app.screen.query_one("#plan").shown  # type: ignore[attr-defined]
        row = rows[2]
        await tap(bench, f"{row.number:>4} {row.words.removeprefix('put on ')[:8]}", at=6, last=False)
        assert bench.app.screen.way.step().number == row.number  # type: ignore[attr-defined]
        await tap(bench, ". bench")
        await bench.keys("s")
        await tap(bench, "+ page down")
        await tap(bench, ". bench")
        assert bench.screen == "BenchScreen"


async def test_words_for_several_keys_and_bare_ground_do_nothing(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        before = bench.picture()
        await tap(bench, "1-9 begin")
        await bench.pilot.click(offset=(30, 0))
        await bench.settle()
        assert bench.picture() == before


async def test_a_tap_that_comes_late_is_not_for_the_card_that_opened_meanwhile(demo: Path, opened: Opened) -> None:
    """The click of a finger is told once it is lifted: by then a key may have opened something else."""
    async with opened(demo, (120, 36)) as bench:
        await bench.keys(*WALK)
        rows = [(x, y) for y in range(36) for x in range(3, 9)]
        x, y = next(at for at in rows if bench.app.screen.get_style_at(*at).meta.get("tap", ("",))[0] == "part")
        style = bench.app.screen.get_style_at(x, y)
        await bench.keys("g", "1")
        card = bench.app.screen
        late = events.Click(card, x, y, 0, 0, 1, False, False, False, x, y, style)
        bench.app.on_click(late)
        await bench.settle()
        assert bench.app.screen is card and bench.app.is_running
