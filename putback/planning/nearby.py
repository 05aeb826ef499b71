"""Better orders near an order: stretches of it are swapped as long as that makes it better.

What an order costs is told by its openings (see `openings`) and, last of all, by its distance from the
order it should stay near to: the number of pairs that stand the other way round (Kendall's distance).
That count was preferred to the place of the first difference because the hands remember what came
beside what: an order that differs early but in one stretch only is nearer than one that is shuffled
throughout. Items are numbered in the order to stay near to, so a pair stands the other way round when
the higher number comes first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from putback.planning.masks import Work, bits, mask_of
from putback.planning.tangle import Kind

REACH = 60
"""Items over which a stretch is moved at most."""

LONGEST = 4 * REACH
"""Items of a stretch of one sort at most: a longer one is moved in pieces."""


def distance(order: Sequence[int]) -> int:
    """Pairs of the order that stand the other way round than their numbers."""
    count = 0
    seen = 0
    for item in order:
        count += (seen >> item).bit_count()
        seen |= 1 << item
    return count


def gathered(order: Sequence[int], first: Sequence[int], labels: Sequence[int], kinds: Sequence[Kind]) -> list[int]:
    """The order with its stretches set anew, for fewer openings of the kinds after the first.

    The order is cut wherever nothing of the first kind stays open; setting the stretches in any order
    their needs allow costs no more of that kind. Each time the stretch is taken that finds most of the
    other kinds open, and among equals the one with the lowest number. `first`: as in `openings`.
    """
    stretches = _stretches(order, labels, kinds[0])
    needs = _needs(stretches, first)
    wants, leaves = _ends(stretches, labels, kinds)
    after: list[list[int]] = [[] for _ in stretches]
    for k, own_needs in enumerate(needs):
        for other in own_needs:
            after[other].append(k)
    left = [len(own_needs) for own_needs in needs]
    ready = {k for k, count in enumerate(left) if not count}
    weights = [kind.weight for kind in kinds]
    lowest = [min(stretch) for stretch in stretches]
    open_now = [0] * len(kinds)
    found: list[int] = []

    def unwanted(k: int) -> tuple[int, int]:
        both = zip(open_now, wants[k], weights, strict=True)
        return -sum([(now & want).bit_count() * weight for now, want, weight in both]), lowest[k]

    while ready:
        best = min(ready, key=unwanted)
        ready.discard(best)
        found += stretches[best]
        open_now = [leave or now for now, leave in zip(open_now, leaves[best], strict=True)]
        for k in after[best]:
            left[k] -= 1
            if not left[k]:
                ready.add(k)
    return found


def _stretches(order: Sequence[int], labels: Sequence[int], kind: Kind) -> list[list[int]]:
    """The order cut wherever nothing of a kind stays open."""
    stretches: list[list[int]] = []
    idle = 0
    held = 0
    for item in order:
        wanted = labels[item] & kind.labels
        if wanted & held:
            between = stretches[len(stretches) - idle :]
            del stretches[len(stretches) - idle :]
            stretches[-1] += [other for stretch in between for other in stretch] + [item]
        else:
            stretches.append([item])
        idle = 0 if wanted else idle + 1
        held = wanted or held
    return stretches


def _needs(stretches: Sequence[Sequence[int]], first: Sequence[int]) -> list[set[int]]:
    """Which stretches come before each of them, by their places in the list."""
    home = {item: k for k, stretch in enumerate(stretches) for item in stretch}
    needs = []
    for k, stretch in enumerate(stretches):
        own = {home[other] for item in stretch for other in bits(first[item])}
        own.discard(k)
        needs.append(own)
    return needs


def _ends(
    stretches: Sequence[Sequence[int]], labels: Sequence[int], kinds: Sequence[Kind]
) -> tuple[list[list[int]], list[list[int]]]:
    """What each stretch wants open when it begins, and what it leaves open, kind by kind."""
    wants = [[0] * len(kinds) for _ in stretches]
    leaves = [[0] * len(kinds) for _ in stretches]
    for k, stretch in enumerate(stretches):
        for item in stretch:
            for n, kind in enumerate(kinds):
                own = labels[item] & kind.labels
                wants[k][n] = wants[k][n] or own
                leaves[k][n] = own or leaves[k][n]
    return wants, leaves


class Nearby:
    """An order that can be made better by swapping stretches of it."""

    def __init__(
        self, order: Sequence[int], before: Sequence[int], labels: Sequence[int], kinds: Sequence[Kind]
    ) -> None:
        self.order = list(order)
        self.before = before
        self.labels = labels
        self.kinds = kinds
        self._walk(0)
        self._sorts = [[0] * len(self.order) for _ in kinds]
        self._walk_sorts(0, len(self.order))

    def _walk(self, start: int) -> None:
        """What is open ahead of each item, from `start` on."""
        if start == 0:
            self.held = [0]
        del self.held[start + 1 :]
        held = self.held[start]
        for item in self.order[start:]:
            held, _ = self._step(held, self.labels[item])
            self.held.append(held)

    def _step(self, held: int, labels: int) -> tuple[int, int]:
        cost = 0
        for kind in self.kinds:
            wanted = labels & kind.labels
            if wanted:
                cost += (wanted & ~held & kind.counted).bit_count() * kind.weight
                held = held & ~kind.labels | wanted
        return held, cost

    def gain(self, i: int, j: int, k: int) -> tuple[int, int]:
        """What is saved by swapping the stretches i..j-1 and j..k-1: openings, then distance."""
        order, labels = self.order, self.labels
        old = new = 0
        held = self.held[i]
        for item in order[i:k]:
            held, cost = self._step(held, labels[item])
            old += cost
        then = self.held[i]
        for item in order[j:k]:
            then, cost = self._step(then, labels[item])
            new += cost
        for item in order[i:j]:
            then, cost = self._step(then, labels[item])
            new += cost
        for item in order[k:]:
            if then == held:
                break
            held, cost = self._step(held, labels[item])
            old += cost
            then, cost = self._step(then, labels[item])
            new += cost
        if old < new:
            return old - new, 0
        mask = 0
        for item in order[i:j]:
            mask |= 1 << item
        turned = sum((mask >> item).bit_count() for item in order[j:k])
        return old - new, 2 * turned - (j - i) * (k - j)

    def improve(self, work: Work) -> list[int]:
        """Swaps stretches until none of the swaps tried is better or the work is used up."""
        since = 0
        i = 0
        while since < len(self.order) and work.left:
            if any(self._swap_if_better(*cut) for cut in self._cuts(i) if self._paid(cut, work)):
                since = 0
            else:
                since += 1
                i = i + 1 if i + 1 < len(self.order) else 0
        return self.order

    def _paid(self, cut: tuple[int, int, int], work: Work) -> bool:
        """Counts the work of trying a swap: the longer its stretches, the more; whether it is to be done."""
        return work.spend(1 + (cut[2] - cut[0]) // 16 + len(self.order) // 256)

    def _swap_if_better(self, i: int, j: int, k: int) -> bool:
        if self.gain(i, j, k) <= (0, 0):
            return False
        self.order[i:k] = self.order[j:k] + self.order[i:j]
        self._walk(i)
        self._walk_sorts(i, k)
        return True

    def _cuts(self, i: int) -> Iterator[tuple[int, int, int]]:
        """Swaps of neighbouring stretches, one of which begins at i and is an item or of one sort."""
        order, before = self.order, self.before
        for j in self._ends(i):
            if j < len(order) and not before[order[j]] >> order[j - 1] & 1:
                moved = mask_of(order[i:j])
                for k in range(j, min(j + REACH, len(order))):
                    if before[order[k]] & moved:
                        break
                    yield i, j, k + 1
            if i > 0 and not before[order[i]] >> order[i - 1] & 1:
                wanted = 0
                for item in order[i:j]:
                    wanted |= before[item]
                for k in range(i - 1, max(i - REACH, -1), -1):
                    if wanted >> order[k] & 1:
                        break
                    yield k, i, j

    def _ends(self, i: int) -> list[int]:
        most = min(len(self.order), i + LONGEST)
        return sorted({i + 1, *(min(ends[i], most) for ends in self._sorts if ends[i])})

    def _walk_sorts(self, start: int, end: int) -> None:
        """Where the stretch of one sort ends that begins at each item, 0 where none does; after start..end-1 changed.

        What lies further back than the longest stretch is as it was.
        """
        order, labels = self.order, self.labels
        for kind, ends in zip(self.kinds, self._sorts, strict=True):
            later = end  # the next item that has such a label, or as far as it matters
            while later < min(len(order), end + LONGEST) and not labels[order[later]] & kind.labels:
                later += 1
            for i in range(end - 1, max(start - LONGEST, 0) - 1, -1):
                held = labels[order[i]] & kind.labels
                j = later
                while held and j < min(len(order), i + LONGEST):
                    wanted = labels[order[j]] & kind.labels
                    if wanted == held:
                        j = ends[j]  # from there on it goes as from here
                        break
                    if wanted and not wanted & held:
                        break
                    j += 1
                ends[i] = j if held else 0
                later = i if held else later
