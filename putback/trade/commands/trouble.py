"""Rules for trouble with a screw: lost, found again, broken, its thread gone, another in its place, another hole,
one left over.

Whatever is said is one change, and the balance holds: what is lost is missing, what is broken is scrapped, and what
goes in for another stands beside it, which ends as scrapped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal

from putback.errors import Refused
from putback.trade.commands.bagging import thing_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.commands.entering import Enter
from putback.trade.commands.said import check_readings, checked, one_of
from putback.trade.record.change import Change
from putback.trade.record.fastener import FIELDS, KINDS, LEFT_OVER, THREADED, Thing, read_hole, spot
from putback.trade.record.holes import spot_of, spots_text
from putback.trade.record.place import FITTED, LOOSE, MISSING, SCRAPPED, going, in_bag, out_of_reach, read_place
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import going_in, in_its_place
from putback.trade.record.words import OneOf, words_of

What = OneOf[
    Literal["lost", "found again", "broken", "thread gone", "another goes in", "goes in another hole", "left over"],
    "a trouble with a screw",
]
"""All that can be said."""
TROUBLES: tuple[What, ...] = words_of(What)
"""The same, in the order of the list."""


class Trouble(Enter, frozen=True, kw_only=True):
    """Say what went wrong with a fastener or its hole: `what` is one of trouble.TROUBLES.

    It is `thing`, else the one of that kind in `hole` of step `step` (0: the one being done, else the last). `into` is
    the hole that it goes into instead. The fields of the size are those of the one that goes in or is left over, which
    lies at `put`; empty means the step's bag where that is open, else the bench. Of one left over `thing` is one that
    was noted before, and `hole` is the one it belongs in, if that is known.
    """

    hole: str = ""
    """A place 1 to 9, with a letter where one place holds several; empty where `thing` says it. Its `face` stands by
    itself, as at any fastener; empty: that of the step."""
    what: What
    """One of TROUBLES."""
    thing: int = 0
    """The fastener's number in the workshop; 0 where hole, kind and step say it."""
    step: int = 0
    """The number of the step on this machine."""
    into: str = ""
    """A hole of the same step, with its face where that is another: `3`, `3 right`; empty at any other trouble."""
    put: str = ""
    """A bag, a box, the shelf or the bench, as a place."""
    because: str = ""
    """Why it is done all the same, where it throws away an original of a machine kept as found."""


def trouble(draft: Draft, command: Trouble) -> Change:
    """Say what went wrong with a fastener or its hole."""
    if command.what == "left over":
        return _left_over(draft, command)
    thing = _meant(draft, command)
    step = draft.get(Step, thing.step)
    text = _SAID[command.what](draft, command, thing, step)
    return draft.change("Trouble", f"step {step.number}, hole {thing.spot}: {text}")


# -- which one is meant ------------------------------------------------------------------------------


def _step(draft: Draft, number: int) -> Step:
    """Return step `number`, or with 0 the one being done, else the last. Raises Refused where there is none."""
    step = draft.record.step(draft.machine, number) if number else draft.record.last_step(draft.machine)
    if step is None:
        raise Refused(f"There is no step {number}." if number else "Nothing has come off yet.")
    return step


def _meant(draft: Draft, command: Trouble) -> Thing:
    """Return the fastener that is meant: what goes into the hole now. Raises Refused where there is none."""
    if command.thing:
        thing = in_its_place(draft.record, thing_numbered(draft, command.thing))
        if thing.sort != "fastener":
            raise Refused(f"{thing.called} is not a fastener with a hole.")
        return thing
    return _in_hole(draft, command)


def _in_hole(draft: Draft, command: Trouble) -> Thing:
    """Return what goes into a hole of a step, by hole and kind."""
    step = _step(draft, command.step)
    hole = spot(read_hole(command.hole), step.own_face(command.face))
    one_of(command.kind, KINDS, "kind of fastener", needed=True)
    things = going_in(draft.record, step)
    here = [t for t in things if t.spot == hole]
    found = [t for t in here if t.name == command.kind] or [t for t in here if t.alone or t.found] or here
    if not found:
        holes = spots_text(sorted({t.spot for t in things}), ", ")
        known = f"its holes are {holes}" if holes else "no hole of it is known"
        raise Refused(f"Step {step.number}, {step.name}, has no hole {hole}; {known}.")
    return found[0]


def _place(draft: Draft, thing: Thing) -> str:
    """Return where a fastener is; empty for a hole found empty."""
    return next(iter(draft.standing(thing.id)), "")


def _leaves(draft: Draft, thing: Thing, step: Step) -> str:
    """Return where a fastener is that is to be had no more.

    Raises Refused where it sits in its hole; one that was only loosened does, and may leave it.
    """
    place = _place(draft, thing)
    if place == FITTED and (step.back or step.do != "loosen"):
        again = f"step {step.number}, {step.name}, is back: take it off again first"
        raise Refused(f"By the record {thing.brief} is in hole {thing.goes_in}, and {again}.")
    return place


def _at_hand(draft: Draft, step: Step, put: str) -> str:
    """Return where something new, or found, lies: as said, else in the step's bag if that is open, else loose."""
    if put:
        place = read_place(put)
        if place == FITTED or out_of_reach(place):
            raise Refused("It can lie only in a bag, in a box, on the shelf or on the bench.")
        draft.opened_bag(place)
        return place
    bag = draft.bag(step.bag) if step.bag else None
    return in_bag(bag.number) if bag is not None and not bag.closed else LOOSE


def _noted(thing: Thing, note: str) -> str:
    """Return what was said of a fastener, with what is said of it now."""
    text = note.strip()
    return thing.note if not text or text in thing.note else "; ".join(filter(None, (thing.note, text)))


# -- what is said of it ------------------------------------------------------------------------------


def _lost(draft: Draft, command: Trouble, thing: Thing, step: Step) -> str:
    if thing.found:
        raise Refused(f"Hole {thing.spot} was found empty: there is nothing to be lost.")
    place = _leaves(draft, thing, step)
    if place in (MISSING, SCRAPPED):
        raise Refused(f"{thing.brief} is {place} already.")
    draft.move(thing, 1, place, MISSING, note="lost")
    draft.alter(thing, trouble=(*thing.trouble, "lost"), note=_noted(thing, command.note or ""))
    return f"{thing.brief} lost"


def _found_again(draft: Draft, command: Trouble, thing: Thing, step: Step) -> str:
    if _place(draft, thing) != MISSING:
        raise Refused(f"Of hole {thing.spot} nothing is missing.")
    put = FITTED if step.back else _at_hand(draft, step, command.put)  # the part went on without it
    draft.move(thing, 1, MISSING, put, note="found again")
    left = tuple(word for word in thing.trouble if word != "lost")
    draft.alter(thing, trouble=left, note=_noted(thing, command.note or ""))
    return f"{thing.brief} found again, {'and in its hole' if step.back else _lies(put)}"


def _broken(draft: Draft, command: Trouble, thing: Thing, step: Step) -> str:
    if thing.found:
        raise Refused(f"Hole {thing.spot} was found empty: there is nothing to be broken.")
    place = _leaves(draft, thing, step)
    if place == MISSING:
        raise Refused(f"{thing.brief} is missing: say first that it is found again.")
    if "broken" in thing.trouble:
        raise Refused(f"{thing.brief} is broken already.")
    if place != SCRAPPED:
        draft.move(thing, 1, place, SCRAPPED, note="broken")
    draft.alter(thing, trouble=(*thing.trouble, "broken"), note=_noted(thing, command.note or ""))
    return f"{thing.brief} broken" + (f": {(command.note or '').strip()}" if (command.note or "").strip() else "")


def _thread_gone(draft: Draft, command: Trouble, thing: Thing, step: Step) -> str:
    if thing.name not in THREADED and not thing.found:
        raise Refused(f"A {thing.name} has no thread.")
    if "thread gone" in thing.trouble:
        raise Refused(f"That is noted for hole {thing.spot} already.")
    draft.alter(thing, trouble=(*thing.trouble, "thread gone"), note=_noted(thing, command.note or ""))
    return "thread gone" + (f": {(command.note or '').strip()}" if (command.note or "").strip() else "")


def _another_goes_in(draft: Draft, command: Trouble, thing: Thing, step: Step) -> str:
    if not command.size and not command.readings:
        raise Refused("Say the size of the one that goes in.")
    place = _leaves(draft, thing, step)
    if step.back:
        raise Refused(f"Step {step.number}, {step.name}, is back: take it off again first.")
    taken = [t for t in going_in(draft.record, step) if t.id != thing.id and _shares(t, thing, thing.goes_in)]
    if thing.found and taken:
        raise Refused(f"{taken[0].brief} goes in hole {thing.spot} already.")
    put = _at_hand(draft, step, command.put)
    text = _scrapped_beside(draft, thing, place)
    new = draft.enter(_new(draft, command, thing, put))
    return f"{text}{new.brief} goes in, {_lies(put)}"


def _scrapped_beside(draft: Draft, thing: Thing, place: str) -> str:
    """Let a fastener end as scrapped, since another goes in; return what became of it, as the head of a sentence."""
    if place == MISSING and "lost" not in thing.trouble:
        thing = draft.alter(thing, trouble=(*thing.trouble, "lost"))
    wrong = " and ".join(word for word in thing.trouble if word != "thread gone")
    if place not in ("", SCRAPPED):
        draft.move(thing, 1, place, SCRAPPED, note="another goes in")
        if not wrong:
            wrong = f"goes out{f' of {place}' if place != FITTED else ''} and is scrapped"
    if thing.found:
        return "found empty; "
    return f"{thing.brief} {wrong or 'was scrapped'}; "


def _new(draft: Draft, command: Trouble, thing: Thing, put: str) -> Thing:
    """Return the one that goes in for another; head, drive and hand are the other's where they are not said."""
    said = _said(command)
    stays = {field.name: said.get(field.name) or getattr(thing, field.name) for field in FIELDS if field.stays}
    return Thing(
        id=draft.new_id(Thing),
        machine=draft.machine,
        step=thing.step,
        sort="fastener",
        name=thing.name,
        hole=thing.hole,
        face=thing.face,
        start=put,
        size=command.size,
        thread=command.thread,
        length=command.length,
        verdict=command.verdict,
        readings=command.readings,
        once=thing.once,
        replaces=thing.id,
        goes_into=thing.goes_into,
        **said | stays,
    )


def _said(command: Trouble) -> dict[str, Any]:
    """Return what is said of the one that goes in or is left over. Raises BadInput."""
    check_readings(command.readings)
    return checked(command)


def _lies(put: str) -> str:
    return going(put) if put == LOOSE else f"in {put}" if put.startswith(("bag", "box")) else f"at {put}"


# -- another hole ------------------------------------------------------------------------------------


def _shares(one: Thing, other: Thing, hole: str) -> bool:
    """Tell whether a fastener goes into `hole`, where it would have to give way to the other."""
    return one.goes_in == hole and not one.found and ((one.alone and other.alone) or one.name == other.name)


def _another_hole(draft: Draft, command: Trouble, thing: Thing, step: Step) -> str:
    into = spot_of(step, command.into)
    if thing.found:
        raise Refused(f"Hole {thing.spot} was found empty: nothing came out that could go elsewhere.")
    things = going_in(draft.record, step)
    holes = sorted({t.spot for t in things})
    if into not in holes:
        raise Refused(f"Step {step.number}, {step.name}, has no hole {into}; its holes are {spots_text(holes, ', ')}.")
    if into == thing.goes_in:
        raise Refused(f"{thing.brief} goes in hole {into} already.")
    other = next((t for t in things if t.id != thing.id and _shares(t, thing, into)), None)
    for leaving in filter(None, (thing, other)):
        _leaves(draft, leaving, step)
    text = f"its {thing.brief} goes in hole {into}"
    if other is not None:
        draft.alter(other, goes_into="" if thing.goes_in == other.spot else thing.goes_in)
        text = f"{text}, and {other.brief} of hole {other.spot} in hole {thing.goes_in}"
    draft.alter(thing, goes_into="" if into == thing.spot else into, note=_noted(thing, command.note or ""))
    return text


# -- left over ---------------------------------------------------------------------------------------


def _left_over(draft: Draft, command: Trouble) -> Change:
    """Note a fastener that has no hole, or say in which hole it belongs."""
    known = thing_numbered(draft, command.thing) if command.thing else None
    if known is not None and known.sort != LEFT_OVER:
        raise Refused(f"{known.called} came out of a hole, so it is not left over.")
    if known is None and not command.size and not command.readings:
        raise Refused("Say the size of the one that is left over.")
    if command.hole:
        return _belongs(draft, command, known)
    if known is not None:
        raise Refused(f"{known.brief} is noted as left over already; say in which hole it belongs.")
    one_of(command.kind, KINDS, "kind of fastener", needed=True)
    said = _said(command)
    step = _step(draft, command.step)
    put = _at_hand(draft, step, command.put or LOOSE)
    new = draft.enter(
        Thing(
            id=draft.new_id(Thing),
            machine=draft.machine,
            step=step.id,
            sort=LEFT_OVER,
            name=command.kind,
            start=put,
            size=command.size,
            thread=command.thread,
            length=command.length,
            verdict=command.verdict,
            readings=command.readings,
            **said,
        )
    )
    return draft.change("Trouble", f"left over: {new.called}, {_lies(put)}")


def _belongs(draft: Draft, command: Trouble, known: Thing | None) -> Change:
    """Let a fastener that was left over be the one of a hole that waits for one."""
    holder = _in_hole(draft, command)
    step, place = draft.get(Step, holder.step), _place(draft, holder)
    at = f"step {step.number}, hole {holder.spot}: "
    if place == FITTED:
        look = f"hole {holder.goes_in} of step {step.number}, {step.name}, has its {holder.brief}"
        raise Refused(f"By the record {look}: look there, and put it in if the hole is empty.")
    if place and not out_of_reach(place):
        raise Refused(f"Hole {holder.spot} of step {step.number}, {step.name}, has its {holder.brief} in {place}.")
    taken = [t for t in going_in(draft.record, step) if t.id != holder.id and _shares(t, holder, holder.goes_in)]
    if holder.found and taken:
        raise Refused(f"{taken[0].brief} goes in hole {holder.spot} already.")
    lies = _place(draft, known) if known is not None else ""
    if known is not None and out_of_reach(lies):
        raise Refused(f"{known.brief} is not at hand: it is {lies}.")
    put = FITTED if step.back else lies or _at_hand(draft, step, command.put)
    lying = "is in it" if put == FITTED else f"goes in, {_lies(put)}"
    if known is None and place == MISSING and command.size == holder.size:
        draft.move(holder, 1, MISSING, put, note="found again")
        draft.alter(holder, trouble=tuple(word for word in holder.trouble if word != "lost"))
        return draft.change("Trouble", f"{at}{holder.brief} found again; it {lying}")
    text = _scrapped_beside(draft, holder, place)
    if known is None:
        new = draft.enter(_new(draft, command, holder, put))
    else:
        new = draft.alter(
            known,
            sort="fastener",
            step=step.id,
            hole=holder.hole,
            face=holder.face,
            replaces=holder.id,
            goes_into=holder.goes_into,
        )
        if put != lies:
            draft.move(new, 1, lies, put, step=step.id)
    return draft.change("Trouble", f"{at}{text}{new.brief}, left over, {lying}")


_SAID: Mapping[str, Callable[[Draft, Trouble, Thing, Step], str]] = {
    "lost": _lost,
    "found again": _found_again,
    "broken": _broken,
    "thread gone": _thread_gone,
    "another goes in": _another_goes_in,
    "goes in another hole": _another_hole,
}

RULES: dict[type[Command], Any] = {Trouble: trouble}
