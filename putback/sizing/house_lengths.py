"""The lengths that one machine has: its readings gathered into groups, and each group named.

Makers had screw lengths of their own. A reading alone says little then; the machine's other screws say much. So no
reading is named by itself: those of one thread and datum are gathered, and a group is a stocked length within its
tolerance, a length of the house, or either. `docs/sizing.md` tells the model; its constants are ours, set by hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import sqrt
from typing import NamedTuple
from weakref import WeakKeyDictionary

from msgspec import Struct
from msgspec.structs import replace

from putback.sizing.length_odds import (
    Family,
    LengthGroup,
    SeenLength,
    bell,
    explained,
    gathered,
    house_chance,
    variance_of,
)
from putback.sizing.threads import thread_named

SHARE = (3.0, 17.0)
"""What is known of the share of house lengths before a machine has shown any: so many of them, so many stocked."""

SAME_FACE = 4.0
"""A screw of the same part and face speaks so much louder for joining its group."""

LOUDEST = 8.0
"""And all the screws of a group together not more than this."""

SWEEPS = 3
"""So often each reading is taken out of its group and put where it goes now."""

ENOUGH = 2
"""So many of one length on a face make another length worth a question."""

JOINS = 0.25
"""From this probability on a reading may be one of a group, and nothing is asked."""

SETTLED = 12
"""Readings in a group beyond which one more or less does not move it; they stay where they are."""


class Shelf(Struct, frozen=True, eq=False, weakref=True):
    """The groups of one thread and datum of a machine."""

    family: Family
    """Which lengths it may have."""
    groups: tuple[LengthGroup, ...] = ()
    """In the order their first readings came."""

    def of(self, key: int) -> LengthGroup | None:
        """Return the group that a fastener is in, or None."""
        for group in self.groups:
            if group.seen[-1].key == key:  # the one in the hand came last
                return group
        if self not in _WHERE:
            _WHERE[self] = {k: group for group in self.groups for one in group.seen for k in (one.key, *one.more)}
        return _WHERE[self].get(key)


_WHERE: WeakKeyDictionary[Shelf, dict[int, LengthGroup]] = WeakKeyDictionary()
"""The group of each fastener, of shelves that were asked for one that did not come last."""


class Place(NamedTuple):
    """Which shelf a length lies on."""

    thread: str
    """The thread's name, the two it may be, or what was read of it; empty where nothing was."""
    which: str
    """The list of stocked lengths."""
    datum: str
    """Where it is measured."""


class House(Struct, frozen=True, eq=False):
    """All lengths of one machine, and how many of them are its own. It forgets no reading."""

    shelves: Mapping[Place, Shelf] = {}
    """Its groups, by thread and datum."""
    found: Mapping[Place, tuple[float, float]] = {}
    """What each shelf says of the share: so many lengths of the house, so many stocked."""
    share: float = SHARE[0] / sum(SHARE)
    """The share of house lengths."""

    def shelf(self, place: Place) -> Shelf:
        """Return a shelf as it is, an empty one where nothing lies on it."""
        return self.shelves.get(place) or Shelf(Family(place.which, _pitch(place.thread)))

    def with_seen(self, place: Place, seen: SeenLength) -> House:
        """Return the house with one more reading."""
        return self._with(place, joined(self.shelf(place), seen, self.share))

    def with_more(self, place: Place, key: int, like: int) -> House:
        """Return the house with fastener `key`, which was not read but is just like `like`."""
        shelf = self.shelf(place)
        groups = list(shelf.groups)
        for number, group in enumerate(groups):
            at = _of(group, like)
            if at is not None:
                one = group.seen[at]
                seen = (*group.seen[:at], replace(one, more=(*one.more, key)), *group.seen[at + 1 :])
                groups[number] = replace(group, seen=seen, count=group.count + 1)
        return self._with(place, replace(shelf, groups=tuple(groups)))

    def without(self, place: Place, key: int) -> House:
        """Return the house without one fastener; where others are just like it, the next of them was read."""
        found: list[SeenLength] = []
        for one in sorted((one for g in self.shelf(place).groups for one in g.seen), key=lambda one: one.key):
            more = tuple(other for other in one.more if other != key)
            if one.key != key:
                found.append(replace(one, more=more))
            elif more:
                found.append(replace(one, key=more[0], more=more[1:]))
        shelf = Shelf(self.shelf(place).family)
        for one in found:
            shelf = joined(shelf, one, self.share)
        return self._with(place, shelf)

    def _with(self, place: Place, shelf: Shelf) -> House:
        chances = [(len(group.seen), house_chance(shelf.family, group, self.share)) for group in shelf.groups]
        found = {**self.found, place: _tally(chances)}
        house = SHARE[0] + sum(house for house, _ in found.values())
        listed = SHARE[1] + sum(listed for _, listed in found.values())
        return House({**self.shelves, place: shelf}, found, house / (house + listed))


def _of(group: LengthGroup, key: int) -> int | None:
    """Return which reading of a group is a fastener's, or of one that is just like it; the last are looked at first."""
    last = range(len(group.seen) - 1, -1, -1)
    found = next((at for at in last if group.seen[at].key == key), None)
    return next((at for at in last if key in group.seen[at].more), None) if found is None else found


def _tally(chances: Iterable[tuple[int, float]]) -> tuple[float, float]:
    """Return what groups say of the share, each by its size and P(house): half as much where it has one member."""
    house = listed = 0.0
    for size, chance in chances:
        counts = 1.0 if size > 1 else 0.5
        house += counts * chance
        listed += counts * (1 - chance)
    return house, listed


def _pitch(label: str) -> float:
    """Return the pitch of the first thread that a label names, mm; 0 where it names none."""
    thread = thread_named(label.partition(" or ")[0])
    return 0.0 if thread is None else float(thread.pitch)


def joined(shelf: Shelf, seen: SeenLength, share: float) -> Shelf:
    """Return the shelf with one more reading on it; `share` is that of house lengths on the machine.

    Readings near it are then taken out and put back, so that the order in which they came does not matter.
    """
    groups = list(shelf.groups)
    at = _place(groups, shelf.family, seen, share)
    for _ in range(SWEEPS if _doubtful(groups, at, shelf.family, seen) else 0):
        if not _sweep(groups, shelf.family, seen, share):
            break
    return replace(shelf, groups=tuple(groups))


def stray(shelf: Shelf, key: int, here: Iterable[int], share: float) -> LengthGroup | None:
    """Return the group that a reading is odd beside, or None where nothing is worth a question.

    `here` are the fasteners of its part and face before it. It must be alone of its length there, hardly one of the
    group that most of them are in, and so far from it that no reading is to blame.
    """
    own, here = shelf.of(key), frozenset(here)
    if own is None or any(one.key in here or here.intersection(one.more) for one in own.seen):
        return None
    counts = [sum((one.key in here) + len(here.intersection(one.more)) for one in g.seen) for g in shelf.groups]
    most = max(counts, default=0)
    if most < ENOUGH or most * 2 < sum(counts):
        return None
    usual = shelf.groups[counts.index(most)]
    seen = next(one for one in own.seen if one.key == key or key in one.more)
    rest = [one for one in own.seen if one is not seen]
    others = [group for group in shelf.groups if group is not own] + ([gathered(shelf.family, rest)] if rest else [])
    scores = join_scores(others, shelf.family, seen, share)
    off = abs(seen.long - usual.middle)
    scatter = sqrt(usual.loose + variance_of(shelf.family, seen))
    if scores[others.index(usual)] >= JOINS * sum(scores) or off <= max(3 * scatter, shelf.family.apart):
        return None
    return usual


def _doubtful(groups: Sequence[LengthGroup], at: int, family: Family, new: SeenLength) -> bool:
    """Tell whether a new reading may have moved another: it drew its group wide, or lies near a second one."""
    scatter = sqrt(variance_of(family, new))
    low, high = groups[at].span
    if high - low > 3 * scatter:
        return True
    return any(i != at and abs(group.middle - new.long) <= 5 * scatter for i, group in enumerate(groups))


def _sweep(groups: list[LengthGroup], family: Family, new: SeenLength, share: float) -> bool:
    """Take each reading near a new one out and put it where it goes now; tell whether any moved."""
    reach = 8 * sqrt(variance_of(family, new))
    near = [g for g in groups if _small(g) and abs(g.middle - new.long) <= reach]
    moved = False
    for member in [seen for group in near for seen in group.seen]:
        at = next((i for i, g in enumerate(groups) if _small(g) and any(m.key == member.key for m in g.seen)), None)
        if at is None:  # its group has settled meanwhile
            continue
        before = {seen.key for seen in groups[at].seen}
        rest = [seen for seen in groups[at].seen if seen.key != member.key]
        if rest:
            groups[at] = gathered(family, rest)
        else:
            del groups[at]
        after = {seen.key for seen in groups[_place(groups, family, member, share)].seen}
        moved = moved or before != after
    return moved


def _place(groups: list[LengthGroup], family: Family, seen: SeenLength, share: float) -> int:
    """Put a reading into the group that takes it, or a new one; return which."""
    scores = join_scores(groups, family, seen, share)
    best = max(range(len(scores)), key=scores.__getitem__)
    if best == len(groups):
        groups.append(gathered(family, [seen]))
    else:
        groups[best] = _and(family, groups[best], seen)
    return best


def _and(family: Family, group: LengthGroup, seen: SeenLength) -> LengthGroup:
    """Return a group with one more reading."""
    weight = 1 / variance_of(family, seen)
    whole = group.weight + weight
    middle = (group.middle * group.weight + weight * seen.long) / whole
    span = min(group.span[0], seen.span[0]), max(group.span[1], seen.span[1])
    return LengthGroup((*group.seen, seen), whole, middle, group.count + 1 + len(seen.more), span)


def join_scores(groups: Iterable[LengthGroup], family: Family, seen: SeenLength, share: float) -> list[float]:
    """Return how well each group takes a reading, and last how well a new one does."""
    variance = variance_of(family, seen)
    scores = []
    for group in groups:
        scores.append(_loudness(group, seen) * bell(seen.long - group.middle, group.loose + variance))
    listed, house = explained(family, seen.long, variance)
    scores.append((1 - share) * listed + share * house)
    return scores


def _small(group: LengthGroup) -> bool:
    return len(group.seen) <= SETTLED


def _loudness(group: LengthGroup, seen: SeenLength) -> float:
    """Return how loudly the screws of a group speak for one more."""
    if len(group.seen) >= LOUDEST:
        return LOUDEST
    return min(LOUDEST, sum(SAME_FACE if seen.where and m.where == seen.where else 1.0 for m in group.seen))
