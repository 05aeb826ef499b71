"""Lists that are asked from in more than one place: one numbering of each; and a text typed at a list is that text."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.trade.record.fastener import DRIVES, HEADS, KINDS, Thing
from putback.trade.record.step import Adjustment
from putback.tui.dialogs.lists import DRIVES_LISTED, FOUND_BY, HEADS_LISTED, line_of
from putback.tui.dialogs.prompts import PAGE, Pick
from tests.tui.cards.test_cards import to_card
from tests.tui.conftest import Bench, Opened

WALK = ("1", "1", "1")


def adjusted(bench: Bench) -> tuple[Adjustment, ...]:
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return step.adjust


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (("42 mm hook to hook",), Adjustment(what="spring", measure="42 mm hook to hook")),
        ((".312 in",), Adjustment(what="spring", measure=".312 in")),
        (("0.8 kg felt",), Adjustment(what="spring", measure="0.8 kg felt")),
        (("just touching",), Adjustment(what="spring", measure="just touching")),
        (("2.5 turns",), Adjustment(what="spring", turns=2.5)),
        (("1", "enter", "2.5"), Adjustment(what="spring", turns=2.5)),
        (("4", "enter", ".010 at 8"), Adjustment(what="spring", shims=(".010 at 8",))),
        (("5", "enter", "42"), Adjustment(what="spring", measure="42")),
    ],
)
async def test_a_text_at_the_list_of_settings_never_chooses_by_its_first_figure(
    demo: Path, opened: Opened, typed: tuple[str, ...], message: Adjustment
) -> None:
    """Before, 42 mm hook to hook was recorded as shims 2 mm hook to hook, silently."""
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "side plate", "enter", "a", "spring", "enter", *typed, "enter")
        assert adjusted(bench) == (message,)
        assert bench.screen == "BenchScreen"
        await bench.keys("-")
        assert adjusted(bench) == ()


async def test_a_measure_is_corrected_on_the_card_and_said_in_full(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "side plate", "enter")
        await bench.keys("x", "9", "spring", "enter", "42 mm", "enter", "2", "enter", "dot up", "enter", "enter")
        await bench.keys("40 mm", "enter", "enter", "worn", "enter", "enter")
        full = Adjustment(what="spring", measure="42 mm", mark="dot up", should_be="40 mm", note="worn")
        assert adjusted(bench) == (full,)
        assert "spring: set to 40 mm (found dot up; 42 mm); worn" in full.text
        await bench.keys("0")
        await to_card(bench, "step 21")
        await bench.keys("*", "6", "1", "6", "44 mm", "enter")
        assert adjusted(bench)[0].measure == "44 mm", "what stood there gave way"


async def test_a_figure_and_enter_leaves_the_list_and_a_point_leaves_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "side plate", "enter", "a", "spring", "enter", "1")
        assert "Enter takes turns" in bench.picture(), "a figure does not act at once here, and the foot says so"
        await bench.keys("2 3/4", "enter")
        assert "“12 3/4” of what? With its unit" in bench.picture() and bench.screen == "AskListed"
        await bench.keys("escape")
        assert bench.screen == "BenchScreen" and adjusted(bench) == ()


def test_one_figure_alone_is_a_line() -> None:
    assert [line_of(text) for text in ("1", " 5 ", "6", "12", "", "a", "1.")] == [0, 4, -1, -1, -1, -1, -1]
    assert FOUND_BY[4] == "a measure"


def test_the_commonest_nine_are_on_the_first_page() -> None:
    """Common practice, no source."""
    assert {"fillister", "pan", "round", "countersunk", "hex"} < set(HEADS[:9])
    assert {"screw", "nut", "washer", "bolt", "set screw", "taper pin"} < set(KINDS[:9])
    assert HEADS_LISTED[:-1] == HEADS and DRIVES_LISTED[:-1] == DRIVES and len(DRIVES_LISTED) <= 9


def first_page(bench: Bench) -> list[str]:
    """The lines of the list on the screen that are in sight as it opens."""
    screen = bench.app.screen
    assert isinstance(screen, Pick) and screen._page == 0, "it opens on its first page, whatever is marked"
    shown = screen._options[:PAGE]
    assert all(option in bench.picture() for option in shown)
    return shown


async def test_heads_drives_and_kinds_have_one_numbering_at_the_bench_and_on_the_card(
    demo: Path, opened: Opened
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632", "enter", "370", "enter", "h", "+", "1", "1")  # truss: on the second page
        assert bench.app.screen.hand.form.head == "truss"  # type: ignore[attr-defined]
        await bench.keys("h")
        heads = first_page(bench)
        await bench.keys("escape", "k")
        kinds = first_page(bench)
        await bench.keys("escape", "0")
        await to_card(bench, "step 21")
        await bench.keys(*next(row.strip("│ ")[0] for row in bench.picture().splitlines() if "hole 1" in row))
        assert bench.screen == "ThingScreen"
        await bench.keys("*", "5")
        assert first_page(bench) == kinds and len(kinds) == 9
        await bench.keys("escape", "*", "3")
        assert first_page(bench) == heads and len(heads) == 9
        await bench.keys("2", "2")
        thing = bench.app.workshop.record.find(Thing, bench.app.screen._thing)  # type: ignore[attr-defined]
        assert thing is not None and (thing.head, thing.drive) == ("pan", "cross")
        await bench.keys("-")
        thing = bench.app.workshop.record.find(Thing, bench.app.screen._thing)  # type: ignore[attr-defined]
        assert thing is not None and (thing.head, thing.drive) != ("pan", "cross"), "one correction, taken back at once"


async def test_head_and_drive_are_three_keys_and_four_from_the_bare_pad(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "side plate", "enter")
        for pressed in (("h", "7", "3"), (".", "2", "7", "3")):
            await bench.keys(*pressed)
            form = bench.app.screen.hand.form  # type: ignore[attr-defined]
            assert bench.screen == "BenchScreen" and (form.head, form.drive) == ("hex", "hex socket")
            assert "head: hex, drive: hex socket" in bench.said
            await bench.keys("h", "1", "1")
        await bench.keys("h", "2", "enter")
        assert bench.app.screen.hand.form.drive == "slot", "Enter keeps it"  # type: ignore[attr-defined]
