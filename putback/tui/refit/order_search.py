"""The search for a kinder order of the way back, beside the keys: they go on meanwhile, and the next one ends it."""

from __future__ import annotations

from collections.abc import Callable

from textual.screen import Screen
from textual.worker import Worker

from putback.planning.orders import Plan
from putback.reports.planning import ToSearch
from putback.tui.dialogs.beside_keys import beside_keys
from putback.tui.refit.standing import Standing


class OrderSearch:
    """One search at a time: of the record it has only what was taken out of it before."""

    def __init__(self, screen: Screen[None], way: Standing, redraw: Callable[[], None]) -> None:
        self._screen, self._way, self._redraw = screen, way, redraw
        self._worker: Worker[None] | None = None

    def begin(self, wanted: ToSearch) -> None:
        """Search for an order; one that is still searched for is given up."""
        if self._worker is not None:
            self._worker.cancel()

        def follow(plan: Plan) -> None:
            self._way.follow(wanted, plan)
            self._redraw()

        self._worker = beside_keys(
            self._way.host,
            f"looking for the order with the {wanted.words}",
            wanted.search,
            follow,
            of=self._screen,
            at_once=not wanted.words,
        )
