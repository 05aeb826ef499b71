"""How many strokes the person needs for a fastener, counted while the program is open."""

from __future__ import annotations

NEW = "a new fastener"
"""One typed in: its place, its readings, Enter."""

SAME = "the next like it"
"""One just like the one before."""


class OwnStrokes:
    """Counts keys of the taking-off loop, from the place of a hole to the fastener recorded."""

    def __init__(self) -> None:
        self._keys = 0
        self._found: dict[str, list[int]] = {NEW: [], SAME: []}

    def begun(self) -> None:
        """A hole is chosen: that key is the first."""
        self._keys = 1

    def pressed(self) -> None:
        """One more key."""
        self._keys += 1

    def recorded(self, sort: str) -> None:
        """A fastener is on disk; `sort` is NEW or SAME. The next key is the first of the next one."""
        self._found[sort].append(self._keys)
        self._keys = 0

    @property
    def means(self) -> dict[str, tuple[int, float]]:
        """For each sort how many there were, and their strokes in the mean."""
        return {sort: (len(found), sum(found) / len(found) if found else 0.0) for sort, found in self._found.items()}
