"""The jobs page: opened between parts, read, a job taken in hand and done from its card and from the page."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from putback.tui.pages.jobs import JobsScreen
from tests.tui.conftest import Clock, Opened

WALK = ("1", "1", "1")


@pytest.mark.parametrize("size", [(80, 24), (60, 17)])
async def test_jobs_are_read_taken_in_hand_and_done(demo: Path, opened: Opened, size: tuple[int, int]) -> None:
    """On the number pad alone; taken back again, and told after a restart."""

    def states() -> list[str]:
        record = bench.app.workshop.record
        return [job.state for step in record.all(Step) for job in step.todo]

    async with opened(demo, size) as bench:
        was = states()
        await bench.keys(*WALK, "0")
        page = bench.app.screen
        assert isinstance(page, JobsScreen) and "jobs: now, here" in bench.picture()
        assert "it frees " in bench.picture()
        groups = set()
        for _ in range(len(page._pages)):
            groups.add(bench.picture().split("jobs: ")[1].split(" (")[0])
            await bench.keys("*")
        assert {"now, here", "to get"} <= groups
        await bench.keys("1")
        assert "job: to " in bench.picture()
        await bench.keys("1", ".")
        assert states().count("in hand") == was.count("in hand") + 1
        await bench.keys("+", "1")
        assert states().count("done") == was.count("done") + 1
        await bench.keys("-", "-")
        assert states() == was
        await bench.keys("+", ".", "+", "+", "1", "*")
        assert states() == was, "a point or a second plus says that nothing is done; the number opens a card"
        await bench.keys("0", "0", "0", "+", "1")
        assert states().count("done") == was.count("done") + 1
    async with opened(demo, size) as bench:
        assert states().count("done") == was.count("done") + 1
        await bench.keys(*WALK, "0", "2")
        assert "job: to " in bench.picture()


async def test_a_job_of_the_machine_is_noted_and_mended_from_the_page(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:

        def machine() -> Machine | None:
            return bench.app.machine

        await bench.keys(*WALK, "j", "/", "1", "6", "which year", "enter", "enter", "1")
        found = machine()
        assert found is not None and found.todo[-1].text == "to find out: which year (no hurry, a few minutes)"
        assert "[" not in bench.picture().split("which year")[1].split(")")[0], "the machine on the bench is not named"
        await bench.keys("-")
        found = machine()
        assert found is not None and not found.todo
        record = bench.app.workshop.record
        off = [step for step in record.all(Step, bench.app.machine_id) if step.part and not step.back][-1]
        await bench.keys("/", "1", "2", f"{off.name} in penetrant", "enter", "8", "enter")
        assert f"1 step {off.number}, {off.name}" in " ".join(bench.picture().split())
        await bench.keys("1")
        soak, found = record.get(Step, off.id).soak, machine()
        assert soak is not None and (soak.what, soak.hours) == (f"{off.name} in penetrant", 8)
        assert found is not None and not found.todo, "it is of the part that it names"


async def test_what_is_to_be_made_gets_its_measures_on_its_card(demo: Path, opened: Opened) -> None:
    """On the number pad, on a small screen, whose card has several pages: `*` stands for the space."""
    async with opened(demo, (60, 17)) as bench:

        async def number(words: str) -> None:
            for _ in range(5):
                if words in bench.picture():
                    break
                await bench.keys("+")
            row = next(line for line in bench.picture().splitlines() if words in line)
            await bench.keys(row.split(words)[0].split()[-1])

        await bench.keys(*WALK, "j", "/", "1", "3", "pawl pin", "enter", "enter", "1")
        await number("to make: pawl pin")
        await number("a measure of it")
        await bench.keys("1", "enter", "250*+000*-", "enter")
        assert "is not a" in bench.picture(), "it stays in its line"
        await bench.keys("001", "enter")
        await bench.keys("+")
        assert "diameter .250 +.000 -.001 in" in " ".join(bench.picture().split())
        await number("a measure of it")
        await bench.keys("2", "enter", "12.5*+-.05", "enter")
        assert "is large for inches. Which is meant?" in " ".join(bench.picture().split())
        await bench.keys("2")
        found = bench.app.machine
        assert found is not None and "length 12.5 +-.05 mm (12.45 to 12.55 mm)" in found.todo[-1].making
        await number("how many, of what")
        await bench.keys("2", "enter", "silver steel", "enter", "pin.jpg", "enter")
        found = bench.app.machine
        assert found is not None and found.todo[-1].making.startswith("2 pieces, of silver steel; diameter .250")
        await bench.keys("*")
        await number("print its sheet")
        assert "made the sheet" in bench.picture() and (demo / "out" / "make.pdf").exists()
        await bench.keys("*")
        await number("diameter .250")
        await bench.keys("1/4*-.002", "enter", "-", "-", "0", "ctrl+y")
        found = bench.app.machine
        assert found is not None and found.todo[-1].making.startswith("2 pieces, of silver steel; diameter .250")


async def test_a_second_nought_at_once_is_a_bounce(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        now = [100.0]
        bench.app.seconds = lambda: now[0]
        await bench.keys(*WALK, "1", "832", "enter", ".372", "enter", "0", "0")
        assert not isinstance(bench.app.screen, JobsScreen)
        now[0] += 1
        await bench.keys("0")
        assert isinstance(bench.app.screen, JobsScreen)


async def test_a_job_on_a_bag_is_noted_from_its_card(demo: Path, opened: Opened) -> None:
    """And told by the bag's card, the jobs page and after it is taken back no more."""
    async with opened(demo) as bench:
        await bench.keys(*WALK, "g", "1", "*")
        row = next(line for line in bench.picture().splitlines() if "note a job" in line)
        await bench.keys(row.split("note a job")[0].split()[-1], "1", "degrease it", "enter", "enter", "1")
        assert "to do: degrease it (before it goes back, a few minutes)" in " ".join(bench.picture().split())
        await bench.keys("0", "0")
        assert "degrease it" in bench.picture(), "what takes a few minutes stands first"
        await bench.keys("-", ".")
        record = bench.app.workshop.record
        assert not any(bag.todo for bag in record.all(Bag))


async def test_a_soak_of_two_days_stands_on_the_page_and_is_lifted_out_there(
    demo: Path, opened: Opened, clock: Clock
) -> None:
    """The clock is moved past its hours; what is in acid comes before what is longer over."""
    async with opened(demo) as bench:
        await bench.keys(*WALK, "o", "8", "pawl in acid", "enter", "24", "enter")
        await bench.keys("j")
        for _ in range(9):
            if "jobs: in soak" in bench.picture():
                break
            await bench.keys("*")
        assert "pawl in acid: out 2 Jul 09:" in bench.picture()
    clock.move(2 * 24 * 60)
    async with opened(demo) as bench:
        assert "soak overdue by 24 h: pawl in acid" in " ".join(bench.picture().split())
        await bench.keys(*WALK, "j")
        for _ in range(9):
            if "jobs: in soak" in bench.picture():
                break
            await bench.keys("*")
        first = next(line for line in bench.picture().splitlines() if " 1 " in line)
        assert "pawl in acid" in first and "was due 2 Jul" in first
        await bench.keys("+", "1")
        first = next(line for line in bench.picture().splitlines() if " 1 " in line)
        assert "penetrant" in first, "the machine that is not on the bench has the next one"
