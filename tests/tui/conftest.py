"""A workshop on disk and the app over it, for stories told with keys."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import AbstractAsyncContextManager, asynccontextmanager, nullcontext
from datetime import UTC, datetime, timedelta
from functools import partial
from itertools import count
from pathlib import Path
from random import Random
from time import monotonic

import pytest
from textual import events
from textual.color import Color
from textual.message_pump import MessagePump
from textual.pilot import Pilot
from textual.screen import Screen

from putback.demo import lay_out_demo
from putback.scans.bag_code import new_code
from putback.settings import settings_in
from putback.tui.app import PutbackApp
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.dialogs.keyed import Keyed
from putback.tui.pages.walk_back import WalkBackScreen
from putback.workshop import Workshop
from tests.tui.quicker import paint, quicker

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

PATIENCE = 30.0
"""Seconds until a screen that does not come to rest is a failure: far more than any machine needs."""

CHARACTERS = {name: sign for sign, name in NAMES.items()}


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
        self._failed: asyncio.Task[object] = asyncio.create_task(app._exception_event.wait())

    async def keys(self, *keys: str) -> None:
        """Press keys; a text of several characters that is no key's name is typed letter by letter."""
        for key in keys:
            if key in ("enter", "escape", "tab", "space", "backspace", "up", "down") or key.startswith("ctrl+"):
                await self._press(key)
            else:
                for letter in key:
                    await self._press(NAMES.get(letter, letter))
        await self.settle()

    def _read_on(self, key: str) -> None:
        """Turn to the last page of the walk-back, as the eye does before a key answers."""
        screen = self.app.screen
        if isinstance(screen, WalkBackScreen) and key in ("1", "3", "enter") and screen._page + 1 < len(screen._pages):
            screen._page = len(screen._pages) - 1
            screen.redraw()

    async def _press(self, key: str) -> None:
        self._read_on(key)
        sign = CHARACTERS.get(key, key)
        self.app.post_message(events.Key(key, sign if len(sign) == 1 else None))
        await self._passed(self.app)
        for pump in (self.app.focused, self.app.screen, self.app):
            await self._passed(pump)

    async def settle(self) -> None:
        """Let everything that was set going come to rest: messages, questions, pictures, repaints."""
        still, until = 0, monotonic() + PATIENCE
        await self._passed(*self._pumps(self.app.screen_stack))
        while still < 2 and self.app._exception is None and not self.app._exit:
            # A message to a screen in the background has it painted anew, so only the one on top is asked again.
            await self._passed(*self._pumps(self.app.screen_stack[-1:]))
            restless = self._restless()
            still = 0 if restless else still + 1
            assert monotonic() < until, f"the screen does not come to rest: {restless}"
        if self.app._exception is None and not self.app._exit:
            paint(self.app.screen)

    def _pumps(self, screens: Sequence[Screen[object]]) -> list[MessagePump]:
        return [self.app, *(pump for screen in screens for pump in screen.walk_children(with_self=True))]

    async def _passed(self, *pumps: MessagePump | None) -> None:
        """Wait until everything that is in these queues has been taken out, or the app has failed."""
        done = asyncio.Event()
        waiting = {pump for pump in pumps if pump is not None}

        def passed(pump: MessagePump) -> None:
            waiting.discard(pump)
            if not waiting:
                done.set()

        for pump in list(waiting):
            if not pump.call_later(passed, pump):
                passed(pump)
        if not waiting:
            return
        self._failed.add_done_callback(stop := lambda _: done.set())
        try:
            await asyncio.wait_for(done.wait(), PATIENCE)
        except TimeoutError:
            assert self.app._exception is not None or not any(pump.is_running for pump in waiting), f"{waiting} stuck"
        finally:
            self._failed.remove_done_callback(stop)

    def _restless(self) -> str:
        """What is still on its way, in a word; nothing if the screen rests."""
        top = self.app.screen
        if not top.is_mounted:
            return "the screen is not up"
        pumps = (pump for screen in self.app.screen_stack for pump in screen.walk_children(with_self=True))
        if any(pump.message_queue_size for pump in (self.app, *pumps)):
            return "messages"
        if any(worker._thread_worker and not worker.is_finished for worker in self.app.workers):
            return "a worker in a thread"
        if isinstance(top, Keyed) and top.asking:
            return "a question"
        if top._layout_required or top._repaint_required or top._dirty_widgets or top._callbacks:
            top._on_timer_update()
            return "a repaint"
        behind = [screen for screen in self.app.screen_stack if isinstance(screen, BenchScreen) and screen.behind]
        for screen in behind:
            screen.catch_up()
        if behind:
            return "tree and bags"
        return ""

    @property
    def said(self) -> str:
        return self.app.message.words

    @property
    def screen(self) -> str:
        return type(self.app.screen).__name__

    def picture(self) -> str:
        """The screen as text, one line a row."""
        rows = self.app.screen._compositor.render_strips()
        black = Color(0, 0, 0)
        for line_filter in self.app.get_line_filters():
            rows = [row.apply_filter(line_filter, black) for row in rows]
        return "\n".join("".join(segment.text for segment in row) for row in rows)


Opened = Callable[..., AbstractAsyncContextManager[Bench]]


@pytest.fixture
def opened(clock: Clock) -> Opened:
    """Open the app over a folder: `async with opened(folder) as bench`. `every_paint`: as a terminal has it."""

    @asynccontextmanager
    async def over(
        folder: Path, size: tuple[int, int] = (80, 24), *, ascii_only: bool = False, every_paint: bool = False
    ) -> AsyncIterator[Bench]:
        codes = partial(new_code, Random(7))
        hurry = nullcontext() if every_paint else quicker()
        with hurry, Workshop.open(folder, clock=clock, codes=codes, who="test") as workshop:
            app = PutbackApp(workshop, ascii_only=ascii_only, settings=settings_in(folder))
            app.seconds = map(float, count()).__next__  # between two looks at it a second goes by
            async with app.run_test(size=size) as pilot:
                bench = Bench(app, pilot)
                await bench.settle()
                yield bench

    return over
