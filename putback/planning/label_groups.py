"""Bounds from groups of labels: the exact answers for groups that share no label add up.

The cost of an order is a sum over labels. So what a group of labels costs at least, when the others
cost nothing and only end what is open, may be added to what other groups cost at least (additive
pattern databases: Korf and Felner 2002, from memory). Groups are paired off, the pair that gains most
first, each helped in its search by the two it was made of.
"""

from __future__ import annotations

from putback.planning.masks import ENDLESS, Work, mask_of, picked
from putback.planning.tangle import Kind, Tangle
from putback.planning.tangle_proof import CostProof, Stopped

TRIED = 400
"""States looked at to learn what a pair of groups would gain."""


class LabelGroup:
    """Some labels of a tangle, and the smaller tangle in which only they cost anything."""

    def __init__(self, labels: int, place: dict[int, int], proof: CostProof) -> None:
        self.labels = labels
        self.place = place
        """Items of the whole tangle and their numbers in the smaller one."""
        self.items = mask_of(place)
        self.proof = proof
        """What is proved of the smaller tangle."""
        self.found: dict[tuple[int, int], int] = {}

    def least(self, undone: int, held: int) -> int:
        """What these labels cost at least for the undone items of the whole tangle. May raise `Stopped`."""
        key = (undone & self.items, held & self.labels)
        value = self.found.get(key)
        if value is None:
            value = self.proof.exactly(picked(key[0], self.place), key[1])
            self.found[key] = value
        return value

    def inside(self, larger: LabelGroup) -> LabelGroup:
        """This group as seen from a larger one's tangle."""
        return LabelGroup(self.labels, {larger.place[i]: own for i, own in self.place.items()}, self.proof)


def group_of(whole: Tangle, labels: int, work: Work) -> LabelGroup:
    """The group of `labels`: items that bear one, and items that stand between two that do."""
    spare = 1 << max(kind.labels.bit_length() for kind in whole.kinds)
    kinds = []
    for kind in whole.kinds:
        kinds.append(Kind(kind.labels & labels | spare, kind.weight, kind.counted & labels))
        spare <<= 1
    kept: dict[int, int] = {}
    for i, mask in enumerate(whole.labels):
        wanted = mask & labels
        for old, new in zip(whole.kinds, kinds, strict=True):
            if mask & old.labels and not mask & new.counted and _parts_two(whole, i, new.counted):
                wanted |= new.labels & ~new.counted
        if wanted:
            kept[i] = wanted
    place = {item: number for number, item in enumerate(kept)}
    tangle = Tangle(
        [picked(whole.before[i], place) for i in kept],
        [picked(whole.after[i], place) for i in kept],
        list(kept.values()),
        kinds,
    )
    proof = CostProof(tangle)
    proof.work = work
    return LabelGroup(labels, place, proof)


def _parts_two(whole: Tangle, item: int, labels: int) -> bool:
    return any(
        bearers & whole.before[item] and bearers & whole.after[item]
        for label, bearers in whole.bearers.items()
        if label & labels
    )


class _Node:
    """A group in the making: its labels, its least cost, and itself where it is more than one label."""

    def __init__(self, labels: int, cost: int, group: LabelGroup | None) -> None:
        self.labels = labels
        self.cost = cost
        self.group = group


def pair_off(proof: CostProof, work: Work) -> None:
    """Gives the proof of a whole tangle ever larger groups to help its bound, until two are left.

    Raises `Stopped` when the work is used up; `proof.floor` is then still the best bound proved.
    """
    whole = proof.tangle
    nodes = [_Node(label, whole.bound(whole.everything, 0, label), None) for label in whole.priced]
    pairs: dict[int, tuple[LabelGroup, int, bool]] = {}
    while len(nodes) > 2:
        best: tuple[tuple[float, int, int], _Node, _Node] | None = None
        for k, one in enumerate(nodes):
            for other in nodes[:k]:
                labels = one.labels | other.labels
                if labels not in pairs:
                    if not work.spend(len(whole.labels)):
                        raise Stopped
                    pairs[labels] = _paired(whole, one, other, work)
                group, cost, _ = pairs[labels]
                size = labels.bit_count()
                worth = ((cost - one.cost - other.cost) / size, -size, group.proof.looked_at)
                if best is None or worth > best[0]:
                    best = (worth, one, other)
        assert best is not None
        _, one, other = best
        group, cost, proved = pairs[one.labels | other.labels]
        if not proved:
            group.proof.looked_at, group.proof.allowed = 0, ENDLESS
            cost = group.least(whole.everything, 0)
        nodes = [node for node in nodes if node is not one and node is not other]
        nodes.append(_Node(group.labels, cost, group))
        proof.helped_by([node.group for node in nodes if node.group is not None])
        proof.floor = max(proof.floor, sum(node.cost for node in nodes))


def _paired(whole: Tangle, one: _Node, other: _Node, work: Work) -> tuple[LabelGroup, int, bool]:
    group = group_of(whole, one.labels | other.labels, work)
    parts = [node.group.inside(group) for node in (one, other) if node.group is not None]
    group.proof.helped_by(parts)
    cost, proved = group.proof.prove(TRIED, work)
    group.proof.allowed = ENDLESS
    return group, cost, proved
