"""Proof that each noun by itself is one that the bench could have made: its words, its numbers, its moves.

The balance is proved in `ledger`; here are the errors that a balance does not show. A record that only
commands have written never has any: they come from files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator
from math import isfinite

from putback.errors import BadInput
from putback.progress import each
from putback.sizing.threads import may_be_a_thread
from putback.trade.checks.ledger import Finding, check_balance
from putback.trade.commands.entering import MOST_PIECES
from putback.trade.commands.machines import clean_name
from putback.trade.commands.said import MOST_MINUTES
from putback.trade.record.bag import Bag, Move
from putback.trade.record.fastener import (
    FIELDS,
    KINDS,
    LEFT_OVER,
    MOST_TURNS,
    READINGS,
    TAKEN_BY,
    Thing,
    read_hole,
)
from putback.trade.record.first_look import SORTS as FIRST_LOOK
from putback.trade.record.holes import face_of, place_of
from putback.trade.record.job import SIDES, Job
from putback.trade.record.machine import FACES, Machine, Part
from putback.trade.record.making import MOST_PIECES as MOST_MADE
from putback.trade.record.making import Dimension
from putback.trade.record.photo import Photo
from putback.trade.record.phrases import quoted, with_article
from putback.trade.record.place import MOST_BAGS, read_place
from putback.trade.record.record import Record
from putback.trade.record.session import ANSWERS, Session
from putback.trade.record.step import Adjustment, Step
from putback.trade.record.trip import UNITS, Sent
from putback.trade.record.words import strange_words

MOST_HOURS = 24 * 365

_Faults = Iterator[str]


def prove(record: Record, is_code: Callable[[str], bool]) -> Iterator[Finding]:
    """Give every error of a record: its references and balance, its nouns, its bag codes.

    `is_code` tells whether a text is a bag code.
    """
    yield from check_nouns(record)
    yield from check_balance(record)
    yield from check_codes(record, is_code)


def check_codes(record: Record, is_code: Callable[[str], bool]) -> Iterator[Finding]:
    """Give every bag whose code is none by its own characters."""
    for bag in record.all(Bag):
        if not is_code(bag.code):
            machine = record.find(Machine, bag.machine)
            where = f"{machine.caption}, bag {bag.number}" if machine else f"bags {bag.id}"
            yield Finding(f"{quoted(bag.code)} is not a bag code.", where)


def check_nouns(record: Record) -> Iterator[Finding]:
    """Give every error that a noun has by itself, and every move that takes what is not there.

    It expects a record whose machines are there; the references between nouns are the ledger's to prove.
    """
    twins = Counter((m.name.casefold(), m.serial.casefold()) for m in record.all(Machine))
    for machine in record.all(Machine):
        yield from _found(_machine(machine), machine.caption)
        if twins[machine.name.casefold(), machine.serial.casefold()] > 1:
            yield Finding("There is more than one machine of that name and serial.", machine.caption)
        for part in record.all(Part, machine.id):
            yield from _found(_name(part.name), f"{machine.caption}, part {part.id}")
        for step in each(list(record.all(Step, machine.id)), "steps proved"):
            yield from _found(_step(step), f"{machine.caption}, step {step.number}")
        for thing in each(list(record.all(Thing, machine.id)), "things proved"):
            yield from _found(_thing(thing), f"{machine.caption}, thing {thing.id} ({thing.called})")
        for bag in record.all(Bag, machine.id):
            faults = (*_words(bag), *_number(bag.number, 1, MOST_BAGS, "number"), *_jobs(bag.todo, of_step=False))
            yield from _found(iter(faults), f"{machine.caption}, bag {bag.number}")
        for photo in record.all(Photo, machine.id):
            yield from _found(_words(photo), f"{machine.caption}, photo {photo.id}")
        for sent in record.all(Sent, machine.id):
            yield from _found(_sent(sent), f"{machine.caption}, sent {sent.id}")
        yield from _sessions(record, machine)
        yield from _moves(record, machine)


def _sent(sent: Sent) -> _Faults:
    yield from _words(sent)
    yield from _word(sent.unit, ("", *UNITS), "thing to say of a unit")
    for place in filter(None, (sent.source, sent.lot)):
        yield from _place(place)


def _found(faults: _Faults, where: str) -> Iterator[Finding]:
    for fault in faults:
        yield Finding(fault, where)


def _word(word: str, words: Collection[str], what: str) -> _Faults:
    if word not in words:
        yield f"{quoted(word)} is not {with_article(what)}."


def _words(noun: Machine | Step | Thing | Bag | Photo | Sent) -> _Faults:
    for strange in strange_words(noun):
        yield strange.fault


def _number(number: float, least: float, most: float, what: str) -> _Faults:
    if not isfinite(number) or not least <= number <= most:
        yield f"Its {what} is {number:g}; from {least:g} to {most:g} would do."


def _name(name: str) -> _Faults:
    try:
        clean = clean_name(name, "It")
    except BadInput as fault:
        yield str(fault)
        return
    if clean != name:
        yield f"{quoted(name)} is not how a name is written."


def _place(place: str) -> _Faults:
    try:
        written = read_place(place)
    except BadInput as fault:
        yield str(fault)
        return
    if written != place:
        yield f"{quoted(place)} is not how a place is written."


def _machine(machine: Machine) -> _Faults:
    yield from _words(machine)
    yield from _name(machine.name)
    if machine.serial:
        yield from _name(machine.serial)
    yield from _number(machine.first_bag, 0, MOST_BAGS, "first bag")
    yield from _settings(machine.adjust)
    yield from _jobs(machine.todo, of_step=False)
    for seen in machine.first_look:
        yield from _word(seen.sort, FIRST_LOOK, "sort of a first look")


def _settings(settings: tuple[Adjustment, ...]) -> _Faults:
    for setting in settings:
        yield from _name(setting.what) if not setting.what.strip() else ()
        if setting.turns is not None:
            yield from _number(setting.turns, 0, MOST_TURNS, "setting in turns")


def _step(step: Step) -> _Faults:
    yield from _words(step)
    yield from _name(step.name)
    yield from _number(step.bag, 0, MOST_BAGS, "bag")
    if step.put:
        yield from _place(step.put)
    if step.minutes is not None:
        yield from _number(step.minutes, 0, MOST_MINUTES, "time in minutes")
    yield from _jobs(step.todo)
    yield from _settings(step.adjust)
    if step.soak is not None:
        yield from _number(step.soak.hours, 0, MOST_HOURS, "soak in hours")


def _jobs(todo: Iterable[Job], *, of_step: bool = True) -> _Faults:
    for job in todo:
        yield from _word(job.side, ("", *SIDES) if of_step else ("",), "side of a job")
        if not job.what.strip():
            yield "A job has no text."
        if job.hours:
            yield from _number(job.hours, 0, MOST_HOURS, "soak in hours")
        yield from _number(job.count, 1, MOST_MADE, "number of pieces to be made")
        if job.do != "make" and job.is_measured:
            yield "A job has measures, and nothing is to be made."
        for one in job.measures:
            yield from _measure(one)
        if job.hole:
            yield from _spot(job.hole) if of_step else ("A job is about a hole, and is not of a step.",)


def _measure(one: Dimension) -> _Faults:
    try:
        one.read  # noqa: B018 it is read to see whether it can be
    except BadInput as fault:
        yield str(fault)


def _thing(thing: Thing) -> _Faults:
    yield from _words(thing)
    yield from _name(thing.name)
    yield from _place(thing.start)
    if thing.thread and not may_be_a_thread(thing.thread):
        yield f"{quoted(thing.thread)} is not the name of a thread."
    for reading, text in thing.readings.items():
        if reading in TAKEN_BY:
            yield from _word(text, TAKEN_BY[reading], f"way to take the {reading.removesuffix('_by')}")
        else:
            yield from _word(reading, READINGS, "reading of a fastener")
    for field in FIELDS:
        value = getattr(thing, field.name)
        if field.most:
            yield from _number(value, 0, field.most, field.what)
    most = MOST_PIECES if thing.sort == "piece" else 1
    yield from _number(thing.count, 0 if thing.found else 1, 0 if thing.found else most, "count")
    if thing.sort in ("fastener", LEFT_OVER):
        yield from _word(thing.name, KINDS, "kind of fastener")
    if thing.sort == "fastener":
        yield from _hole(thing.hole)
    if thing.goes_into:
        yield from _spot(thing.goes_into)
    if thing.sort == LEFT_OVER and (thing.hole or thing.goes_into or thing.replaces):
        yield "It is left over, and has a hole."


def _spot(text: str) -> _Faults:
    yield from _hole(place_of(text))
    if "," in text:
        yield from _word(face_of(text), FACES, "face")


def _hole(text: str) -> _Faults:
    try:
        hole = read_hole(text)
    except BadInput as fault:
        yield str(fault)
        return
    if hole != text:
        yield f"{quoted(text)} is not how a hole is written."


def _sessions(record: Record, machine: Machine) -> Iterator[Finding]:
    sessions = list(record.all(Session, machine.id))
    if sorted(session.number for session in sessions) != list(range(1, len(sessions) + 1)):
        yield Finding("The session numbers do not run from 1 without a gap.", machine.caption)
    for session in sessions:
        where = f"{machine.caption}, session {session.number}"
        yield from _found(_number(session.target, 1, 24 * 60, "target in minutes"), where)
        for walked in session.walked:
            yield from _found(_word(walked.answer, ANSWERS, "answer of the walk-back"), where)
        if any(not segment.end for segment in session.segments[:-1]):
            yield Finding("A segment is still running, and a later one has begun.", where)
        if session.ended and not session.paused:
            yield Finding("It has ended, and its last segment is still running.", where)


def _moves(record: Record, machine: Machine) -> Iterator[Finding]:
    """Follow every thing from place to place: a move may take no more than lies there at that time."""
    standing: dict[int, Counter[str]] = {}
    for move in record.all(Move, machine.id):
        where = f"{machine.caption}, move {move.id}"
        for place in (move.source, move.target):
            yield from _found(_place(place), where)
        if move.source == move.target:
            yield Finding(f"It goes from {quoted(move.source)} to the same place.", where)
        if move.thing not in standing:
            thing = record.find(Thing, move.thing)
            if thing is None:
                continue
            standing[move.thing] = Counter({thing.start: thing.count})
        places = standing[move.thing]
        if move.count > places[move.source]:
            held = places[move.source]
            yield Finding(f"It takes {move.count} from {quoted(move.source)}, where {held} is at that time.", where)
        places[move.source] -= move.count
        places[move.target] += move.count
