"""What is pressed, and where: the keys that commands are made of. Knows no screen.

Keys are named as `keys.plain_key` names them. Each `Presses` goes to one place: the bench itself, a
prompt, a card. What cannot be entered by keys raises BadInput with a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import Literal

from msgspec import Struct

from putback.errors import BadInput
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import Adjustment
from putback.tui.bench.rarer_fields import RARER_FIELDS
from putback.tui.dialogs.face_pick import UNSAID
from putback.tui.dialogs.lists import (
    BARE,
    FOUND_BY,
    PIECES,
    PLACES,
    TURNS,
    line_of,
)
from putback.tui.dialogs.prompts import PAGE
from putback.tui.form import entry
from putback.tui.keyboard.keys import FACE_OF_KEY, KEYS

Where = Literal["bench", "ask", "pick", "faces", "size", "card", "machine", "walk", "break", "summary"]
"""What keys go to."""

Sort = Literal["new_fastener", "same_again", "other", "step", ""]
"""What strokes are counted as; empty for machine, sessions and moves.

Kind, head and drive carry over from one fastener to the next; what changes them counts with the step, as
the face does.
"""

LETTER = {key.id: key.keys[0] for key in KEYS if key.where == "bench" and key.keys}
"""The letter of each command."""


class Presses(Struct, frozen=True):
    """Keys for one place, in order."""

    where: Where
    """Where they go to."""
    keys: tuple[str, ...]
    """The keys."""


class KeySequence(Struct, frozen=True):
    """Something done with a few keys, and what it counts as."""

    sort: Sort
    """What its keys count as."""
    presses: tuple[Presses, ...]
    """Its keys."""


class ScreenState(Struct, frozen=True, kw_only=True):
    """Where the screen stands before an act."""

    record: Record
    """The record."""
    machine: int
    """The machine on the bench, or 0."""
    form: entry.Form
    """The form."""
    face: str
    """The face."""
    area: int
    """The assembly worked in."""
    put: str
    """Where a part goes."""
    put_other: str
    """Where the part of the step in hand goes, where it is not taking off."""
    fills: bool = True
    """Whether something will go into the bag of the step that begins."""
    holes: bool = False
    """Whether the step that begins has holes."""
    minutes: float | None = None
    """How long the step that begins takes, where the clock cannot tell."""
    settings: tuple[Adjustment, ...] = ()
    """The settings of the step that begins."""

    @property
    def bench(self) -> Machine:
        """The machine on the bench."""
        return self.record.get(Machine, self.machine)


_SAYINGS = tuple(RARER_FIELDS)


def on_bench(keys: Iterable[str]) -> Presses:
    """Keys of the bench itself."""
    return Presses("bench", tuple(keys))


def typed_line(text: str) -> Presses:
    """A line typed and entered; it takes the place of what stands there."""
    if any(not letter.isprintable() for letter in text):
        raise BadInput(f"“{text}” cannot be typed: it has a sign that is not a letter.")
    return Presses("ask", (*text, "enter"))


def said_line(text: str) -> Presses:
    """A note or caution typed and entered; a blank before a lone figure says that it is meant as a note."""
    return typed_line(f" {text}" if len(text.strip()) == 1 else text)


def choice(index: int) -> Presses:
    """One of a numbered list."""
    return Presses("pick", (*("+",) * (index // PAGE), str(index % PAGE + 1)))


def wish(id: str) -> Presses:
    """The letter of a command of the bench."""
    return on_bench(LETTER[id])


def further(saying: str, *presses: Presses) -> tuple[Presses, ...]:
    """A line of the list of what else can be noted, and the answers to its questions."""
    return (wish("further"), choice(_SAYINGS.index(saying)), *presses)


def go_inside(name: str, at: ScreenState, sort: Sort) -> Iterator[KeySequence]:
    """Give the keys that go to work inside an assembly, where that is not where the screen stands."""
    areas = [p for p in at.record.all(Part, at.machine) if p.assembly]
    found = at.record.assembly_named(at.machine, name) if name else None
    wanted = found.id if found else 0
    if wanted != at.area:
        ids = [0, *(p.id for p in areas)]
        yield KeySequence(sort, (wish("inside"), choice(ids.index(wanted))))


def to_face(face: str) -> tuple[Presses, ...]:
    """Return the keys that turn to a face; empty: it is not said."""
    return on_bench("/"), Presses(
        "faces", (next((key for key, named in FACE_OF_KEY.items() if named == face), UNSAID),)
    )


def place_keys(put: str, hand: int) -> Iterator[Presses]:
    """Give the keys that say where a part goes; `hand` is the number of the bag in hand."""
    number = bag_number(put)
    if not put or put in PLACES:
        yield choice(PLACES.index(put or PIECES))
    elif put == "loose":
        yield choice(PLACES.index("loose on the bench"))
    elif number and number == hand:
        yield choice(PLACES.index("the bag in hand"))
    else:
        for index, option in enumerate(PLACES):
            start = option.removesuffix("...")
            if option != start and put.startswith(start):
                yield from (choice(index), typed_line(put[len(start) :]))
                return
        raise BadInput(f"A part cannot be put to “{put}” by keys.")


def setting_keys(a: Adjustment) -> Iterator[Presses]:
    """Give the keys for a setting: in short where that says all of it, else in full."""
    if short_setting(a):
        yield from (wish("adjust"), typed_line(a.what), *short_setting(a))
        return
    rest = map(typed_line, ("", a.should_be, a.why, a.note))
    when = choice(1) if a.before else Presses("pick", ("enter",))
    yield from further("a setting, in full", typed_line(a.what), *chain.from_iterable(_found(a).values()), *rest, when)


def short_setting(a: Adjustment) -> tuple[Presses, ...]:
    """Return the keys for a setting as found, what it is being asked already; none where more is said of it."""
    found = _found(a)
    if len(found) != 1 or a.why or a.note or a.before or (a.should_be and "a gap" not in found):
        return ()
    return (*chain.from_iterable(found.values()), *([typed_line(a.should_be)] if "a gap" in found else []))


def _found(a: Adjustment) -> dict[str, tuple[Presses, ...]]:
    """Return the keys for each sort of setting that was found: its line, and what it is."""
    turns = "" if a.turns is None else f"{a.turns:g}"
    known = {"turns": turns, "a mark": a.mark, "a gap": a.gap, "shims": ", ".join(a.shims), "a measure": a.measure}
    found: dict[str, tuple[Presses, ...]] = {}
    for number, sort in enumerate(FOUND_BY, 1):
        straight = sort == "a measure" and line_of(a.measure) < 0 and not TURNS.fullmatch(a.measure)
        straight = straight and not BARE.fullmatch(a.measure)
        if known[sort]:
            found[sort] = (*(() if straight else (typed_line(str(number)),)), typed_line(known[sort]))
    return found
