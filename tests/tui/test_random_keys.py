"""Random keys at every state, resizes among them: no crash, and the ledger balances."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from putback.codes.bag_code import is_code
from putback.reports.check import check_workshop
from putback.tui.widgets.shown import Shown
from tests.tui.conftest import NAMES, Bench, Opened

KEYS = [
    *"0123456789" * 3, *"./*-+" * 3, *["enter"] * 8, *["escape"] * 8, *"nkhdveltcafwobgyrsmj?",
    "space", "backspace", "up", "down", "tab", "é", "P", "B", "ctrl+y", "ctrl+y",
]  # fmt: skip
"""The keypad most, then everything else; no Q, which would only end the run early."""


def cells(bench: Bench, *, anew: bool = False) -> list[list[tuple[str, str]]]:
    """Every row as it stands in the panes with its styles; `anew`: all of them painted whole."""
    panes = [pane for pane in bench.app.screen.query(Shown) if pane.display and pane.size]
    if anew:
        for pane in panes:
            pane.refresh()
    strips = [strip for pane in panes for strip in pane.render_lines(pane.outer_size.region)]
    return [[(segment.text, str(segment.style)) for segment in strip.simplify()] for strip in strips]


@pytest.mark.parametrize("seed", range(4))
async def test_random_keys_end_with_a_clean_check(
    tmp_path: Path, demo: Path, opened: Opened, seed: int
) -> None:
    chance = random.Random(seed)
    folder = tmp_path / "empty" if seed == 0 else demo
    async with opened(folder, chance.choice([(80, 24), (120, 36), (60, 17), (40, 10)])) as bench:
        for _ in range(250):
            key = chance.choice(KEYS)
            bench.app.simulate_key(NAMES.get(key, key))
            if chance.random() < 0.1:
                await bench.pilot.pause()
                assert cells(bench) == cells(bench, anew=True), "rows painted one by one are those painted whole"
            if chance.random() < 0.02:
                await bench.pilot.resize_terminal(chance.randint(20, 150), chance.randint(6, 50))
        await bench.settle()
        assert bench.app.is_running
    assert check_workshop(folder, is_code).ok
