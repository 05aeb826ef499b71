"""The search for a kinder order goes on beside the keys, and is given up when told to stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from putback.opening import open_at
from putback.progress import listening
from putback.reports.planning import ToSearch, plan_of, refit_plan, to_search
from putback.tui.refit.refit_screen import RefitScreen
from tests.tui.conftest import Opened


@pytest.fixture
def wanted(demo: Path) -> ToSearch:
    with open_at(demo, read_only=True) as workshop:
        machine = workshop.machine("Ticket-dating press").id
        found = to_search(workshop.record, machine, "fewest-tools")
        plan = plan_of(workshop.record, machine, found, found.search())
        assert plan == refit_plan(workshop.record, machine, "fewest-tools"), "searched apart it is the same plan"
    return found


def test_a_search_is_given_up_by_whoever_hears_of_it(wanted: ToSearch) -> None:
    heard: list[tuple[int, int]] = []

    def stop(what: str, done: int, of: int) -> None:
        heard.append((done, of))
        if len(heard) == 3:
            raise InterruptedError

    with listening(stop), pytest.raises(InterruptedError):
        wanted.search()
    assert len(heard) == 3 and all(0 < done <= of for done, of in heard)


async def test_what_comes_of_a_search_that_was_given_up_is_not_followed(
    demo: Path, opened: Opened, wanted: ToSearch
) -> None:
    async with opened(demo) as bench:
        await bench.keys("1", "1", "1", "r")
        screen = bench.app.screen
        assert isinstance(screen, RefitScreen)
        before = [step.number for step in screen.way.off()]
        screen.way.follow(wanted, wanted.search())
        assert [step.number for step in screen.way.off()] == before and "fewest" not in bench.said
        await bench.keys("5")
        assert bench.said.startswith("fewest bag openings")
