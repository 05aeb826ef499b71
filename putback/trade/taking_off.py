"""Rules for taking off: a step begun, what it releases, what is said of it, and its end."""

from __future__ import annotations

from typing import Any

from putback.errors import BadInput, Refused
from putback.trade import commands as c
from putback.trade.change import Change
from putback.trade.draft import Draft
from putback.trade.fastener import HEADS, KINDS, Thing, read_hole
from putback.trade.machine import FACES, Part
from putback.trade.place import FITTED, LOOSE, bag_number, in_bag, read_place
from putback.trade.record import Record
from putback.trade.setting_up import area, clean_name
from putback.trade.step import CHORES, DOINGS, Step

HAS_PART = frozenset({"take off", "let down", "drive out", "undo", "loosen"})
"""Doings that work on a part of the tree."""

MOST_PIECES = 10_000
"""How many equal pieces one entry may hold; a slip of the finger is caught above."""


def being_done(draft: Draft) -> Step:
    """Return the step being done. Raises Refused where there is none."""
    step = draft.record.open_step(draft.machine)
    if step is None:
        raise Refused("Nothing is coming off; begin a part first.")
    return draft.get(Step, step.id)


def step_numbered(draft: Draft, number: int) -> Step:
    """Return step `number`, or with 0 the one being done. Raises Refused where there is none."""
    if not number:
        return being_done(draft)
    step = draft.record.step(draft.machine, number)
    if step is None:
        raise Refused(f"There is no step {number}.")
    return step


def off_assembly(record: Record, place: int) -> int:
    """Return the innermost assembly around `place` (itself included) that is off, or 0."""
    while place:
        if record.off_at(place):
            return place
        place = record.get(Part, place).inside
    return 0


def default_needs(record: Record, machine: int, place: int) -> tuple[int, ...]:
    """Return what a step worked in assembly `place` needs where nothing was said.

    It is the step before. Work inside an assembly that is off the machine is independent of the
    machine: there it is the last step inside that assembly, or the one that took it off. Work on
    the machine looks in the same way past what was done inside assemblies lying on the bench.
    """
    home = off_assembly(record, place)
    last = record.last_step(machine)
    number = last.number if last else 0
    off = record.off_at(home) if home else None
    for back in range(number, 0, -1):
        step = record.step(machine, back)
        if step is None:
            continue
        if off is not None and step.id == off.id:
            return (back,)
        if not step.back and off_assembly(record, step.area) == home:
            return (back,)
    return ()


def check_needs(record: Record, machine: int, number: int, needs: tuple[int, ...]) -> tuple[int, ...]:
    """Return `needs` in order, each once. Raises Refused where one is not an earlier step."""
    for need in needs:
        if need == number:
            raise Refused(f"Step {number} cannot need itself.")
        if need > number:
            raise Refused(f"Step {number} cannot need step {need}, which comes later: that makes a circle.")
        if record.step(machine, need) is None:
            raise Refused(f"Step {number} needs step {need}, and there is no step {need}.")
    return tuple(sorted(set(needs)))


def begin(draft: Draft, command: c.Begin) -> Change:
    """Begin a step."""
    record = draft.record
    if command.do not in DOINGS:
        raise BadInput(f"“{command.do}” is nothing one does at a step; say {', '.join(DOINGS)}.")
    if command.face and command.face not in FACES:
        raise BadInput(f"“{command.face}” is no face; say {', '.join(FACES)}.")
    unfinished = record.open_step(draft.machine)
    if unfinished is not None:
        raise Refused(f"Step {unfinished.number}, {unfinished.name}, is not done yet.")
    name = clean_name(command.name, "A part")
    place = area(draft, command.inside)
    part = None
    if command.do in HAS_PART:
        part = record.part_named(draft.machine, name, place) or record.assembly_named(draft.machine, name)
        off = record.off_at(part.id) if part else None
        if off is not None:
            raise Refused(f"{name} is off already, since step {off.number}.")
        if part is None:
            part = draft.put(Part(id=draft.new_id(Part), machine=draft.machine, name=name, inside=place))
        if command.whole and not part.assembly:
            part = draft.alter(part, assembly=True)
    last = record.last_step(draft.machine)
    number = last.number + 1 if last else 1
    if command.needs is None:
        needs = default_needs(record, draft.machine, place)
    else:
        needs = check_needs(record, draft.machine, number, command.needs)
    session = record.open_session(draft.machine)
    step = draft.put(
        Step(
            id=draft.new_id(Step), machine=draft.machine, number=number,
            session=session.id if session else 0, do=command.do, name=name,
            part=part.id if part else 0, area=place, face=command.face, bag=command.bag, needs=needs,
            whole=command.whole, tag=command.tag, state=command.state, began=draft.at,
        )  # fmt: skip
    )
    if step.bag:
        bag = draft.record.bag(draft.machine, step.bag)
        if bag is not None and bag.closed:
            raise Refused(f"Bag {step.bag} is closed; reopen it first, or take another.")
    return draft.change("Begin", f"step {number}: {step.do} {name}")


def step_bag(draft: Draft, step: Step) -> str:
    """Return the place that is the step's bag, beginning a new one where it has none yet."""
    if not step.bag:
        step = draft.alter(step, bag=next_bag(draft.record, draft.machine))
    draft.opened_bag(in_bag(step.bag))
    return in_bag(step.bag)


def next_bag(record: Record, machine: int) -> int:
    """Return the lowest number above every bag of the machine."""
    from putback.trade.bag import Bag

    return 1 + max((bag.number for bag in record.all(Bag, machine)), default=0)


def enter(draft: Draft, command: c.Enter) -> Change:
    """Take one fastener out of its hole, into the step's bag."""
    step = being_done(draft)
    if command.kind not in KINDS:
        raise BadInput(f"“{command.kind}” is no kind of fastener; say {', '.join(KINDS)}.")
    if command.head and command.head not in HEADS:
        raise BadInput(f"“{command.head}” is no head; say {', '.join(HEADS)}.")
    if command.hand not in ("", "left", "right"):
        raise BadInput(f"“{command.hand}” is no hand of a thread; say left or right.")
    if command.found not in ("", "empty"):
        raise BadInput(f"A hole is found “empty” or with its fastener; “{command.found}” was said.")
    hole = read_hole(command.hole)
    loosened = step.do == "loosen"
    thing = Thing(
        id=draft.new_id(Thing), machine=draft.machine, step=step.id, sort="fastener", name=command.kind,
        count=0 if command.found else 1, hole=hole, size=command.size, thread=command.thread,
        length=command.length, verdict=command.verdict, readings=command.readings, head=command.head,
        drive=command.drive, hand="" if command.hand == "right" else command.hand,
        small_end=command.small_end, turns=command.turns, found=command.found,
        should_be=command.should_be, note=command.note,
    )  # fmt: skip
    for other in draft.record.things_of(step):
        if other.hole == hole and ((other.alone and thing.alone) or other.found or thing.found):
            held = "is noted as found empty" if other.found else f"has its {other.called} already"
            raise Refused(f"Hole {hole} {held}; add a letter, as {hole}a, if there are two.")
    draft.enter(thing)
    if thing.found:
        return draft.change("Enter", f"hole {hole} found empty")
    if loosened:
        return draft.change("Enter", f"hole {hole}: {thing.called} loosened {thing.turns:g} turns")
    target = step_bag(draft, step)
    draft.move(thing, 1, FITTED, target, step=step.id)
    return draft.change("Enter", f"hole {hole}: {thing.called} into {target}")


def enter_piece(draft: Draft, command: c.EnterPiece) -> Change:
    """Take out loose pieces, all alike."""
    step = being_done(draft)
    if not 1 <= command.count <= MOST_PIECES:
        raise BadInput(f"Pieces are counted from 1 to {MOST_PIECES}; {command.count} was said.")
    name = clean_name(command.name, "A loose piece")
    target = read_place(command.put) if command.put else step_bag(draft, step)
    if target == FITTED:
        raise BadInput(f"{name} comes off, so it cannot go to “fitted”.")
    thing = draft.enter(
        Thing(
            id=draft.new_id(Thing), machine=draft.machine, step=step.id, sort="piece", name=name,
            count=command.count, note=command.note,
        )  # fmt: skip
    )
    draft.move(thing, command.count, FITTED, target, step=step.id)
    times = f"{command.count} x " if command.count > 1 else ""
    return draft.change("EnterPiece", f"{times}{name} into {target}" if bag_number(target) else f"{times}{name}: {target}")


def annotate(draft: Draft, command: c.Annotate) -> Change:
    """Add to what is said of a step."""
    step = step_numbered(draft, command.step)
    for chore in command.todo:
        if chore.do not in CHORES:
            raise BadInput(f"“{chore.do}” is nothing to be left to do; say {', '.join(CHORES)}.")
    if command.soak is not None and not 0 < command.soak.hours <= 24 * 365:
        raise BadInput("A soak lasts more than no time and at most a year.")
    draft.alter(
        step,
        cautions=_more(step.cautions, command.cautions),
        adjust=(*step.adjust, *command.adjust),
        at_refit=_more(step.at_refit, command.at_refit),
        todo=_more(step.todo, command.todo),
        tools=_more(step.tools, command.tools),
        soak=command.soak or step.soak,
        cover=step.cover if command.cover is None else command.cover,
        note="\n".join(filter(None, (step.note, command.note.strip()))),
    )
    return draft.change("Annotate", f"step {step.number}: noted")


def _more(had: tuple[Any, ...], new: tuple[Any, ...]) -> tuple[Any, ...]:
    return had + tuple(item for item in new if item not in had)


def set_needs(draft: Draft, command: c.SetNeeds) -> Change:
    """Say which steps had to be done before."""
    step = step_numbered(draft, command.step)
    needs = check_needs(draft.record, draft.machine, step.number, command.needs)
    draft.alter(step, needs=needs)
    if not needs:
        return draft.change("SetNeeds", f"step {step.number}: could have come off any time")
    return draft.change("SetNeeds", f"step {step.number} needs {', '.join(map(str, needs))}")


def turn_face(draft: Draft, command: c.TurnFace) -> Change:
    """Say which face the step being done is on; its holes so far go with it."""
    if command.face not in FACES:
        raise BadInput(f"“{command.face}” is no face; say {', '.join(FACES)}.")
    step = being_done(draft)
    draft.alter(step, face=command.face)
    return draft.change("TurnFace", f"step {step.number}: {command.face} face")


def finish(draft: Draft, command: c.Finish) -> Change:
    """End the step being done; a part that comes off goes to its place."""
    step = being_done(draft)
    things = draft.record.things_of(step)
    counted = sum(t.count for t in things if t.sort != "part")
    if command.count is not None and command.count != counted:
        raise Refused(
            f"Step {step.number}, {step.name}: {command.count} counted by hand, {counted} in the record."
        )
    if command.minutes is not None and not 0 <= command.minutes <= 24 * 60:
        raise BadInput("A step takes from no time to a day.")
    put = read_place(command.put) if command.put else ""
    pieces = any(t.sort == "piece" for t in things)
    if not put and step.do == "take off" and not pieces:
        put = LOOSE
    said = f"step {step.number}: {step.told}"
    if put:
        if put == FITTED:
            raise BadInput(f"{step.name} comes off, so it cannot go to “fitted”.")
        thing = draft.enter(
            Thing(
                id=draft.new_id(Thing), machine=draft.machine, step=step.id, sort="part",
                name=step.name, part=step.part,
            )  # fmt: skip
        )
        draft.move(thing, 1, FITTED, put, step=step.id)
        said = f"{said}, {counted} out, part to {put}" if counted else f"{said}, part to {put}"
    if step.do == "turn":
        from putback.trade.machine import Machine

        draft.alter(draft.get(Machine, draft.machine), lies=step.state)
    draft.alter(draft.get(Step, step.id), put=put, minutes=command.minutes, ended=draft.at)
    return draft.change("Finish", said)


RULES: dict[type[c.Command], Any] = {
    c.Begin: begin,
    c.Enter: enter,
    c.EnterPiece: enter_piece,
    c.Annotate: annotate,
    c.SetNeeds: set_needs,
    c.TurnFace: turn_face,
    c.Finish: finish,
}
