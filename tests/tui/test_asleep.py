"""The lid of the computer is shut over a part that is coming off, and opened again in the afternoon."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from putback.bench_clock import Ticks
from putback.scans.bag_code import new_code
from putback.trade.record.session import Session
from putback.tui.app import PutbackApp
from putback.tui.bench.bench_screen import BenchScreen
from putback.workshop import Workshop
from tests.tui.conftest import Bench, Clock


@pytest.mark.parametrize("first", ["tick", "key", "break"])
async def test_time_asleep_is_no_time_at_the_bench(demo: Path, clock: Clock, first: str) -> None:
    slept, begun, rng = 0.0, clock.now, Random(7)

    def ticks() -> Ticks:
        return Ticks((clock.now - begun).total_seconds(), slept)

    with Workshop.open(demo, clock=clock, codes=lambda taken: new_code(rng, taken), ticks=ticks) as workshop:
        app = PutbackApp(workshop)
        async with app.run_test(size=(80, 24)) as pilot:
            bench = Bench(app, pilot)
            await bench.keys("1", "1", "1", "1", "832", "enter", "372", "enter")
            screen = app.screen
            assert isinstance(screen, BenchScreen)

            def session() -> Session:
                return list(workshop.record.all(Session, app.machine_id))[-1]

            for _ in range(20):
                clock.move(1)
                screen.tick()
            assert session().minutes(workshop.now()) == 20

            clock.move(3 * 60)
            slept = 3 * 3600.0
            if first == "tick":
                screen.tick()
                assert bench.said == "The computer slept for 180 minutes; the session is paused since 09:20."
                assert session().paused and session().minutes(workshop.now()) == 20
                await bench.keys("+")
                assert bench.screen == "WalkBackScreen", "a return begins with the walk-back"
                await bench.keys("1", "1", "1")
            if first == "break":
                await bench.keys(" ")
                assert bench.said == "The session is paused already." and session().minutes(workshop.now()) == 20
            await bench.keys("+")
            assert "into bag" in bench.said and len(session().segments) == 2, "the first thing done ends the pause"
            clock.move(5)
            assert session().minutes(workshop.now()) == 25
