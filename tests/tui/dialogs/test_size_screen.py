"""A size typed away from the bench: on the same form, named while it is typed, with nothing lost by a refusal."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.trade.record.fastener import Thing
from putback.tui.dialogs.size_screen import SizesScreen
from putback.tui.form.typed_readings import as_fields, as_read
from tests.tui.cards.test_cards import to_card
from tests.tui.conftest import Bench, Opened
from tests.tui.form.test_entry import INCH

WALK = ("1", "1", "1")
SCREWS = (*WALK, "1", "632", "enter", "370", "enter", "+")


def things(bench: Bench) -> list[Thing]:
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return [t for t in bench.app.workshop.record.things_of(step) if t.sort == "fastener"]


def sizes(bench: Bench) -> list[tuple[str, str]]:
    return [(t.hole, t.size) for t in things(bench)]


async def test_a_size_is_said_right_two_keys_from_the_step_then_as_at_the_bench(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*SCREWS, "0")
        first, second = sizes(bench)
        await bench.keys(".", "7", "1", "8-32", "enter")
        assert bench.screen == "SizesScreen" and "length [370]" in bench.picture(), "the length is not skipped"
        await bench.keys("enter", "1")  # there is another like it: this one alone
        assert sizes(bench) == [("1", "#8-32 UNC x 3/8"), second] and bench.screen == "BenchScreen"
        assert "is screw #8-32 UNC x 3/8 now" in bench.said
        await bench.keys("-")
        assert sizes(bench) == [first, second], "one change, taken back with one key"
        await bench.keys(".", "7", "1", "enter", "1-1/4", "enter", "1")
        assert sizes(bench)[0] == ("1", "#6-32 UNC x 1 1/4"), "Enter keeps the gauge as it stands"


async def test_what_stands_in_a_field_gives_way_to_the_first_figure_and_to_nothing_else(
    demo: Path, opened: Opened
) -> None:
    """Before, 632 typed over 632 became 632632, and was refused a question later with both answers lost."""
    async with opened(demo) as bench:
        await bench.keys(*SCREWS, ".", "7", "1")
        screen = bench.app.screen
        assert isinstance(screen, SizesScreen)
        assert "gauge [632]" in bench.picture() and "#6-32 UNC" in bench.picture()
        await bench.keys("+", "*")
        assert screen.form.standing == "632" and screen.form.text == ""
        await bench.keys("6")
        assert screen.form.text == "6" and "gauge 6_" in bench.picture()
        await bench.keys("32")
        assert "#6-32 UNC" in bench.picture(), "named while it is typed"
        await bench.keys("escape", ".", "7", "1", "backspace")
        screen = bench.app.screen
        assert isinstance(screen, SizesScreen) and screen.form.text == "63", "Backspace erases at once"
        await bench.keys("escape", ".", "7", "1", "-")
        assert bench.screen == "SizesScreen" and "1-9 which hole" in bench.picture(), "as in an empty field"
        await bench.keys("5")
        assert "hole 5" in bench.picture()
        number = bench.app.workshop.store.number
        await bench.keys("1", "enter", "enter")
        assert bench.app.workshop.store.number == number and "stays as it is" in bench.said


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (60, 17)])
async def test_a_late_fastener_is_typed_as_at_the_bench_and_a_refusal_keeps_every_answer(
    demo: Path, opened: Opened, size: tuple[int, int]
) -> None:
    async with opened(demo, size) as bench:
        await bench.keys(*SCREWS, "0")
        await to_card(bench, "step 21")
        await late(bench)
        await bench.keys("1", "1", "8-32")
        assert "#8-32 UNC" in bench.picture()
        await bench.keys("enter", "37x", "enter")
        assert bench.screen == "SizesScreen" and "x" in bench.picture(), "refused where it stands"
        await bench.keys("backspace", "0", "enter")
        assert bench.screen == "SizesScreen", "hole 1 has one already"
        assert "8-32" in bench.picture() and "370" in bench.picture()
        await bench.keys("-", "5", "enter", "enter")
        assert sizes(bench)[-1] == ("5", "#8-32 UNC x 3/8")
        await late(bench)
        await bench.keys("1", "6", "+")
        assert sizes(bench)[-1] == ("6", "#8-32 UNC x 3/8"), "another just like the last of its step"


async def late(bench: Bench) -> None:
    """Open the card's question for a fastener that was forgotten."""
    await bench.keys("*")
    screen = bench.app.screen
    options: list[str] = screen._options  # type: ignore[attr-defined]
    at = options.index("a fastener that was forgotten")
    await bench.keys(*["+"] * (at // 9), str(at % 9 + 1))


async def test_a_further_reading_is_named_too_and_its_dash_is_a_character(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "side plate", "enter", "x", "+", "4", "2", ".164-", "enter")
        assert bench.screen == "SizesScreen" and "follows the dash" in bench.picture()
        await bench.keys("-", "4", "enter")
        assert bench.screen == "BenchScreen" and bench.app.screen.hand.form.extra["od"] == ".164"  # type: ignore[attr-defined]


async def test_a_gauge_that_is_none_is_refused_at_its_own_enter(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "632632", "enter")
        assert bench.app.message.sort == "refused" and bench.app.screen.hand.form.field == "gauge"  # type: ignore[attr-defined]
        assert bench.app.screen.hand.form.text == "632632"  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "readings",
    [
        {"gauge": "832", "length": ".372"},
        {"od": ".164", "tpi": "32", "length": ".372", "od_by": "rule"},
        {"od": ".247", "tpi": "20", "flank": "55"},
        {"gauge": "8-32", "length": "1-1/4", "slot": ".050"},
    ],
)
def test_what_stands_in_the_fields_reads_back_as_what_is_recorded(readings: dict[str, str]) -> None:
    fields = {name: text for name, text in as_fields(readings, "screw", INCH).items() if text}
    assert as_read(fields, INCH) == readings
