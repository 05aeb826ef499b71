"""The screens as they were last looked at: three sizes in words, three themes in colours.

A difference is no fault by itself: look at the screen (`python docs/making/pictures.py` draws it), and where it is
as it should be, write it down anew with `PUTBACK_SNAPSHOTS=write python -m pytest -n 0 tests/tui/test_snapshots.py`.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from putback.tui.draw.palette import THEMES, contrast
from tests.tui.conftest import Bench, Opened

KEPT = Path(__file__).parent / "snapshots"
WALK = ("1", "1", "1")
PANEL = (*WALK, "/", "6", "enter", "right panel", "enter")
SCREWS = (*PANEL, "1632", "enter", "370", "enter", "+", "+", "9632", "enter", "497")

STATES: dict[str, tuple[str, ...]] = {
    "walk-back": (),
    "bench": WALK,
    "size": SCREWS,
    "far": (*SCREWS, "tab"),
    "odd-one": (*SCREWS, "enter"),
    "refit": (*WALK, "r"),
    "summary": (*SCREWS, "enter", "0", "s"),
    "bag": (*WALK, "g", "4"),
    "find": (*WALK, "=", "bell"),
    "card": (*WALK, "=", "left panel", "enter", "1"),
    "list": (*WALK, "."),
    "help": (*WALK, "?"),
    "break": (*SCREWS, "enter", "space"),
}
"""A screen's name and the keys that lead to it from the demo."""

SIZES = ((60, 17), (80, 24), (120, 36))


def same(name: str, now: str) -> None:
    """Compare with what is kept under that name, or keep it where that is asked for."""
    path = KEPT / name
    if os.environ.get("PUTBACK_SNAPSHOTS") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(now, encoding="utf-8")
    assert now == path.read_text(encoding="utf-8"), f"{name}: look at it; see the head of this file"


def words(bench: Bench) -> str:
    """The screen as lines of text."""
    return "\n".join(line.rstrip() for line in bench.picture().splitlines()) + "\n"


def colours(bench: Bench) -> str:
    """The screen as runs of equal style, a line a row."""
    rows = []
    for strip in bench.app.screen._compositor.render_strips():
        runs: list[tuple[str, str]] = []
        for segment in strip:
            style = str(segment.style or "none")
            if runs and runs[-1][0] == style:
                runs[-1] = (style, runs[-1][1] + segment.text)
            else:
                runs.append((style, segment.text))
        rows.append("  ".join(f"[{style}] {text.strip()}".rstrip() for style, text in runs))
    return "\n".join(rows) + "\n"


def test_every_picture_of_a_screen_is_shown() -> None:
    docs = Path(__file__).parents[2] / "docs"
    page = (docs / "screens.md").read_text("utf-8")
    made = [picture.name for picture in (docs / "screens").glob("*.svg")]
    assert len(made) > 20 and [name for name in made if f"(screens/{name})" not in page] == []


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("state", STATES)
async def test_the_words_of_a_screen(state: str, size: tuple[int, int], demo: Path, opened: Opened) -> None:
    async with opened(demo, size) as bench:
        await bench.keys(*STATES[state])
        same(f"{state}-{size[0]}x{size[1]}.txt", words(bench))


async def test_a_screen_that_grew_is_drawn_as_one_that_was_always_so_large(demo: Path, opened: Opened) -> None:
    async with opened(demo, SIZES[0]) as bench:
        await bench.keys(*STATES["refit"])
        for width, height in SIZES[::-1]:
            await bench.pilot.resize_terminal(width, height)
            await bench.settle()
            assert words(bench) == (KEPT / f"refit-{width}x{height}.txt").read_text("utf-8")


NEEDED = {"bench-dark": 4.5, "bench-light": 4.5, "bench-contrast": 7.0}
"""Contrast of words and their ground: WCAG 2.1, criteria 1.4.3 (AA) and, in high contrast, 1.4.6 (AAA)."""


def faint(bench: Bench, needed: float) -> set[tuple[str, str]]:
    """Words as they are painted, with their contrast, where that is less than it should be."""
    found = set()
    for strip in bench.app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if style is None or style.color is None or style.bgcolor is None or not re.search(r"\w", segment.text):
                continue
            colours = [colour.get_truecolor().hex for colour in (style.color, style.bgcolor)]
            if contrast(*(colours[::-1] if style.reverse else colours)) < needed:
                found.add((segment.text.strip(), f"{contrast(*colours):.2f}"))
    return found


@pytest.mark.parametrize("theme", NEEDED)
async def test_words_stand_out_from_their_ground_as_they_are_painted(theme: str, demo: Path, opened: Opened) -> None:
    states = [SCREWS, ("enter",), ("0", "s"), (".", "g", "4"), (".", "=", "bell"), ("escape", "space"), (".", "r")]
    async with opened(demo, (100, 30)) as bench:
        bench.app.theme = theme
        await bench.keys(*WALK)
        for keys in states:
            await bench.keys(*keys[3:] if keys is SCREWS else keys)
            assert faint(bench, NEEDED[theme]) == set(), bench.picture()
        assert bench.screen == "RefitScreen"


@pytest.mark.parametrize("theme", [theme.name for theme in THEMES])
async def test_the_colours_of_the_bench_in_a_theme(theme: str, demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bench.app.theme = theme
        await bench.keys(*SCREWS)
        same(f"size-{theme}.txt", colours(bench))
