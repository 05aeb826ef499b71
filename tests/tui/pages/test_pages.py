"""Summary, bag card, help: the pages around the bench."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from textual import events
from textual.content import Content

from putback.trade.checks.tools_out import tools_out
from putback.trade.record.session import Session
from putback.tui.pages import summary
from putback.tui.widgets.long_page import LongPage
from tests.tui.conftest import NAMES, Clock, Opened

WALK = ("1", "1", "1")


async def test_the_summary_is_read_and_ends_the_session(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "372", "enter", "+", "0", "s")
        assert bench.screen == "SummaryScreen"
        await bench.keys("q")
        assert bench.screen == "BenchScreen" and not bench.app._exit, "while the session goes on it is only a look"
        await bench.keys("s")
        assert "Came off  1 step, 2 fasteners out" in bench.picture()
        assert "#6-32 UNC x 3/8" in bench.picture() and "╻╻" in bench.picture()
        await bench.keys("+", "+", "+")
        assert "9.0 for a new fastener (1 entered), 1.0 for the next like it" in bench.picture()
        await bench.keys("e", "oil the latch", "enter")
        sessions = list(bench.app.workshop.record.all(Session, bench.app.machine_id))
        assert sessions[-1].ended and sessions[-1].note == "oil the latch"
        await bench.keys(".")
        assert bench.screen == "BenchScreen"


async def test_a_loose_thing_is_said_before_the_session_ends(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "372", "enter", "w", "3", "0", "s", "e")
        assert bench.screen == "BreakScreen" and "loose, no tag: part 21" in bench.picture()
        await bench.keys(".")
        assert bench.app.workshop.record.open_session(bench.app.machine_id) is not None
        await bench.keys("e", "*")
        assert bench.said == "tag A hangs on part 21" and "loose, tag A" in bench.picture()
        await bench.keys("0", "oil the latch", "enter")
        assert bench.app.workshop.record.open_session(bench.app.machine_id) is None
        assert bench.said.endswith("Q leaves, . goes to the bench") and "Q leave" in bench.picture().splitlines()[-1]
        await bench.keys("q")
        assert bench.app._exit
    async with opened(demo) as bench:
        assert "your note: oil the latch" in bench.picture(), "the next return shows it first"


async def test_tools_are_counted_back_in_at_a_break(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        record = bench.app.workshop.record
        await bench.keys(*WALK, "1", "632", "enter", "370", "enter", "x", "1", "driver, hook, magnet", "enter", "0")
        await bench.keys(" ")
        assert bench.screen == "BreakScreen" and "2 ○ hook" in bench.picture()
        await bench.keys("2", "enter")
        assert [tool.tool for tool in tools_out(record, bench.app.machine_id)] == ["hook"]
        await bench.keys("enter")
        assert bench.said == "Hook is still missing: 1 when it is found."
        await bench.keys("-")
        assert len(tools_out(record, bench.app.machine_id)) == 3, "each count is taken back"
        await bench.keys("2", "+", "look under the [bed]", "enter")
        session = record.open_session(bench.app.machine_id)
        assert session is not None and session.paused, "nothing of this is work at the machine"
        await bench.keys(" ")
        assert bench.screen == "WalkBackScreen" and "your note: look under the [bed]" in bench.picture()
        await bench.keys(*WALK, "s")
        assert "a tool is missing" not in bench.picture(), "found with the same key"


async def test_a_soak_that_is_due_speaks_up_and_is_lifted_out(demo: Path, opened: Opened, clock: Clock) -> None:
    async with opened(demo, (80, 24)) as bench:
        await bench.keys(*WALK, "o", "8", "bush", "enter", "48", "enter")
        await bench.keys("enter", "arm", "enter", "w", "6", "plater", "enter", "0", "enter", "cap", "enter", "0")
        last = bench.app.workshop.record.last_step(bench.app.machine_id)
        assert last is not None and last.put == "shelf", "the part after one that went away does not go there, too"
        await bench.keys("space")
        assert "48 h to go: bush" in bench.picture()
    clock.move(50 * 60)
    async with opened(demo, (80, 24)) as bench:
        assert "soak overdue by 2 h: bush, 48 h; X lifts it out" in bench.picture(), "at opening"
        await bench.keys(*WALK)
        assert "soak overdue by 2 h: bush" in bench.picture().split("\n")[0], "and in the header"
        await bench.keys("x", "+", "8", "5", "enter")
        assert bench.said == "step 21: bush lifted out, 5 minutes hands on"
        assert "soak" not in bench.picture().split("\n")[0]


async def test_a_bag_is_counted_and_what_is_short_is_missing(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        record = bench.app.workshop.record
        bag = record.bag(bench.app.machine_id, 7)
        assert bag is not None
        await bench.keys(*WALK, bag.code, "*", "1", "3", "enter")
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


async def test_a_key_that_comes_while_a_card_closes_reaches_the_bench(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("1", "1", "1", "?")
        assert bench.screen == "HelpScreen"
        top = bench.app.screen
        for key in (".", "m"):  # both are at the card before it can be gone
            top.post_message(events.Key(NAMES.get(key, key), key))
        await bench.settle()
        assert bench.screen == "Pick"


async def test_a_long_summary_has_its_page_at_once(demo: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """As of thousands of steps: the page is there, and its figures a moment later."""
    monkeypatch.setattr(summary, "AT_ONCE", 0)
    shown: list[str] = []
    show = LongPage.show

    def seen(page: LongPage, rows: Sequence[Content]) -> None:
        shown.append(rows[0].plain)
        show(page, rows)

    monkeypatch.setattr(LongPage, "show", seen)
    async with opened(demo) as bench:
        await bench.keys(*WALK, "s")
        assert shown[0].startswith("adding up") and "session" in shown[-1]
        assert "Came off" in bench.picture()
