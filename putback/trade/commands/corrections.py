"""Rules for mending the record: what was written down wrong is said right, and nothing leaves its balance.

Each is a change like any other, in the journal and to be taken back.
"""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.trade.checks.ledger import replaced
from putback.trade.commands.bagging import thing_numbered
from putback.trade.commands.command import Command, Readings
from putback.trade.commands.draft import Draft
from putback.trade.commands.holes import check_hole, refaced
from putback.trade.commands.jobs import checked_jobs
from putback.trade.commands.machines import area, clean_name, rename
from putback.trade.commands.mended_words import step_mended
from putback.trade.commands.notes import checked_setting, clean_texts
from putback.trade.commands.said import check_readings, checked, checked_minutes, one_of
from putback.trade.commands.which_step import step_numbered
from putback.trade.record.bag import Move
from putback.trade.record.change import Change
from putback.trade.record.face import Face
from putback.trade.record.fastener import FIELDS, KINDS, Said, Thing, Verdict, read_hole, spot
from putback.trade.record.holes import spots_named
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import FITTED, read_place
from putback.trade.record.record import Record
from putback.trade.record.step import LIST_NAMES, Adjustment, OfStep, Step
from putback.trade.record.tree import around


class MendStep(OfStep, Command, frozen=True, kw_only=True):
    """Say what is so of a past step; a field that is None stays as it is. Lists are given whole."""

    is_work = False
    free_words = ("name", "tools", "state")

    step: int
    """The number of the step on this machine; 0 for the step being done."""
    name: str | None = None
    """The name of its part; never empty."""
    inside: str | None = None
    """The assembly it was done in, by its name; empty for the machine itself."""
    face: Face | None = None
    """The face it was on, one of FACES; empty where that is not said."""
    note: str | None = None
    """The person's own words, in place of those so far; empty takes them away."""
    adjust: tuple[Adjustment, ...] | None = None
    """All settings of the step."""
    todo: tuple[Job, ...] | None = None
    """All jobs of the step."""
    minutes: float | None = None
    """How long it took, in minutes."""
    cover: bool | None = None
    """Whether it closes something at refit, so that a last look comes first."""
    put: str | None = None
    """Where the part went when it came off, as a place; never `fitted`."""
    because: str = ""
    """Why it was thrown away, where `put` is scrapped and the machine is kept as found."""
    state: str | None = None
    """How the machine lies after a turn."""
    tag: str | None = None
    """The letter of the hang-tag on what was loosened; empty where none hangs on it."""


class MendFastener(Said, Command, frozen=True, kw_only=True):
    """Say what is so of a fastener; a field that is None stays as it is.

    Readings are given whole, and name the size anew; the fields of the size are filled in from them. `also` are
    other fasteners of its step of which the same is so.
    """

    thing: int
    """The fastener's number in the workshop."""
    also: tuple[int, ...] = ()
    """Their numbers in the workshop; empty where it is said of one alone."""
    hole: str | None = None
    """The hole it came out of, a place 1 to 9 with a letter where the place holds several."""
    face: Face | None = None
    """The face its hole is on, one of FACES; empty: that of its step."""
    kind: str | None = None
    """What it is, one of KINDS."""
    readings: Readings | None = None
    """What was read, as typed, by READINGS, and how, by TAKEN_BY."""
    size: str | None = None
    """Its size as it is said, as `#8-32 UNC x 3/8`; filled in from the readings."""
    thread: str = ""
    """The thread alone, taken only with `size`; empty where it has none or it is not sure."""
    length: str = ""
    """The length alone, taken only with `size`; empty where none was read."""
    verdict: Verdict = ""
    """How sure the size is, taken only with `size`; empty where it was said and not read."""


class MarkOnce(Command, frozen=True, kw_only=True):
    """Say that a fastener or piece will not do twice, or that it will; None leaves it to what it is."""

    is_work = False

    thing: int
    """The number in the workshop of a fastener or a loose piece."""
    once: bool | None = True
    """True: a new one goes in at refit; False: the same one goes in again; None: as is usual for its kind."""


# -- a step ------------------------------------------------------------------------------------------


def mend_step(draft: Draft, command: MendStep) -> Change:
    """Say what is so of a past step."""
    if not command.step:
        raise Refused("Say which step is to be mended.")
    step = step_numbered(draft, command.step)
    if command.name is not None:
        rename(draft, step, clean_name(command.name, "A part"))
    if command.inside is not None:
        _reseat(draft, draft.get(Step, step.id), area(draft, command.inside))
    if command.put is not None:
        _put_elsewhere(draft, draft.get(Step, step.id), command.put)
    if command.face is not None:
        refaced(draft, draft.get(Step, step.id), command.face)
    mended = draft.alter(draft.get(Step, step.id), **_stated(command, draft))
    kept = tuple(item for item in mended.confirmed if item in mended.to_confirm or item not in step.to_confirm)
    mended = draft.alter(mended, confirmed=kept)
    machine = draft.get(Machine, draft.machine)
    if mended.do == "turn" and machine.lies == step.state and not _turned_after(draft.record, mended):
        draft.alter(machine, lies=mended.state)
    fields = {name for name in command.__struct_fields__ if getattr(command, name) is not None}
    told = step_mended(draft.record, step, mended, fields) or "nothing"
    return draft.change("MendStep", f"step {step.number} mended: {told}")


def _stated(command: MendStep, draft: Draft) -> dict[str, Any]:
    """Return the fields of a step that need no look at the record, checked."""
    stated: dict[str, Any] = {}
    for name in ("note", "state", "tag"):
        if getattr(command, name) is not None:
            stated[name] = getattr(command, name).strip()
    for name in LIST_NAMES:
        if getattr(command, name) is not None:
            stated[name] = tuple(dict.fromkeys(clean_texts(getattr(command, name))))
    if command.adjust is not None:
        stated["adjust"] = tuple(map(checked_setting, command.adjust))
    if command.todo is not None:
        stated["todo"] = checked_jobs(command.todo, draft)
    if command.minutes is not None:
        stated["minutes"] = checked_minutes(command.minutes)
    if command.cover is not None:
        stated["cover"] = command.cover
    return stated


def _turned_after(record: Record, step: Step) -> bool:
    return any(s.do == "turn" and s.number > step.number for s in record.all(Step, step.machine))


def _reseat(draft: Draft, step: Step, place: int) -> None:
    """Let a step have been done inside another assembly; its part sits there, too.

    Raises Refused where the part would sit inside itself, or beside another of its name.
    """
    if place == step.area:
        return
    part = draft.get(Part, step.part) if step.part else None
    if part is not None and any(above.id == part.id for above in around(draft.record, place)):
        raise Refused(f"{part.name} cannot sit inside itself.")
    if part is None or part.inside != step.area:
        draft.alter(step, area=place)
        return
    twin = draft.record.part_named(draft.machine, part.name, place)
    if twin is not None and twin.id != part.id:
        raise Refused(f"There is a part “{part.name}” there already.")
    draft.alter(part, inside=place)
    for other in draft.record.steps_of_part(part.id):
        if other.area == step.area:
            draft.alter(draft.get(Step, other.id), area=place)


def _put_elsewhere(draft: Draft, step: Step, put: str) -> None:
    """Let a part have gone elsewhere when it came off. Raises Refused where it has moved since."""
    place = read_place(put)
    if place == FITTED:
        raise BadInput(f"{step.name} comes off, so it cannot go to “fitted”.")
    part = next((t for t in draft.record.things_of(step) if t.sort == "part" and not t.replaces), None)
    if part is None or step.is_open or not step.put:
        raise Refused(f"Step {step.number}, {step.name}, put no part anywhere.")
    if place == step.put:
        return
    move = last_move(draft.record, part)
    if move is None or move.step != step.id or move.target != step.put:
        raise Refused(f"{step.name} has been moved since step {step.number}; carry it instead.")
    if replaced(draft.record, part):
        raise Refused(f"{step.name} was replaced: it stays scrapped as long as something else is in its place.")
    draft.redirect(move, place)
    draft.alter(step, put=place)


def moves_of_thing(record: Record, thing: Thing) -> list[Move]:
    """Return the moves of one thing, in the order they were made."""
    return [move for move in record.all(Move, thing.machine) if move.thing == thing.id]


def last_move(record: Record, thing: Thing) -> Move | None:
    """Return a thing's last move, or None where it never moved."""
    moves = moves_of_thing(record, thing)
    return moves[-1] if moves else None


# -- a fastener --------------------------------------------------------------------------------------

_SIZE = ("size", "thread", "length", "verdict")


def mend_fastener(draft: Draft, command: MendFastener) -> Change:
    """Say what is so of a fastener: its hole, its readings, what it looks like."""
    thing = thing_numbered(draft, command.thing)
    if thing.sort != "fastener":
        raise Refused(f"{thing.called} is not a fastener.")
    stated: dict[str, Any] = {}
    if command.kind is not None:
        stated["name"] = one_of(command.kind, KINDS, "kind of fastener", needed=True)
    stated |= checked(command)
    if command.readings is not None:
        check_readings(command.readings)
        stated |= {"readings": command.readings, "like": 0}
    if command.size is not None:
        stated |= {name: getattr(command, name) for name in _SIZE}
    if thing.found and (stated.keys() - {"note"}):
        raise Refused(f"Hole {thing.spot} was found empty, so nothing can be entered about what was in it.")
    mended = draft.alter(thing, **stated)
    moved = command.hole is not None or command.face is not None
    if moved or command.kind is not None:
        hole = thing.hole if command.hole is None else read_hole(command.hole)
        said = thing.face if command.face is None else command.face
        mended = _rehole(draft, mended, hole, draft.get(Step, thing.step).own_face(said))
    holes = [mended.spot]
    for other in _also(draft, thing, command):
        changed = draft.alter(other, **stated | ({"like": thing.id} if "readings" in stated else {}))
        if command.kind is not None:
            changed = _rehole(draft, changed, other.hole, other.face)
        holes.append(changed.spot)
    where = f"hole {thing.spot}" if len(holes) == 1 else spots_named(sorted(holes), ", ")
    if mended.spot != thing.spot:
        return draft.change("MendFastener", f"{mended.called}: hole {thing.spot} is hole {mended.spot} now")
    texts = _what_changed(thing, mended)
    if thing.like and not mended.like and not texts:
        texts = [f"{mended.called}, measured now"]
    return draft.change("MendFastener", f"{where}: {', '.join(texts) or mended.called}")


def _also(draft: Draft, thing: Thing, command: MendFastener) -> list[Thing]:
    """Return the others of which the same is so. Raises Refused where they are not of the step, or a hole is said."""
    others = [thing_numbered(draft, number) for number in dict.fromkeys(command.also) if number != thing.id]
    if others and (command.hole is not None or command.face is not None):
        raise Refused("Each fastener has its own hole: say the hole of one alone.")
    for other in others:
        if other.sort != "fastener" or other.found or other.step != thing.step:
            raise Refused(f"{other.called} is not a fastener of the same step.")
    return others


def _what_changed(old: Thing, new: Thing) -> list[str]:
    """Return what changed of a fastener, from what to what: `head pan, before fillister`."""
    texts = [f"{old.called} is {new.called} now"] if old.called != new.called else []
    for field in FIELDS:
        before, now = getattr(old, field.name), getattr(new, field.name)
        if field.called and before != now:
            texts.append(f"{field.called} {now or field.unsaid}, before {before or field.unsaid}")
    return texts


def _rehole(draft: Draft, thing: Thing, hole: str, face: str) -> Thing:
    """Let a fastener have come out of another hole; what stands in for it goes there, too.

    Raises Refused where that hole is taken, or the fastener itself stands in for another.
    """
    at = spot(hole, face)
    if thing.replaces and at != thing.spot:
        raise Refused(f"{thing.called} stands in for another; say the hole of that one.")
    first = draft.record.first_of(thing)
    kin, found = {first.id}, [first]
    while found:
        found = [new for old in found for new in draft.record.stand_ins(old.id)]
        kin |= {new.id for new in found}
    mended = draft.alter(thing, hole=hole, face=face)
    step = draft.get(Step, thing.step)
    check_hole(mended, [other for other in draft.record.things_of(step) if other.id not in kin])
    if at != thing.spot:
        for number in kin - {thing.id}:
            draft.alter(draft.get(Thing, number), hole=hole, face=face)
        for other in draft.record.things_of(step):  # what goes in where it came out of goes there still
            now = draft.get(Thing, other.id)
            into = at if now.goes_into == thing.spot else now.goes_into
            if now.goes_into:
                draft.alter(now, goes_into="" if into == now.spot else into)
    return draft.get(Thing, thing.id)


def mark_once(draft: Draft, command: MarkOnce) -> Change:
    """Say that a thing will not do twice, or that it will."""
    thing = thing_numbered(draft, command.thing)
    if thing.sort == "part" or thing.found:
        raise Refused(
            f"Whether it goes in again is said only of a fastener or a loose piece; {thing.called} is neither."
        )
    if thing.once == command.once:
        raise Refused(f"That is noted for {thing.called} already.")
    draft.alter(thing, once=command.once)
    ways = {True: "a new one goes in at refit", False: "the same one goes in again", None: "as is usual for its kind"}
    return draft.change("MarkOnce", f"{thing.called}: {ways[command.once]}")


# -- bags --------------------------------------------------------------------------------------------


RULES: dict[type[Command], Any] = {
    MendStep: mend_step,
    MendFastener: mend_fastener,
    MarkOnce: mark_once,
}
