"""The fewest openings: an order of things, some first before others, that changes what is open least.

The same problem stands behind fewest bags, fewest tools and fewest turns. Every item bears labels of
one or more kinds (its bags, its tools, how the machine must lie). Walking an order, an item that bears
labels B of a kind costs the labels of B that the last item with any labels of that kind had not; an
item without labels of a kind changes nothing there. Each kind has its own weight.

How it is solved, and why each step keeps the true fewest:

- Taking an item out of an order never makes it dearer (|Z-X| <= |Y-X| + |Z-Y|), so an item that can
  always stand beside another one of the same labels rides with it for nothing. Such items are merged.
- Labels that share no item, and whose items do not need one another in a circle, do not disturb one
  another: the strongly connected parts of the graph of labels are solved each by itself and the answers
  add up. The search does the same again at every state it meets.
- What is left, a tangle, goes to the exact search, and where it is small to a table over all that may be
  done; where the work is used up first, a beam gives the order and the search the bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from putback.planning.masks import ENDLESS, Work, bits, closures, mask_of, picked
from putback.planning.opening_beam import beam
from putback.planning.opening_table import by_table
from putback.planning.tangle import Kind, Tangle, untangled
from putback.planning.tangle_proof import CostProof

QUICK = 1500
"""States looked at by the exact search, from each end."""

DEEPEST = 150
"""Items up to which the exact search is tried at all; it goes as deep as there are items."""

WIDTH = 12
"""States the beam keeps at first."""

WIDER = (60, 250)
"""States it keeps where nothing was proved."""


class FoundOrder(Struct, frozen=True):
    """An order and what is known of its cost."""

    order: tuple[int, ...]
    """Items, each that bears a label once."""
    cost: int
    """What it costs."""
    at_least: int
    """What every order costs at least; equal to `cost` when that is proved to be the least."""


def price(order: Iterable[int], labels: Sequence[int], kinds: Sequence[Kind], held: int = 0) -> int:
    """What an order costs with `held` open at the start."""
    cost = 0
    for item in order:
        for kind in kinds:
            wanted = labels[item] & kind.labels
            if wanted:
                cost += (wanted & ~held & kind.counted).bit_count() * kind.weight
                held = held & ~kind.labels | wanted
    return cost


def fewest_openings(
    first: Sequence[int],
    labels: Sequence[int],
    kinds: Sequence[Kind],
    work: Work | None = None,
    quick: int = 0,
) -> FoundOrder:
    """The order of the labelled items that costs least, as far as it can be proved within the work allowed.

    `first`: per item the mask of items directly before it, all of lower number. `labels`: per item the
    mask of its labels. `kinds`: which labels are of which kind, and what they cost. `quick`: where
    given, so many states are looked at for a proof and no more: the work goes into the order.
    """
    work = work or Work()
    before, after = closures(first)
    riders: dict[int, list[int]] = {i: [i] for i, mask in enumerate(labels) if mask}
    pieces = _pieces(mask_of(riders), before, after, labels, kinds, riders)
    order: list[int] = []
    at_least = 0
    answers = {}
    for piece in sorted(pieces, key=lambda piece: piece.bit_count()):
        answers[piece] = _solved(piece, before, after, labels, kinds, work, quick)
    for piece in pieces:
        items, low = answers[piece]
        at_least += low
        for item in items:
            order += sorted(riders[item])
    return FoundOrder(tuple(order), price(order, labels, kinds), at_least)


def _pieces(
    items: int,
    before: Sequence[int],
    after: Sequence[int],
    labels: Sequence[int],
    kinds: Sequence[Kind],
    riders: dict[int, list[int]],
) -> list[int]:
    """The items in pieces to be solved one by one, in the order they have to be done.

    Items that ride with another are left out and noted in `riders`.
    """
    todo = [(items, _bearers(items, labels))]
    done: list[int] = []
    while todo:
        piece, bearers = todo.pop()
        parts = untangled(bearers, before)
        if len(parts) > 1:
            todo += reversed(_shared_out(parts, bearers))
            continue
        left = _merged(piece, before, after, labels, kinds, riders)
        if left == piece:
            done.append(piece)
        else:
            todo.append((left, [mask & left for mask in bearers]))
    return done


def _bearers(items: int, labels: Sequence[int]) -> list[int]:
    """Per label the mask of its items."""
    by_label: dict[int, list[int]] = {}
    for i in bits(items):
        for label in bits(labels[i]):
            by_label.setdefault(label, []).append(i)
    return [mask_of(by_label[label]) for label in sorted(by_label)]


def _shared_out(parts: Sequence[int], bearers: Sequence[int]) -> list[tuple[int, list[int]]]:
    """Each part with the masks of its labels: items of one label are in one part."""
    home = {i: part for part, mask in enumerate(parts) for i in bits(mask)}
    found: list[tuple[int, list[int]]] = [(part, []) for part in parts]
    for mask in bearers:
        if mask:
            found[home[(mask & -mask).bit_length() - 1]][1].append(mask)
    return found


def _merged(
    piece: int,
    before: Sequence[int],
    after: Sequence[int],
    labels: Sequence[int],
    kinds: Sequence[Kind],
    riders: dict[int, list[int]],
) -> int:
    """The piece without the items that ride: each is noted with the one beside which it can be done."""
    alike: dict[int, list[int]] = {}
    for i in bits(piece):
        alike.setdefault(labels[i], []).append(i)
    for own, items in alike.items():
        for other, hosts in alike.items():
            if any(own & kind.labels and (own ^ other) & kind.labels for kind in kinds):
                continue
            for i in items:
                if not piece >> i & 1:
                    continue
                for host in hosts:
                    if (
                        host != i
                        and piece >> host & 1
                        and not before[i] & piece & ~(before[host] | 1 << host)
                        and not after[i] & piece & ~(after[host] | 1 << host)
                    ):
                        riders[host] += riders[i]
                        piece &= ~(1 << i)
                        break
    return piece


def _solved(
    piece: int,
    before: Sequence[int],
    after: Sequence[int],
    labels: Sequence[int],
    kinds: Sequence[Kind],
    work: Work,
    quick: int,
) -> tuple[list[int], int]:
    """The order of a piece's items, and what any order of them costs at least."""
    items = list(bits(piece))
    own = [labels[i] for i in items]
    if len(items) == 1:
        return items, price([0], own, kinds)
    place = {item: number for number, item in enumerate(items)}
    tangle = Tangle(
        [picked(before[i] & piece, place) for i in items],
        [picked(after[i] & piece, place) for i in items],
        own,
        kinds,
    )
    order, at_least = search(tangle, work, quick)
    return [items[i] for i in order], at_least


def search(tangle: Tangle, work: Work, quick: int = 0) -> tuple[list[int], int]:
    """The best order of a tangle that the work allows, and what any order costs at least."""
    if len(tangle.labels) > DEEPEST:
        return _beamed(tangle, work), tangle.bound(tangle.everything)
    thorough, quick = not quick, quick or QUICK
    proof = CostProof(tangle)
    if proof.prove(quick, work)[1]:
        return proof.trace(tangle.everything), proof.floor
    table = by_table(tangle, work.part(0.7)) if thorough else None
    if table is not None:
        return table
    back = CostProof(tangle.mirrored())
    if back.prove(quick, work)[1]:
        return _turned(back.trace(tangle.everything)), back.floor
    proof.floor = max(proof.floor, back.floor)
    order, cost = beam(tangle, WIDTH, work)
    if cost > proof.floor and thorough and proof.prove(ENDLESS, work.part(0.7))[1]:
        return proof.trace(tangle.everything), proof.floor
    for width in WIDER:
        for end in (tangle, back.tangle):
            if cost > proof.floor and work.left:
                wider, less = beam(end, width, work)
                if less < cost:
                    order, cost = wider if end is tangle else _turned(wider), less
    return order, proof.floor


def _beamed(tangle: Tangle, work: Work) -> list[int]:
    """The best order by a beam as wide as the work allows, judged by what a narrow one takes."""
    start = work.taken
    order, cost = beam(tangle, 1, work)
    width = 1
    while width < WIDER[-1] and cost > tangle.bound(tangle.everything):
        spent = max(work.taken - start, 1)
        width = min(WIDER[-1], width * min(80, 8 * work.left // spent) // 10)
        if width < 2:
            break
        start = work.taken
        wider, less = beam(tangle, width, work)
        if less < cost:
            order, cost = wider, less
    return order


def _turned(order: list[int]) -> list[int]:
    """An order of a mirrored tangle as one of the tangle itself."""
    return [len(order) - 1 - i for i in reversed(order)]
