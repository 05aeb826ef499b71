"""Trouble with a screw, told with the keys of the keypad, counted."""

from __future__ import annotations

from pathlib import Path

from textual.geometry import Offset

from putback.reports.account import WayBack
from putback.trade.checks.ledger import check_balance, left_over
from putback.trade.commands import MendMachine
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.place import LOOSE, MISSING, SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import in_its_place, left_overs, troubles_of
from putback.tui.dialogs.hole_pick import HolePick
from putback.tui.refit.refit_screen import RefitScreen
from tests.tui.conftest import Bench, Opened
from tests.tui.refit.test_refit_screen import to_refit


async def to_panel(bench: Bench) -> tuple[RefitScreen, Step]:
    """The way back of the winder, with a step on the card that holds four screws or more."""
    screen = await to_refit(bench, "Skein winder")
    record = bench.app.workshop.record
    for step in record.all(Step, bench.app.machine_id):
        holes = {t.hole for t in record.things_of(step) if t.alone}
        if len(holes) >= 4 and step.takes_off and {h for h in holes if len(h) == 1} == holes:
            screen.way.chosen = step.id
            screen.redraw()
            await bench.settle()
            return screen, step
    raise AssertionError("the winder has no such step")


def screws(record: Record, step: Step) -> list[Thing]:
    return sorted((t for t in record.things_of(step) if t.alone), key=lambda t: t.hole)


async def test_lost_and_a_longer_one_goes_in_at_most_six_keys_and_the_size(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen, step = await to_panel(bench)
        record = bench.app.workshop.record
        screw = screws(record, step)[0]
        await bench.keys("7")
        assert "what is wrong with a screw?" in bench.picture()
        await bench.keys("1")
        assert bench.screen == "HolePick" and "Which hole had the one that is lost?" in bench.picture()
        await bench.keys(screw.hole)  # three keys
        assert bench.said == f"step {step.number}, hole {screw.hole}: {screw.brief} lost"
        assert bench.app.screen is screen and record.standing(screw.id) == {MISSING: 1}
        screen.way.chosen = step.id  # it waits now
        await bench.keys("7", "5", screw.hole)
        assert bench.screen == "SizeAsk" and f"Hole {screw.hole}: which size goes in?" in bench.picture()
        await bench.keys("m5", "enter", "20")
        assert "M5x0.8 x 20 mm" in bench.picture()  # named while it is typed
        assert "- dash, twice erases" in bench.picture() and "Backspace" not in bench.picture()
        await bench.keys("enter")
        assert bench.said.endswith(f"{screw.brief} lost; M5x0.8 x 20 mm goes in, loose on the bench")
        assert record.standing(in_its_place(record, screw).id) == {LOOSE: 1} and MISSING not in record.places(1)
        screen.way.chosen = step.id
        await bench.keys("7", "4")
        picture = bench.picture()
        assert "* trouble" in picture and picture.count("*") == 2
        text = " ".join(b.words for b in WayBack(record, step.machine).account(step).of("trouble"))
        assert text == f"hole {screw.hole}: {screw.brief} lost; M5x0.8 x 20 mm goes in"
        await bench.keys(".", "-", "-")
        assert record.standing(screw.id) != {MISSING: 1} and not list(troubles_of(record, step))
        assert not list(check_balance(record))


async def test_broken_thread_gone_and_two_change_holes(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen, step = await to_panel(bench)
        record = bench.app.workshop.record
        one, two, three, *_ = screws(record, step)
        bench.app.do(MendMachine(intent="keep as found"))
        await bench.keys("7", "3", one.hole)
        assert "this machine is kept as found. Why?" in " ".join(bench.picture().replace("│", " ").split())
        await bench.keys("enter")
        assert bench.said == "no reason: nothing recorded"
        assert record.standing(one.id) != {SCRAPPED: 1}, "without a reason nothing is recorded"
        screen.way.chosen = step.id
        await bench.keys("7", "3", one.hole, "no head", "enter")
        assert "broken; thrown away because: no head" in bench.said and record.standing(one.id) == {SCRAPPED: 1}
        screen.way.chosen = step.id
        await bench.keys("7", "4", two.hole)
        assert bench.said == f"step {step.number}, hole {two.hole}: thread gone"
        screen.way.chosen = step.id
        await bench.keys("7", "6", two.hole)
        assert "which hole does it go in?" in bench.picture()
        await bench.keys(three.hole)
        assert record.get(Thing, two.id).goes_in == three.hole and record.get(Thing, three.id).goes_in == two.hole
        screen.way.chosen = step.id
        await bench.keys("7", "5", one.hole, "+")  # another of the same size
        assert bench.said.endswith(f"{one.brief} broken; {one.brief} goes in, loose on the bench")


async def test_one_left_over_finds_the_hole_that_waits_for_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen, step = await to_panel(bench)
        record = bench.app.workshop.record
        screw = screws(record, step)[0]
        await bench.keys("7", "1", screw.hole)
        screen.way.chosen = step.id
        await bench.keys("7", "7", "enter")
        typed = [screw.readings.get("gauge", ""), screw.readings.get("length", "")]
        assert all(typed)
        await bench.keys(typed[0], "enter", typed[1], "enter")
        assert f"1   step {step.number}, {step.name}, hole {screw.hole}: {screw.brief} is missing" in bench.picture()
        await bench.keys("1")
        assert "found again; it goes in" in bench.said and record.standing(screw.id) == {LOOSE: 1}
        await bench.keys("-", "-")


async def test_one_left_over_without_a_hole_is_named_until_it_is_thrown_away(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await to_refit(bench, "Skein winder")
        record, machine = bench.app.workshop.record, bench.app.machine_id
        await bench.keys("7", "7", "enter", "m3", "enter", "8", "enter")
        while bench.screen == "Pick":
            picture = bench.picture()
            row = next(line for line in picture.splitlines() if "in none of these" in line)
            await bench.keys(row.split("in none")[0].strip(" │╭╮╰╯▶").split()[-1])
        assert bench.said == "left over: screw M3x0.5 x 8 mm, loose on the bench"
        lone = left_overs(record, machine)
        assert [t.sort for t in lone] == [LEFT_OVER]
        assert any(held.thing.id == lone[0].id for held in left_over(record, machine))
        await bench.keys("7", "7", "1")
        picture = bench.picture()
        assert "M3x0.5 x 8 mm: where does it belong?" in picture and "thrown away" in picture
        row = next(line for line in picture.splitlines() if "thrown away" in line)
        await bench.keys(row.split("nowhere")[0].strip(" │╭╮╰╯▶").split()[-1])
        assert not left_overs(record, machine)


async def test_what_is_typed_wrong_is_said_and_nothing_is_lost_of_it(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        screen, step = await to_panel(bench)
        hole = screws(bench.app.workshop.record, step)[0].hole
        number = bench.app.workshop.store.number
        await bench.keys("7", "5", hole, "enter")
        assert "Type the gauge first" in bench.picture()
        await bench.keys("8/", "enter", "enter")
        assert bench.screen == "SizeAsk" and "8/" in bench.picture()
        await bench.keys("escape")
        assert bench.app.screen is screen and bench.app.workshop.store.number == number
        await bench.keys("7", "5", hole, "-")  # in an empty field, back
        assert bench.app.screen is screen and bench.app.workshop.store.number == number
        await bench.keys("7", "1", ".")
        assert bench.app.screen is screen and bench.app.workshop.store.number == number


async def test_at_the_bench_it_is_behind_the_list_and_a_hole_can_be_tapped(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await to_panel(bench)
        await bench.keys(".")
        await bench.keys(".", "-")
        picture = bench.picture()
        row = next(line for line in picture.splitlines() if " trouble" in line)
        await bench.keys(row.split("trouble")[0].strip(" │╭╮╰╯▶").split()[-1])
        assert "what is wrong with a screw?" in bench.picture()
        await bench.keys("4")
        if isinstance(bench.app.screen, HolePick):
            found = [
                Offset(x, y)
                for y in range(24)
                for x in range(80)
                if bench.app.screen.get_style_at(x, y).meta.get("tap", ("", ""))[0] == "place"
                and bench.app.screen.get_style_at(x, y).meta["tap"][1] in bench.app.screen._chosen
            ]
            await bench.pilot.click(offset=found[0])
            await bench.settle()
        assert bench.said.endswith("thread gone") or bench.app.message.sort == "refused"
