"""Rows that are drawn when they are seen: a page of ten thousand steps costs what stands on the screen."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import overload

from textual.content import Content


class Drawn(Sequence[Content]):
    """So many rows, each drawn by its number when it is asked for."""

    def __init__(self, count: int, draw: Callable[[int], Content]) -> None:
        self._count, self._draw = count, draw

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, at: int) -> Content: ...
    @overload
    def __getitem__(self, at: slice) -> list[Content]: ...
    def __getitem__(self, at: int | slice) -> Content | list[Content]:
        if isinstance(at, slice):
            return [self._draw(row) for row in range(*at.indices(self._count))]
        if not -self._count <= at < self._count:
            raise IndexError(at)
        return self._draw(at % self._count)


def in_turn(*parts: Sequence[Content]) -> Drawn:
    """Return the rows of some parts one after the other."""
    starts = list(accumulate(map(len, parts), initial=0))

    def draw(row: int) -> Content:
        part = bisect_right(starts, row) - 1
        return parts[part][row - starts[part]]

    return Drawn(starts[-1], draw)
