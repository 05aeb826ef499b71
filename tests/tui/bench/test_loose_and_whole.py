"""Where a loose piece goes is asked, the bag first; what comes off in one piece is the step it is said in."""

from __future__ import annotations

from pathlib import Path

from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Part
from putback.trade.record.step import Step
from tests.tui.conftest import Bench, Opened

MACHINE = ("fare stamp", "enter", "2", "enter")


def steps(bench: Bench) -> list[Step]:
    return list(bench.app.workshop.record.all(Step, bench.app.machine_id))


def lies(bench: Bench, name: str) -> str:
    record = bench.app.workshop.record
    (thing,) = (thing for thing in record.all(Thing, 1) if thing.name == name)
    return " ".join(record.standing(thing.id))


async def test_a_loose_piece_goes_into_the_bag_with_enter_and_elsewhere_by_the_list(
    tmp_path: Path, opened: Opened
) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "carriage", "enter", "l", "axle", "enter", "enter")
        assert bench.screen == "Pick" and "Enter: a new bag" in bench.picture()
        await bench.keys("1")
        assert lies(bench, "axle") == "shelf" and not steps(bench)[0].bag
        await bench.keys("l", "spring", "enter", "2", "enter", "enter")
        assert lies(bench, "spring") == "bag 1"
        await bench.keys("l", "long rod", "enter", "enter")
        assert "Enter: the bag in hand, bag 1" in bench.picture()
        await bench.keys("4", "C", "enter")
        assert lies(bench, "long rod") == "box C"
        await bench.keys("-", "ctrl+y")
        assert lies(bench, "long rod") == "box C"
        await bench.keys("l", "felt", "enter", "enter", ".")
        assert bench.screen == "BenchScreen" and len(bench.app.workshop.record.things_of(steps(bench)[0])) == 3


async def test_in_one_piece_is_said_of_the_step_in_hand_and_never_of_the_next(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*MACHINE, "enter", "feed unit", "enter", "x", "8")
        assert bench.said == "noted: a unit in one piece, to be taken apart (step 1)"
        await bench.keys("0", "enter", "lever", "enter", "0")
        assert [step.whole for step in steps(bench)] == [True, False]
        part = bench.app.workshop.record.get(Part, steps(bench)[0].part)
        assert part.assembly
        await bench.keys("x", "8")  # nothing is coming off: it is the last one's
        assert [step.whole for step in steps(bench)] == [True, True]
        await bench.keys("-")
        assert [step.whole for step in steps(bench)] == [True, False]
    async with opened(tmp_path) as bench:
        await bench.keys("1", "1", "-", "-", "-", "-")
        assert [step.whole for step in steps(bench)] == [False]
        await bench.keys("ctrl+y")
        assert [step.whole for step in steps(bench)] == [True]
