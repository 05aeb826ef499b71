"""The search for a kinder order of the way back, beside the keys: they go on meanwhile, and the next one ends it."""

from __future__ import annotations

from time import monotonic

from textual.message import Message
from textual.screen import Screen
from textual.worker import Worker, get_current_worker

from putback.planning.orders import Plan
from putback.progress import listening
from putback.reports.planning import ToSearch
from putback.tui.refit.standing import Standing

AGAIN = 0.5
"""Seconds from one word on how far it is to the next."""


class BrokenOff(Exception):
    """Another order was asked for, or the screen was left."""


class OrderSearch:
    """One search at a time, in a thread: of the record it has only what was taken out of it before."""

    class Found(Message):
        """An order was found."""

        def __init__(self, wanted: ToSearch, plan: Plan) -> None:
            super().__init__()
            self.wanted, self.plan = wanted, plan

    class Going(Message, bubble=False):
        """It goes on."""

        def __init__(self, wanted: ToSearch, done: int, of: int) -> None:
            super().__init__()
            self.wanted, self.done, self.of = wanted, done, of

        def can_replace(self, message: Message) -> bool:
            return isinstance(message, OrderSearch.Going)

    def __init__(self, screen: Screen[None], way: Standing) -> None:
        self._screen, self._way = screen, way
        self._worker: Worker[None] | None = None

    def begin(self, wanted: ToSearch) -> None:
        """Search for an order; one that is still searched for is given up."""
        if self._worker is not None:
            self._worker.cancel()
        if not wanted.words:
            self._way.follow(wanted, wanted.search())
            return
        self._way.host.say("note", f"looking for the order with the {wanted.words}")
        self._worker = self._screen.run_worker(lambda: self._search(wanted), thread=True, group="order")

    def going(self, message: Going) -> None:
        """Say how far it is."""
        if message.wanted.asked == self._way.asked:
            how_far = f"{message.done:,} of at most {message.of:,} tries"
            self._way.host.say("note", f"looking for the order with the {message.wanted.words}: {how_far}", rings="")

    def _search(self, wanted: ToSearch) -> None:
        worker, told = get_current_worker(), monotonic()

        def heard(what: str, done: int, of: int) -> None:
            nonlocal told
            if worker.is_cancelled:
                raise BrokenOff
            if monotonic() - told >= AGAIN:
                told = monotonic()
                self._screen.post_message(self.Going(wanted, done, of))

        with listening(heard):
            try:
                found = wanted.search()
            except BrokenOff:
                return
        self._screen.post_message(self.Found(wanted, found))
