"""The bell told by count and rhythm, and the line that stands out for a moment."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from putback.settings import BellSettings
from putback.tui.bells import PATTERNS, Bells
from putback.tui.widgets.panes import MessageLine
from tests.tui.conftest import Bench, Opened
from tests.tui.pages.test_pages import WALK


class Later:
    """Timers that go off when they are told to."""

    def __init__(self) -> None:
        self.set: list[tuple[float, Callable[[], None]]] = []
        self.stopped = 0

    def __call__(self, seconds: float, then: Callable[[], None]) -> Later:
        self.set.append((seconds, then))
        return self

    def stop(self) -> None:
        self.stopped += 1


def test_patterns_differ_in_count_and_leave_time_between_strokes() -> None:
    assert len({len(pattern) for pattern in PATTERNS.values()}) == len(PATTERNS)
    for pattern in PATTERNS.values():
        assert pattern[0] == 0 and all(after - before >= 0.15 for before, after in pairwise(pattern))
        assert pattern[-1] < 1


def test_the_strokes_after_the_first_come_from_timers_and_give_way_to_the_next_pattern() -> None:
    strokes: list[int] = []
    later = Later()
    bells = Bells(BellSettings(), lambda: strokes.append(1), later)
    bells.ring("asks")
    assert len(strokes) == 1 and [seconds for seconds, _ in later.set] == [0.45, 0.63]
    for _, then in later.set:
        then()
    assert len(strokes) == 3
    bells.ring("recorded")
    assert len(strokes) == 4 and later.stopped == 2 and len(later.set) == 2


@pytest.mark.parametrize("sort", PATTERNS)
def test_each_pattern_can_be_off(sort: str) -> None:
    strokes: list[int] = []
    off = {"recorded": BellSettings(recorded=False), "refused": BellSettings(refused=False),
           "asks": BellSettings(asks=False)}[sort]  # fmt: skip
    bells = Bells(off, lambda: strokes.append(1), Later())
    for other in (*PATTERNS, "note", "caution"):
        bells.ring(other)
    assert len(strokes) == 2


def rung(bench: Bench) -> list[str]:
    """What the bell is asked to ring from now on."""
    found: list[str] = []
    setattr(bench.app.bells, "ring", found.append)  # noqa: B010 - the type checker wants a method's full shape
    return found


async def test_what_the_loop_rings_for(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        found = rung(bench)
        await bench.keys("/", "/")
        assert found == []
        await bench.keys("e")
        assert found == ["refused"]
        await bench.keys("1", "832", "enter", "372", "enter")
        assert found[1:] == ["recorded", "recorded"]  # the part is begun, then the screw
        await bench.keys("+")
        assert found[3:] == ["recorded"]
        await bench.keys("+", "+", "2", "832", "enter", "435", "enter")
        assert found[-1] == "asks" and bench.said.startswith("recorded. ")


async def test_what_would_be_taken_back_is_always_in_words(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "1", "832", "enter", "372", "enter")
        assert "- takes back: this" in bench.picture()
        last = bench.said
        await bench.keys("h", "2", "enter")
        assert bench.said.startswith("head:") and f"- takes back: {last}"[:70] in bench.picture()
        await bench.keys("r")
        assert "still coming off" in bench.picture() and "- takes back: " in bench.picture()


@pytest.mark.parametrize(("theme", "stands_out"), [("bench-dark", True), ("bench-contrast", False)])
async def test_a_new_line_stands_out_for_a_moment(
    demo: Path, opened: Opened, theme: str, stands_out: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK)
        bench.app.theme = theme
        bench.app.flashes = True
        line = bench.app.screen.query_one(MessageLine)
        later: list[Callable[[], None]] = []

        def kept(seconds: float, then: Callable[[], None]) -> Later:
            later.append(then)
            return Later()

        monkeypatch.setattr(line, "set_timer", kept)

        def bright() -> bool:
            return any("reverse" in str(span.style) for row in line._drawn for span in row.spans)

        await bench.keys("1", "832", "enter", "372", "enter")
        assert bright() is stands_out
        for then in later:
            then()
        assert not bright()


async def test_nothing_stands_out_where_it_was_not_wanted(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys(*WALK, "e")
        line = bench.app.screen.query_one(MessageLine)
        assert not any("reverse" in str(span.style) for row in line._drawn for span in row.spans)
