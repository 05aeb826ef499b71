"""The names of Textual that are not public, as the program uses them: this fails where a version has them otherwise."""

from __future__ import annotations

import ast
import asyncio
import re
from inspect import signature
from pathlib import Path

import pytest
import textual
from textual.app import App
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from putback.tui import inside_textual
from putback.tui.inside_textual import DIRTY, FAILED, PAINT, FaultKept, paint_now

PACKAGE = Path(inside_textual.__file__).parents[1]


async def test_what_is_painted_at_once_is_painted_as_the_timer_would() -> None:
    class Lone(App[None]):
        def compose(self) -> list[Widget]:
            return [Static("before", id="lone")]

    app = Lone()
    async with app.run_test() as pilot:
        await pilot.pause()
        screen, lone = app.screen, app.query_one("#lone", Static)
        of = f"in Textual {textual.__version__}"
        assert isinstance(getattr(screen, DIRTY, None), set), f"{DIRTY} is no set of widgets {of}"
        assert not signature(getattr(screen, PAINT)).parameters, f"{PAINT} asks for something {of}"
        painted: list[str] = []
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(screen, PAINT, lambda: painted.extend(str(widget.id) for widget in getattr(screen, DIRTY)))
            paint_now(screen, [lone])
        assert painted == ["lone"]
        paint_now(screen, [lone])
        assert not getattr(screen, DIRTY), f"{PAINT} leaves what it painted {of}"


def test_where_a_version_has_no_such_name_painting_is_left_to_the_timer() -> None:
    class Other(Screen[None]):
        def __getattribute__(self, name: str) -> object:
            if name in (DIRTY, PAINT):
                raise AttributeError(name)
            return super().__getattribute__(name)

    paint_now(Other.__new__(Other), [])


async def test_an_error_of_our_own_is_kept_and_ends_the_app() -> None:
    assert callable(getattr(App, FAILED, None)), f"{FAILED} is not there in Textual {textual.__version__}"

    class Falls(FaultKept):
        def on_mount(self) -> None:
            self.quiet_faults = True
            raise LookupError("as it may be")

    app = Falls()
    await asyncio.wait_for(app.run_async(headless=True), 5.0)
    assert isinstance(app.fault, LookupError), f"{FAILED} is not called for an error in Textual {textual.__version__}"
    assert app.return_code == 1


def names_of_textual() -> set[str]:
    """Every name with an underscore that Textual's classes have, or set on themselves."""
    texts = (path.read_text("utf-8") for path in Path(textual.__file__).parent.rglob("*.py"))
    return {name for text in texts for name in re.findall(r"(?:def |self\.)(_[a-z]\w*)", text)}


def test_no_other_file_uses_a_name_that_is_not_public() -> None:
    textuals = names_of_textual()
    for path in sorted((PACKAGE / "tui").rglob("*.py")):
        own, used, modules = set[str](), set[str](), set[str]()
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                own.add(node.name)
            elif isinstance(node, ast.Attribute):
                (own if isinstance(node.ctx, ast.Store) else used).add(node.attr)
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                own.add(node.id)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                used.add(node.value)
            elif isinstance(node, ast.ImportFrom):
                modules.add(node.module or "")
        private = {name for name in modules if name.startswith("textual.") and "._" in name}
        if path != Path(inside_textual.__file__):
            assert not ((used - own) & textuals) | private, path
