"""A workshop on disk and the app over it, for stories told with keys."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from textual.color import Color
from textual.pilot import Pilot

from putback.codes.bag_code import new_code
from putback.demo import lay_out_demo
from putback.settings import settings_in
from putback.tui.app import PutbackApp
from putback.workshop import Workshop

NAMES = {
    ".": "full_stop",
    "/": "slash",
    "*": "asterisk",
    "+": "plus",
    "-": "minus",
    "?": "question_mark",
    " ": "space",
    "#": "number_sign",
}


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = datetime(2025, 7, 1, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def move(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    lay_out_demo(tmp_path)
    return tmp_path


class Bench:
    """The running app, and keys for it."""

    def __init__(self, app: PutbackApp, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot

    async def keys(self, *keys: str) -> None:
        """Press keys; a text of several characters that is no key's name is typed letter by letter."""
        for key in keys:
            if key in ("enter", "escape", "tab", "space", "backspace", "up", "down"):
                await self._press(key)
            else:
                for letter in key:
                    await self._press(NAMES.get(letter, letter))
        await self.settle()

    async def _press(self, key: str) -> None:
        if key in NAMES.values():
            await self.pilot.press(key)
        else:
            self.app.simulate_key(key)
            await self.pilot.pause()

    async def settle(self) -> None:
        """Let everything that was set going come to rest."""
        await self.pilot.pause()
        await self.pilot.pause()

    @property
    def said(self) -> str:
        return self.app.said.words

    @property
    def screen(self) -> str:
        return type(self.app.screen).__name__

    def picture(self) -> str:
        """The screen as text, one line a row."""
        rows = self.app.screen._compositor.render_strips()
        black = Color(0, 0, 0)
        for line_filter in self.app._filters:
            rows = [row.apply_filter(line_filter, black) for row in rows]
        return "\n".join("".join(segment.text for segment in row) for row in rows)


Opened = Callable[..., AbstractAsyncContextManager[Bench]]


@pytest.fixture
def opened(clock: Clock) -> Opened:
    """Open the app over a folder: `async with opened(folder) as bench`."""

    @asynccontextmanager
    async def over(folder: Path, size: tuple[int, int] = (80, 24), *, ascii_only: bool = False) -> AsyncIterator[Bench]:
        rng = Random(7)
        with Workshop.open(folder, clock=clock, codes=lambda taken: new_code(rng, taken), who="test") as workshop:
            app = PutbackApp(workshop, ascii_only=ascii_only, settings=settings_in(folder))
            async with app.run_test(size=size) as pilot:
                bench = Bench(app, pilot)
                await bench.settle()
                yield bench

    return over
