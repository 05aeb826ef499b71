"""The end-of-session summary: what came off, counts by size, bags, open questions, the balance, and
where to start next time."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from typing import Any

import msgspec
from msgspec import Struct

from putback.errors import BadInput
from putback.reports.bags import BagRow, bag_row
from putback.reports.todo import soaks
from putback.trade.checks import odd_about
from putback.trade.conserved import holes_at_refit, holes_of
from putback.trade.fastener import Thing
from putback.trade.hang_tags import told_loose
from putback.trade.ledger import bench_check, holdings, left_over, trial_balance
from putback.trade.machine import Machine, Part
from putback.trade.place import SCRAPPED
from putback.trade.record import Record
from putback.trade.session import Session
from putback.trade.step import Step
from putback.trade.tools_out import missing_tools
from putback.trade.wording import counted, times


class StepLine(Struct, frozen=True):
    """One step of the session."""

    number: int
    """Its number."""
    told: str
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
        out: Counter[str] = Counter()
        for number, count in record.released_by(step.id).items():
            thing = record.get(Thing, number)
            out[thing.sort] += count
            if thing.sort == "fastener":
                sizes[thing.called] += count
        lines.append(
            StepLine(
                step.number,
                step.told,
                record.get(Part, step.area).name if step.area else "",
                out["fastener"],
                out["piece"],
                tuple(sorted(record.bags_filled_by(step.id))),
                step.put,
            )
        )
    filled = sorted({number for line in lines for number in line.bags})
    bags = [record.bag(machine.id, number) for number in filled]
    end = session.ended or now
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
    )


def _within(session: Session, stamp: str, end: str) -> bool:
    """Tell whether a stamp lies in a session; stamps of several offsets are compared as times."""
    first, at, last = (datetime.fromisoformat(text) for text in (session.start, stamp, end))
    return first <= at <= last


def open_questions(record: Record, machine: int, *, now: str) -> list[str]:
    """Return everything on the machine that still wants an answer or a hand."""
    found = []
    for held in bench_check(record, machine):
        found.append(f"loose on the bench: {times(held.count, told_loose(held.thing))}")
    for held in holdings(record, machine, "away", "borrowed", "missing"):
        found.append(f"{held.place}: {times(held.count, held.thing.called)}")
    for held in left_over(record, machine):
        if held.place == SCRAPPED:
            found.append(f"scrapped, nothing in its place yet: {times(held.count, held.thing.called)}")
    for tool in missing_tools(record, machine):
        found.append(f"a tool is missing: {tool}; look inside the machine before anything closes")
    for bath in soaks(record, machine, now=now):
        found.append(f"step {bath.step}: soak, {bath.what}: {bath.told}")
    for step in record.all(Step, machine):
        at = f"step {step.number}, {step.name}"
        found += [f"{at}: {words}" for words in odd_about(record, step)]
        if step.skipped:
            found.append(f"{at}: skipped at refit ({step.skipped})")
        found += [f"{at}: {hole.words}" for hole in holes_of(record, step) if hole.open]
        found += [f"{at}: {answer}" for answer in step.answers]
        unsure: Counter[str] = Counter()
        for thing in record.things_of(step):
            if thing.verdict in ("either", "none") and not step.back:
                unsure[f"{thing.called} ({thing.verdict})"] += 1
            if thing.should_be:
                found.append(f"{at}: hole {thing.hole} has {thing.size}, should be {thing.should_be}")
        found += [f"{at}: size not settled: {times(n, called)}" for called, n in unsure.items()]
        if step.do == "loosen" and not step.back:
            found.append(f"{at}: only loosened{f', hang-tag {step.tag}' if step.tag else ''}")
        found += [f"to {chore.do}: {chore.what} (step {step.number})" for chore in step.todo]
    for session in record.all(Session, machine):
        for walked in session.walked:
            if walked.answer == "not so":
                step_now = record.find(Step, walked.step_id)
                found.append(f"walk-back of step {step_now.number if step_now else walked.step}: not so")
    return found


def where_to_start(record: Record, machine: int) -> str:
    """Return the sentence that says where to start next time."""
    last = record.last_step(machine)
    if last is None:
        return "begin with the first part"
    if last.is_open:
        return f"go on with step {last.number}, {last.name}: it is not off yet"
    off = [step for step in record.all(Step, machine) if not step.back]
    if not off:
        return "nothing: every step is back"
    open_ones = [step for step in off if not step.skipped]
    if not open_ones:
        return f"step {off[-1].number}, {off[-1].name}, was skipped ({off[-1].skipped}) and is still to do"
    off = open_ones
    if len(off) < last.number:
        return f"refit goes on with step {off[-1].number}, {off[-1].name}"
    return f"look at step {last.number} first: {last.told}; then take off what comes next"


def clock_text(stamp: str) -> str:
    """Return a stamp as a person writes it."""
    return datetime.fromisoformat(stamp).strftime("%Y-%m-%d %H:%M") if stamp else "now"


def summary_text(summary: Summary) -> str:
    """Return the summary as lines of text."""
    s = summary
    title = f": {s.title}" if s.title else ""
    out = [
        f"{s.machine}, session {s.session}{title}",
        f"{clock_text(s.start)} to {clock_text(s.end)}, {s.minutes:.0f} min hands on in "
        + counted(s.segments, "segment"),
        "",
    ]
    fasteners = sum(line.fasteners for line in s.steps)
    pieces = sum(line.pieces for line in s.steps)
    out.append(
        f"Done: {counted(len(s.steps), 'step')}, {counted(fasteners, 'fastener')} "
        f"and {counted(pieces, 'loose piece')} out"
    )
    for line in s.steps:
        told = [counted(line.fasteners, "fastener")] if line.fasteners else []
        told += [counted(line.pieces, "piece")] if line.pieces else []
        told += [f"bag {', '.join(map(str, line.bags))}"] if line.bags else []
        told += [f"part: {line.put}"] if line.put and not line.put.startswith("bag") else []
        out.append(f"  {line.number:>3}  {line.told}" + (f"  ({'; '.join(told)})" if told else ""))
    if s.back:
        out.append(f"Put back: step {', '.join(map(str, s.back))}")
    if s.holes:
        out += ["Not as it was found", *(f"  - {hole}" for hole in s.holes)]
    if s.sizes:
        out += ["", "By size"]
        out += [f"  {count:>3}  {size}" for size, count in s.sizes.items()]
    if s.bags:
        out += ["", "Bags filled"]
        out += [f"  {b.number:>3}  {b.state:<6}  {b.count:>3} in it  {b.code}" for b in s.bags]
    out += ["", f"Open questions: {len(s.questions)}"]
    out += [f"  - {question}" for question in s.questions]
    total = sum(s.balance.values())
    out += ["", "Trial balance of the whole machine"]
    out += [f"  {count:>4}  {sort}" for sort, count in s.balance.items()]
    out.append(f"  {total:>4}  of {s.things} things: {'it balances' if total == s.things else 'IT DOES NOT BALANCE'}")
    out += ["", f"Next time: {s.next}"]
    if s.note:
        out.append(f"Note: {s.note}")
    return "\n".join(out)
