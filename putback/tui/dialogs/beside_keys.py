"""Work that takes long, done beside the keys: in a thread, with a word now and then on how far it is."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import TypeVar

from textual.dom import DOMNode
from textual.worker import Worker, get_current_worker

from putback.errors import PutbackError
from putback.progress import listening
from putback.tui.host import Host

T = TypeVar("T")

AGAIN = 0.5
"""Seconds from one word on how far it is to the next."""


class BrokenOff(Exception):
    """The program is left, or something else is wanted."""


def beside_keys(
    host: Host,
    doing: str,
    work: Callable[[], T],
    then: Callable[[T], None],
    *,
    of: DOMNode | None = None,
    at_once: bool = False,
) -> Worker[None] | None:
    """Do `work`, which asks no record, and `then` what follows; `at_once` where it is too short to be waited for.

    `doing` is said meanwhile, with how far it is, as long as nothing else was said. What is refused is said, too. It
    is given up with the program, or with the screen that it is `of`; or by who cancels the worker that is returned.
    """
    if at_once:
        try:
            found = work()
        except PutbackError as fault:
            host.refuse(str(fault))
        else:
            then(found)
        return None
    host.say("note", f"{doing}; the keys go on")

    def in_a_thread() -> None:
        worker, told = get_current_worker(), monotonic()

        def say(words: str) -> None:
            if host.message.words.startswith(doing):
                host.say("note", words, rings="")

        def heard(what: str, done: int, of: int) -> None:
            nonlocal told
            if worker.is_cancelled:
                raise BrokenOff
            if monotonic() - told >= AGAIN:
                told = monotonic()
                host.call_later(say, f"{doing}: {what}, {done:,} of {of:,}" if of else f"{doing}: {what}, {done:,}")

        with listening(heard):
            try:
                found = work()
            except BrokenOff:
                return
            except PutbackError as fault:
                host.call_later(host.refuse, str(fault))
                return
        if not worker.is_cancelled:
            host.call_later(then, found)

    return (of or host).run_worker(in_a_thread, thread=True, group=doing)
