"""What is wrong with all screws of a step is said right once."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.errors import Refused
from putback.trade.commands import MendFastener
from putback.trade.record.fastener import Thing
from putback.tui.cards.thing_card import ThingScreen
from tests.tui.conftest import Bench, Opened

FIVE = ("fare stamp", "enter", "2", "enter", "h", "1", "d", "1", "3", "832", "enter", "372", "enter", *"++++")


def screws(bench: Bench) -> list[Thing]:
    return [thing for thing in bench.app.workshop.record.all(Thing, 1) if thing.sort == "fastener"]


async def test_a_correction_is_of_this_one_or_of_all_like_it(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*FIVE)
        assert len(screws(bench)) == 5
        bench.app.push_screen(ThingScreen(screws(bench)[0].id))
        await bench.settle()
        number = bench.app.workshop.store.number
        await bench.keys("*", "3", "2", "1")
        assert bench.screen == "Pick" and "2 " in bench.picture() and "all 5 like it in this step" in bench.picture()
        await bench.keys("2")
        assert {thing.head for thing in screws(bench)} == {"pan"} and bench.app.workshop.store.number == number + 1
        holes = ", ".join(sorted(thing.hole for thing in screws(bench)))
        assert bench.said == f"holes {holes}: head pan, before fillister"
        await bench.keys("-")
        assert {thing.head for thing in screws(bench)} == {"fillister"}
        await bench.keys("*", "3", "2", "1", "1")
        assert sorted(thing.head for thing in screws(bench)) == ["fillister"] * 4 + ["pan"]
        assert bench.said == "hole 3: head pan, before fillister"


async def test_a_size_said_right_of_all_is_measured_once(tmp_path: Path, opened: Opened) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys(*FIVE)
        first, second, *_ = screws(bench)
        workshop = bench.app.workshop
        others = tuple(thing.id for thing in screws(bench) if thing.id != second.id)
        read = {"gauge": "832", "length": ".497"}
        found = workshop.do(MendFastener(thing=second.id, readings=read, also=others), 1).said
        assert found.endswith(": screw #8-32 UNC x 3/8 is screw #8-32 UNC x 1/2 now") and found.startswith("holes ")
        assert {thing.length for thing in screws(bench)} == {"1/2"}
        assert [thing.like for thing in screws(bench)] == [second.id, 0, *[second.id] * 3]
        workshop.take_back(1)
        assert {thing.length for thing in screws(bench)} == {"3/8"} and screws(bench)[0].like == 0
        with pytest.raises(Refused, match="own hole"):
            workshop.do(MendFastener(thing=second.id, hole="5", also=(first.id,)), 1)
        with pytest.raises(Refused, match="same step"):
            await bench.keys("0", "1", "832", "enter", "372", "enter")
            workshop.do(MendFastener(thing=second.id, head="pan", also=(screws(bench)[-1].id,)), 1)
