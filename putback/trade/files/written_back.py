"""A machine of the record written back as a session file, and what such a file cannot say of it.

Everything is written down as docs/session-files.md has it, then played into an empty record: what does not come
out as it went in is named, so that nothing is lost in silence.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import defaultdict
from datetime import datetime
from itertools import accumulate, pairwise
from typing import Final

from msgspec import Struct
from msgspec.structs import asdict

from putback.errors import BadInput
from putback.trade.commands import Enter
from putback.trade.commands.named_size import sized
from putback.trade.commands.rules import apply
from putback.trade.commands.sorting_lots import SORTED
from putback.trade.files.session_file import LONGEST_BREAK as A_DAY
from putback.trade.files.session_file import MACHINE, read_session_file
from putback.trade.files.toml_writing import Table, toml_of, written
from putback.trade.files.unsaid import told, unlike
from putback.trade.files.written_trips import back_at, made_by_trips, sortings, was_sorted
from putback.trade.record.bag import Bag, Move
from putback.trade.record.fastener import FIELD, FIELDS, NAMELESS, THREADED, Thing
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import FITTED, bag_number, in_bag
from putback.trade.record.record import Record
from putback.trade.record.session import Session, minutes_between
from putback.trade.record.step import LIST_NAMES, Step
from putback.trade.record.trip import Sent
from putback.trade.refit.pace import hands_on

LOOKS = tuple(field.name for field in FIELDS if field.words)
"""What `like` carries over and a row can only say otherwise, not leave out."""
JOB = ("do", "what", "when", "takes", "side", "hole", "since", "done", "result", "material", "drawing", "hours")
REST = (*(field.name for field in FIELDS if field.carried and not field.words), "once")
STAMPS = ("since", "done")
BETWEEN = ("move", "trouble", "job", "sent", "came_back", "sorted")
"""Tables of a session whose rows may be refused one by one."""


class WrittenBack(Struct, frozen=True):
    """A machine as a session file."""

    text: str
    """The file, as TOML."""
    unsaid: tuple[str, ...]
    """What of the record it does not say, a phrase each: `5 steps put back`."""


TROUBLED: Final = {"lost": True, "found again": True, "broken": True, "another goes in": False, "replaced": False}
"""The notes of moves that trouble with a screw makes, and whether a row is written for one."""


def written_back(record: Record, machine: int) -> WrittenBack:
    """Return a machine as a session file, with what such a file cannot say of it.

    Raises BadInput with one sentence where what was done cannot be played again at all, as where a part came off
    twice: that it was put back between is nothing that a session file can say.
    """
    tables = _Writer(record, machine).tables()
    text = toml_of(tables)
    again, refused = _tried(text)
    while refused:  # each time there are fewer rows
        for index, session in enumerate(tables["session"], 1):
            for name in BETWEEN:
                rows = [row for k, row in enumerate(session.pop(name, []), 1) if (index, name, k) not in refused]
                session.update({name: rows} if rows else {})
        text = toml_of(tables)
        again, refused = _tried(text)
    return WrittenBack(text, tuple(unlike(told(record, machine), told(again, 1))))


def _tried(text: str) -> tuple[Record, set[tuple[int, str, int]]]:
    """Play a file into an empty record, and name the rows between its steps that are refused."""
    now = datetime.fromisoformat("2000-01-01T12:00:00+00:00")  # of a file without a session, and of no other
    try:
        file = read_session_file(text, "in it", now=now)
    except BadInput as fault:
        raise BadInput(f"A session file cannot say what was done here: {fault}") from fault
    record, refused = Record(), set()
    for number, act in enumerate(file.acts):
        try:
            command = sized(record, 1, act.command) if isinstance(act.command, Enter) else act.command
            record.absorb(apply(record, 1, command, at=act.at, codes=(f"a {number}", f"b {number}")))
        except BadInput as fault:
            row = re.fullmatch(r"session (\d+), (\w+) (\d+)(?:, step \d+)?", act.where)
            session = re.match(r"session (\d+)", act.where)
            if act.row and session is not None:
                refused.add((int(session[1]), "move", act.row))
                continue
            if row is None:
                raise BadInput(f"A session file cannot say what was done here: {act.where}: {fault}") from fault
            refused.add((int(row[1]), row[2], int(row[3])))
    return record, refused


class _Writer:
    """One machine being written: its nouns, and which step was the last one done at a time."""

    def __init__(self, record: Record, machine: int) -> None:
        self.record = record
        self.machine = record.get(Machine, machine)
        self.steps = list(record.all(Step, machine))
        ended = sorted((datetime.fromisoformat(step.ended), step.number) for step in self.steps if step.ended)
        self._ended = [at for at, _ in ended]
        self._last_by = list(accumulate((number for _, number in ended), max))
        self.sessions = list(record.all(Session, machine))
        self.names = {part.id: part.name for part in record.all(Part, machine)}
        self.things = {thing.id: thing for thing in record.all(Thing, machine)}
        self.number = {step.id: step.number for step in self.steps}
        self.released: dict[int, Move] = {}
        self.filled: dict[int, int] = {}
        self.last: Thing | None = None

    def tables(self) -> Table:
        """Return the whole file as plain tables."""
        moves = list(self.record.all(Move, self.machine.id))
        for move in moves:
            if move.source == FITTED:
                self.released.setdefault(move.thing, move)
        sessions = [self.session(session) for session in self.sessions]
        if not sessions and (self.steps or self.machine.todo):
            sessions = [{}]
        home, self.last_of = [], []
        at = 0
        for step in self.steps:
            # a session file has its steps in order, so a later one is never of an earlier session
            found = next((k for k, session in enumerate(self.sessions) if session.id == step.session), at)
            at = max(at, found)
            home.append(at)
        self.last_of = [sum(where <= k for where in home) for k in range(len(sessions))]
        for row in self.moves(moves):
            self.place(sessions, "move", row)
        for row in self.troubles(moves):
            self.place(sessions, "trouble", row)
        for name, row in self.between():
            self.place(sessions, name, row)
        closing = self.closings()
        for step, where in zip(self.steps, home, strict=True):
            row = self.step(step)
            row.update({"close": closing[step.number]} if step.number in closing else {})
            sessions[where].setdefault("step", []).append(row)
        for index, session in enumerate(self.sessions):
            self.breaks(session, sessions[index], home.count(index), self.last_of[index])
        return {"machine": self.described(), "assemblies": self.tree(), "session": sessions}

    def described(self) -> Table:
        machine = asdict(self.machine)
        row = written({name: machine[name] for name in MACHINE if name not in ("first_look", "adjust")})
        if row.get("parts_go") == "shelf":
            del row["parts_go"]
        if self.machine.first_look:
            row["first_look"] = [written(asdict(seen)) for seen in self.machine.first_look]
        if self.machine.adjust:
            row["adjust"] = [written(asdict(one)) for one in self.machine.adjust]
        return row

    def tree(self) -> Table:
        """Return the assemblies that have to be there before a step; what came off whole may come with its step."""
        parts = list(self.record.all(Part, self.machine.id))
        used = {step.area for step in self.steps} | {part.inside for part in parts}
        with_step: set[int] = set()
        highest = 0
        for step in self.steps:
            if step.whole and step.part > highest:  # else it was there before the parts of earlier steps
                with_step.add(step.part)
            highest = max(highest, step.part)
        kept = [part for part in parts if part.id in used or (part.assembly and part.id not in with_step)]
        return {part.name: {"in": self.names[part.inside]} if part.inside else {} for part in kept}

    def session(self, session: Session) -> Table:
        row = written({name: getattr(session, name) for name in ("title", "target", "box", "note")})
        return {"start": datetime.fromisoformat(session.start), **row} if session.segments else row

    def breaks(self, session: Session, row: Table, steps: int, last: int) -> None:
        """Write the breaks of a session that come between two of its steps."""
        found = {}
        for before, after in pairwise(session.segments):
            step = self.done_by(before.end)
            minutes = minutes_between(before.end, after.start)
            if last - steps < step < last and step not in found and 0 < minutes <= A_DAY:
                found[step] = {"after": step, "minutes": minutes}
        if found:
            row["breaks"] = list(found.values())

    def done_by(self, stamp: str) -> int:
        """Return the number of the last step that was done at a time."""
        at = bisect_right(self._ended, datetime.fromisoformat(stamp))
        return self._last_by[at - 1] if at else 0

    def place(self, sessions: list[Table], name: str, row: Table) -> None:
        """Put a row into the first session that has the step it comes after."""
        index = next((k for k, last in enumerate(self.last_of) if row["after"] <= last), len(sessions) - 1)
        sessions[index].setdefault(name, []).append(row)

    # -- a step ------------------------------------------------------------------------------------------

    def step(self, step: Step) -> Table:
        inside = self.names.get(step.area, "")
        row = written({"do": step.do, "part": step.name, "in": inside, "face": step.face, "bag": step.bag})
        row |= written({"put": step.put, "whole": step.whole, "tag": step.tag, "state": step.state})
        minutes = hands_on(self.record, step)
        if step.is_open:
            row |= {"on_hold": step.on_hold or "still being done"}
            row |= {} if step.on_hold and step.in_the_way else {"in_the_way": False}
        elif minutes <= A_DAY:
            row["minutes"] = minutes
        row["needs"] = list(step.needs)
        row |= written({"why": step.why_needs, **{name: getattr(step, name) for name in LIST_NAMES}})
        if step.adjust:
            row["adjust"] = [written(asdict(one)) for one in step.adjust]
        gone = (self.released[t.id].because for t in self.record.things_of(step) if t.id in self.released and t.part)
        row |= written({"cover": step.cover, "note": step.note, "because": next(filter(None, gone), "")})
        if step.soak:
            row["soak"] = {"what": step.soak.what, "hours": step.soak.hours}
            row["soak"] |= {"since": datetime.fromisoformat(step.soak.since)} if step.soak.since else {}
        made = made_by_trips(self.record, step)
        if jobs := [_job(job) for job in step.todo if (job.what, job.state) not in made]:
            row["todo"] = jobs
        things = [thing for thing in self.record.things_of(step) if not thing.replaces]
        above: dict[str, Thing] = {}
        fasteners = [self.fastener(t, step, above) for t in things if t.sort == "fastener" and _told_of(t)]
        pieces = [
            self.piece(t, step) for t in things if t.sort == "piece" or (t.sort == "fastener" and not _told_of(t))
        ]
        return row | written({"fasteners": fasteners, "loose": pieces})

    def fastener(self, thing: Thing, step: Step, above: dict[str, Thing]) -> Table:
        """Return a row; `above` has the last one before it of each kind, and the very last under ""."""
        row = written({"hole": thing.hole, "face": thing.face})
        row |= self.as_before(thing, above) if thing.like else {}
        if not {"same", "like"} & row.keys():
            kind = "" if thing.name == "screw" else thing.name
            said = {name: getattr(thing, name) for name in FIELD if FIELD[name].carried}
            row |= written({"kind": kind, **thing.readings, **said, "found": thing.found})
            row |= {} if thing.once is None else {"once": thing.once}
        if not thing.found:
            above[thing.name] = above[""] = self.last = thing
        return row | written({"came_out": thing.came_out, "freed": thing.freed, "note": thing.note})

    def as_before(self, thing: Thing, above: dict[str, Thing]) -> Table:
        """Return how a fastener is said to be like the one before it; nothing where that cannot be said."""
        before = above.get(thing.name) or self.last
        if before is None or before.name != thing.name or thing.like != (before.like or before.id):
            return {}
        if before.readings != thing.readings:
            return {}
        kind = {} if (above.get("") or self.last) is before else {"kind": thing.name}
        unlike = {
            name: getattr(thing, name) for name in (*LOOKS, *REST) if getattr(thing, name) != getattr(before, name)
        }
        if not unlike and thing.name in above:
            return {"same": True, **kind}
        if any(not unlike.get(name, True) for name in LOOKS) or unlike.get("once", True) is None:
            return {}
        return {"like": True, **kind, **unlike}

    def piece(self, thing: Thing, step: Step) -> Table:
        first = self.released.get(thing.id)
        put = first.target if first and not (step.bag and first.target == in_bag(step.bag)) else ""
        count = {"count": thing.count} if thing.count != 1 else {}
        once = {} if thing.once is None else {"once": thing.once}
        name = thing.name if thing.sort == "piece" else thing.called
        return {"name": name, **count, **written({"put": put, "note": thing.note}), **once}

    # -- between two steps -------------------------------------------------------------------------------

    def moves(self, moves: list[Move]) -> list[Table]:
        """Return the moves that belong to no step, trips and the way back left out."""
        trips = {(sent.thing, at) for sent in self.record.all(Sent, self.machine.id) for at in (sent.at, sent.back)}
        rows = []
        for move in moves:
            thing = self.things[move.thing]
            step = self.number.get(thing.step, 0)
            source, target, after = move.source, move.target, max(step, self.done_by(move.at))
            if move.source == FITTED and thing.sort == "fastener" and move is self.released.get(thing.id):
                # into another bag than the one that its step ended with
                bag = in_bag(self.record.get(Step, thing.step).bag)
                self.fill(bag, step)
                source, after = bag, step
            elif move.source == FITTED:
                self.fill(target, step)
                continue
            if (
                FITTED in (source, target)
                or source == target
                or thing.replaces
                or not step
                or thing.sort == "left over"
            ):
                continue
            if (thing.id, move.at) in trips and "away: " in source + target:
                continue
            if move.note == SORTED:
                continue  # told as one sorting
            if thing.sort == "fastener" and move.note in TROUBLED:
                continue
            rows.append({"after": after, "what": thing.called, "step": step})
            rows[-1] |= {"count": move.count} if move.count != 1 else {}
            rows[-1] |= {"from": source, "to": target, **written({"note": move.note, "because": move.because})}
            self.fill(target, after + 1)
        return rows

    def troubles(self, moves: list[Move]) -> list[Table]:
        """Return what went wrong with screws or holes: first what moved them, then what is only said of them."""
        last = len(self.steps)
        rows = []
        for move in moves:
            thing = self.things[move.thing]
            if thing.sort == "fastener" and not thing.replaces and TROUBLED.get(move.note):
                put = move.target if move.note == "found again" and move.target != FITTED else ""
                after = max(self.number[thing.step], self.done_by(move.at))
                row = self.trouble(thing, move.note, after, put=put)
                rows.append(row | written({"because": move.because}))
        fasteners = [thing for thing in self.things.values() if thing.sort == "fastener" and thing.step in self.number]
        rows += [self.trouble(thing, "thread gone", last) for thing in fasteners if "thread gone" in thing.trouble]
        for thing in fasteners:
            if thing.replaces and thing.readings:
                looks = {name: getattr(thing, name) for name in ("head", "drive", "hand")}
                row = self.trouble(thing, "another goes in", last, put=thing.start)
                gone = (m.because for m in moves if m.thing == thing.replaces and m.note == "another goes in")
                because = next(filter(None, gone), "")
                rows.append(row | written({**thing.readings, **looks, "note": thing.note, "because": because}))
        for thing in fasteners:
            if thing.goes_into and not thing.replaces:
                rows.append(self.trouble(thing, "goes in another hole", last, into=thing.goes_into.replace(",", "")))
        return rows

    def trouble(self, thing: Thing, what: str, after: int, *, put: str = "", into: str = "") -> Table:
        kind = "" if thing.name == "screw" else thing.name
        row = {"after": after, "step": self.number[thing.step], "what": what}
        return row | written({"hole": thing.hole, "face": thing.face, "kind": kind, "put": put, "into": into})

    def fill(self, place: str, number: int) -> None:
        """Note that something went into a place, so that its bag is not closed before step `number` is done."""
        if bag := bag_number(place):
            self.filled[bag] = max(number, self.filled.get(bag, 0))

    def closings(self) -> dict[int, list[int]]:
        """Return the bags that are closed, by the step after which they were."""
        found = defaultdict(list)
        for bag in self.record.all(Bag, self.machine.id):
            if bag.closed:
                by_steps = max((s.number for s in self.steps if s.bag == bag.number), default=0)
                found[max(by_steps, self.filled.get(bag.number, 0), self.done_by(bag.closed))].append(bag.number)
        return found

    def between(self) -> list[tuple[str, Table]]:
        """Return jobs of bags and of the machine, and what was sent and came back."""
        last = len(self.steps)
        rows: list[tuple[str, Table]] = [("job", {"after": last, **_job(job)}) for job in self.machine.todo]
        for bag in self.record.all(Bag, self.machine.id):
            rows += [("job", {"after": last, "bag": bag.number, **_job(job)}) for job in bag.todo]
        trips: dict[tuple[str, str, str, str], dict[tuple[int, str], None]] = defaultdict(dict)
        for sent in self.record.all(Sent, self.machine.id):
            named = self.named(sent)
            trips[sent.to, sent.what, sent.due, sent.at][named] = None
            if sent.how:
                row = {"after": max(named[0], self.done_by(sent.back)), "step": named[0], "what": named[1]}
                put = back_at(self.record, sent)
                mixed = sent.mixed or was_sorted(self.record, sent, put)
                row |= written({"how": sent.how, "note": sent.note, "put": put, "mixed": mixed, "unit": sent.unit})
                rows.append(("came_back", row))
        rows += [("sorted", {"after": self.done_by(at), **row}) for at, row in sortings(self.record, self.machine.id)]
        for (to, what, due, at), things in trips.items():
            after = max(self.done_by(at), *(step for step, _ in things))
            listed = [{"step": step, "what": name} for step, name in things]
            rows.append(("sent", {"after": after, **written({"to": to, "what": what, "due": due}), "things": listed}))
        return rows

    def named(self, sent: Sent) -> tuple[int, str]:
        thing = self.things[sent.thing]
        return self.number.get(thing.step, 0), thing.called


def _told_of(thing: Thing) -> bool:
    """Tell whether enough was read of a fastener for a row of its own; one not measured at all lies there loose."""
    sizes = {name for name in thing.readings if not name.endswith("_by")}
    return bool(thing.found) or bool(sizes - (NAMELESS if thing.name in THREADED else frozenset()))


def _job(job: Job) -> Table:
    measures = [asdict(one) for one in job.measures]
    row = written({**{name: getattr(job, name) for name in JOB}, "measures": measures})
    row |= {"count": job.count} if job.count > 1 else {}
    return row | {name: datetime.fromisoformat(row[name]) for name in STAMPS if name in row}
