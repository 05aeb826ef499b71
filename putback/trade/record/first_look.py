"""What was seen of a machine before anything came off, and what became of it."""

from __future__ import annotations

from msgspec import Struct

SORTS = {
    "from": "where it is from",
    "condition": "its condition",
    "fault": "a fault as found",
    "works": "something that works",
    "fails": "something that does not work",
    "measured": "something measured on it",
    "lift": "how to lift it",
    "missing": "something missing already",
}
"""What a first look asks for: the word of the record, and in plain words."""

ONE = ("from", "condition", "lift")
"""Of these there is one at most: said again, it takes the place of what was said."""

TESTED = ("works", "fails", "measured")
"""The first test: at the end the same is tried again, and the answer stands beside it."""

ASKED_AGAIN = ("fault", *TESTED, "missing")
"""What has an answer in the end: mended, explained, found, or how it does now."""


class Seen(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing seen of a machine."""

    sort: str
    """A key of SORTS."""
    what: str
    """In the person's own words; of a measure, what and how much."""
    came_of: str = ""
    """What became of it in the end, in the person's own words; empty as long as nobody said."""

    @property
    def text(self) -> str:
        """It in a line, with what became of it: `fault: the bell is dull; now: cleaned, it rings`."""
        now = f"; now: {self.came_of}" if self.came_of else ""
        return f"{LEADS[self.sort]}: {self.what}{now}"


LEADS = {
    "from": "from",
    "condition": "condition",
    "fault": "fault",
    "works": "works",
    "fails": "does not work",
    "measured": "measured",
    "lift": "to lift it",
    "missing": "missing",
}
"""What stands before the words of each sort."""


def still_open(seen: tuple[Seen, ...]) -> list[Seen]:
    """Return what nobody has said the end of: faults, tests and what was missing."""
    return [one for one in seen if one.sort in ASKED_AGAIN and not one.came_of]
