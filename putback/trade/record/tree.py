"""The assembly tree of a machine: what sits around a part, and every part in the order of the tree."""

from __future__ import annotations

from collections.abc import Container, Iterator

from putback.trade.record.machine import Part
from putback.trade.record.record import Record


def around(record: Record, place: int) -> Iterator[Part]:
    """Give an assembly and those it sits in, the innermost first; nothing for the machine itself, which is 0."""
    while place:
        part = record.get(Part, place)
        yield part
        place = part.inside


def in_tree(
    record: Record, machine: int, unfolded: Container[int] | None = None
) -> Iterator[tuple[int, Part, list[Part]]]:
    """Give each part with its depth, from 0, and what sits in it: at each place assemblies first, then as they came.

    Only what sits in an assembly of `unfolded` is given, where that is said.
    """
    children: dict[int, list[Part]] = {}
    for part in record.all(Part, machine):
        children.setdefault(part.inside, []).append(part)

    def grow(inside: int, depth: int) -> Iterator[tuple[int, Part, list[Part]]]:
        for part in sorted(children.get(inside, ()), key=lambda p: (not p.assembly, p.id)):
            yield depth, part, children.get(part.id, [])
            if unfolded is None or part.id in unfolded:
                yield from grow(part.id, depth + 1)

    return grow(0, 0)
