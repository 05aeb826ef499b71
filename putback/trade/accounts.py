"""Accounts: how many of each thing stand at each place. Kept up with every move, read at every keystroke."""

from __future__ import annotations

from collections import defaultdict


class Accounts:
    """The ledger's sums. What is posted here is never checked; `ledger.check_balance` proves the whole."""

    def __init__(self) -> None:
        self._standing: dict[int, dict[str, int]] = defaultdict(dict)
        self._held: dict[int, dict[str, dict[int, int]]] = defaultdict(lambda: defaultdict(dict))
        self._totals: dict[int, dict[str, int]] = defaultdict(dict)

    def post(self, machine: int, thing: int, place: str, count: int) -> None:
        """Put `count` of a thing to a place, or take them off it where `count` is below 0."""
        standing, totals = self._standing[thing], self._totals[machine]
        now = standing.get(place, 0) + count
        total = totals.get(place, 0) + count
        held = self._held[machine][place]
        if now:
            standing[place] = held[thing] = now
        else:
            standing.pop(place, None)
            held.pop(thing, None)
        if held:
            totals[place] = total
        else:
            del self._held[machine][place]
            totals.pop(place, None)

    def standing(self, thing: int) -> dict[str, int]:
        """Return how many of a thing are at which place."""
        return dict(self._standing.get(thing, ()))

    def held(self, machine: int, place: str) -> dict[int, int]:
        """Return what is at a place: thing number to count."""
        return dict(self._held[machine].get(place, ()))

    def total(self, machine: int, place: str) -> int:
        """Return how many things are at a place."""
        return self._totals[machine].get(place, 0)

    def places(self, machine: int) -> list[str]:
        """Return every place at which the machine has something, in the order of their texts."""
        return sorted(self._held[machine])
