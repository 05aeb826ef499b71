"""What was worked out last, kept as long as it is asked for again and nothing changed meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

V = TypeVar("V")


class Latest(Generic[V]):
    """One value with what it was worked out for."""

    def __init__(self) -> None:
        self._known: tuple[Hashable, V] | None = None

    def of(self, key: Hashable, make: Callable[[], V]) -> V:
        """Return the value for `key`: the one at hand where it was asked for last, else what `make` gives."""
        if self._known is None or self._known[0] != key:
            self._known = (key, make())
        return self._known[1]
