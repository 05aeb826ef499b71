"""Accounts: how many of each thing stand at each place. Kept up with every move, read at every keystroke."""

from __future__ import annotations


class Accounts:
    """One machine's sums. What is posted here is never checked; `ledger.check_balance` proves the whole."""

    def __init__(self) -> None:
        self._standing: dict[int, dict[str, int]] = {}
        self._held: dict[str, dict[int, int]] = {}
        self._totals: dict[str, int] = {}

    def post(self, thing: int, place: str, count: int) -> None:
        """Put `count` of a thing to a place, or take them off it where `count` is below 0."""
        held = self._held.get(place)
        if held is None:
            held = self._held[place] = {}
        standing = self._standing.get(thing)
        if standing is None:
            standing = self._standing[thing] = {}
        now = held.get(thing, 0) + count
        if now:
            standing[place] = held[thing] = now
        else:
            standing.pop(place, None)
            held.pop(thing, None)
        if held:
            self._totals[place] = self._totals.get(place, 0) + count
        else:
            del self._held[place]
            self._totals.pop(place, None)

    def shift(self, thing: int, source: str, target: str, count: int) -> None:
        """Take `count` of a thing off one place and put them to another: what two posts do."""
        standing = self._standing.get(thing)
        if standing is None or standing.get(source) != count or target in standing or source == target:
            self.post(thing, source, -count)
            self.post(thing, target, count)
            return
        del standing[source]  # all of it goes: a move like nearly every one
        standing[target] = count
        left, totals = self._held[source], self._totals
        del left[thing]
        if left:
            totals[source] -= count
        else:
            del self._held[source], totals[source]
        held = self._held.get(target)
        if held is None:
            self._held[target] = {thing: count}
        else:
            held[thing] = count
        totals[target] = totals.get(target, 0) + count

    def standing(self, thing: int) -> dict[str, int]:
        """Return how many of a thing are at which place."""
        return dict(self._standing.get(thing, ()))

    def held(self, place: str) -> dict[int, int]:
        """Return what is at a place: thing number to count."""
        return dict(self._held.get(place, ()))

    def total(self, place: str) -> int:
        """Return how many things are at a place."""
        return self._totals.get(place, 0)

    def places(self) -> list[str]:
        """Return every place at which the machine has something, in the order of their texts."""
        return sorted(self._held)
