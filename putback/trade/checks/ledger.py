"""Accounts and the balance: every thing is in exactly one place, whatever was done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import datetime

from msgspec import Struct

from putback.errors import BadInput
from putback.trade.checks.skipped_steps import held_by
from putback.trade.record.bag import Bag, Move
from putback.trade.record.breaks import Break
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.holes import face_of
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import Photo, is_photo_file
from putback.trade.record.place import (
    FITTED,
    LOOSE,
    OUT_OF_REACH,
    SCRAPPED,
    SORTS,
    bag_number,
    out_of_reach,
    read_place,
    sort_of,
)
from putback.trade.record.record import TABLES, Record
from putback.trade.record.session import Session
from putback.trade.record.spare import OF_NO_MACHINE, Spare
from putback.trade.record.step import Step
from putback.trade.record.trip import Sent
from putback.trade.record.trouble_words import place_words


class Finding(Struct, frozen=True):
    """Something that does not add up, and where."""

    what: str
    """The error, as a sentence."""
    where: str
    """Machine, step, bag or line."""


class Holding(Struct, frozen=True):
    """Some of one thing at one place."""

    thing: Thing
    """What."""
    count: int
    """How many."""
    place: str
    """Where."""

    @property
    def told(self) -> str:
        """Where, as it is told: of what ended as scrapped whether it was lost, or into which machine it went."""
        return place_words(self.thing, self.place)


def trial_balance(record: Record, machine: int) -> dict[str, int]:
    """Return how many things stand at each sort of place, in the order of SORTS, empty ones left out.

    Their sum is the number of all things of the machine.
    """
    sums: Counter[str] = Counter()
    for place in record.places(machine):
        sums[sort_of(place)] += record.total(machine, place)
    return {sort: sums[sort] for sort in SORTS if sums[sort]}


def holdings(record: Record, machine: int, *sorts: str) -> list[Holding]:
    """Return what stands at places of the given sorts, by place and then as entered."""
    found = []
    for place in record.places(machine):
        if sort_of(place) in sorts:
            found += holdings_at(record, machine, place)
    return found


def holdings_at(record: Record, machine: int, place: str) -> list[Holding]:
    """Return what stands at one place, as entered."""
    held = record.account(machine, place)
    return [Holding(record.get(Thing, thing), count, place) for thing, count in sorted(held.items())]


def bench_check(record: Record, machine: int) -> list[Holding]:
    """Return what lies loose on the bench; at a break there should be nothing."""
    return holdings_at(record, machine, LOOSE)


def reachable(record: Record, thing: Thing) -> dict[str, int]:
    """Return where a thing can be taken from to put it back: place to count."""
    return {
        place: count
        for place, count in record.standing(thing.id).items()
        if place != FITTED and not out_of_reach(place)
    }


def replaced(record: Record, thing: Thing) -> int:
    """Return how many of a thing have something new standing in for them; those are scrapped."""
    return sum(new.count for new in record.stand_ins(thing.id))


def wanting(record: Record, thing: Thing) -> list[Holding]:
    """Return what of a thing is out of reach with nothing standing in for it, by place."""
    found: list[Holding] = []
    if thing.sort == LEFT_OVER:  # no hole waits for it
        return found
    for place, count in sorted(record.standing(thing.id).items()):
        if out_of_reach(place):
            short = count - replaced(record, thing) if place == SCRAPPED else count
            if short > 0:
                found.append(Holding(thing, short, place))
    return found


def short_of(record: Record, step: Step) -> list[Holding]:
    """Return what keeps a step from going back: things away, borrowed, missing or scrapped, with nothing
    standing in for them."""
    if step.back:
        return []
    found = [held for thing in record.things_of(step) for held in wanting(record, thing)]
    return [held for held in found if not goes_without(step, held)]


_ON_WITHOUT = "on without "


def on_without(held: Holding, place: str = "") -> str:
    """Return what is confirmed where a step's part goes on without something: `on without screw #8-32 (missing)`."""
    many = f"{held.count} x " if held.count > 1 else ""
    return f"{_ON_WITHOUT}{many}{held.thing.called} ({place or held.told})"


def goes_without(step: Step, held: Holding) -> bool:
    """Tell whether it was said that a step's part goes on without something; be it in the words of earlier versions."""
    return not {on_without(held), on_without(held, held.place)}.isdisjoint(step.confirmed)


def left_empty(record: Record, step: Step) -> frozenset[int]:
    """Return the fasteners and pieces, by their numbers, of which a step's part goes on without all there are."""
    if not any(item.startswith(_ON_WITHOUT) for item in step.confirmed):  # as with nearly every step
        return frozenset()
    found = [held for thing in record.things_of(step) for held in wanting(record, thing) if goes_without(step, held)]
    return frozenset(held.thing.id for held in found if held.count >= held.thing.count)


def all_wanting(record: Record, machine: int) -> list[Holding]:
    """Return everything of a machine that is out of reach with nothing standing in for it, by place."""
    found = []
    for place in record.places(machine):
        if sort_of(place) in OUT_OF_REACH:
            for thing in record.account(machine, place):
                found += [held for held in wanting(record, record.get(Thing, thing)) if held.place == place]
    return found


def left_over(record: Record, machine: int) -> list[Holding]:
    """Return what stands neither fitted nor scrapped beside its replacement: at the end, nothing."""
    found = all_wanting(record, machine)
    for place in record.places(machine):
        if place != FITTED and not out_of_reach(place):
            found += holdings_at(record, machine, place)
    return sorted(found, key=lambda held: (held.place, held.thing.id))


# -- the proof ---------------------------------------------------------------------------------------


def check_balance(record: Record) -> Iterator[Finding]:
    """Give every error of the ledger: a thing in no place or in more than it has, a reference to nothing,
    a number or code given twice, a step back before one that needs it."""
    machines = {machine.id for machine in record.all(Machine)}
    for table, kind in TABLES.items():
        if kind in (Machine, Spare):  # spares are the workshop's
            continue
        for noun in record.all(kind):
            if noun.machine not in machines:
                yield Finding(f"It belongs to machine {noun.machine}, which is not there.", f"{table} {noun.id}")
    for machine in record.all(Machine):
        checked = _Machine(record, machine)
        yield from checked.tree()
        yield from checked.sessions()
        yield from checked.steps()
        yield from checked.bags()
        yield from checked.things()
        yield from checked.holes()
        yield from checked.moves()
        yield from checked.photos()
        yield from checked.breaks()
        yield from checked.sent()
    for spare in record.all(Spare):
        if spare.machine != OF_NO_MACHINE or not 0 <= spare.gone <= spare.came:
            yield Finding(f"Of {spare.came} that came {spare.gone} went.", f"spare {spare.id} ({spare.called})")
    codes = Counter(bag.code for bag in record.all(Bag))
    for code, times in codes.items():
        if times > 1:
            yield Finding(f"The code {code} is on {times} bags.", "bags")


class _Machine:
    """One machine under proof."""

    def __init__(self, record: Record, machine: Machine) -> None:
        self.record = record
        self.id = machine.id
        self.where = machine.caption

    def _has(self, kind: type[Part] | type[Step] | type[Thing] | type[Session], number: int) -> bool:
        noun = self.record.find(kind, number)
        return noun is not None and noun.machine == self.id

    def tree(self) -> Iterator[Finding]:
        for part in self.record.all(Part, self.id):
            inside, seen = part.inside, {part.id}
            while inside:
                above = self.record.find(Part, inside)
                if above is None or above.machine != self.id:
                    yield Finding(f"{part.name} sits in assembly {inside}, which is not there.", self.where)
                    break
                if inside in seen:
                    yield Finding(f"{part.name} sits inside itself.", self.where)
                    break
                seen.add(inside)
                inside = above.inside

    def sessions(self) -> Iterator[Finding]:
        sessions = list(self.record.all(Session, self.id))
        if sum(not session.ended for session in sessions) > 1:
            yield Finding("More than one session is running.", self.where)
        for session in sessions:
            at = f"{self.where}, session {session.number}"
            if not session.segments:
                yield Finding("It never began.", at)
            stamps = [stamp for segment in session.segments for stamp in (segment.start, segment.end)]
            yield from _stamps([*stamps, session.ended, *(w.at for w in session.walked)], at)

    def steps(self) -> Iterator[Finding]:
        steps = list(self.record.all(Step, self.id))
        if [step.number for step in steps] != list(range(1, len(steps) + 1)):
            yield Finding("The step numbers do not run from 1 without a gap.", self.where)
        for step in steps:
            yield from self._step(step, step is steps[-1])

    def _step(self, step: Step, last: bool) -> Iterator[Finding]:
        at = f"{self.where}, step {step.number}"
        if any(not 1 <= need < step.number for need in step.needs):
            yield Finding(f"It needs {', '.join(map(str, step.needs))}; only earlier steps can be needed.", at)
        if step.on_hold and step.ended:
            yield Finding("It is done, and on hold.", at)
        if step.is_open and not step.on_hold and not last:
            yield Finding("It is still being done, and later ones are begun.", at)
        needing = [s.number for s in held_by(self.record, step)] if step.back else []
        if needing:
            yield Finding(f"It is back, and step {needing[0]}, which needs it, is not.", at)
        if any(number and not self._has(Part, number) for number in (step.part, step.area)):
            yield Finding("It names a part that is not there.", at)
        if step.session and not self._has(Session, step.session):
            yield Finding(f"It names session {step.session}, which is not there.", at)
        jobs = [stamp for job in step.todo for stamp in (job.since, job.done)]
        yield from _stamps((step.began, step.ended, step.back, step.lifted, *jobs), at)

    def bags(self) -> Iterator[Finding]:
        bags = list(self.record.all(Bag, self.id))
        for number, times in Counter(bag.number for bag in bags).items():
            if times > 1:
                yield Finding(f"There are {times} bags {number}.", self.where)
        for bag in bags:
            jobs = [stamp for job in bag.todo for stamp in (job.since, job.done)]
            yield from _stamps((bag.opened, bag.closed, bag.printed, *jobs), f"{self.where}, bag {bag.number}")

    def things(self) -> Iterator[Finding]:
        for thing in self.record.all(Thing, self.id):
            at = f"{self.where}, thing {thing.id} ({thing.called})"
            if not self._has(Step, thing.step):
                yield Finding("It came off at a step that is not there.", at)
            if thing.part and not self._has(Part, thing.part):
                yield Finding("It is a part that is not there.", at)
            standing = self.record.standing(thing.id)
            if any(count < 0 for count in standing.values()) or sum(standing.values()) != thing.count:
                yield Finding(f"It is {thing.count}, and its places hold {standing}.", at)
            for place in standing:
                yield from self._place(place, at)
            if thing.replaces and not self._has(Thing, thing.replaces):
                yield Finding(f"It stands in for thing {thing.replaces}, which is not there.", at)
            if thing.like and not self._has(Thing, thing.like):
                yield Finding(f"It is like thing {thing.like}, which is not there.", at)
            if replaced(self.record, thing) > standing.get(SCRAPPED, 0) and not thing.found:
                yield Finding("It was replaced, and is not scrapped.", at)

    def holes(self) -> Iterator[Finding]:
        for step in self.record.all(Step, self.id):
            holes = Counter(t.spot for t in self.record.things_of(step) if t.alone and not t.replaces)
            if step.face and any(step.face in (t.face, face_of(t.goes_into)) for t in self.record.things_of(step)):
                yield Finding("One of its holes names the step's own face.", f"{self.where}, step {step.number}")
            for hole, times in holes.items():
                if times > 1:
                    yield Finding(f"Hole {hole} holds {times}.", f"{self.where}, step {step.number}")

    def _place(self, place: str, at: str) -> Iterator[Finding]:
        try:
            written = read_place(place)
        except BadInput as fault:
            yield Finding(str(fault), at)
            return
        if written != place:
            yield Finding(f"“{place}” is not how a place is written.", at)
        bag = bag_number(written)
        if bag is not None and self.record.bag(self.id, bag) is None:
            yield Finding(f"It is in bag {bag}, which is not there.", at)

    def moves(self) -> Iterator[Finding]:
        for move in self.record.all(Move, self.id):
            at = f"{self.where}, move {move.id}"
            if not self._has(Thing, move.thing):
                yield Finding(f"It moves thing {move.thing}, which is not there.", at)
            if move.count < 1:
                yield Finding(f"It moves {move.count}.", at)
            if move.step and not self._has(Step, move.step):
                yield Finding("It was made at a step that is not there.", at)
            yield from _stamps((move.at,), at)

    def photos(self) -> Iterator[Finding]:
        files: Counter[str] = Counter()
        for photo in self.record.all(Photo, self.id):
            at = f"{self.where}, photo {photo.id} ({photo.name or photo.file})"
            files[photo.file] += 1
            if any(number and not self._has(Step, number) for number in (photo.step, photo.instead)):
                yield Finding("It shows a step that is not there.", at)
            if not is_photo_file(photo.file):
                yield Finding(f"“{photo.file}” is not the name of a photo in the workshop.", at)
            yield from _stamps((photo.taken,), at)
        for file, times in files.items():
            if times > 1:
                yield Finding(f"The photo {file} is filed {times} times.", self.where)

    def sent(self) -> Iterator[Finding]:
        for one in self.record.all(Sent, self.id):
            at = f"{self.where}, sent {one.id}"
            if not self._has(Thing, one.thing):
                yield Finding(f"It is thing {one.thing}, which is not there.", at)
            yield from _stamps((one.at, one.back), at)

    def breaks(self) -> Iterator[Finding]:
        for stop in self.record.all(Break, self.id):
            at = f"{self.where}, break {stop.id}"
            if stop.session and not self._has(Session, stop.session):
                yield Finding(f"It names session {stop.session}, which is not there.", at)
            if not stop.at:
                yield Finding("It has no date and time.", at)
            yield from _stamps((stop.at,), at)


def _stamps(stamps: Iterable[str], at: str) -> Iterator[Finding]:
    for stamp in stamps:
        if stamp:
            try:
                aware = datetime.fromisoformat(stamp).tzinfo is not None
            except ValueError:
                aware = False
            if not aware:
                yield Finding(f"“{stamp}” is not a date and time with an offset.", at)
