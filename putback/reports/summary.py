"""The end-of-session summary: what came off, counts by size, bags, open questions, the balance, and
where to start next time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

import msgspec
from msgspec import Struct

from putback.errors import BadInput
from putback.reports.bags import BagRow, bag_row
from putback.reports.soaking import soaks
from putback.trade.checks.all_jobs import jobs_kept
from putback.trade.checks.filled_holes import holes_at_refit, holes_of
from putback.trade.checks.hang_tags import loose_text
from putback.trade.checks.ledger import bench_check, holdings, left_over, trial_balance
from putback.trade.checks.oddities import odd_about
from putback.trade.checks.open_jobs import not_in_its_place, open_work, still_open
from putback.trade.checks.tools_out import missing_tools
from putback.trade.checks.walked import still_wrong
from putback.trade.commands.on_hold import held_because
from putback.trade.record.breaks import Break
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.machine import Machine, Part
from putback.trade.record.phrases import times
from putback.trade.record.place import SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.session import ANSWERS, Session, minutes_between
from putback.trade.record.step import Adjustment, Step
from putback.trade.record.tree import around
from putback.trade.record.trouble_words import left_overs
from putback.trade.refit.as_set import as_set_words
from putback.trade.refit.pace import hands_on


class StepLine(Struct, frozen=True):
    """One step of the session."""

    number: int
    """Its number."""
    text: str = msgspec.field(name="told")
    """What was done."""
    area: str
    """The assembly worked in."""
    fasteners: int
    """Fasteners that came out."""
    pieces: int
    """Loose pieces that came out."""
    bags: tuple[int, ...]
    """Bags that it filled."""
    put: str
    """Where the part went."""
    do: str = "take off"
    """What was done: one of the doings of a step."""
    name: str = ""
    """What it was done to."""
    path: tuple[str, ...] = ()
    """The assemblies it sits in, the outermost first."""
    minutes: float = 0.0
    """Minutes hands on."""


class Summary(Struct, frozen=True):
    """One session, summed up."""

    machine: str
    """Name and serial."""
    session: int
    """The session's number on that machine."""
    title: str
    """What it was about."""
    start: str
    """When it began, ISO 8601."""
    end: str
    """When it ended; empty while it goes on."""
    minutes: float
    """Hand-on time, breaks left out."""
    segments: int
    """Stretches between breaks."""
    steps: tuple[StepLine, ...]
    """What was done, in order."""
    back: tuple[int, ...]
    """Steps put back in it."""
    holes: tuple[str, ...]
    """What is to be said of the holes of those: not as found, or not filled."""
    sizes: dict[str, int]
    """Fasteners that came out, by size, most first."""
    bags: tuple[BagRow, ...]
    """Bags that this session filled."""
    questions: tuple[str, ...]
    """What is open."""
    balance: dict[str, int]
    """The trial balance of the whole machine: things by sort of place."""
    things: int
    """All things of the machine; the balance adds up to this."""
    next: str
    """Where to start next time."""
    note: str
    """The note to oneself."""
    areas: dict[str, float]
    """Minutes hands on by the assembly worked in, most first; the machine itself is ''."""
    minutes_all: float
    """Minutes hands on at this machine in all sessions up to this one."""
    notes: tuple[str, ...]
    """What was noted at its breaks for the next time."""
    target: float
    """Minutes a segment should last."""
    breaks: tuple[float, ...]
    """The minutes, of those hands on, after which there was a break."""
    seen: tuple[str, ...] = ()
    """What was noted at its steps: notes, cautions, settings as found, a sentence each with its step."""
    of_machine: tuple[str, ...] = ()
    """What is noted of the machine itself, in whichever session it was said."""

    def to_json(self) -> dict[str, Any]:
        """Return the summary as plain JSON values."""
        built: dict[str, Any] = msgspec.to_builtins(self)
        return built


def session_numbered(record: Record, machine: Machine, number: int = 0) -> Session:
    """Return session `number` of a machine, or the last one for 0. Raises BadInput where there is none."""
    sessions = list(record.all(Session, machine.id))
    if not sessions:
        raise BadInput(f"There is no session with {machine.caption} yet.")
    if not number:
        return sessions[-1]
    for session in sessions:
        if session.number == number:
            return session
    raise BadInput(f"There is no session {number} with {machine.caption}; the last is {sessions[-1].number}.")


def summarise(record: Record, machine: Machine, session: Session, *, now: str) -> Summary:
    """Sum up one session; `now` is the stamp that running times are counted to."""
    steps = record.steps_of_session(session.id)
    lines = []
    sizes: Counter[str] = Counter()
    for step in steps:
        fasteners = pieces = 0
        for number, count in record.released_by(step.id).items():
            thing = record.get(Thing, number)
            if thing.sort == "fastener":
                fasteners += count
                sizes[thing.called] += count
            elif thing.sort == "piece":
                pieces += count
        lines.append(
            StepLine(
                step.number,
                step.text,
                record.get(Part, step.area).name if step.area else "",
                fasteners,
                pieces,
                tuple(sorted(record.bags_filled_by(step.id))),
                step.put,
                step.do,
                step.name,
                _path(record, step),
                round(hands_on(record, step), 1),
            )
        )
    filled = sorted({number for line in lines for number in line.bags})
    bags = [record.bag(machine.id, number) for number in filled]
    end = session.ended or now
    sessions = list(record.all(Session, machine.id))
    return Summary(
        machine=machine.caption,
        session=session.number,
        title=session.title,
        start=session.start,
        end=session.ended,
        minutes=round(session.minutes(end), 1),
        segments=len(session.segments),
        steps=tuple(lines),
        back=tuple(s.number for s in record.all(Step, machine.id) if s.back and _within(session, s.back, end)),
        holes=tuple(
            f"step {hole.step.number}, {hole.step.name}: {hole.words}"
            for hole in holes_at_refit(record, machine.id)
            if _within(session, hole.step.back, end)
        ),
        sizes=dict(sorted(sizes.items(), key=lambda item: (-item[1], item[0]))),
        bags=tuple(bag_row(record, bag) for bag in bags if bag is not None),
        questions=tuple(open_questions(record, machine.id, now=now)),
        balance=trial_balance(record, machine.id),
        things=sum(t.count for t in record.all(Thing, machine.id)),
        next=where_to_start(record, machine.id),
        note=session.note,
        areas=_areas(lines),
        minutes_all=round(sum(s.minutes(s.ended or now) for s in sessions if s.number <= session.number), 1),
        target=session.target,
        breaks=_breaks(session),
        seen=(*_seen(steps, machine), *_set_back(record, machine, session, end)),
        of_machine=tuple(_of_machine(machine)),
        notes=tuple(stop.note for stop in record.all(Break, machine.id) if stop.note and stop.session == session.id),
    )


def _seen(steps: Sequence[Step], machine: Machine) -> Iterator[str]:
    """Give what was noted at steps, each with its step: the caution, the setting, each note by itself."""
    for step in steps:
        at = f"step {step.number}, {step.name}"
        yield from (f"{at}: caution: {caution}" for caution in step.cautions)
        yield from (f"{at}: {_setting(setting, machine)}" for setting in step.adjust)
        yield from (f"{at}: next time: {words}" for words in step.next_time)
        yield from (f"{at}: {line}" for line in step.note.split("\n") if line)


def _set_back(record: Record, machine: Machine, session: Session, end: str) -> Iterator[str]:
    """Give what was read of settings at steps of other sessions that were put back in this one."""
    for step in record.all(Step, machine.id):
        if step.back and step.session != session.id and _within(session, step.back, end):
            at = f"step {step.number}, {step.name}"
            yield from (f"{at}: {_setting(setting, machine)}" for setting in step.adjust if setting.as_set)


def _setting(setting: Adjustment, machine: Machine) -> str:
    """Return a setting as found and, once it was read, as set."""
    now = as_set_words(setting, "mm" if machine.unit == "mm" else "in")
    return f"as found: {setting.text}; {now}" if now else f"set as found: {setting.text}"


def _of_machine(machine: Machine) -> Iterator[str]:
    yield from (f"caution: {caution}" for caution in machine.cautions)
    yield from (_setting(setting, machine).removeprefix("set ") for setting in machine.adjust)
    yield from (f"next time: {words}" for words in machine.next_time)
    yield from machine.notes


def _breaks(session: Session) -> tuple[float, ...]:
    found, worked = [], 0.0
    for segment in session.segments[:-1]:
        worked += minutes_between(segment.start, segment.end)
        found.append(round(worked, 1))
    return tuple(found)


def _path(record: Record, step: Step) -> tuple[str, ...]:
    return tuple(part.name for part in around(record, step.area))[::-1]


def _areas(lines: Sequence[StepLine]) -> dict[str, float]:
    found: dict[str, float] = {}
    for line in lines:
        if line.minutes:
            found[line.area] = found.get(line.area, 0.0) + line.minutes
    return {area: round(minutes, 1) for area, minutes in sorted(found.items(), key=lambda item: (-item[1], item[0]))}


def _within(session: Session, stamp: str, end: str) -> bool:
    """Tell whether a stamp lies in a session; stamps of several offsets are compared as times."""
    first, at, last = (datetime.fromisoformat(text) for text in (session.start, stamp, end))
    return first <= at <= last


def open_questions(record: Record, machine: int, *, now: str) -> list[str]:
    """Return everything on the machine that still wants an answer or a hand."""
    found = []
    serial = record.get(Machine, machine).serial
    if "?" in serial:
        found.append(f"serial {serial}: the figure after each ? is doubtful; look once more")
    for held in bench_check(record, machine):
        if held.thing.sort != LEFT_OVER:
            found.append(f"loose on the bench: {times(held.count, loose_text(held.thing))}")
    for thing in left_overs(record, machine):
        found.append(f"left over, with no hole known: {loose_text(thing)}, {', '.join(record.standing(thing.id))}")
    for held in holdings(record, machine, "away", "borrowed", "missing"):
        found.append(f"{held.place}: {times(held.count, held.thing.called)}")
    for held in left_over(record, machine):
        if held.place == SCRAPPED:
            found.append(f"{held.told}, nothing in its place yet: {times(held.count, held.thing.called)}")
    for tool in missing_tools(record, machine):
        found.append(f"a tool is missing: {tool}; look inside the machine before anything closes")
    for bath in soaks(record, machine, now=now):
        found.append(f"{bath.where}: soak, {bath.what}: {bath.text}")
    for step in record.all(Step, machine):
        at = f"step {step.number}, {step.name}"
        found += [f"{at}: {words}" for words in odd_about(record, step)]
        if step.on_hold:
            found.append(f"{at}: on hold, {held_because(record, step)}")
        if step.skipped:
            found.append(f"{at}: skipped at refit ({step.skipped})")
        found += [f"{at}: {hole.words}" for hole in holes_of(record, step) if hole.open]
        found += [f"{at}: {answer}" for answer in step.answers]
        unsure: dict[str, int] = {}
        for thing in record.things_of(step):
            if thing.verdict in ("either", "none") and not step.back:
                called = f"{thing.called} ({thing.verdict})"
                unsure[called] = unsure.get(called, 0) + 1
            if thing.should_be:
                found.append(f"{at}: hole {thing.spot} has {thing.size}, should be {thing.should_be}")
        found += [f"{at}: size not settled: {times(n, called)}" for called, n in unsure.items()]
        if step.do == "loosen" and not step.back:
            found.append(f"{at}: only loosened{f', hang-tag {step.tag}' if step.tag else ''}")
    told = {one.text for one in jobs_kept(record, machine) if one.job.soaks}  # they are said above, with their hours
    found += [words for words in open_work(record, machine) if words not in told]
    for walked in still_wrong(record, machine):
        step_now = record.find(Step, walked.step_id)
        number = step_now.number if step_now else walked.step
        found.append(f"walk-back of step {number}: {ANSWERS[walked.answer]}, and not put right yet")
    return found


def where_to_start(record: Record, machine: int) -> str:
    """Return the sentence that says where to start next time."""
    last = record.last_step(machine)
    if last is None:
        return "begin with the first part"
    if record.open_step(machine) is not None:
        return f"go on with step {last.number}, {last.name}: it is not off yet"
    held = record.held_steps(machine)
    if held:
        why = held_because(record, held[-1])
        return f"step {held[-1].number}, {held[-1].name}, is on hold: {why}; take it up once it can go on"
    off = [step for step in record.all(Step, machine) if not step.back]
    if not off:
        still = [*not_in_its_place(record, machine), *still_open(record, machine)]
        return f"every step is back; still open: {'; '.join(still)}" if still else "nothing: every step is back"
    open_ones = [step for step in off if not step.skipped]
    if not open_ones:
        return f"step {off[-1].number}, {off[-1].name}, was skipped ({off[-1].skipped}) and is still to do"
    off = open_ones
    if len(off) < last.number:
        return f"refit goes on with step {off[-1].number}, {off[-1].name}"
    return f"look at step {last.number} first: {last.text}; then go on taking off"
