"""Steps: one thing done, in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final, Literal, TypeVar

from msgspec import Struct

from putback.trade.record.face import Face
from putback.trade.record.job import Job
from putback.trade.record.words import OneOf, words_of

F = TypeVar("F", bound=str)

Doing = OneOf[
    Literal["take off", "let down", "drive out", "undo", "loosen", "mark", "measure", "turn", "soak"],
    "something done at a step",
]
"""Everything a step can be."""
DOINGS: tuple[Doing, ...] = words_of(Doing)

NO_REVERSE = frozenset({"mark", "measure", "turn", "soak"})
"""Doings that put nothing back at refit; a turn is made again only where the next work needs it."""

LAST_LOOK = "last look: what is still open is seen, and this may close"
"""What is confirmed before a cover closes."""


class Adjustment(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A setting as found and, where that was wrong, as it should be."""

    what: str
    """What is set."""
    turns: float | None = None
    """Turns out or up."""
    mark: str = ""
    """The mark that shows it."""
    gap: str = ""
    """A gap, in the machine's unit."""
    shims: tuple[str, ...] = ()
    """Shims under it."""
    measure: str = ""
    """Any other measure, a value with its unit or words: a free length, a height, a torque felt, a position."""
    should_be: str = ""
    """What it ought to be, where that differs from as found."""
    why: str = ""
    """Why it ought to be so."""
    note: str = ""
    """The person's own words."""
    before: bool = False
    """Whether it is set before the part goes on, as a preload is; else it is set with the part on."""
    as_set: str = ""
    """What it came to on the way back, as it was read; empty: as it was asked for, or not set yet."""
    why_so: str = ""
    """Why it stays so, where that is far from what it was to be."""

    @property
    def found(self) -> str:
        """The setting as found, in words."""
        texts = [] if self.turns is None else [f"{self.turns:g} turn{'' if self.turns == 1 else 's'}"]
        if self.mark:
            texts.append(self.mark)
        if self.gap:
            texts.append(f"gap {self.gap}")
        if self.shims:
            texts.append("shims " + ", ".join(self.shims))
        if self.measure:
            texts.append(self.measure)
        return "; ".join(texts)

    @property
    def text(self) -> str:
        """One line for refit: what to set, and to what."""
        line = f"{self.what}: {self.found}" if self.found else self.what
        if self.should_be:
            found = f" (found {self.found})" if self.found else ""
            line = f"{self.what}: set to {self.should_be}{found}"
        return f"{line}; {self.note}" if self.note else line


class Soak(Struct, frozen=True, omit_defaults=True):
    """A bath or penetrant that runs on by the clock."""

    what: str
    """What soaks, in what."""
    hours: float
    """How long."""
    since: str = ""
    """When it went in, where that was after its step was done; empty: as the step was done."""


class OfStep(Struct, frozen=True, kw_only=True):
    """What a person says of a step in lists of texts; None where nothing is said.

    The commands that add to a step or mend it have these fields, and so has `Step`; LISTS tells all else of each.
    """

    cautions: tuple[str, ...] | None = None
    """What to beware of, one a text."""
    at_refit: tuple[str, ...] | None = None
    """Work that is done before it goes on, one a text."""
    tools: tuple[str, ...] | None = None
    """Tools to be laid out for it, by their names."""
    next_time: tuple[str, ...] | None = None
    """What would be done differently another time, one a text."""


class TextList(Struct, frozen=True, kw_only=True):
    """One field of `OfStep`: how it is told of, wherever texts are added to it or mended."""

    name: str
    """Its name in the record, in the commands and in session files."""
    called: str = ""
    """What it is called on the step's card; empty: its name."""
    mended: str = ""
    """What it is called where it was mended; empty: the same."""
    noted: str
    """What is said before a text that was added: `caution noted: the drum turns freely`."""
    together: bool = False
    """Whether several are told in one line."""

    @property
    def on_card(self) -> str:
        """What it is called on the step's card."""
        return self.called or self.name

    @property
    def in_mending(self) -> str:
        """What it is called where it was mended."""
        return self.mended or self.on_card

    def told(self, texts: Iterable[str]) -> Iterator[str]:
        """Give what is said of texts that were added."""
        new = [text for text in texts if text.strip()]
        for words in [", ".join(new)] if self.together and new else new:
            yield f"{self.noted}: {words}"


LISTS: Final = (
    TextList(name="cautions", noted="caution noted"),
    TextList(
        name="at_refit", called="before it goes on", mended="work before it goes on",
        noted="to be done before it goes on",
    ),
    TextList(name="tools", noted="to be laid out", together=True),
    TextList(name="next_time", called="next time", noted="next time"),
)  # fmt: skip
"""Everything that is said of a step in lists of texts, one row a field."""

LIST_NAMES: Final = tuple(one.name for one in LISTS)
"""The names of these."""


class Step(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing done at the machine."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it was done on."""
    number: int
    """Its number on that machine, from 1."""
    session: int = 0
    """The session it was done in."""
    do: Doing = "take off"
    """One of DOINGS."""
    name: str = ""
    """The part, or what was marked or measured, in the person's words."""
    part: int = 0
    """The part, where it is one of the tree."""
    area: int = 0
    """The assembly worked in, or 0 for the machine itself."""
    face: Face = ""
    """The face worked on."""
    facing: Face = ""
    """The face whose holes come next, while it is being done; empty: its own."""
    bag: int = 0
    """The number of the bag that its fasteners and pieces go into."""
    put: str = ""
    """Where the part went."""
    needs: tuple[int, ...] = ()
    """The numbers of the earlier steps that had to be done first."""
    why_needs: str = ""
    """Why it needs those, or none, in the person's words; empty where that was not said."""
    on_hold: str = ""
    """Why it is on hold, with its part still on; empty where it is not."""
    in_the_way: bool = False
    """Whether what is begun while it is on hold is in its way."""
    tools: tuple[str, ...] = ()
    """Tools used."""
    cautions: tuple[str, ...] = ()
    """What to beware of, shown before the hand moves."""
    adjust: tuple[Adjustment, ...] = ()
    """Settings to restore."""
    at_refit: tuple[str, ...] = ()
    """Work that exists only on the way back, before this goes on."""
    todo: tuple[Job, ...] = ()
    """The jobs that were said at it, done ones too."""
    soak: Soak | None = None
    """A bath that was started."""
    lifted: str = ""
    """When what soaked was lifted out; empty while that was not said."""
    cover: bool = False
    """Whether it closes something at refit."""
    whole: bool = False
    """Whether the assembly came off in one piece."""
    tag: str = ""
    """The letter of the hang-tag on something only loosened."""
    state: str = ""
    """How the machine lies after a turn."""
    note: str = ""
    """The person's own words."""
    minutes: float | None = None
    """How long it took, where that was said."""
    began: str = ""
    """When it was begun."""
    ended: str = ""
    """When it was done; empty while it is still open."""
    confirmed: tuple[str, ...] = ()
    """Cautions seen, and settings and refit-only work done, so far at refit."""
    back: str = ""
    """When it was put back; empty while it is off."""
    skipped: str = ""
    """Why it was passed over at refit; empty where it was not, and once it is done."""
    next_time: tuple[str, ...] = ()
    """What the person would do differently another time, each by itself."""
    answers: tuple[str, ...] = ()
    """What was answered at refit beside a plain yes: a cover closed over something open, an old pin used again."""

    @property
    def is_open(self) -> bool:
        """Whether it is still being done."""
        return not self.ended

    @property
    def face_in_hand(self) -> Face:
        """The face whose holes come next; empty where it was not said."""
        return self.facing or self.face

    def own_face(self, face: F) -> F | Literal[""]:
        """Return a face as its fasteners have it: empty where it is the step's own, or not said."""
        return "" if face == self.face else face

    @property
    def takes_off(self) -> bool:
        """Whether its part leaves the machine."""
        return self.do == "take off" or bool(self.put)

    @property
    def text(self) -> str:
        """One line for the walk-back and the plan."""
        if self.do == "turn":
            return f"turned {self.name}: {self.state}" if self.state else f"turned {self.name}"
        past = {
            "take off": "took off",
            "let down": "let down",
            "drive out": "drove out",
            "undo": "undid",
            "loosen": "loosened",
            "mark": "marked",
            "measure": "measured",
            "soak": "left to soak:",
        }[self.do]
        return f"{past} {self.name}"

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """What refit asks for before this goes back: cautions, refit-only work, settings, and before a cover
        closes the last look. The cautions of a turn are shown when the machine is turned."""
        cautions = () if self.do in ("turn", "soak") else self.cautions
        look = (LAST_LOOK,) if self.cover else ()
        work = (job.asked for job in self.on_the_way_back)
        return tuple(dict.fromkeys((*cautions, *self.at_refit, *work, *(a.text for a in self.adjust), *look)))

    @property
    def on_the_way_back(self) -> tuple[Job, ...]:
        """The jobs with a side: those that are open, and those done as they were asked for at this step."""
        return tuple(job for job in self.todo if job.side and (job.open or job.asked in self.confirmed))

    @property
    def unconfirmed(self) -> tuple[str, ...]:
        """What of `to_confirm` was not confirmed yet."""
        return tuple(item for item in self.to_confirm if item not in self.confirmed)
