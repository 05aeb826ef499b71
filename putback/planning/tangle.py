"""A tangle: items that cannot be ordered piece by piece, and what can be told of them beforehand.

A state is the set of items not yet done and what is open.

- Between two openings, whatever the open labels allow is done at once.
- A label costs at least as many openings as the longest chain of its items that are kept apart by
  items of its kind without it. The undone items always hold all that comes after them, so the height
  of an item in such a chain never changes: the bound is a table.
- An opening whose every item could as well wait for a later item of the same labels is idle.
- Where the labels of the undone items fall into parts that do not need one another in a circle, each
  part can be solved by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from putback.planning.masks import bits, mask_of, picked


class Kind(Struct, frozen=True):
    """A kind of labels: bags, tools, ways to lie."""

    labels: int
    """The mask of all its labels."""
    weight: int
    """What one opening of such a label costs."""
    counted: int
    """The mask of those labels whose openings are counted; the others only end what is open."""


Column = tuple[int, int, int, list[tuple[int, int, int]]]
"""What bounds a label: the label, its bearers, what an opening costs, and per bearer, highest first, its
bit, its height in openings, and what must be done before it and would end the label."""


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
        self._alike: dict[int, int] = {}
        for i, label in enumerate(labels):
            self._alike[label] = self._alike.get(label, 0) | 1 << i
        self._riders: dict[int, int] = {}
        self._tables()

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
        labels, after = self.labels, self.after
        every = 0
        for label in labels:
            every |= label
        self.bearers: dict[int, int] = {}
        """Which items bear a label; the label as a mask of one bit."""
        self.rivals: dict[int, int] = {}
        """Which items bear others of its kind without it: they end it."""
        self._column: dict[int, Column] = {}
        for kind in self.kinds:
            of_kind = mask_of(i for i, label in enumerate(labels) if label & kind.labels)
            for number in bits(kind.labels & every):
                label = 1 << number
                bearers = mask_of(i for i, mask in enumerate(labels) if mask & label)
                rivals = of_kind & ~bearers
                self.bearers[label] = bearers
                self.rivals[label] = rivals
                if kind.counted & label:
                    self._column[label] = (label, bearers, kind.weight, self._tall(bearers, rivals))
        self.columns = list(self._column.values())
        self.priced = list(self._column)
        """The labels whose openings are counted, as masks of one bit."""
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

    def _tall(self, bearers: int, rivals: int) -> list[tuple[int, int, int]]:
        """The bearers of a label as in its column."""
        before, after = self.before, self.after
        height: dict[int, int] = {}
        for i in reversed(list(bits(bearers))):
            between = after[i] & rivals
            best = 0
            for j in bits(after[i] & bearers):
                if height[j] > best and before[j] & between:
                    best = height[j]
            height[i] = best + 1
        return [(1 << i, height[i], before[i] & rivals) for i in sorted(height, key=lambda i: (-height[i], i))]

    def rides(self, labels: int, on: int) -> bool:
        """Whether an item of `labels` costs nothing beside one of the labels `on`."""
        return all(not labels & kind.labels or not (labels ^ on) & kind.labels for kind in self.kinds)

    def ends(self, labels: int, held: int) -> bool:
        """Whether an item of `labels` closes anything of `held`."""
        return any(labels & kind.labels and held & kind.labels & ~labels for kind in self.kinds)

    def step(self, held: int, labels: int) -> tuple[int, int]:
        """What is open after an item of `labels`, and what it costs, with `held` open before."""
        if not labels:
            return held, 0
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

    def riders(self, held: int) -> int:
        """The items that cost nothing with `held` open and close nothing of it."""
        found = self._riders.get(held)
        if found is None:
            found = 0
            for labels, items in self._alike.items():
                free = not labels & self.counted and not self.ends(labels, held)
                if labels == held or free or (len(self.kinds) > 1 and self.rides(labels, held)):
                    found |= items
            self._riders[held] = found
        return found

    def run_on(self, undone: int, ready: int, held: int) -> tuple[int, int, list[int]]:
        """Does what costs nothing and closes nothing of `held`: undone, ready and the items done."""
        done: list[int] = []
        riders = self.riders(held)
        front = ready & riders
        while front:
            low = front & -front
            i = low.bit_length() - 1
            done.append(i)
            front ^= low
            undone ^= low
            ready ^= low
            new = self.next[i] & undone
            while new:
                bit = new & -new
                new ^= bit
                if not self.before[bit.bit_length() - 1] & undone:
                    ready |= bit
                    front |= bit & riders
        return undone, ready, done

    def bound(self, undone: int, held: int = 0, among: int = -1) -> int:
        """What the undone items cost at least, label by label, for the labels `among`."""
        total = 0
        for label, bearers, price, tall in self.columns if among < 0 else self._among(among):
            if not bearers & undone:
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
            total += best * price
        return total

    def _among(self, labels: int) -> Iterator[Column]:
        labels &= self.counted
        while labels:
            label = labels & -labels
            labels ^= label
            column = self._column.get(label)
            if column is not None:
                yield column

    def parts(self, undone: int) -> list[int]:
        """The undone items in parts that can be done one after the other, the first to do first.

        Items without a counted label are left out of parts they do not stand in the middle of.
        """
        bearers = [self.bearers[label] & undone for label in self.priced]
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
        for label in self.priced:
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

    def idle(self, done: Sequence[int], after: int) -> bool:
        """Whether each item of an opening could as well wait for a later one that is not ready yet."""
        return all(any(self.before[j] & after for j in bits(self.can_wait[i] & after)) for i in done)


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
        first |= mask
        needs.append(mask_of(k for k, other in enumerate(joined) if other & first))
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
