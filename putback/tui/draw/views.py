"""What the panes draw, as plain data from queries. No widget, no colour."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence, Set

from msgspec import Struct
from msgspec.structs import replace

from putback.reports.size_letters import Looks, distinct_names, eighths, looks_of, size_letters
from putback.trade.checks.ledger import left_empty
from putback.trade.record.fastener import Thing
from putback.trade.record.holes import face_of, place_of
from putback.trade.record.machine import Machine
from putback.trade.record.place import FITTED
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.record.tree import around, in_tree
from putback.trade.record.trouble_words import going_in, troubled_holes
from putback.tui.draw.heads import HoleState, HoleView
from putback.tui.draw.legend import SizeView

ODD_AMONG = 3
"""So many alike make the one that differs an odd one on the map."""


class TreeRow(Struct, frozen=True):
    """One line of the assembly tree."""

    depth: int
    """How deep it sits."""
    name: str
    """The part or assembly."""
    state: str
    """on, now, off, back."""
    assembly: bool
    """Whether other parts sit in it."""
    text: str
    """A word beside it, as `3 off`."""
    part: int = 0
    """The part's number in the workshop; 0 for the machine itself."""


def tree_rows(record: Record, machine: Machine, area: int) -> list[TreeRow]:
    """Return the assembly tree; assemblies that are not on the way to `area` stay folded."""
    unfolded = {0, area, *(part.id for part in around(record, area))}
    open_step = record.open_step(machine.id)
    now = open_step.part if open_step else 0
    states = _states(record, machine.id)
    rows = [TreeRow(0, machine.name, "on", True, "")]
    for depth, part, kin in in_tree(record, machine.id, unfolded):
        state = "now" if part.id == now else states.get(part.id, "on")
        off = sum(states.get(p.id) == "off" for p in kin)
        rows.append(TreeRow(depth + 1, part.name, state, part.assembly, f"{off} off" if off else "", part.id))
    return rows


def _states(record: Record, machine: int) -> dict[int, str]:
    """Return which parts are off, and which are back, in one go through the steps."""
    states: dict[int, str] = {}
    for step in record.all(Step, machine):
        if step.takes_off and step.ended and not step.back:
            states[step.part] = "off"
        elif step.back:
            states.setdefault(step.part, "back")
    return states


def hole_views(
    record: Record,
    step: Step,
    *,
    now: str = "",
    suggested: str = "",
    known: Sequence[str] = (),
    refit: bool = False,
    face: str | None = None,
) -> list[HoleView]:
    """Return the holes of a step on one face, None: its own, as the map draws them; all they say are places there.

    `now` is the hole being entered, `suggested` the one that is likely next, `known` are those that are likely to
    come. With `refit`, holes are hollow until their fastener is fitted again, and each has what goes into it: the new
    one in the place of what was lost or scrapped, and what comes out of another hole.
    """
    things = going_in(record, step) if refit else [t for t in record.things_of(step) if t.hole and not t.replaces]
    own = step.own_face(step.face if face is None else face)
    troubled = {place_of(at) for at in troubled_holes(record, step) if face_of(at) == own}
    here = [
        (place_of(thing.goes_in) if refit else thing.hole, thing)
        for thing in things
        if face_of(thing.goes_in if refit else thing.spot) == own
    ]
    views = _used_holes(record, step, here, size_letters(things), troubled, refit=refit)
    for hole in troubled - views.keys():
        views[hole] = HoleView(place=hole, state="left_empty", trouble=True)  # its screw goes elsewhere
    for hole in known:
        views.setdefault(hole, HoleView(place=hole))
    if now:
        views[now] = replace(views.get(now, HoleView(now)), state="now")
    elif suggested:
        views[suggested] = HoleView(place=suggested, state="next")
    return list(views.values())


def _used_holes(
    record: Record,
    step: Step,
    here: Sequence[tuple[str, Thing]],
    letters: Mapping[Looks, str],
    troubled: Set[str],
    *,
    refit: bool,
) -> dict[str, HoleView]:
    """Return the holes that something came out of or goes into, by place; of a stack the one with a head is drawn."""
    unit = record.get(Machine, step.machine).unit
    without = left_empty(record, step) if refit else frozenset()
    odd = _odd_sizes([thing for _, thing in here])
    stacked = Counter(hole for hole, t in here if not t.alone and not t.found)
    views: dict[str, HoleView] = {}
    for hole, thing in here:
        if hole in views and not thing.alone:
            continue
        under = stacked[hole] - (0 if thing.alone else 1)
        views[hole] = HoleView(
            place=hole,
            state=_state(record, thing, without, refit=refit),
            mark=letters.get(looks_of(thing), ""),
            long=eighths(thing, unit),
            stacked=max(0, under),
            odd=thing.called in odd and not thing.found,
            trouble=hole in troubled,
        )
    return views


def _state(record: Record, thing: Thing, without: Set[int], *, refit: bool) -> HoleState:
    """Return the state of the hole of a thing, on the way out or the way back; `without` are those gone on without."""
    if thing.found:
        return "found_empty"
    if thing.id in without:
        return "left_empty"
    if not refit:
        return "taken"
    return "filled" if record.standing(thing.id).get(FITTED) else "empty"


def _odd_sizes(things: Sequence[Thing]) -> set[str]:
    """Return the sizes that stand alone among ODD_AMONG or more of one other size of their kind."""
    counts = Counter((thing.name, thing.called) for thing in things if thing.alone and not thing.found)
    many = {kind for (kind, _), count in counts.items() if count >= ODD_AMONG}
    return {called for (kind, called), count in counts.items() if count == 1 and kind in many}


def size_views(record: Record, step: Step, *, refit: bool = False, face: str | None = None) -> list[SizeView]:
    """Return the sizes of a step for the legend: letter, name, how many, how many done.

    With `face` those alone that are on it are told, with the letters that the step gives them.
    """
    out = going_in(record, step) if refit else [t for t in record.things_of(step) if not t.replaces]
    without = left_empty(record, step) if refit else frozenset()
    things = [t for t in out if t.sort == "fastener" and not t.found and t.id not in without]
    letters, names = size_letters(things), distinct_names(things)
    unit = record.get(Machine, step.machine).unit
    totals: Counter[Looks] = Counter()
    done: Counter[Looks] = Counter()
    long: dict[Looks, int] = {}
    own = None if face is None else step.own_face(face)
    for thing in things:
        if own is not None and face_of(thing.goes_in if refit else thing.spot) != own:
            continue
        sort = looks_of(thing)
        totals[sort] += 1
        long[sort] = max(long.get(sort, 0), eighths(thing, unit))
        if not refit or record.standing(thing.id).get(FITTED):
            done[sort] += 1
    return [
        SizeView(
            mark=letters[sort],
            label=names[sort].removeprefix("screw ").replace(" UNC", "").replace(" UNF", ""),
            total=total,
            done=done[sort],
            long=long[sort],
        )
        for sort, total in totals.items()
    ]


def session_sizes(record: Record, session: Session) -> list[SizeView]:
    """Return the sizes that came out in a session, with letters and lengths as a hole map has them."""
    things = [
        thing
        for step in record.steps_of_session(session.id)
        for thing in record.things_of(step)
        if thing.sort == "fastener" and not thing.found and not thing.replaces
    ]
    letters, names = size_letters(things), distinct_names(things)
    unit = record.get(Machine, session.machine).unit
    long = {looks_of(thing): eighths(thing, unit) for thing in things}
    return [SizeView(mark, names[sort], 0, 0, long[sort]) for sort, mark in letters.items()]


def taken_holes(record: Record, step: Step) -> list[str]:
    """Return the holes of a step that hold something already, in the order they were entered: each with its face."""
    return list(dict.fromkeys(t.spot for t in record.things_of(step) if t.hole))


def last_steps(record: Record, machine: int, count: int) -> list[Step]:
    """Return the last finished steps, newest first."""
    steps = [s for s in reversed(list(record.all(Step, machine))) if not s.is_open]
    return steps[:count]


class MessageData(Struct, frozen=True):
    """The line that says what the last key did."""

    sort: str
    """recorded, refused, asks, note or caution."""
    words: str
    """What happened."""
    back: str = ""
    """What `-` would take back."""

    @property
    def doubts(self) -> bool:
        """Whether it asks about what was just recorded, and any key that goes on says that it is right."""
        return self.sort == "asks" and self.words.endswith("?") and self.back == "this"
