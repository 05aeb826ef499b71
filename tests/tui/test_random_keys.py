"""Keys at random, at every state of the screen, resizes among them: no crash, no markup error, a sound record."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from putback.demo import lay_out_demo
from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code
from putback.tui.widgets.shown import Shown
from tests.tui.conftest import NAMES, Bench, Opened

KEYS: list[str] = [
    *"0123456789" * 3, *"./*-+" * 3, *["enter"] * 8, *["escape"] * 8, *"nkhdveltcafwobgyrsmj?zx=iup",
    "space", "backspace", "up", "down", "left", "right", "tab", "é", "P", "B", "ctrl+y", "ctrl+y", "ctrl+f",
]  # fmt: skip
"""The keypad most, then everything else; no Q, which would only end the run early."""

SIZES = [(80, 24), (120, 36), (60, 17), (200, 60), (40, 10), (20, 6)]

WALK = ("1", "1", "1")
PANEL = (*WALK, "enter", "lid", "enter")
STATES: dict[str, tuple[str, ...]] = {
    "an empty workshop": (),
    "the second question": ("press", "enter"),
    "the walk-back": (),
    "what is not so": ("2",),
    "before a part": WALK,
    "a name": (*WALK, "enter", "li"),
    "coming off": PANEL,
    "a size": (*PANEL, "163"),
    "a length": (*PANEL, "1632", "enter", "3"),
    "from afar": (*PANEL, "tab", "1632"),
    "an odd one": (*PANEL, "1632", "enter", "370", "enter", "++", "9632", "enter", "497", "enter"),
    "kinds": (*PANEL, "k"),
    "everything else": (*WALK, "."),
    "say more": (*WALK, "x"),
    "keys": (*WALK, "?"),
    "machines": (*WALK, "m"),
    "a break": (*PANEL, "1632", "enter", "370", "enter", "space"),
    "the summary": (*WALK, "s"),
    "find": (*WALK, "=", "bell"),
    "a step's card": (*WALK, "=", "left panel", "enter", "11"),
    "what can be corrected": (*WALK, "=", "left panel", "enter", "11", "*"),
    "a part's card": (*WALK, "=", "left panel", "enter", "1"),
    "a fastener's card": (*WALK, "=", "left panel", "enter", "114"),
    "a bag's card": (*WALK, "g", "4"),
    "the camera's clock": (*WALK, "z"),
    "the way back": (*WALK, "r"),
    "the way back from afar": (*WALK, "r", "4", "enter"),
    "the card of a step that goes back": (*WALK, "r", "6"),
    "what arrived": (*WALK, "r", "/"),
    "trouble": (*WALK, "r", "7"),
    "which hole": (*WALK, "r", "7", "5"),
    "one left over": (*WALK, "r", "7", "7", "enter", "83"),
}
"""Keys that lead to every state of the screen."""

Stroke = str | tuple[int, int]

NEW = os.environ.get("PUTBACK_EXAMPLES") == "new"

AT_ONCE = 70 if NEW else 32
"""Keys of one example."""

EXAMPLES = 12 if NEW else 1
"""Examples of each state."""


def key(nth: int, shift: int) -> str:
    """Return the key at a shift from one that differs from stroke to stroke: no shift at all is a walk, too."""
    return KEYS[(nth * nth * 31 + nth * 17 + shift) % len(KEYS)]


@st.composite
def strokes(draw: st.DrawFn) -> list[Stroke]:
    """Keys, and now and then another size of the terminal."""
    turn = draw(st.integers(0, len(KEYS) - 1))
    shifts = draw(st.lists(st.integers(0, len(KEYS) - 1), min_size=AT_ONCE, max_size=AT_ONCE))
    sizes = draw(st.lists(st.tuples(st.integers(20, 200), st.integers(6, 60)), max_size=3))
    keys: list[Stroke] = [key(nth + turn, shift) for nth, shift in enumerate(shifts)]
    for nth, size in enumerate([*sizes, (100, 30)]):
        keys.insert(AT_ONCE // 4 * (nth + 1), size)
    return keys


def cells(bench: Bench, *, anew: bool = False) -> list[list[tuple[str, str]]]:
    """Every row as it stands in the panes with its styles; `anew`: all of them painted whole."""
    panes = [pane for pane in bench.app.screen.query(Shown) if pane.display and pane.size]
    if anew:
        for pane in panes:
            pane.refresh()
    strips = [strip for pane in panes for strip in pane.render_lines(pane.outer_size.region)]
    return [[(segment.text, str(segment.style)) for segment in strip.simplify()] for strip in strips]


@pytest.mark.parametrize("state", STATES)
@settings(deadline=None, max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
@given(size=st.sampled_from(SIZES), strokes=strokes())
async def test_keys_at_random_end_with_a_clean_check(
    opened: Opened, state: str, size: tuple[int, int], strokes: list[Stroke]
) -> None:
    """PUTBACK_EXAMPLES=new tries others than the ones that are always the same."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        if state not in ("an empty workshop", "the second question"):
            lay_out_demo(folder)
        async with opened(folder, size) as bench:
            await bench.keys(*STATES[state])
            for nth, stroke in enumerate(strokes):
                if isinstance(stroke, tuple):
                    await bench.pilot.resize_terminal(*stroke)
                else:
                    bench.app.simulate_key(NAMES.get(stroke, stroke))
                if nth % 10 == 9:
                    await bench.pilot.pause()
                    assert cells(bench) == cells(bench, anew=True), "rows painted one by one are those painted whole"
            await bench.settle()
            assert bench.app.is_running
        assert check_workshop(folder, is_code).ok
