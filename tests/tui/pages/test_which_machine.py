"""With several machines the first screen asks which one, and tells how each stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.tui.app import PutbackApp
from tests.tui.conftest import Opened


async def test_it_asks_which_machine_and_leads_through_its_walk_back(
    demo: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = PutbackApp.__init__

    def asks(self: PutbackApp, *args: object, **how: object) -> None:
        made(self, *args, **how)  # type: ignore[arg-type]
        self.asks_which = True

    monkeypatch.setattr(PutbackApp, "__init__", asks)
    async with opened(demo) as bench:
        last = bench.app.machine_id
        seen = " ".join(bench.picture().split())
        assert bench.screen == "Pick" and "coming apart" in seen and "its card" in seen
        await bench.keys("2")
        assert bench.app.machine_id != last and bench.screen == "WalkBackScreen"
        await bench.keys("1", "1", "1")
        assert bench.screen == "BenchScreen"
    async with opened(demo, (60, 17)) as bench:
        await bench.keys("/")
        assert bench.screen == "MachineScreen"
        await bench.keys(".")
        assert bench.screen == "WalkBackScreen"
    async with opened(demo) as bench:
        await bench.keys("enter")
        assert bench.screen == "WalkBackScreen"
    async with opened(demo) as bench:
        await bench.keys(".", "1", "1", "1")
        assert bench.screen == "BenchScreen"
