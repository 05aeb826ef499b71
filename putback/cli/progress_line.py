"""The line that tells on a terminal how far a command has come. It goes to standard error, and is gone at the end.

A thread of its own draws it, so that it is there whatever the work is busy with; the work says how far it is through
`putback.progress`.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Event, RLock, Thread
from time import monotonic
from typing import TextIO

from putback.progress import listening

FIRST = 0.5
"""Seconds of work before anything is shown."""
AGAIN = 0.1
"""Seconds from one picture of the line to the next."""
AGAIN_PLAIN = 5.0
"""The same where it is read aloud: each time a line of its own."""
GUESSED = 2.0
"""Seconds of a piece of work before it is guessed how long the rest takes."""
WIDE = 20
"""Signs of the bar."""
STOPS = "Ctrl+C stops it"
_CLEAR = "\r\x1b[K"


class ProgressLine:
    """What is being done, drawn over and over in one place; in words alone a line now and then."""

    def __init__(self, stream: TextIO, *, plain: bool = False, clock: Callable[[], float] = monotonic) -> None:
        self._stream, self._plain, self._clock = stream, plain, clock
        self._now = ("working", 0, 0)
        self._since = clock()
        self._drawn = self._over = False
        self._ended = Event()
        self._lock = RLock()

    def __call__(self, what: str, done: int, of: int) -> None:
        """Hear how far it is."""
        if what != self._now[0]:
            self._since = self._clock()
        self._now = what, done, of

    def draw(self) -> None:
        """Draw it as it is now."""
        with self._lock:
            if self._over:
                return
            what, done, of = self._now
            took = self._clock() - self._since
            text = f"{what}: {done:,} of {of:,}" if of else f"{what}: {done:,}" if done else f"{what}, {took:.0f} s"
            if self._plain:
                self._stream.write(f"{text}; {STOPS}.\n")
            else:
                bar = ("#" * (min(done, of) * WIDE // of)).ljust(WIDE, ".") if of else ""
                room = shutil.get_terminal_size().columns - 1
                self._stream.write(_CLEAR + "  ".join(filter(None, (text, bar, _left(took, done, of), STOPS)))[:room])
                self._drawn = True
            self._stream.flush()

    def run(self) -> None:
        """Draw it again and again, from its first moment until it has ended."""
        wait = FIRST
        while not self._ended.wait(wait):
            self.draw()
            wait = AGAIN_PLAIN if self._plain else AGAIN

    @contextmanager
    def between(self) -> Iterator[None]:
        """Take the line away while something else is printed; then it is there again."""
        with self._lock:
            again = self._drawn
            self._clear()
            yield
            if again:
                self.draw()

    def _clear(self) -> None:
        if self._drawn:
            self._stream.write(_CLEAR)
            self._stream.flush()
            self._drawn = False

    def end(self) -> None:
        """Take the line away and draw it no more: the answer comes, or it is the end."""
        with self._lock:
            self._clear()
            self._over = True
        self._ended.set()


def _left(took: float, done: int, of: int) -> str:
    if not (0 < done < of and took > GUESSED):
        return ""
    seconds = took * (of - done) / done
    return f"about {seconds:.0f} s left" if seconds < 100 else f"about {seconds / 60:.0f} min left"


_shown: ContextVar[ProgressLine | None] = ContextVar("shown", default=None)
"""The line of the command that runs, if it has one."""


@contextmanager
def telling(stream: TextIO, plain: Callable[[], bool]) -> Iterator[None]:
    """Show how far the work within the block has come, where `stream` is a terminal; `plain` in words alone."""
    if not stream.isatty():
        yield
        return
    line = ProgressLine(stream, plain=plain())
    before = _shown.set(line)
    thread = Thread(target=line.run, daemon=True)
    thread.start()
    try:
        with listening(line):
            yield
    finally:
        line.end()
        thread.join()
        _shown.reset(before)


def end_line() -> None:
    """Take the line away, if there is one: the answer is printed."""
    line = _shown.get()
    if line is not None:
        line.end()


@contextmanager
def beside_line() -> Iterator[None]:
    """Take the line away, if there is one, while a line of the work is printed."""
    line = _shown.get()
    if line is None:
        yield
    else:
        with line.between():
            yield
