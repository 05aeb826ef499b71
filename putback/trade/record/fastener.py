"""Things: whatever can be in one place or another. Fasteners, loose pieces and parts alike."""

from __future__ import annotations

import re

from msgspec import Struct

from putback.errors import BadInput
from putback.sizing.instruments import WAYS
from putback.sizing.kinds import ALONE as ALONE
from putback.sizing.kinds import KINDS as KINDS
from putback.sizing.kinds import THREADED as THREADED
from putback.trade.record.phrases import quoted

HEADS = (
    "fillister", "pan", "round", "cheese", "countersunk", "flat", "hex", "headless", "socket cap",
    "truss", "binding", "oval", "raised countersunk", "square", "knurled", "wing", "cap", "ring", "eye",
    "cup point", "flat point", "cone point", "dog point", "oval point",
)  # fmt: skip
"""Heads of screws and bolts, shapes of nuts, points of set screws: the nine met most first, as every list has them."""

DRIVES = ("slot", "cross", "hex socket", "hex", "square", "spanner", "none")
"""What turns it."""

READINGS = (
    "gauge", "od", "tpi", "pitch", "length", "thick", "wire", "width", "shoulder", "bore", "groove", "slot", "across",
    "flank", "nut", "coils",
)  # fmt: skip
"""The readings a person may give of a fastener, by their names in a session file; `across` is the head's."""

NAMELESS = frozenset({"length", "slot", "across", "flank"})
"""Readings that name no threaded fastener by themselves."""

TAKEN_BY = {f"{reading}_by": ways for reading, ways in WAYS.items()}
"""How a reading was taken, by the field that says it: gauge plate, caliper, leaf, over ten, by rule, by eye."""

LEFT_OVER = "left over"
"""The sort of a fastener that nobody knows a hole for: found on the bench, in a tray, in the machine."""

SEIZED = "seized"
CAME_OUT = ("easy", "tight", SEIZED, "was loose", "slot chewed", "thread worn", "painted over", "fitted to its hole")
"""How a fastener comes out, in the order of the list; several may be so."""

WORN = frozenset({"slot chewed", "thread worn"})
"""What of it asks for another one."""

WRONG = ("lost", "broken", "thread gone")
"""What may be wrong with a fastener or its hole; `trouble.TROUBLES` has all that can be said of one."""

_HOLE = re.compile(r"[1-9][a-z]?")


class Thing(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """One fastener, some equal loose pieces, or a part that came off."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it belongs to."""
    step: int
    """The step that released it; of one left over, the step at which it was found."""
    sort: str
    """fastener, piece, part, or left over: a fastener without a hole."""
    name: str
    """What a person calls it: the kind of a fastener, the name of a piece or part."""
    count: int = 1
    """How many there are; 0 where a hole was found empty."""
    hole: str = ""
    """Place on the 3x3 grid with its letter, `5` or `5a`; empty for pieces and parts."""
    face: str = ""
    """The face its hole is on, where that is another than its step's; empty: the step's."""
    part: int = 0
    """The part itself, where this thing is one."""
    start: str = "fitted"
    """Where it stood when the record first saw it."""
    size: str = ""
    """Its nominal size, or what was read where none fits; for a piece or part, the person's words."""
    thread: str = ""
    """The name of its thread where one was found."""
    length: str = ""
    """The name of its stocked length where one was found."""
    verdict: str = ""
    """How sure the size is: sure, likely, either or none."""
    readings: dict[str, str] = {}
    """What was read, as typed, by READINGS; and how, by TAKEN_BY, where that is said."""
    head: str = ""
    """The head."""
    drive: str = ""
    """What turns it."""
    hand: str = ""
    """`left` for a left-hand thread."""
    small_end: str = ""
    """The face a taper pin's small end shows at."""
    turns: float = 0
    """How many turns it was only loosened; it stayed in its hole."""
    found: str = ""
    """`empty` where the hole had nothing in it."""
    should_be: str = ""
    """The size that belongs here, where another was found."""
    note: str = ""
    """The person's own words."""
    replaces: int = 0
    """The thing it stands in for."""
    like: int = 0
    """The thing it was taken to be like, whose readings and size it has; 0 where it was measured itself."""
    once: bool | None = None
    """Whether it will not do twice, where that was said; else its kind and its name tell."""
    material: str = ""
    """What it is made of, in the person's words, where it was said; steel where it was not."""
    tag: str = ""
    """The letter of the hang-tag that it got when it lay loose on the bench."""
    trouble: tuple[str, ...] = ()
    """What is wrong with it or its hole, of WRONG; one found again is lost no more."""
    goes_into: str = ""
    """The hole that it goes into at refit, as `spot` has it, where that is another than the one it came out of."""
    went_into: str = ""
    """The machine that it went into, as from a donor, and why; empty where it went into none."""
    came_out: tuple[str, ...] = ()
    """How it came out, of CAME_OUT."""
    freed: str = ""
    """With what it was freed, where it was seized."""

    @property
    def called(self) -> str:
        """What it is, with its size: `screw #8-32 UNC x 3/8`."""
        if self.sort not in ("fastener", LEFT_OVER):
            return self.name
        return self.size if self.size.startswith(self.name) else f"{self.name} {self.size}".strip()

    @property
    def brief(self) -> str:
        """The same; of a screw, which most are, the size alone: `#8-32 UNC x 3/8`."""
        return self.called.removeprefix("screw ")

    @property
    def spot(self) -> str:
        """The hole it came out of: its place, and the face where that is not the step's: `3`, `3, right`."""
        return spot(self.hole, self.face)

    @property
    def goes_in(self) -> str:
        """The hole that it goes into at refit, as `spot` has it."""
        return self.goes_into or self.spot

    @property
    def alone(self) -> bool:
        """Whether a hole holds only one of its kind."""
        return self.sort == "fastener" and self.name in ALONE and not self.found


def came_out_words(thing: Thing) -> str:
    """Return how a fastener came out: `came out tight`, `was seized, freed with heat`; empty where nothing was said."""
    said = {"easy": "came out easy", "tight": "came out tight", SEIZED: "was seized"}
    words = [said.get(word, word) for word in thing.came_out]
    if thing.freed:
        words.insert(words.index(said[SEIZED]) + 1 if SEIZED in thing.came_out else 0, f"freed with {thing.freed}")
    return ", ".join(words)


def spot(hole: str, face: str) -> str:
    """Return a hole with the face it is on, where that is said: `3`, `3, right`."""
    return f"{hole}, {face}" if hole and face else hole


def read_hole(text: str) -> str:
    """Return the hole that `text` names: a place 1 to 9 and a letter where one place holds several.

    Raises BadInput for anything else.
    """
    hole = text.strip().lower()
    if not _HOLE.fullmatch(hole):
        raise BadInput(f"{quoted(text)} is not a hole; say a place from 1 to 9, with a letter where it holds several.")
    return hole
