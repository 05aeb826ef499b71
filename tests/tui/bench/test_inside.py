"""Between parts: `+` goes inside what came off last, and out again; `*` is a new bag."""

from __future__ import annotations

from pathlib import Path

from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.record.machine import Part
from putback.trade.record.step import Step
from tests.tui.conftest import Bench, Opened

WALK = ("1", "1", "1")
SCREW = ("832", "enter", "372", "enter")


def last(bench: Bench) -> Step:
    """Return the machine's last step."""
    step = bench.app.workshop.record.last_step(bench.app.machine_id)
    assert step is not None
    return step


def part(bench: Bench, number: int) -> Part:
    """Return a part by its number in the workshop."""
    return bench.app.workshop.record.get(Part, number)


async def take_apart(bench: Bench) -> None:
    """Press the figure of the way inside that a card shows, on whichever page."""
    while "take clutch apart" not in bench.picture():
        await bench.keys("+")
        assert "page 1 of" not in bench.picture()
    line = next(line for line in bench.picture().splitlines() if "take clutch apart" in line)
    await bench.keys(line.partition("take")[0].split()[-1])


async def test_what_came_off_last_is_taken_apart_with_one_key_and_left_with_one(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "clutch", "enter", "1", *SCREW, "0")
        clutch = last(bench)
        assert "+ inside" in bench.picture() and not part(bench, clutch.part).assembly
        await bench.keys("+")
        assert "working inside clutch; + goes out again" in bench.said
        assert part(bench, clutch.part).assembly
        await bench.keys("3", *SCREW, "0")
        inner = last(bench)
        assert inner.area == clutch.part and inner.needs == (clutch.number,)
        assert "out of clutch" in bench.picture() and "+ out  " in bench.picture()
        await bench.keys("+")  # a lid of it came off: that is nothing to go into
        assert last(bench).area == clutch.part and not part(bench, inner.part).assembly
        outside = part(bench, clutch.part).inside
        assert f"working inside {part(bench, outside).name if outside else 'the machine itself'}" in bench.said
        assert "take clutch apart" in bench.picture(), "once more leads where one was, and not into the lid"
        await bench.keys("+")
        assert "working inside clutch; + goes out again" in bench.said
        await bench.keys("i", "1")
        assert "working inside the machine itself" in bench.said
        await bench.keys("7", *SCREW, "0")
        assert last(bench).area == 0 and last(bench).needs == (clutch.number,)
        check_balance(bench.app.workshop.record)
        plate = last(bench)
        assert "inside another unit" in bench.picture(), "no key but its own leads into the clutch any more"
        record, machine = bench.app.workshop.record, bench.app.machine_id
        page, line = divmod(sum(p.assembly for p in record.all(Part, machine)) + 2, 9)
        await bench.keys("i", *["+"] * page, str(line + 1))  # behind the line that adds one
        assert (
            "Which part is taken apart?" in bench.picture() and f"{plate.name}, step {plate.number}" in bench.picture()
        )
        await bench.keys("2")
        assert f"working inside {inner.name}; + goes out again" in bench.said
        for step in (plate, inner):
            assert bench.app.do(c.PutBack(step=step.number)) is not None
        await bench.keys("g", ".")  # looked at something else, and come back to the bench
        assert f"inside {part(bench, clutch.part).name}" in bench.picture(), "what it lies in is off still"
        assert bench.app.do(c.PutBack(step=clutch.number)) is not None
        await bench.keys("g", ".")
        around = part(bench, outside).name if outside else "the machine"
        assert f"inside {around}" in bench.picture() and "inside clutch" not in bench.picture()


async def test_inside_only_what_came_off_in_one_piece_is_gone_into(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "clutch", "enter", "0", "+", "enter", "hub", "enter", "0")
        hub = last(bench)
        bench.app.do(c.Annotate(step=hub.number, whole=True))
        await bench.keys("n", "escape")  # drawn anew
        assert "take hub apart" in bench.picture() and "+ inside" in bench.picture()
        await bench.keys("+")
        assert "working inside hub; + goes out again" in bench.said
        await bench.keys("+")
        assert "working inside clutch" in bench.said


async def test_going_in_and_out_with_nothing_between_leaves_the_record_as_it_was(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "clutch", "enter", "1", *SCREW, "0")
        before = last(bench)
        await bench.keys("+", "+")
        assert f"working inside {part(bench, before.area).name}" in bench.said
        assert last(bench) == before and not part(bench, before.part).assembly
        await bench.keys("-")
        assert last(bench).is_open, "the next thing taken back is the part that came off"


async def test_with_nothing_off_there_is_nothing_to_go_into(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path / "new") as bench:
        await bench.keys("Lathe", "enter", "escape", "enter", "3", "7", "enter", "+")
        assert bench.app.message.sort == "refused" and "Nothing is off that could be taken apart" in bench.said


async def test_between_parts_a_star_is_a_new_bag(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "clutch", "enter", "1", *SCREW, "0")
        bag = bench.app.workshop.record.highest_bag(bench.app.machine_id)
        changes, off = bench.app.workshop.store.number, last(bench)
        for again in "*-":  # said by mistake, it is taken back by the same key or by the one that takes back
            await bench.keys("*")
            assert "the next part goes into a new bag" in bench.said and "- takes back: this" in bench.picture()
            await bench.keys(again)
            assert bench.said == f"the next part goes into bag {off.bag}"
        assert bench.app.workshop.store.number == changes, "and nothing that is recorded goes with it"
        await bench.keys("*", "/", "/")
        assert "- takes back: the bag that was said" in bench.picture()
        await bench.keys("-", "-")
        assert last(bench).is_open and last(bench).id == off.id, "the next one takes back the part"
        await bench.keys("ctrl+y", "*")
        await bench.keys("3", *SCREW, "0")
        assert last(bench).bag == bag + 1
        await bench.keys("7", *SCREW, "0")
        assert last(bench).bag == bag + 1, "and the one after it stays with that bag"


async def test_from_its_card_and_from_its_bag_one_key_goes_inside(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "enter", "clutch", "enter", "1", *SCREW, "w", "2", "0")
        clutch = last(bench)
        await bench.keys("enter", "flap", "enter", "0")
        bench.app.push_screen(bench.app.screen_named("part", clutch.part))
        await bench.settle()
        await take_apart(bench)
        assert bench.screen == "BenchScreen" and "working inside clutch" in bench.said
        assert part(bench, clutch.part).assembly and last(bench).name == "flap", "nothing was begun"
        await bench.keys("i", "1")
        bag = bench.app.workshop.record.bag(bench.app.machine_id, clutch.bag)
        assert bag is not None
        bench.app.push_screen(bench.app.screen_named("bag", bag.id))
        await bench.settle()
        await bench.keys("i")
        assert "working inside clutch" in bench.said
        await bench.keys("i", "1", "enter", "rod", "enter")
        bench.app.push_screen(bench.app.screen_named("step", clutch.id))
        await bench.settle()
        await take_apart(bench)
        assert "rod is still coming off" in bench.said
