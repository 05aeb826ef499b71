"""How far a long piece of work has come, told to whoever listens: the one place for it.

A loop that may take long gives its items through `each`, and knows neither a screen nor a clock. Where nobody listens
it costs nothing. Whoever listens may break the work off by raising.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sized
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

T = TypeVar("T")

Listener = Callable[[str, int, int], None]
"""Hears what is being done, in a word or two, how much of it is done, and of how much; 0 where that is not known."""

_listening: ContextVar[Listener | None] = ContextVar("listening", default=None)


@contextmanager
def listening(listener: Listener | None) -> Iterator[None]:
    """Let `listener` hear of all work within the block, in this thread and those that begin with a copy of it."""
    before = _listening.set(listener)
    try:
        yield
    finally:
        _listening.reset(before)


def each(items: Iterable[T], what: str, of: int = 0) -> Iterator[T]:
    """Give items one after the other, and tell how many of them are done. `of` is how many, where they cannot say."""
    listener = _listening.get()
    if listener is None:
        return iter(items)
    return _told(items, what, len(items) if isinstance(items, Sized) else of, listener)


def _told(items: Iterable[T], what: str, of: int, listener: Listener) -> Iterator[T]:
    for done, item in enumerate(items):
        listener(what, done, of)
        yield item


def teller(what: str, of: int = 0) -> Callable[[int], None] | None:
    """Return what to call with how much is done, or None where nobody listens: for work that is not a loop of items."""
    listener = _listening.get()
    if listener is None:
        return None
    heard = listener
    return lambda done: heard(what, done, of)
