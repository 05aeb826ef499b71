"""Summary, bag card, help: the pages around the bench."""

from __future__ import annotations

from pathlib import Path

from putback.trade.session import Session
from tests.tui.conftest import Opened

WALK = ("1", "1", "1")


async def test_the_summary_is_read_and_ends_the_session(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "372", "enter", "+", "0", "s")
        assert bench.screen == "SummaryScreen"
        assert "Done: 1 step" in bench.picture()
        assert "2 fasteners" in bench.picture()
        await bench.keys("e", "oil the latch", "enter")
        sessions = list(bench.app.workshop.record.all(Session, bench.app.machine_id))
        assert sessions[-1].ended and sessions[-1].note == "oil the latch"
        await bench.keys(".")
        assert bench.screen == "BenchScreen"


async def test_a_loose_thing_is_said_before_the_session_ends(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "372", "enter", "w", "3", "0", "s", "e")
        assert bench.screen == "Pick"
        await bench.keys("1")
        assert bench.app.workshop.record.open_session(bench.app.machine_id) is not None


async def test_a_bag_is_counted_and_what_is_short_is_missing(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        record = bench.app.workshop.record
        bag = record.bag(bench.app.machine_id, 7)
        assert bag is not None
        await bench.keys(*WALK, bag.code, "*", "3", "enter")
        assert bench.said == "bag 7: rubber foot missing"
        assert record.account(bench.app.machine_id, "missing")


async def test_a_bag_is_closed_and_reopened_on_its_card(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 6)
        assert bag is not None and not bag.closed
        await bench.keys(*WALK, bag.code, "/")
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 6)
        assert bag is not None and bag.closed
        await bench.keys("/")
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 6)
        assert bag is not None and not bag.closed


async def test_a_scanned_bag_is_taken_into_hand(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        bag = bench.app.workshop.record.bag(bench.app.machine_id, 5)
        assert bag is not None
        await bench.keys(*WALK, "1", "632", "enter", "372", "enter", bag.code, "+")
        step = bench.app.workshop.record.open_step(bench.app.machine_id)
        assert step is not None and step.bag == 5


async def test_settings_hold_and_the_first_that_cannot_is_said(tmp_path: Path, opened: Opened) -> None:
    (tmp_path / "settings.toml").write_text("[look]\ntheme = 'light'\nsheen = 1\n[bench]\ntarget = 25\nhand = 2\n")
    async with opened(tmp_path) as bench:
        assert bench.app.theme == "bench-light"
        assert bench.said.startswith("settings.toml, line 3: [look] has no setting sheen")
        assert bench.said.endswith("(1 more: putback check lists them)")
        await bench.keys("press", "enter", "1", "enter")
        await bench.keys("1")
        session = bench.app.workshop.record.open_session(bench.app.machine_id)
        assert session is not None and session.target == 25


async def test_help_shows_the_keys_of_the_place(demo: Path, opened: Opened) -> None:
    async with opened(demo, (120, 50)) as bench:
        await bench.keys(*WALK, "?")
        assert "no part is begun" in bench.picture()
        await bench.keys("escape", "1", "escape", "?")
        assert "a place is wanted" in bench.picture()
