"""Questions: each is one, and shows the keys that answer it, on a bare number pad too."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from putback import tui
from putback.trade.record.session import Session
from putback.tui.bench.bench_screen import BenchScreen
from tests.tui.conftest import Opened

ASKS = frozenset({
    "ask", "ask_line", "ask_lines", "ask_number", "ask_count", "ask_instead", "ask_note",
    "ask_caution", "ask_phrase", "pick", "_which", "AskLine", "Pick",
})  # fmt: skip
"""What puts a question; the first thing it is given is the title."""

ELSEWHERE = "refit"
"""The room of the way back, which has questions of its own."""


def titles() -> list[tuple[str, str]]:
    """Every title that is written out where it is asked, with where that is; of an f-string what is fixed."""
    found = []
    for path in sorted(Path(tui.__path__[0]).rglob("*.py")):
        if path.parent.name == ELSEWHERE:
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            first = node.args[0]
            if name in ASKS and isinstance(first, ast.Constant | ast.JoinedStr | ast.List):
                texts = first.elts if isinstance(first, ast.List) else [first]
                for text in texts:
                    parts = [n.value for n in ast.walk(text) if isinstance(n, ast.Constant)]
                    found.append((f"{path.name}:{node.lineno}", "".join(map(str, parts))))
    return found


def test_every_title_of_a_question_is_a_question() -> None:
    written = titles()
    assert len(written) > 60
    # The one about a second machine of a name ends in the question for its serial.
    lacking = [
        (where, text)
        for where, text in written
        if "?" not in text and text.strip(": ") and not text.endswith("already. ")
    ]
    assert lacking == []


async def test_the_list_behind_the_decimal_key_asks_and_shows_its_keys(demo: Path, opened: Opened) -> None:
    async with opened(demo, (60, 17)) as bench:
        await bench.keys("escape", ".")
        shown = bench.picture()
        assert "What do you want to do?" in shown and "1-9 choose" in shown and ". back" in shown and "1 of 4" in shown


async def test_a_line_is_left_on_a_bare_pad_with_a_dash_that_comes_first(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "t")
        assert "Enter keeps it" in bench.picture() and "- in an empty line: leaves it" in bench.picture()
        before = bench.app.workshop.store.number
        await bench.keys("-")
        assert isinstance(bench.app.screen, BenchScreen) and bench.app.workshop.store.number == before
        await bench.keys("t", "a-b", "enter", "1")
        assert bench.said.startswith("noted: a-b (step ")


async def test_a_number_that_stands_there_is_left_with_a_dash_too(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "1", "escape", "l", "spring", "enter")
        assert "How many?" in bench.picture()
        await bench.keys("-")
        assert isinstance(bench.app.screen, BenchScreen)
        step = bench.app.workshop.record.open_step(bench.app.machine_id)
        assert step is not None and bench.app.workshop.record.things_of(step) == []


@pytest.mark.parametrize("size", [(80, 24), (60, 17), (120, 36)])
async def test_a_doubt_about_what_was_recorded_shows_both_answers(
    demo: Path, opened: Opened, size: tuple[int, int]
) -> None:
    async with opened(demo, size) as bench:
        await bench.keys("escape", "/", "6", "1", "632", "enter", "370", "enter", "3", "+", "9", "632", "enter")
        await bench.keys("497", "enter")
        assert bench.said.endswith("?")
        shown = " ".join(bench.picture().split())
        assert "it is right: go on" in shown and "takes it back" in shown and "1-9" in shown
        await bench.keys("-")
        assert "it is right" not in bench.picture()


async def test_lower_screws_first_is_said_once_a_step_whatever_came_before(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "/", "6", "1", "632", "enter", "370", "enter")
        assert bench.app.message.sort != "caution"
        await bench.keys("7")
        assert bench.said.startswith("if this hangs: the lower screws first")
        await bench.keys("632", "enter", "370", "enter", "9")
        assert "lower screws" not in bench.said
        await bench.keys("escape", "0", "/", "6", "7")
        assert "lower screws" in bench.said, "the next part is begun with an upper one"


async def test_what_is_wrong_at_the_walk_back_is_asked_and_shown_as_wrong(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        assert "1 right" in bench.picture() and "2 wrong" in bench.picture() and "3 cannot see" in bench.picture()
        await bench.keys("2")
        assert "What do you see instead?" in bench.picture()
        await bench.keys("one screw is still in", "enter", "escape")
        record = bench.app.workshop.record
        session = list(record.all(Session, bench.app.machine_id))[-1]
        assert [w.answer for w in session.walked][-1:] == ["not so"]


async def test_a_job_to_soak_asks_for_its_hours_and_is_a_soak_then(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        await bench.keys("escape", "x", "3", "2", "bush in soap", "enter")
        assert "For how many hours, from now?" in bench.picture() and "Enter alone: it is not in yet" in bench.picture()
        await bench.keys("12", "enter")
        assert bench.said.startswith("soak noted: bush in soap, 12 h")
        [*_, step] = bench.app.workshop.record.soaked_steps(bench.app.machine_id)
        assert step.soak is not None and step.soak.since == bench.app.workshop.now()
        await bench.keys("x", "3", "2", "felt in oil", "enter", "enter", "enter", "enter")
        assert bench.said.startswith("job noted: to soak: felt in oil")
