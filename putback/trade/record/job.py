"""Jobs: work on a part or the machine that is still to do, is in hand, or is done."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, Literal

from msgspec import Struct
from msgspec.structs import force_setattr

from putback.dates import day_in_words
from putback.errors import BadInput
from putback.trade.record.making import Dimension, making_words
from putback.trade.record.phrases import quoted
from putback.trade.record.words import OneOf, words_of

Sort = OneOf[Literal["do", "soak", "make", "get", "send out", "find out", "test"], "a sort of job"]
"""What sort of work it is."""
SORTS: tuple[Sort, ...] = words_of(Sort)
"""Every sort of job."""

BEFORE_IT_GOES_BACK: Final = "before it goes back"
BEFORE_IT_RUNS: Final = "before the machine runs"
NO_HURRY: Final = "no hurry"

When = OneOf[Literal["", "before it goes back", "before the machine runs", "no hurry"], "a time for a job"]
"""What it has to be done before; empty as it is said, for what is usual for its sort."""
WHENS: tuple[When, ...] = words_of(When)
"""What a job can have to be done before; one of the first stops its step on the way back."""

Takes = OneOf[Literal["", "a few minutes", "an evening", "longer"], "a time that a job takes"]
"""How long it takes; empty where that is not known."""
TAKES: tuple[Takes, ...] = words_of(Takes)
"""How long a job is said to take; the shortest first, as lists sort them."""

BEFORE_IT_IS_ON: Final = "on the way back, before the part is on"
WITH_IT_ON: Final = "on the way back, with the part on"

Side = OneOf[
    Literal["", "on the way back, before the part is on", "on the way back, with the part on"], "a side of a job"
]
"""On which side of its step it is work that exists only on the way back; empty where it is not."""
SIDES: tuple[Side, ...] = words_of(Side)
"""On which side of its step work is asked for that exists only on the way back; it makes no step wait."""

TO_DO = "to do"
IN_HAND = "in hand"
DONE = "done"

STATES = (TO_DO, IN_HAND, DONE)
"""How a job can stand."""

NOW = "now"
"""What stands for the stamp of the change, where a job is said that is in hand or done already."""

AS_IT_IS = "put on as it is"
"""What is answered where a part goes back though a job on it is still open."""

_FIRST = frozenset({"do", "make"})
"""Sorts that have to be done before the part goes back, where nothing else was said."""


def usual_when(sort: str) -> When:
    """Return what a job of that sort has to be done before, where nothing was said."""
    return BEFORE_IT_GOES_BACK if sort in _FIRST else NO_HURRY


ORDERED = "ordered"
"""How a job to get something stands that was taken in hand."""


class Job(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One piece of work; `when` becomes the usual one of its sort where nothing was said."""

    do: Sort
    """Its sort, one of SORTS."""
    what: str
    """What it is about."""
    when: When = ""
    """What it has to be done before, one of WHENS."""
    since: str = ""
    """When it was taken in hand; empty where it was not."""
    done: str = ""
    """When it was done; empty while it is open."""
    result: str = ""
    """What came of it, in the person's words."""
    takes: Takes = ""
    """How long it takes, one of TAKES; empty where that is not known."""
    side: Side = ""
    """Where it is work that exists only on the way back, one of SIDES; else empty."""
    hole: str = ""
    """The hole of its step whose fastener it is about; empty for the part."""
    hours: float = 0
    """For how many hours it soaks, of a job to soak; it is in since it was begun. 0 where that is not known."""
    measures: tuple[Dimension, ...] = ()
    """The measures of what is to be made."""
    material: str = ""
    """What it is made of, in the person's words."""
    drawing: str = ""
    """The name of the photo that shows it, or where its drawing lies, in the person's words."""
    count: int = 1
    """How many are made."""

    def __post_init__(self) -> None:
        if not self.when:
            force_setattr(self, "when", NO_HURRY if self.side else usual_when(self.do))

    @property
    def state(self) -> str:
        """How it stands, one of STATES."""
        return DONE if self.done else IN_HAND if self.since else TO_DO

    @property
    def open(self) -> bool:
        """Whether it is not done."""
        return not self.done

    @property
    def first(self) -> bool:
        """Whether it is open and has to be done before its part goes back."""
        return self.open and self.when == BEFORE_IT_GOES_BACK and not self.side

    @property
    def called(self) -> str:
        """What it is, in words: `to get: felt`."""
        return f"to {self.do}: {self.what}"

    @property
    def stands(self) -> str:
        """How it stands, in words: `in hand since 3 Nov`, `done 7 Nov: brazed`."""
        if self.done:
            return f"done {day_in_words(self.done)}" + (f": {self.result}" if self.result else "")
        return f"{self.begun} since {day_in_words(self.since)}" if self.since else TO_DO

    @property
    def begun(self) -> str:
        """What it is once it was begun: what is to get is ordered, all else in hand."""
        return ORDERED if self.do == "get" else IN_HAND

    @property
    def how(self) -> str:
        """How it stands and, while it is open, what it is to be done before: `in hand since 3 Nov, no hurry`."""
        if self.done:
            return self.stands
        words = (
            self.stands if self.since else "",
            f"{self.hours:g} h" if self.hours else "",
            self.side or self.when,
            self.takes,
            self.at_hole,
        )
        return ", ".join(filter(None, words))

    @property
    def soaks(self) -> bool:
        """Whether it is a soak that is in: it is due when its hours are over."""
        return self.do == "soak" and bool(self.hours and self.since) and self.open

    @property
    def is_measured(self) -> bool:
        """Whether anything is known of how it is made."""
        return bool(self.measures or self.material or self.drawing) or self.count != 1

    @property
    def making(self) -> str:
        """What is known of a thing to be made, in words; empty where nothing is, or nothing is to be made."""
        return making_words(self.measures, self.material, self.drawing, self.count)

    @property
    def at_hole(self) -> str:
        """The hole it is about, in words; empty where it is about no fastener."""
        return f"hole {self.hole}" if self.hole else ""

    @property
    def text(self) -> str:
        """It with how it stands and what it is to be done before, as a list says it."""
        return f"{self.called} ({self.how})"

    @property
    def whole(self) -> str:
        """The same with what is known of how it is made."""
        return f"{self.text}; {self.making}" if self.making else self.text

    @property
    def question(self) -> str:
        """What the way back asks while it stops its step: `to make first: drip felt`."""
        return f"to {self.do} first: {self.what}"

    @property
    def asked(self) -> str:
        """What the way back asks for at its step, where it has a side: `oil the hinge`, `to test: bell`."""
        return self.what if self.do == "do" else self.called


OLD_WORDS = ("mend", "clean", "order")
"""Sorts of an earlier time; session files and exports of that time still have them."""


def in_new_words(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a job as it was written at any time, in the words of today.

    Mending and cleaning are to do, and what they are about says which; ordering is to get. Without anything else
    said, a job is to do, with the usual time of its sort.
    """
    new = dict(row)
    do, what = row.get("do"), row.get("what")
    if do == "order":
        new["do"] = "get"
    elif do in ("mend", "clean"):
        new["do"] = "do"
        if isinstance(what, str) and what.strip() and not re.search(rf"\b{do}", what, re.IGNORECASE):
            new["what"] = f"mend: {what}" if do == "mend" else f"clean {what}"
    if isinstance(new.get("do"), str):
        new.setdefault("when", usual_when(new["do"]))
    return new


def with_state(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a job's document with its state, as an export says it."""
    state = DONE if row.get("done") else IN_HAND if row.get("since") else TO_DO
    return {**row, "state": state}


def as_kept(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return the document of a job out of an export of any time.

    Raises BadInput where its state is not that of its stamps.
    """
    kept = in_new_words(row)
    state = kept.pop("state", None)
    if state is not None and state != with_state(kept)["state"]:
        raise BadInput(f"a job is {quoted(state)}, and its stamps say that it is {with_state(kept)['state']}.")
    return kept
