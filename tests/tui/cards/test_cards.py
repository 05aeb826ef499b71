"""Finding and mending with keys: from a few letters to a card, from card to card, and the record said right."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from textual.content import Content

from putback.reports.check import check_workshop
from putback.scans.bag_code import is_code
from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.record.bag import Bag
from putback.trade.record.step import Step
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.cards.card import CardScreen, Link, laid_out
from putback.tui.draw.frame import inner_height
from putback.tui.widgets.text_input import Line
from tests.sampled import some
from tests.strategies import ODD_NAMES
from tests.tui.conftest import NAMES, Bench, Opened

WALK = ("1", "1", "1")
SIZES = [(80, 24), (120, 36), (60, 17)]


async def to_card(bench: Bench, typed: str) -> None:
    """Type something into the search and open the first of what it finds."""
    await bench.keys("=", typed, "enter")
    if bench.screen == "FindScreen":
        await bench.keys("1")


async def retype(bench: Bench, *keys: str) -> None:
    """Empty the line that is open, then press keys."""
    bench.app.screen.query_one(Line).value = ""
    await bench.keys(*keys)


def step_named(bench: Bench, name: str) -> Step:
    record = bench.app.workshop.record
    return next(s for s in record.all(Step, bench.app.machine_id) if s.name == name)


@pytest.mark.parametrize("size", SIZES)
async def test_a_few_letters_lead_to_every_sort_of_card_and_cards_to_each_other(
    demo: Path, opened: Opened, size: tuple[int, int]
) -> None:
    async with opened(demo, size) as bench:
        await bench.keys(*WALK, "=", "ribbon spring")
        assert "part" in bench.picture() and "Ticket-d" in bench.picture()
        await bench.keys("enter", "1")
        assert bench.screen == "PartScreen"
        await bench.keys("1")
        assert bench.screen == "StepScreen" and "step 16" in bench.picture()
        await bench.keys("/")
        assert "step 17: took off ribbon spring barrel" in bench.picture()
        await bench.keys("1")
        assert bench.screen == "BagScreen" and "1 step 17" in " ".join(bench.picture().split())
        await bench.keys("1", "4")
        assert bench.screen == "ThingScreen" and ", hole 1 of" in bench.picture()
        assert "now: bag 12" in bench.picture()
        await bench.keys("2")
        assert bench.screen == "BagScreen"
        await bench.keys(".", ".", ".")
        assert bench.screen == "BagScreen"
        await bench.keys("0")
        assert bench.screen == "BenchScreen"


async def test_the_list_is_walked_with_arrows_and_pages(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "=", "screw", "down", "down", "up")
        await bench.keys("enter")
        assert bench.screen == "ThingScreen"
        await bench.keys(".", "+")
        assert "page 2" in bench.picture()
        await bench.keys("-", "/", "backspace", "enter", ".")
        assert bench.screen == "BenchScreen"


async def test_nothing_found_is_said_and_a_dot_is_a_letter_while_typing(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "=", "zz.9", "enter")
        assert bench.screen == "FindScreen" and "nothing has all of that" in bench.picture()
        await bench.keys("escape")
        assert bench.screen == "BenchScreen"


async def test_the_search_is_in_the_list_of_everything_else(demo: Path, opened: Opened) -> None:
    async with opened(demo, (80, 40)) as bench:
        await bench.keys(*WALK, ".")
        for _ in range(8):
            if "find" in bench.picture():
                break
            await bench.keys("+")
        row = next(line for line in bench.picture().splitlines() if "find          =" in line)
        await bench.keys(row.split("find")[0].split()[-1])
        assert bench.screen == "FindScreen"


async def test_a_step_is_said_right_on_its_card_and_taken_back(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        assert bench.screen == "StepScreen"
        await bench.keys("*", "1")
        await retype(bench, "spring barrel", "enter")
        step = step_named(bench, "spring barrel")
        assert step.number == 17 and "step 17: took off spring barrel" in bench.picture()
        await bench.keys("*", "5", "found [dry] بلا", "enter")
        assert step_named(bench, "spring barrel").note == "found [dry] بلا"
        assert "found [dry]" in bench.picture()
        await bench.keys("-", "-")
        assert step_named(bench, "ribbon spring barrel").note == ""
        assert "took off ribbon spring barrel" in bench.picture()


async def test_holes_that_have_no_room_beside_the_facts_are_on_the_next_page(demo: Path, opened: Opened) -> None:
    async with opened(demo, (80, 24)) as bench:
        await bench.keys(*WALK, "=", "left panel", "enter", "1", "1")
        assert "page 1 of 2" in bench.picture() and "- left -" not in bench.picture().replace("─", "-")
        await bench.keys("+")
        assert "#6-32 x 1/2" in bench.picture() and "- left -" in bench.picture().replace("─", "-")
        await bench.keys("+")
        assert "page 1 of 2" in bench.picture()


async def test_lists_of_a_step_are_mended_line_by_line(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        await bench.keys("*", "7", "1")
        await retype(bench, "enter")
        assert step_named(bench, "ribbon spring barrel").cautions == ()
        await bench.keys("*", "7", "strong spring", "enter")
        assert step_named(bench, "ribbon spring barrel").cautions == ("strong spring",)
        await bench.keys("*", "6", "1", "2", *["backspace"] * 5, "2.5", "enter")
        assert step_named(bench, "ribbon spring barrel").adjust[0].turns == 2.5
        assert not list(check_balance(bench.app.workshop.record))


@pytest.mark.parametrize("size", [(80, 24), (60, 17)])
async def test_a_job_is_said_taken_in_hand_and_done(demo: Path, opened: Opened, size: tuple[int, int]) -> None:
    """On the number pad but for the words; three steps back again, and brought again."""

    def jobs() -> list[tuple[str, str, str, str]]:
        step = bench.app.workshop.record.step(bench.app.machine_id, 20)
        assert step is not None
        return [(job.do, job.what, job.when, job.state) for job in step.todo[1:]]

    pin = ("make", "new pin [8]", "before it goes back")
    async with opened(demo, size) as bench:
        await bench.keys(*WALK, "x", "3", "3", "new pin [8]", "enter")
        assert "When must it be done? Enter: before it goes back" in " ".join(bench.picture().split())
        await bench.keys("enter")
        assert "How long does it take? Enter: not known" in " ".join(bench.picture().split())
        await bench.keys("2")
        assert jobs() == [(*pin, "to do")] and "to make: new pin [8] (before it goes back, an" in bench.said
        await to_card(bench, "step 20")
        if "to make first: new pin [8]" not in bench.picture():
            await bench.keys("+")
        assert "to make first: new pin [8]" in bench.picture()

        async def job(number: str, *keys: str) -> None:
            await bench.keys("*")
            while not (rows := [line for line in bench.picture().splitlines() if "jobs:" in line]):
                await bench.keys("+")
            row = rows[0]
            await bench.keys(row.split("jobs:")[0].split()[-1], number, *keys)

        await job("2", "1")
        assert jobs() == [(*pin, "in hand")] and "in hand: new pin [8] (step 20)" in bench.said
        await job("2", "1", "from silver steel", "enter")
        assert jobs() == [(*pin, "done")] and bench.said.endswith("from silver steel")
        await job("2", "3", "4", "enter", "3", "enter")
        assert jobs() == [("get", "new pin [8]", "no hurry", "done")]
        await job("2", "4")
        assert jobs() == []
        await bench.keys("-", "-", "-")
        assert jobs() == [(*pin, "in hand")]
        await bench.keys("0", "ctrl+y")
        assert jobs() == [(*pin, "done")]
        assert not list(check_balance(bench.app.workshop.record))


async def test_a_forgotten_step_and_a_forgotten_screw_are_written_in(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        before = bench.app.workshop.record.count(Step, bench.app.machine_id)
        await bench.keys("*", "+", "3", "1", "dust cap", "enter", "enter")
        assert bench.app.workshop.record.count(Step, bench.app.machine_id) == before + 1
        assert step_named(bench, "dust cap").number == 17
        assert step_named(bench, "ribbon spring barrel").number == 18
        assert "step 18: took off ribbon spring barrel" in bench.picture()
        assert "what was 17 to" in " ".join(bench.picture().split())
        dust = step_named(bench, "dust cap")
        await bench.keys("0")
        await to_card(bench, "step 17")
        await bench.keys("*", "+", "1", "1", "5", "832", "enter", ".372", "enter")
        things = bench.app.workshop.record.things_of(dust)
        assert [t.called for t in things if t.hole == "5"] == ["screw #8-32 UNC x 3/8"]
        await bench.keys("-", "-")
        assert bench.app.workshop.record.count(Step, bench.app.machine_id) == before
        assert "no longer in the record" in bench.picture()
        await bench.keys("*")
        assert bench.screen != "StepScreen"


async def test_a_slip_in_what_was_forgotten_is_said_and_asked_again(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        before = bench.app.workshop.record.count(Step, bench.app.machine_id)
        await bench.keys("*", "+", "3", "1", "dust cap", "enter")
        assert "Where did it go?" in bench.picture() and "loose on the bench" in bench.picture()
        assert bench.app.workshop.record.count(Step, bench.app.machine_id) == before
        await bench.keys("1")
        assert step_named(bench, "dust cap").put == "shelf"

        await bench.keys("0")
        await to_card(bench, "step 17")
        await bench.keys("*", "+", "1", "1", "x", "5", "83x", "enter")
        assert "names no thread" in bench.picture() and bench.screen == "SizesScreen"
        await bench.keys("backspace", "2", "enter", ".372", "enter")
        things = bench.app.workshop.record.things_of(step_named(bench, "dust cap"))
        assert [t.called for t in things if t.hole == "5"] == ["screw #8-32 UNC x 3/8"]


async def test_keys_in_one_go_are_taken_in_their_order(demo: Path, opened: Opened) -> None:
    """As they come after the screen stood still for a moment: a correction is not overtaken by what follows it."""
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        await bench.keys("*", "+", "3", "1")
        for key in (*"la", "left", "right", "x", "backspace", "d", "left", "left", "i", "enter", "3"):
            bench.app.simulate_key(key)
        await bench.settle()
        step = bench.app.workshop.record.step(bench.app.machine_id, 17)
        assert step is not None and (step.name, step.put) == ("liad", "loose"), bench.said


async def test_a_forgotten_step_without_a_name_gets_a_number(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        last = bench.app.workshop.record.last_step(bench.app.machine_id)
        assert last is not None
        await to_card(bench, "step 17")
        await bench.keys("*", "+", "3", "1", "enter", "enter")
        assert step_named(bench, f"part {last.number + 1}").number == 17


async def test_what_was_forgotten_asks_for_a_bag_where_the_steps_own_is_closed(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        await bench.keys("*", "+", "2", "felt washer", "enter", "enter")
        assert "Bag 12 is closed" in bench.picture()
        await bench.keys("enter")
        record = bench.app.workshop.record
        piece = next(t for t in record.things_of(step_named(bench, "ribbon spring barrel")) if t.name == "felt washer")
        (place,) = record.standing(piece.id)
        assert place == f"bag {record.highest_bag(bench.app.machine_id)}" and place != "bag 12"


async def test_a_step_that_did_nothing_is_asked_about_at_once(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "o", "3", "clutch", "enter", "0")
        assert bench.app.message.sort == "asks" and "nothing came out and nothing was set" in bench.said
        await bench.keys("s")
        assert "nothing came out" in " ".join(bench.picture().split())


async def test_what_is_taken_back_on_a_card_leaves_nothing_hanging(demo: Path, opened: Opened) -> None:
    """The assembly worked in, the step walked back to, the part coming off: all may go while a card is open."""
    async with opened(demo) as bench:
        await bench.keys("2", "it is not so", "enter")
        assert bench.screen == "StepScreen"
        for _ in range(20):
            if "no longer in the record" in bench.picture():
                break
            await bench.keys("-")
        assert "no longer in the record" in bench.picture()
        await bench.keys(".", "1", "1")
        assert bench.screen == "BenchScreen"
        assert bench.app.do(c.AddAssembly(name="fly wheel")) is not None
        screen, made = bench.app.screen, bench.app.workshop.record.assembly_named(bench.app.machine_id, "fly wheel")
        assert isinstance(screen, BenchScreen) and made is not None
        screen.hand.inside.go_to(made.id)
        await bench.keys("1", "832", "enter", "372", "enter")
        await to_card(bench, "fly wheel")
        assert bench.screen == "PartScreen"
        await bench.keys("-", "-", "-", "0")
        assert bench.screen == "BenchScreen"
        assert bench.app.workshop.record.assembly_named(bench.app.machine_id, "fly wheel") is None
        await bench.keys("/", "*")
        assert bench.app.is_running


async def test_a_fastener_goes_to_the_right_hole_and_bag(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        await bench.keys("4", "*", "1", "backspace", "3", "enter")
        assert bench.app.message.sort == "refused" and "Hole 3" in bench.said and "Hole 3" in bench.picture()
        await bench.keys("*", "1", "backspace", "9", "enter")
        assert "hole 9 of ribbon spring barrel" in bench.picture()
        await bench.keys("*", "+", "1", "enter")
        thing = next(
            t for t in bench.app.workshop.record.things_of(step_named(bench, "ribbon spring barrel")) if t.hole == "9"
        )
        (place,) = bench.app.workshop.record.standing(thing.id)
        assert place != "bag 12" and f"now: {place}" in bench.picture()


async def test_readings_are_typed_again_and_name_the_size_anew(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 17")
        await bench.keys("4", "*", "2")
        await bench.keys("632", "enter", "enter")
        if bench.screen == "Pick":
            await bench.keys("1")
        await bench.keys("*", "2", "enter", ".247", "enter")
        if bench.screen == "Pick":
            assert "like it in this step" in bench.picture()
            await bench.keys("1")
        thing = next(
            t for t in bench.app.workshop.record.things_of(step_named(bench, "ribbon spring barrel")) if t.hole == "1"
        )
        assert thing.called == "screw #6-32 UNC x 1/4"
        assert "screw #6-32 UNC x 1/4, hole 1" in bench.picture()


async def test_a_bag_is_split_and_tipped_together_again(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        record = bench.app.workshop.record
        bag = next(b for b in record.all(Bag, bench.app.machine_id) if not b.closed and len(record.in_bag(b)) > 1)
        held = len(record.in_bag(bag))
        new = record.highest_bag(bench.app.machine_id) + 1
        await bench.keys(*WALK, bag.code, "*", "2", "1", "enter")
        other = record.bag(bench.app.machine_id, new)
        assert other is not None and record.in_bag(other) and len(record.in_bag(bag)) < held
        await bench.keys("m", "3", str(new), "enter")
        assert not record.in_bag(bag) and len(record.in_bag(other)) == held
        await bench.keys("-", "-")
        assert len(record.in_bag(bag)) == held and record.bag(bench.app.machine_id, new) is None


async def test_another_machines_card_is_read_and_not_mended(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "hub spring")
        assert "Skein winder" in bench.picture()
        await bench.keys("*")
        assert bench.app.message.sort == "refused" and "Skein winder" in bench.said
        assert isinstance(bench.app.screen, CardScreen)


async def test_not_so_leads_to_the_steps_card_and_back_to_the_walk(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("2", "the spring is still on", "enter")
        assert bench.screen == "StepScreen" and "the spring is still on" in bench.picture()
        await bench.keys(".")
        assert bench.screen == "WalkBackScreen" and "2 of 3" in bench.picture()


@pytest.mark.parametrize("name", some([*ODD_NAMES[:8], ODD_NAMES[14], ODD_NAMES[15]], 3))
async def test_odd_names_stay_text_on_every_card(demo: Path, opened: Opened, name: str) -> None:
    async with opened(demo) as bench:
        step = step_named(bench, "ribbon spring barrel")
        found = c.MendStep(step=step.number, name=name, note=name, cautions=(name,), tools=(name,))
        bench.app.workshop.do(found, bench.app.machine_id)
        await bench.keys(*WALK)
        await to_card(bench, f"step {step.number}")
        assert bench.screen == "StepScreen"
        if name.isascii() and name.isprintable() and len(name) < 40:
            assert name in bench.picture()
        await bench.keys("1", ".", "3", ".", "4", ".", "*", "escape", "+", "+", ".")
        assert bench.app.is_running


KEYS = [*"123456789" * 3, *"./*-+" * 3, *["enter"] * 6, *["escape"] * 2, "m", "=", "?", "up", "down", "left", "x"]


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in (1, 2))])
async def test_random_keys_on_cards_end_with_a_clean_check(demo: Path, opened: Opened, seed: int) -> None:
    chance = random.Random(seed)
    async with opened(demo, chance.choice([(80, 24), (120, 36), (60, 17)])) as bench:
        await bench.keys(*WALK)
        for _ in range(6):
            if bench.screen == "BenchScreen":
                await bench.keys("=", chance.choice(["screw", "spring", "bag", "step 1", "box", "lid"]), "enter", "1")
            for _ in range(20):
                bench.app.simulate_key(NAMES.get(key := chance.choice(KEYS), key))
                if chance.random() < 0.3:
                    await bench.pilot.pause()
                if chance.random() < 0.02:
                    await bench.pilot.resize_terminal(chance.randint(20, 150), chance.randint(6, 50))
        await bench.settle()
        assert bench.app.is_running
    assert check_workshop(demo, is_code).ok


def test_pages_hold_every_fact_and_every_way_once() -> None:
    facts = [Content(str(n)) for n in range(30)]
    links = [Link(str(n), lambda: None) for n in range(25)]  # type: ignore[arg-type, return-value]
    for room in (6, 10, 16, 40):
        pages = laid_out(facts, links, room)
        assert [fact for page, _ in pages for fact in page] == facts
        assert [link for _, page in pages for link in page] == links
        assert all(len(a) + len(b) <= room and len(b) <= 9 for a, b in pages)
    assert laid_out([], [], 10) == [([], [])]
    assert inner_height(24) == 20


async def test_a_bags_card_prints_its_label_and_the_list_of_bags_those_that_changed(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "g", "1", "*", "4")
        assert bench.screen == "BagScreen" and "labels.pdf at 100 %" in " ".join(bench.picture().split())
        record = bench.app.workshop.record
        [bag] = [one for one in record.all(Bag, bench.app.machine_id) if one.label]
        assert "step" in bag.label and bag.printed
        assert (demo / "out" / f"{bag.code}.png").exists()
        await bench.keys("-")
        assert not any(one.label for one in record.all(Bag, bench.app.machine_id))


async def test_a_card_is_copied_as_text_whole_or_what_is_selected(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        await to_card(bench, "step 5")
        await bench.keys("*", "+")
        lines = [line.strip() for line in bench.picture().splitlines()]
        while not any("copy what is here" in line for line in lines):
            await bench.keys("+")
            lines = [line.strip() for line in bench.picture().splitlines()]
        number = next(re.search(r"(\d)   copy what is here", line) for line in lines if "copy what is here" in line)
        assert number is not None
        await bench.keys(number[1])
        assert bench.app.clipboard.startswith("step 5: took off left panel") and "shelf" in bench.app.clipboard
        assert "copied to the clipboard" in bench.said
        await bench.pilot.mouse_down(offset=(6, 2))
        await bench.pilot.hover(offset=(30, 2))
        await bench.pilot.mouse_up(offset=(30, 2))
        await bench.keys("ctrl+c")
        assert bench.app.clipboard and "\n" not in bench.app.clipboard and len(bench.app.clipboard) < 40
