"""Things: whatever can be in one place or another. Fasteners, loose pieces and parts alike."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from typing import Any, Final, Literal

from msgspec import Struct

from putback.errors import BadInput
from putback.sizing.instruments import WAYS
from putback.sizing.kinds import ALONE as ALONE
from putback.sizing.kinds import KINDS as KINDS
from putback.sizing.kinds import THREADED as THREADED
from putback.sizing.kinds import driving, driving_in
from putback.trade.record.face import FACES, AnyFace, Face
from putback.trade.record.phrases import quoted
from putback.trade.record.words import OneOf, words_of

Head = OneOf[
    Literal[
        "", "fillister", "pan", "round", "cheese", "countersunk", "flat", "hex", "headless", "socket cap",
        "truss", "binding", "oval", "raised countersunk", "square", "knurled", "wing", "cap", "ring", "eye",
        "cup point", "flat point", "cone point", "dog point", "oval point",
    ],
    "a head",
]  # fmt: skip
"""Heads of screws and bolts, shapes of nuts, points of set screws: the nine met most first, as every list has them."""
HEADS: tuple[Head, ...] = words_of(Head)

Drive = OneOf[Literal["", "slot", "cross", "hex socket", "hex", "square", "spanner", "none"], "a drive"]
"""What turns it."""
DRIVES: tuple[Drive, ...] = words_of(Drive)

Hand = OneOf[Literal["", "left", "right"], "a hand of a thread"]
"""The hand of a thread; right is kept as nothing."""
HANDS: tuple[Hand, ...] = words_of(Hand)

SmallEnd = OneOf[AnyFace, "a face for a small end"]
"""The face where a taper pin's small end shows."""

Found = OneOf[Literal["", "empty"], "a way to find a hole"]
"""How a hole was found, where nothing came out of it."""
FOUND: tuple[Found, ...] = words_of(Found)

SortOfThing = OneOf[Literal["fastener", "piece", "part", "left over"], "a sort of thing"]
"""What a thing is; one left over is a fastener that nobody knows a hole for."""

Verdict = OneOf[Literal["", "sure", "likely", "either", "none"], "a verdict on a size"]
"""How sure a size is."""

MOST_TURNS = 10_000
"""How many turns anything can be loosened or set by."""

READINGS = (
    "gauge", "od", "tpi", "pitch", "length", "thick", "wire", "width", "shoulder", "bore", "groove", "slot", "across",
    "flank", "nut", "coils",
)  # fmt: skip
"""The readings a person may give of a fastener, by their names in a session file; `across` is the head's."""

NAMELESS = frozenset({"length", "slot", "across", "flank"})
"""Readings that name no threaded fastener by themselves."""

TAKEN_BY = {f"{reading}_by": ways for reading, ways in WAYS.items()}
"""How a reading was taken, by the field that says it: gauge plate, caliper, leaf, over ten, by rule, by eye."""

LEFT_OVER: Final = "left over"
"""The sort of a fastener that nobody knows a hole for: found on the bench, in a tray, in the machine."""

SEIZED: Final = "seized"
CameOut = OneOf[
    Literal["easy", "tight", "seized", "was loose", "slot chewed", "thread worn", "painted over", "fitted to its hole"],
    "how a fastener comes out",
]
"""How a fastener comes out, in the order of the list; several may be so."""
CAME_OUT: tuple[CameOut, ...] = words_of(CameOut)

WORN = frozenset({"slot chewed", "thread worn"})
"""What of it asks for another one."""

Wrong = OneOf[Literal["lost", "broken", "thread gone"], "a trouble with a fastener"]
"""What may be wrong with a fastener or its hole; `trouble.TROUBLES` has all that can be said of one."""
WRONG: tuple[Wrong, ...] = words_of(Wrong)

_HOLE = re.compile(r"[1-9][a-z]?")


class Said(Struct, frozen=True, kw_only=True):
    """What a person says of a fastener beside its hole, its kind and its readings; None where it is not said.

    The commands that enter or mend one have these fields, and so has `Thing`; FIELDS tells all else of each.
    """

    head: Head | None = None
    """The head, one of HEADS; empty where it is not known."""
    drive: Drive | None = None
    """What turns it, one of DRIVES; empty where it is not known."""
    hand: Hand | None = None
    """The hand of its thread: left, or right, which is kept as empty."""
    small_end: SmallEnd | None = None
    """The face where a taper pin's small end shows, one of FACES; empty where it is not known."""
    turns: float | None = None
    """How many turns it is only loosened, and stays in its hole; 0 where it comes out."""
    should_be: str | None = None
    """The size that belongs there, where another was found; empty where it is as it should be."""
    material: str | None = None
    """What it is made of, in the person's words; empty where it is as usual, steel."""
    note: str | None = None
    """The person's own words; empty where there are none."""


Outlet = Literal["card", "book", "back"]
"""Where a fastener is told of: on its card, in the book's list of sizes, on the way back."""


class Field(Struct, frozen=True, kw_only=True):
    """One field of `Said`: how it is asked, checked, kept and told of, wherever a fastener is met."""

    name: str
    """Its name in the record, in the commands and in session files."""
    words: tuple[str, ...] = ()
    """The words that it may have; none where it is a number or the person's own words."""
    most: float = 0
    """Of a number the largest; 0 where it is not a number."""
    what: str = ""
    """What the number is, where it is one."""
    called: str = ""
    """What it is called in a correction: `small end left, before right`; empty: nothing is said of it there."""
    unsaid: str = "not said"
    """What is said there where nothing stands in it."""
    of: frozenset[str] = frozenset()
    """The kinds that have it; none: all have."""
    names: bool = False
    """Whether the size is named by it, too."""
    looks: bool = True
    """Whether two fasteners that differ in it are not just alike."""
    carried: bool = True
    """Whether one just like the one before has it from that one."""
    stays: bool = False
    """Whether another that goes in for it has it, too."""
    question: str = ""
    """What is asked on the screen."""
    hint: str = ""
    """What may be answered, where it is the person's own words."""
    offers: tuple[str, ...] = ()
    """What the person's own words mostly are: a list, with `usual` before it."""
    usual: str = ""
    """The line of that list that stands for nothing said."""
    of_next: str = ""
    """Its line in the list of what else can be noted, said before the fastener is entered; empty: none."""
    next_one: str = ""
    """What is then said again: `the next one: small end at left`."""
    of_last: str = ""
    """Its line in that list, said of the one just out; empty: none."""
    on_card: bool = True
    """Whether it is said right on the fastener's card by `question`; else the card has a question of its own."""
    column: bool = True
    """Whether the sheet of fasteners has a column of its name, where it is none of the first ones."""
    tells: Callable[[Any], str] | None = None
    """Its words on the card; None: there they stand among others, or it is told by nothing."""
    in_book: Callable[[Any], str] | None = None
    """Its words in the book, where they are others."""
    on_the_way_back: Callable[[Any], str] | None = None
    """Its words on the way back, where they are others."""

    def applies(self, kind: str) -> bool:
        """Tell whether a kind of fastener has it."""
        return not self.of or kind in self.of

    def kept(self, value: Any) -> Any:
        """Return what is said as it is kept: words without blanks around them, the right hand as nothing."""
        if self.name == "hand" and value == "right":
            return ""
        return value if self.most else value.strip()

    def text(self, value: Any, outlet: Outlet) -> str:
        """Return its words in an outlet; empty where nothing stands in it, or it is told of otherwise there."""
        ways = {"book": self.in_book, "back": self.on_the_way_back}
        tells = ways.get(outlet) or self.tells
        return tells(value) if tells is not None and value else ""


FIELDS: Final = (
    Field(name="head", words=HEADS, called="head", names=True, stays=True, on_card=False),
    Field(name="drive", words=DRIVES, called="drive", stays=True, on_card=False),
    Field(
        name="hand", words=HANDS, called="thread", unsaid="right", names=True, stays=True,
        on_card=False,
    ),
    Field(
        name="turns", what="loosening in turns", most=MOST_TURNS, looks=False, on_card=False, column=False,
        tells="only loosened, {:g} turns".format, on_the_way_back=lambda turns: "",
    ),
    Field(
        name="small_end", words=FACES, called="small end", of=frozenset({"taper pin"}),
        names=True, stays=True, column=False, question="At which face does the small end show?",
        of_next="small end of the next pin", next_one="small end at", of_last="small end of the pin just out",
        tells=driving, in_book="small end: {}".format, on_the_way_back=driving_in,
    ),
    Field(
        name="material", called="made of", looks=False, question="What is it made of?",
        hint="nickel silver, fibre, nylon",
        offers=("brass", "stainless steel", "bronze", "aluminium", "iron"),  # common practice, no source
        usual="steel, as usual", of_last="what the one just out is made of",
        tells="made of {}".format, on_the_way_back=str,
    ),
    Field(
        name="should_be", called="should be", unsaid="as it is", on_card=False,
        question="What belongs there, if not what is found?", hint="#8-32 UNC x 1/2",
        of_next="what belongs in the next hole", next_one="it should be",
        of_last="what belongs in the hole of the one just out", tells="should be {}".format,
    ),
    Field(
        name="note", looks=False, carried=False, on_card=False, column=False,
        question="What should be noted about the next fastener?", of_next="remark on the next fastener",
        next_one="remark:", tells=str,
    ),
)  # fmt: skip
"""Everything that can be said of a fastener, one row a field, in the order in which it is told."""

FIELD: Final = {field.name: field for field in FIELDS}
"""The same by name."""

ASIDE: Final = tuple(name for name in FIELD if name != "note")
"""All but the note, which is told last of all that there is to tell."""


class Thing(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """One fastener, some equal loose pieces, or a part that came off."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it belongs to."""
    step: int
    """The step that released it; of one left over, the step at which it was found."""
    sort: SortOfThing
    """fastener, piece, part, or left over: a fastener without a hole."""
    name: str
    """What a person calls it: the kind of a fastener, the name of a piece or part."""
    count: int = 1
    """How many there are; 0 where a hole was found empty."""
    hole: str = ""
    """Place on the 3x3 grid with its letter, `5` or `5a`; empty for pieces and parts."""
    face: Face = ""
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
    verdict: Verdict = ""
    """How sure the size is: sure, likely, either or none."""
    readings: dict[str, str] = {}
    """What was read, as typed, by READINGS; and how, by TAKEN_BY, where that is said."""
    head: Head = ""
    """The head."""
    drive: Drive = ""
    """What turns it."""
    hand: Hand = ""
    """`left` for a left-hand thread."""
    small_end: SmallEnd = ""
    """The face a taper pin's small end shows at."""
    turns: float = 0
    """How many turns it was only loosened; it stayed in its hole."""
    found: Found = ""
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
    trouble: tuple[Wrong, ...] = ()
    """What is wrong with it or its hole, of WRONG; one found again is lost no more."""
    goes_into: str = ""
    """The hole that it goes into at refit, as `spot` has it, where that is another than the one it came out of."""
    went_into: str = ""
    """The machine that it went into, as from a donor, and why; empty where it went into none."""
    used: bool = False
    """Whether it was on another machine before, as one from a donor: it is not new, and its note says from where."""
    came_out: tuple[CameOut, ...] = ()
    """How it came out, of CAME_OUT."""
    freed: str = ""
    """With what it was freed, where it was seized."""

    @property
    def called(self) -> str:
        """What it is, with its size: `screw #8-32 UNC x 3/8`."""
        if self.sort not in ("fastener", LEFT_OVER):
            return self.name
        return sized_name(self.name, self.size)

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


def as_said(said: Said, thing: Thing, field: Field) -> Any:
    """Return what is said of a field of a fastener, else what it has there."""
    value = getattr(said, field.name)
    return getattr(thing, field.name) if value is None else value


def said_words(thing: Thing, outlet: Outlet, names: Collection[str] = tuple(FIELD)) -> Iterator[str]:
    """Give the words for each of these fields of a fastener in which something stands."""
    for name in names:
        words = FIELD[name].text(getattr(thing, name), outlet)
        if words:
            yield words


def came_out_words(thing: Thing) -> str:
    """Return how a fastener came out: `came out tight`, `was seized, freed with heat`; empty where nothing was said."""
    said = {"easy": "came out easy", "tight": "came out tight", SEIZED: "was seized"}
    words = [said.get(word, word) for word in thing.came_out]
    if thing.freed:
        words.insert(words.index(said[SEIZED]) + 1 if SEIZED in thing.came_out else 0, f"freed with {thing.freed}")
    return ", ".join(words)


def sized_name(name: str, size: str) -> str:
    """Return what something is called with its size, which may say it by itself: `screw #8-32 UNC x 3/8`, `nut 2BA`."""
    return size if size.startswith(name) else f"{name} {size}".strip()


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
