"""Every key that is shown does something, and every key that does something is shown; with a layout as without."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from textual.widgets import Static

import putback.tui
from putback.tui.dialogs.help import HelpScreen
from putback.tui.dialogs.keyed import Keyed
from putback.tui.keyboard.bench_keys import GROUPS
from putback.tui.keyboard.key import Key
from putback.tui.keyboard.key_list import PLACES
from putback.tui.keyboard.keys import KEYS
from tests.tui.conftest import Bench, Opened

TO: dict[str, tuple[str, ...]] = {
    "walk": (),
    "part": ("walk.leave",),
    "place": ("walk.leave", "begin.place", "leave.field"),
    "field": ("walk.leave", "begin.place"),
    "list": ("walk.leave", "kind"),
    "summary": ("walk.leave", "summary"),
    "refit": ("walk.leave", "refit"),
    "bag": ("walk.leave", "bags", "list.go"),
    "card": ("walk.leave", "bags", "list.go", "bag.go"),
    "break": ("walk.leave", "begin.place", "leave.field", "pause"),
    "find": ("walk.leave", "find"),
}
"""The commands that lead to each place of the demo that has keys in its foot."""


def names(key: Key) -> str:
    """A key of a command as the pilot takes it; of a run the first."""
    own = "8" if key.id == "type" else key.keys[0]
    return {" ": "space"}.get(own, own)


async def press(bench: Bench, key: Key) -> None:
    await bench.keys(*([names(key)] if len(names(key)) == 1 else []))
    if len(names(key)) > 1:
        bench.app.simulate_key(names(key))
        await bench.settle()


async def go(bench: Bench, place: str, mark: int) -> None:
    """Go to a place by the person's own keys, with nothing done since `mark`."""
    app = bench.app
    while (done := app.workshop.last_done(app.machine_id)) is not None and done.number > mark:
        app.workshop.take_back(app.machine_id)
    app.change_machine(app.machine_id)
    await bench.settle()
    for id in TO[place]:
        await press(bench, app.keymap.key(id))
        if id == "find":
            await bench.keys("screw", "enter")
    assert isinstance(app.screen, Keyed) and place in app.screen.places, (bench.screen, place, bench.picture())


def foot(bench: Bench) -> list[str]:
    """The keys that the screen on top shows: those that it lets one tap."""
    screen, size = bench.app.screen, bench.app.size
    found = {}
    for y in range(size.height):
        for x in range(0, size.width, 3):
            what, on = screen.get_style_at(x, y).meta.get("tap", ("", ""))
            if what == "key":
                found[on] = True
    return list(found)


def places_of(screen: object) -> tuple[str, ...]:
    """The places of the screen on top, which is one of ours."""
    assert isinstance(screen, Keyed)
    return screen.places


def state(bench: Bench) -> tuple[object, ...]:
    app = bench.app
    places = getattr(app.screen, "places", ())
    return bench.screen, places, len(app.screen_stack), bench.picture(), app.message, app.workshop.store.number


CASES = [(place, "") for place in TO] + [("place", "left")]


@pytest.mark.parametrize(("place", "layout"), CASES)
async def test_every_key_shown_does_something(
    demo: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch, place: str, layout: str
) -> None:
    (demo / "settings.toml").write_text(f"[keys]\nlayout = '{layout}'\n" if layout else "")
    async with opened(demo) as bench:
        app = bench.app
        done = app.workshop.last_done(app.machine_id)
        mark = done.number if done is not None else 0
        await go(bench, place, mark)
        screen = app.screen
        number, places = app.workshop.store.number, places_of(screen)
        known = {key.shown: key for key in reversed(app.keymap.keys_of(*places_of(screen)))}
        shown = foot(bench)
        assert shown and set(shown) <= set(known), shown
        assert "?" in shown or place in ("field", "list")  # there it is typed, or the foot has all there is
        # What takes back comes last: it goes behind what this test has done.
        for words in sorted(shown, key=lambda words: known[words].label == "take back"):
            while app.screen is not screen and screen in app.screen_stack:
                app.screen.dismiss(None)
                await bench.settle()
            if app.screen is not screen or app.workshop.store.number != number or places_of(screen) != places:
                await go(bench, place, mark)
                screen = app.screen
            number, places = app.workshop.store.number, places_of(screen)
            rung: list[str] = []
            monkeypatch.setattr(app.bells, "ring", rung.append)
            before = state(bench)
            await press(bench, known[words])
            assert state(bench) != before or rung, f"{words} ({known[words].id})"


@pytest.mark.parametrize(("layout", "size"), [("", (60, 17)), ("left", (80, 24))])
async def test_every_key_is_on_the_page_of_keys_whole(
    demo: Path, opened: Opened, layout: str, size: tuple[int, int]
) -> None:
    (demo / "settings.toml").write_text(f"[keys]\nlayout = '{layout}'\n" if layout else "")
    async with opened(demo, size) as bench:
        app = bench.app
        for place in PLACES:
            app.push_screen(HelpScreen((place,)))
            await bench.settle()
            drawn = app.screen.query_one("#help", Static)
            rows = str(drawn.visual).splitlines()
            assert "…" not in "".join(rows) and max(map(len, rows)) <= drawn.size.width
            text = " ".join(" ".join(rows).split())
            for key in app.keymap.keys_of(place):
                assert f"{key.shown} {key.label}" in text, key.id
                assert app.keymap.words(key.help) in text, key.id
            app.pop_screen()
            await bench.settle()


def test_the_list_of_everything_else_has_every_command_of_the_bench_once() -> None:
    listed = [id for _, ids in GROUPS for id in ids]
    assert sorted(listed) == sorted(key.id for key in KEYS if key.where == "bench")
    assert all(len(ids) <= 9 for _, ids in GROUPS)


@pytest.mark.parametrize("size", [(80, 24), (60, 17)])
async def test_the_list_is_read_whole_on_a_small_screen(demo: Path, opened: Opened, size: tuple[int, int]) -> None:
    async with opened(demo, size) as bench:
        await go(bench, "part", 10**9)
        await bench.keys(".")
        for title, ids in GROUPS:
            picture = bench.picture()
            assert f"What do you want to do? ({title})" in picture
            assert "1-9 choose   + next   - before   . back" in picture
            for number, id in enumerate(ids, 1):
                key = bench.app.keymap.key(id)
                assert f" {number}   {key.label:<14}{key.shown}" in picture
            await bench.keys("+")


def test_no_sentence_of_a_screen_names_a_letter_that_a_layout_may_have_moved() -> None:
    """A key in a sentence stands as `{machines}` or comes from the keymap: under every layout it is the right one."""
    letter = re.compile(r"\b(?:with|press|behind) ([A-Z])(?![\w(])")
    found = []
    for path in sorted(Path(putback.tui.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and letter.search(node.value):
                found.append(f"{path.name}: {node.value}")
    assert found == []


async def test_the_keys_of_where_one_is_are_shown_in_every_state(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        app = bench.app
        app.simulate_key("f1")
        await bench.settle()
        assert "walk-back" in bench.picture()
        app.simulate_key("f1")
        await bench.settle()
        assert bench.screen == "WalkBackScreen"
        await bench.keys(".")
        await bench.keys("t")
        app.simulate_key("f1")
        await bench.settle()
        assert "where a line is typed" in bench.picture()
        await bench.keys("x", "long leg left")  # any other key goes back to the line
        assert "long leg left" in bench.picture()
        await bench.keys("escape", "k", "?")
        assert "in a list" in bench.picture()
        await bench.keys("x", ".", "7", "?")
        assert "in a field" in bench.picture()
        await bench.keys("x", "ctrl+c")
        assert "Ctrl+Q" in bench.said and app.is_running
