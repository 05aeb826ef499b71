"""Rules for taking off: a step begun, what it releases, what is said of it, and its end."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from math import isfinite
from typing import Any

from msgspec import field
from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command, Readings
from putback.trade.commands.draft import Draft
from putback.trade.commands.holes import check_hole
from putback.trade.commands.machines import MOST_TURNS, area, clean_name
from putback.trade.commands.naming_lengths import name_alike
from putback.trade.commands.needs import check_needs, default_needs
from putback.trade.commands.on_hold import stood_in_the_way
from putback.trade.commands.which_step import being_done
from putback.trade.record.change import Change
from putback.trade.record.fastener import DRIVES, HEADS, KINDS, READINGS, TAKEN_BY, Thing, read_hole
from putback.trade.record.holes import counts_text, face_of, place_of
from putback.trade.record.machine import FACES, Machine, Part
from putback.trade.record.phrases import few, quoted, times, with_article
from putback.trade.record.place import FITTED, LOOSE, bag_number, checked_bag, going, in_bag, read_place
from putback.trade.record.step import DOINGS, Step
from putback.trade.sizes.just_like import one_before


class Begin(Command, frozen=True, kw_only=True):
    """Begin a step. `needs` None means the step before; `bag` 0 means a new bag once one is wanted."""

    do: str = "take off"
    """What is done, one of `record.step.DOINGS`."""
    name: str
    """The part it is done to, as the person calls it; never empty."""
    inside: str = ""
    """The assembly the part sits in, by its name; empty for the machine itself."""
    face: str = ""
    """The face it is on, one of FACES; empty where not said yet."""
    bag: int = 0
    """The number of the bag that its fasteners go into; one that is closed is refused."""
    needs: tuple[int, ...] | None = None
    """Numbers of earlier steps that had to be done first; empty where it could come off any time."""
    whole: bool = False
    """True where the part comes off in one piece, to be opened later: an assembly."""
    tag: str = ""
    """The letter of the hang-tag on what is only loosened; empty where none hangs on it."""
    state: str = ""
    """How the machine lies after a turn, as `on its back`; empty at any other step."""

    def words(self) -> Iterator[str]:
        yield self.name


class Enter(Command, frozen=True, kw_only=True):
    """Take one fastener out of its hole. Its size was named before, by the readings.

    `face` is the one its hole is on; that of the first hole is its step's where none was said yet. `like`: it is
    as the one of its kind before it, and was not measured.
    """

    hole: str
    """A place 1 to 9, with a letter where one place holds several: `7`, `7a`."""
    face: str = ""
    """One of FACES; empty where it is the one in hand: that of the step, or the one turned to since."""
    kind: str = "screw"
    """What it is, one of KINDS."""
    size: str = ""
    """Its size as it is said: `#8-32 UNC x 3/8`; empty until the readings name it."""
    thread: str = ""
    """The thread alone, as `#8-32 UNC`; empty where it has none or it is not sure."""
    length: str = ""
    """The length alone, as `3/8`; empty where none was read."""
    verdict: str = ""
    """How sure the size is: sure, likely, either of, none; empty where it was said and not read."""
    readings: Readings = field(default_factory=dict)
    """What was read, as typed, by READINGS, and how, by TAKEN_BY; empty where nothing was measured."""
    head: str = ""
    """The head, one of HEADS; empty where not said."""
    drive: str = ""
    """What turns it, one of DRIVES; empty where not said."""
    hand: str = ""
    """The hand of its thread, `left` or `right`; empty is right."""
    small_end: str = ""
    """The face where a taper pin's small end shows, one of FACES; empty where not said."""
    turns: float = 0
    """How many turns it is loosened, where it stays in its hole; 0 where it comes out."""
    found: str = ""
    """`empty` where the hole had nothing in it; empty where it had."""
    should_be: str = ""
    """The size that belongs there, where another was found; empty where it is as it should be."""
    material: str = ""
    """What it is made of, in the person's words; empty where nothing was said, which means steel."""
    note: str = ""
    """The person's own words; empty where nothing was said."""
    once: bool | None = None
    """Whether a new one goes in at refit; None: as is usual for its kind."""
    like: bool = False
    """Readings and size are those of the one before, where none are given."""

    def words(self) -> Iterator[str]:
        yield self.note


class EnterPiece(Command, frozen=True, kw_only=True):
    """Take out loose pieces, all alike; `put` empty means the step's bag."""

    name: str
    """What they are, as the person calls them; never empty."""
    count: int = 1
    """How many, from 1."""
    put: str = ""
    """Where they go, as a place; never `fitted`."""
    note: str = ""
    """The person's own words; empty where nothing was said."""
    once: bool | None = None
    """Whether new ones go in at refit; None: as is usual for what is called so."""

    def words(self) -> Iterator[str]:
        yield from (self.name, self.note)


class TurnFace(Command, frozen=True, kw_only=True):
    """Say which face the step being done is on; where it has holes, on which the next ones are: those stay.

    Empty: it is not said.
    """

    face: str
    """One of FACES."""


class Finish(Command, frozen=True, kw_only=True):
    """Nothing more holds it: the part comes off and goes to `put`; any other step is done."""

    put: str = ""
    """A place; empty for the bench where a part comes off and no loose piece did, else for no part."""
    minutes: float | None = None
    """How long the step took, in minutes; None where that was not said."""
    count: int | None = None
    """How many fasteners and pieces were counted by hand; refused where the record has another number."""


HAS_PART = frozenset({"take off", "let down", "drive out", "undo", "loosen"})
"""Doings that work on a part of the tree."""

MOST_PIECES = 10_000
"""How many equal pieces one entry may hold; a slip of the finger is caught above."""

MOST_MINUTES = 24 * 60
"""How long one step may take."""

HANDS = ("left", "right")
FOUND = ("empty",)


def one_of(word: str, words: Collection[str], what: str, *, needed: bool = False) -> str:
    """Return `word` where it is among `words`, or empty and not `needed`. Raises BadInput with the list."""
    if word not in words and (word or needed):
        raise BadInput(f"{quoted(word)} is not {with_article(what)}; say {', '.join(words)}.")
    return word


def check_readings(readings: Mapping[str, str]) -> None:
    """See that readings have names of READINGS, and ways of TAKEN_BY. Raises BadInput with the list."""
    for reading, text in readings.items():
        if reading in TAKEN_BY:
            one_of(text, TAKEN_BY[reading], f"way to take the {reading.removesuffix('_by')}", needed=True)
        else:
            one_of(reading, READINGS, "reading of a fastener", needed=True)


def checked_turns(turns: float) -> float:
    """Return a number of turns as it is. Raises BadInput where nothing can be turned so often."""
    if not isfinite(turns) or not 0 <= turns <= MOST_TURNS:
        raise BadInput(f"Turns must be a number from 0 to {MOST_TURNS}.")
    return turns


# -- a step and what it releases ---------------------------------------------------------------------


def begin(draft: Draft, command: Begin) -> Change:
    """Begin a step."""
    record = draft.record
    if command.do not in DOINGS:
        raise BadInput(f"{quoted(command.do)} is not something done at a step; say {', '.join(DOINGS)}.")
    face = one_of(command.face, FACES, "face")
    unfinished = record.open_step(draft.machine)
    if unfinished is not None:
        raise Refused(f"Step {unfinished.number}, {unfinished.name}, is not done yet.")
    name = clean_name(command.name, "A part")
    place = area(draft, command.inside)
    part = _part_worked_on(draft, command, name, place) if command.do in HAS_PART else None
    number = record.next_step_number(draft.machine)
    if command.needs is None:
        needs = default_needs(record, draft.machine, place)
    else:
        needs = check_needs(draft, number, command.needs)
    bag = record.bag(draft.machine, checked_bag(command.bag)) if command.bag else None
    if bag is not None and bag.closed:
        raise Refused(f"Bag {bag.number} is closed; reopen it first, or take another.")
    session = record.open_session(draft.machine)
    step = Step(
        id=draft.new_id(Step),
        machine=draft.machine,
        number=number,
        session=session.id if session else 0,
        do=command.do,
        name=name,
        part=part.id if part else 0,
        area=place,
        face=face,
        bag=command.bag,
        needs=needs,
        whole=command.whole,
        tag=command.tag,
        state=command.state,
        began=draft.at,
    )
    draft.put(step)
    held = [other.name for other in record.held_steps(draft.machine) if stood_in_the_way(record, other, step)]
    way = f", in the way of {few(held)}" if held else ""
    return draft.change("Begin", f"step {number}: {step.do} {name}{way}")


def _part_worked_on(draft: Draft, command: Begin, name: str, place: int) -> Part:
    """Return the part that a step is about, on the tree from now on."""
    record = draft.record
    part = record.part_named(draft.machine, name, place) or record.assembly_named(draft.machine, name)
    off = record.off_at(part.id) if part else None
    if off is not None:
        raise Refused(f"{name} is off already, since step {off.number}.")
    held = next((s for s in record.held_steps(draft.machine) if part is not None and s.part == part.id), None)
    if held is not None:
        raise Refused(f"{held.name} is on hold, as step {held.number}; take it up again.")
    if part is None:
        part = draft.put(Part(id=draft.new_id(Part), machine=draft.machine, name=name, inside=place))
    if command.whole and not part.assembly:
        part = draft.alter(part, assembly=True)
    return part


def step_bag(draft: Draft, step: Step) -> str:
    """Return the place that is the step's bag, beginning a new one where it has none yet."""
    if not step.bag:
        step = draft.alter(step, bag=draft.next_bag())
    draft.opened_bag(in_bag(step.bag))
    return in_bag(step.bag)


def fitted_again(draft: Draft, step: Step) -> Iterator[tuple[Step, Thing]]:
    """Give, with its step, what an earlier step on the same part left on the machine: put back, or only loosened.

    When that part comes off once more, these are the same things and move on with the new step; entering
    them a second time would count them twice.
    """
    for earlier in draft.record.steps_of_part(step.part) if step.part else ():
        if earlier.id != step.id and (earlier.back or earlier.do == "loosen"):
            for thing in draft.record.things_of(earlier):
                if thing.count and draft.standing(thing.id) == {FITTED: thing.count}:
                    yield earlier, thing


def _released(draft: Draft, step: Step, thing: Thing) -> Thing:
    """Write a thing that a step releases: the one that was fitted again where it is that, else a new one."""
    for earlier, known in fitted_again(draft, step):
        once = known.once if thing.once is None else thing.once
        alike = replace(
            thing, id=known.id, start=known.start, replaces=known.replaces, once=once, trouble=known.trouble
        )
        if _identity(earlier, known) == _identity(step, alike):
            return draft.put(alike)
    return draft.enter(thing)


def _identity(step: Step, thing: Thing) -> tuple[str, str, str, str, int, int]:
    """A fastener is known by its hole, so by its face too."""
    at = thing.goes_in
    face = (face_of(at) or step.face) if at else ""
    return thing.sort, thing.name, place_of(at), face, thing.part, thing.count


def enter(draft: Draft, command: Enter) -> Change:
    """Take one fastener out of its hole, into the step's bag."""
    return take_out(draft, being_done(draft), command)


def take_out(draft: Draft, step: Step, command: Enter) -> Change:
    """Take one fastener of a step out of its hole. Raises Refused where the hole is taken."""
    one_of(command.kind, KINDS, "kind of fastener", needed=True)
    one_of(command.head, HEADS, "head")
    one_of(command.drive, DRIVES, "drive")
    one_of(command.hand, HANDS, "hand of a thread")
    one_of(command.small_end, FACES, "face for a small end")
    one_of(command.found, FOUND, "way to find a hole")
    face = one_of(command.face, FACES, "face") or step.face_in_hand
    if face and not step.face and not any(t.hole for t in draft.record.things_of(step)):
        step = draft.alter(step, face=face)
    check_readings(command.readings)
    hole = read_hole(command.hole)
    before = one_before(draft.record, step, command.kind) if command.like else None
    if command.like and before is None:
        raise Refused(f"There is no {command.kind} yet that this one could be like.")
    if before is not None and not command.size:
        command = as_before(command, before)
    thing = Thing(
        id=draft.new_id(Thing),
        machine=draft.machine,
        step=step.id,
        sort="fastener",
        name=command.kind,
        count=0 if command.found else 1,
        hole=hole,
        face=step.own_face(face),
        size=command.size,
        thread=command.thread,
        length=command.length,
        verdict=command.verdict,
        readings=command.readings,
        head=command.head,
        drive=command.drive,
        hand="" if command.hand == "right" else command.hand,
        small_end=command.small_end,
        turns=checked_turns(command.turns),
        found=command.found,
        should_be=command.should_be,
        material=command.material,
        note=command.note,
        once=command.once,
        like=(before.like or before.id) if before is not None else 0,
    )
    check_hole(thing, draft.record.things_of(step))
    thing = _released(draft, step, thing)
    if thing.like == thing.id:  # it came off before, and was measured then
        thing = draft.alter(thing, like=0)
    if thing.found:
        return draft.change("Enter", f"hole {thing.spot} found empty")
    thing, renamed = name_alike(draft, thing)
    others = f"; {renamed}" if renamed else ""
    if step.do == "loosen":
        return draft.change("Enter", f"hole {thing.spot}: {thing.called} loosened {thing.turns:g} turns{others}")
    target = step_bag(draft, step)
    draft.move(thing, 1, FITTED, target, step=step.id)
    return draft.change("Enter", f"hole {thing.spot}: {thing.called} into {target}{others}")


def enter_piece(draft: Draft, command: EnterPiece) -> Change:
    """Take out loose pieces, all alike."""
    return take_out_piece(draft, being_done(draft), command)


def take_out_piece(draft: Draft, step: Step, command: EnterPiece) -> Change:
    """Take out loose pieces of a step, all alike."""
    if not 1 <= command.count <= MOST_PIECES:
        raise BadInput(f"Pieces are counted from 1 to {MOST_PIECES}; {command.count} was said.")
    name = clean_name(command.name, "A loose piece")
    target = read_place(command.put) if command.put else step_bag(draft, step)
    if target == FITTED:
        raise BadInput(f"{name} comes off, so it cannot go to “fitted”.")
    piece = Thing(
        id=draft.new_id(Thing),
        machine=draft.machine,
        step=step.id,
        sort="piece",
        name=name,
        count=command.count,
        note=command.note,
        once=command.once,
    )
    draft.move(_released(draft, step, piece), command.count, FITTED, target, step=step.id)
    where = f" into {target}" if bag_number(target) else f": {target}"
    return draft.change("EnterPiece", times(command.count, name) + where)


def turn_face(draft: Draft, command: TurnFace) -> Change:
    """Say which face the step being done is on, or from its first hole on, on which the next ones are."""
    face = one_of(command.face, FACES, "face")
    step = being_done(draft)
    holes = {t.spot for t in draft.record.things_of(step) if t.hole}
    if not holes:
        draft.alter(step, face=face, facing="")
        text = f"{face} face" if face else "the face is not said"
        return draft.change("TurnFace", f"step {step.number}: {text}")
    if not face and step.face:
        raise Refused(f"Step {step.number}, {step.name}, has holes on its {step.face} face; say which one comes next.")
    draft.alter(step, facing=step.own_face(face))
    text = f"{face} face for the next holes; so far {counts_text(step, holes)}"
    return draft.change("TurnFace", f"step {step.number}: {text}")


# -- its end -----------------------------------------------------------------------------------------


def checked_minutes(minutes: float) -> float:
    """Return how long a step took, as it is. Raises BadInput where no step can take so long."""
    if not 0 <= minutes <= MOST_MINUTES:
        raise BadInput("A step must take at least 0 minutes, and at most a day.")
    return minutes


def finish(draft: Draft, command: Finish) -> Change:
    """End the step being done; a part that comes off goes to its place."""
    step = being_done(draft)
    things = draft.record.things_of(step)
    counted = sum(t.count for t in things if t.sort != "part")
    if command.count is not None and command.count != counted:
        raise Refused(f"Step {step.number}, {step.name}: {command.count} counted by hand, {counted} in the record.")
    if command.minutes is not None:
        checked_minutes(command.minutes)
    put = read_place(command.put) if command.put else ""
    if put == FITTED:
        raise BadInput(f"{step.name} comes off, so it cannot go to “fitted”.")
    if not put and step.do == "take off" and not any(t.sort == "piece" for t in things):
        put = LOOSE
    text = f"step {step.number}: {step.text}"
    if put:
        part = Thing(
            id=draft.new_id(Thing),
            machine=draft.machine,
            step=step.id,
            sort="part",
            name=step.name,
            part=step.part,
        )
        draft.move(_released(draft, step, part), 1, FITTED, put, step=step.id)
        text = f"{text}, {counted} out, part {going(put)}" if counted else f"{text}, part {going(put)}"
    if step.do == "turn":
        draft.alter(draft.get(Machine, draft.machine), lies=step.state)
    draft.alter(draft.get(Step, step.id), put=put, minutes=command.minutes, ended=draft.at, facing="")
    return draft.change("Finish", text)


def as_before(command: Enter, before: Thing) -> Enter:
    """Return a command with readings and size of the one before; where it looks otherwise it is still to be named."""
    looks = (command.head, "" if command.hand == "right" else command.hand, command.small_end)
    if before.readings and looks != (before.head, before.hand, before.small_end):
        return replace(command, readings=before.readings)
    return replace(
        command,
        readings=before.readings,
        size=before.size,
        thread=before.thread,
        length=before.length,
        verdict=before.verdict,
    )


RULES: dict[type[Command], Any] = {
    Begin: begin,
    Enter: enter,
    EnterPiece: enter_piece,
    TurnFace: turn_face,
    Finish: finish,
}
