"""A tangle: items that cannot be ordered piece by piece, and the exact search through their orders.

A state is the set of items not yet done and what is open. What it knows:

- Between two openings, whatever the open labels allow is done at once.
- A label costs at least as many openings as the longest chain of its items that are kept apart by
  items of its kind without it. The undone items always hold all that comes after them, so the height
  of an item in such a chain never changes: the bound is a table.
- An opening whose every item could as well wait for a later item of the same labels is not tried.
- Where the labels of the undone items fall into parts that do not need one another in a circle, each
  part is solved by itself.
- The search deepens from the bound to the next cost that is possible and remembers what it proved of
  each state, so that stopped at any time it still knows a lower bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from msgspec import Struct

from putback.trade.masks import Budget, bits, mask_of, picked, unlimited


class Kind(Struct, frozen=True):
    """A kind of labels: bags, tools, ways to lie."""

    labels: int
    """The mask of all its labels."""
    weight: int
    """What one opening of such a label costs."""
    counted: int
    """The mask of those labels whose openings are counted; the others only end what is open."""


ENDLESS = 1 << 62


class Stopped(Exception):
    """The budget, or the states allowed, ran out in mid-search."""


class Bound(Protocol):
    """Something else that knows a lower bound for some of the labels."""

    labels: int
    """The labels it speaks for."""

    def least(self, undone: int, held: int) -> int:
        """What those labels cost at least for the undone items, with `held` open. May raise `Stopped`."""


Way = tuple[int, ...] | None
"""How a state is best left: the items done next, or None where it falls into parts."""


class Tangle:
    """Items that cannot be ordered piece by piece, numbered so that what comes before is lower."""

    def __init__(
        self, before: Sequence[int], after: Sequence[int], labels: Sequence[int], kinds: Sequence[Kind]
    ) -> None:
        self.before = before
        self.after = after
        self.labels = labels
        self.kinds = [kind for kind in kinds if any(label & kind.labels for label in labels)]
        self.counted = 0
        for kind in self.kinds:
            self.counted |= kind.counted
        self.everything = (1 << len(labels)) - 1
        self.next = [self._directly(mask) for mask in after]
        self._tables()
        self.known: dict[tuple[int, int], tuple[int, bool, Way]] = {}
        self.groups: list[Bound] = []
        self.lone = -1
        self.floor = self.bound(self.everything)
        self.looked_at = 0
        self.allowed = ENDLESS
        self.budget: Budget = unlimited

    def helped_by(self, groups: Sequence[Bound]) -> None:
        """Takes the sum of these bounds, and its own for the labels that are in none, from now on."""
        self.groups = list(groups)
        self.lone = -1
        for group in groups:
            self.lone &= ~group.labels
        self.known = {key: known for key, known in self.known.items() if known[1]}

    def mirrored(self) -> Tangle:
        """The same items to be done backwards; item i is the last but i here. Costs are the same."""
        last = len(self.labels) - 1
        place = {i: last - i for i in range(last + 1)}
        return Tangle(
            [picked(mask, place) for mask in reversed(self.after)],
            [picked(mask, place) for mask in reversed(self.before)],
            self.labels[::-1],
            self.kinds,
        )

    def _directly(self, rest: int) -> int:
        found = 0
        while rest:
            low = rest & -rest
            found |= low
            rest &= ~(self.after[low.bit_length() - 1] | low)
        return found

    def _tables(self) -> None:
        labels, before, after = self.labels, self.before, self.after
        every = 0
        for label in labels:
            every |= label
        self.bearers: dict[int, int] = {}
        """Which items bear a label; the label as a mask of one bit."""
        self.rivals: dict[int, int] = {}
        """Which items bear others of its kind without it: they end it."""
        self.price: dict[int, int] = {}
        self.tall: dict[int, list[tuple[int, int, int]]] = {}
        """Per label that is counted: (item's bit, height in openings, what must be done before it and
        would end the label), highest first."""
        for kind in self.kinds:
            of_kind = mask_of(i for i, label in enumerate(labels) if label & kind.labels)
            for number in bits(kind.labels & every):
                label = 1 << number
                bearers = mask_of(i for i, mask in enumerate(labels) if mask & label)
                rivals = of_kind & ~bearers
                self.bearers[label] = bearers
                self.rivals[label] = rivals
                if not kind.counted & label:
                    continue
                self.price[label] = kind.weight
                height: dict[int, int] = {}
                for i in reversed(list(bits(bearers))):
                    between = after[i] & rivals
                    best = 0
                    for j in bits(after[i] & bearers):
                        if height[j] > best and before[j] & between:
                            best = height[j]
                    height[i] = best + 1
                self.tall[label] = [
                    (1 << i, height[i], before[i] & rivals)
                    for i in sorted(height, key=lambda i: (-height[i], i))
                ]
        self.can_wait = [0] * len(labels)
        """Later items beside which an item could be done just as well."""
        alike: dict[int, list[int]] = {}
        for i, mask in enumerate(labels):
            alike.setdefault(mask, []).append(i)
        several = len(self.kinds) > 1
        for i, mask in enumerate(labels):
            for j in range(len(labels)) if several else alike[mask]:
                if i != j and self.rides(mask, labels[j]) and not after[i] & ~(1 << j) & ~after[j]:
                    self.can_wait[i] |= 1 << j

    def rides(self, labels: int, on: int) -> bool:
        """Whether an item of `labels` costs nothing beside one of the labels `on`."""
        return all(not labels & kind.labels or not (labels ^ on) & kind.labels for kind in self.kinds)

    def ends(self, labels: int, held: int) -> bool:
        """Whether an item of `labels` closes anything of `held`."""
        return any(labels & kind.labels and held & kind.labels & ~labels for kind in self.kinds)

    def step(self, held: int, labels: int) -> tuple[int, int]:
        """What is open after an item of `labels`, and what it costs, with `held` open before."""
        if len(self.kinds) == 1:
            kind = self.kinds[0]
            return labels, (labels & ~held & kind.counted).bit_count() * kind.weight
        cost = 0
        for kind in self.kinds:
            wanted = labels & kind.labels
            if wanted:
                cost += (wanted & ~held & kind.counted).bit_count() * kind.weight
                held = held & ~kind.labels | wanted
        return held, cost

    def ready(self, undone: int) -> int:
        """The items that may be done next."""
        before = self.before
        found = 0
        rest = undone
        while rest:
            low = rest & -rest
            i = low.bit_length() - 1
            rest &= ~low
            if not before[i] & undone:
                found |= low
            rest &= ~self.after[i]
        return found

    def useful(self, undone: int, held: int) -> int:
        """The labels of `held` that the next item of their kind may bear."""
        found = 0
        while held:
            label = held & -held
            held ^= label
            ends = self.rivals[label] & undone
            for i in bits(self.bearers[label] & undone):
                if not self.before[i] & ends:
                    found |= label
                    break
        return found

    def run_on(self, undone: int, ready: int, held: int) -> tuple[int, int, list[int]]:
        """Does what costs nothing and closes nothing of `held`: undone, ready and the items done."""
        labels = self.labels
        done: list[int] = []
        plain = len(self.kinds) == 1
        front = ready
        while front:
            low = front & -front
            front ^= low
            i = low.bit_length() - 1
            if (
                (labels[i] == held if plain else self.rides(labels[i], held))
                or (not labels[i] & self.counted and not self.ends(labels[i], held))
            ):
                done.append(i)
                undone ^= low
                ready ^= low
                for j in bits(self.next[i] & undone):
                    if not self.before[j] & undone:
                        ready |= 1 << j
                        front |= 1 << j
        return undone, ready, done

    def bound(self, undone: int, held: int = 0, among: int = -1) -> int:
        """What the undone items cost at least, label by label, for the labels `among`."""
        total = 0
        for label, tall in self.tall.items():
            if not label & among or not self.bearers[label] & undone:
                continue
            best = 0
            if held & label:
                for bit, height, ends in tall:
                    if bit & undone:
                        if height <= best:
                            break
                        best = max(best, height - (not ends & undone))
            else:
                for bit, height, _ in tall:
                    if bit & undone:
                        best = height
                        break
            total += best * self.price[label]
        return total

    def parts(self, undone: int) -> list[int]:
        """The undone items in parts that can be done one after the other, the first to do first.

        Items without a counted label are left out of parts they do not stand in the middle of.
        """
        bearers = [self.bearers[label] & undone for label in self.price]
        parts = untangled(bearers, self.before)
        lone = undone
        for mask in bearers:
            lone &= ~mask
        if lone:
            return [part | self._amid(part, lone) for part in parts]
        return parts

    def _amid(self, mask: int, lone: int) -> int:
        return mask_of(i for i in bits(lone) if self.before[i] & mask and self.after[i] & mask)

    def first_parts(self, undone: int, held: int) -> list[int]:
        """`parts`, or all in one where what is open serves several of them, or not a first one."""
        parts = self.parts(undone)
        serves = 0
        for label in self.price:
            if label & held:
                serves |= self.bearers[label] & undone
        if not serves or len(parts) < 2:
            return parts
        for k, part in enumerate(parts):
            if serves & part:
                if serves & ~part or any(self.before[i] & undone & ~part for i in bits(part)):
                    return [undone]
                return [part, *parts[:k], *parts[k + 1 :]]
        return parts

    def settled(self, undone: int, ready: int, held: int) -> tuple[int, int, int, list[int]]:
        """The state with only what is open to some use, and with all done that costs nothing."""
        ran: list[int] = []
        while undone:
            held = self.useful(undone, held)
            undone, ready, done = self.run_on(undone, ready, held)
            if not done:
                break
            ran += done
        return undone, ready, held, ran

    def least(self, undone: int, ready: int, held: int, limit: int) -> int:
        """The least cost of the undone items if that is at most `limit`; else a lower bound above it.

        Raises `Stopped` when the budget or the states allowed run out.
        """
        undone, ready, held, _ = self.settled(undone, ready, held)
        if not undone:
            return 0
        key = (undone, held)
        low = self.low(key, limit)
        known = self.known.get(key)
        if low > limit or (known is not None and known[1]):
            return low
        self.looked_at += 1
        if self.looked_at > self.allowed or (not self.looked_at & 15 and self.budget() >= 1):
            raise Stopped
        parts = self.first_parts(undone, held)
        if parts != [undone]:
            return self._least_of_parts(key, parts, low, limit)
        return self._least_of_moves(key, ready, low, limit)

    def idle(self, done: Sequence[int], after: int) -> bool:
        """Whether each item of an opening could as well wait for a later one that is not ready yet."""
        return all(any(self.before[j] & after for j in bits(self.can_wait[i] & after)) for i in done)

    def low(self, key: tuple[int, int], limit: int) -> int:
        """What is known of a state's least cost from below; groups are asked only up to `limit`."""
        known = self.known.get(key)
        if known is not None:
            return known[0]
        low = self.bound(*key)
        if low <= limit and self.groups:
            low = max(low, self.bound(*key, self.lone) + sum(group.least(*key) for group in self.groups))
            self.known[key] = (low, False, None)
        return low

    def _least_of_parts(self, key: tuple[int, int], parts: list[int], low: int, limit: int) -> int:
        states = [self.settled(part, self.ready(part), key[1]) for part in parts]
        lows = [self.low((undone, held), limit) if undone else 0 for undone, _, held, _ in states]
        total = sum(lows)
        for (undone, ready, held, _), least in zip(states, lows, strict=True):
            if total > limit:
                break
            total += self.least(undone, ready, held, limit - total + least) - least
        total = max(total, low)
        self.known[key] = (total, total <= limit, None)
        return total

    def _least_of_moves(self, key: tuple[int, int], ready: int, low: int, limit: int) -> int:
        undone, held = key
        moves: list[tuple[int, int, int, int, int, int, list[int]]] = []
        seen = set()
        for i in bits(ready):
            opened, cost = self.step(held, self.labels[i])
            if opened in seen:
                continue
            seen.add(opened)
            after, then_ready, done = self.run_on(undone, ready, opened)
            if not self.idle(done, after):
                least = cost + self.bound(after, opened)
                moves.append((least, len(moves), cost, opened, after, then_ready, done))
        best = -1
        way: Way = None
        bar = limit
        for least, _, cost, opened, after, then_ready, done in sorted(moves):
            if least <= bar:
                least = cost + self.least(after, then_ready, opened, bar - cost)
            if best < 0 or least < best:
                best, way = least, tuple(done)
            if least <= bar:
                bar = least - 1
                if best <= low:
                    break
        best = max(best, low)
        self.known[key] = (best, best <= limit, way)
        return best

    def prove(self, allowed: int, budget: Budget) -> tuple[int, bool]:
        """The least cost of everything and True; or a lower bound and False when the search was stopped."""
        self.looked_at, self.allowed, self.budget = 0, allowed, budget
        value = self.floor
        try:
            while True:
                found = self.least(self.everything, self.ready(self.everything), 0, value)
                if found <= value:
                    self.floor = found
                    return found, True
                self.floor = value = found
        except Stopped:
            return self.floor, False

    def exactly(self, undone: int, held: int) -> int:
        """The least cost of the undone items. Raises `Stopped` when the budget runs out."""
        undone, ready, held, _ = self.settled(undone, self.ready(undone), held)
        if not undone:
            return 0
        value = self.low((undone, held), ENDLESS)
        while True:
            found = self.least(undone, ready, held, value)
            if found <= value:
                return found
            value = found

    def trace(self, undone: int, held: int = 0) -> list[int]:
        """The order that a proved search found for the undone items."""
        undone, _, held, order = self.settled(undone, self.ready(undone), held)
        if not undone:
            return order
        way = self.known[undone, held][2]
        if way is None:
            for part in self.first_parts(undone, held):
                order += self.trace(part, held)
            return order
        for i in way:
            held, _ = self.step(held, self.labels[i])
        return [*order, *way, *self.trace(undone & ~mask_of(way), held)]


def untangled(bearers: Iterable[int], before: Sequence[int]) -> list[int]:
    """Items in parts that do not need one another in a circle, the first to do first.

    `bearers`: per label the mask of its items; items of one label stay together. `before`: per item the
    mask of all that comes before it.
    """
    joined: list[int] = []
    for mask in bearers:
        if mask:
            apart = []
            for other in joined:
                if other & mask:
                    mask |= other
                else:
                    apart.append(other)
            apart.append(mask)
            joined = apart
    if len(joined) < 2:
        return joined
    needs = []
    for mask in joined:
        first = 0
        for i in bits(mask):
            first |= before[i]
        first &= ~mask
        needs.append(mask_of(k for k, other in enumerate(joined) if other & (first | mask)))
    for k in range(len(joined)):
        bit, more = 1 << k, needs[k]
        for other, mask in enumerate(needs):
            if mask & bit:
                needs[other] = mask | more
    found = []
    placed = 0
    for k in sorted(range(len(joined)), key=lambda k: (needs[k].bit_count(), joined[k] & -joined[k])):
        if not placed >> k & 1:
            part = joined[k]
            placed |= 1 << k
            for other in bits(needs[k] & ~placed):
                if needs[other] >> k & 1:
                    part |= joined[other]
                    placed |= 1 << other
            found.append(part)
    return found
