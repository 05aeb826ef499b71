"""The card of a line of the jobs page: it stays with what it was opened for."""

from __future__ import annotations

from pathlib import Path

from putback.reports.to_get import get_key
from putback.reports.wanted import wanted_things
from putback.trade import commands as c
from tests.tui.conftest import Bench, Opened


def taken_off(bench: Bench, machine: int, *holes: str) -> None:
    """A hood of a machine comes off, with one screw a hole."""
    workshop = bench.app.workshop
    workshop.do(c.NewMachine(name="press", serial=str(machine)), 0)
    workshop.do(c.Begin(name="hood"), machine)
    for hole in holes:
        workshop.do(c.Enter(hole=hole, readings={"gauge": "832", "length": ".372"}), machine)
    workshop.do(c.Finish(put="shelf"), machine)


async def test_with_a_donor_taken_the_card_does_not_turn_into_that_of_the_gap_there(
    tmp_path: Path, opened: Opened
) -> None:
    async with opened(tmp_path) as bench:
        await bench.keys("escape")
        taken_off(bench, 1, "7", "9")
        taken_off(bench, 2, "3", "5")
        bench.app.workshop.do(c.Trouble(what="lost", step=1, hole="3"), 2)
        [wanted] = wanted_things(bench.app.workshop.record, 2)
        bench.app.push_screen(bench.app.screen_named("job", 2, ("get", *get_key(wanted))))
        await bench.settle()
        picture = " ".join(bench.picture().split())
        assert "from the donor: press 1, step 1, hole 7, bag 1" in picture and "hole 9, bag 1" in picture
        await bench.keys("4")
        assert bench.screen != "JobScreen" and not wanted_things(bench.app.workshop.record, 2)
        [gap] = wanted_things(bench.app.workshop.record, 1)
        assert get_key(gap) == get_key(wanted), "another line that reads the same"
