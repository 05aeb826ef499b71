"""Session files: a session on paper, as TOML, read into commands.

The format is told in docs/session-files.md. Reading checks every field by name and kind and says
file, step, field and what was expected; what the record itself refuses (a hole twice, a closed bag)
is found when the commands are tried.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import datetime, timedelta, tzinfo
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput, BadSessionFile
from putback.trade import commands as c
from putback.trade.fastener import DRIVES, HEADS, KINDS, READINGS, read_hole
from putback.trade.fields import Fields, nearest, quoted
from putback.trade.machine import FACES, ORIGINS
from putback.trade.place import read_place
from putback.trade.step import CHORES, DOINGS, Adjustment, Chore, Soak

MOST_STEPS = 100_000
"""How many steps one file may hold."""

MINUTES = 5.0
"""How long a step is taken to last where the file says nothing."""


class Act(Struct, frozen=True):
    """One command of a session file, its stamp, and where in the file it stands."""

    at: str
    """The stamp."""
    command: c.Command
    """What is done."""
    where: str
    """As `step 7` or `session 2`, for a fault's sentence."""


class SessionFile(Struct, frozen=True):
    """A session file as commands."""

    name: str
    """The file's name."""
    machine: c.NewMachine
    """The machine that it puts on the bench."""
    acts: tuple[Act, ...]
    """Everything done, in order; the machine itself is first."""


def read_session_file(text: str, name: str, *, now: datetime, zone: tzinfo | None = None) -> SessionFile:
    """Return the session file in `text`.

    `now` (with an offset) stands for a session's missing `start`; a start without an offset is taken in
    `zone`, else in the zone of `now`. Raises BadSessionFile with one sentence that names `name`, the
    step and the fault.
    """
    try:
        top = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise BadSessionFile(f"{name}: this is not TOML: {fault}.") from fault
    except RecursionError as fault:
        raise BadSessionFile(f"{name}: this is not a session file: it is nested too deep.") from fault
    try:
        return _Reader(name, now, zone or now.tzinfo).read(top)
    except BadInput as fault:
        raise BadSessionFile(f"{name}: {fault}") from fault


class _Reader:
    def __init__(self, name: str, now: datetime, zone: tzinfo | None) -> None:
        self.name = name
        self.now = now
        self.zone = zone
        self.number = 0
        self.steps = 0
        self.assemblies: set[str] = set()
        self.bags_closed: dict[int, int] = {}

    def read(self, top: dict[str, Any]) -> SessionFile:
        fields = Fields(top, "the file", ("machine", "assemblies", "session"))
        machine = self.machine(fields.table("machine"))
        acts = [Act("", machine, "machine")]
        acts += [Act("", act, "assemblies") for act in self.tree(fields.table("assemblies", default={}))]
        sessions = fields.tables("session")
        self.steps = sum(len(s.get("step", [])) for s in sessions if isinstance(s.get("step", []), list))
        if self.steps > MOST_STEPS:
            raise BadInput(f"it has {self.steps} steps; {MOST_STEPS} is the most.")
        for index, session in enumerate(sessions, 1):
            acts += self.session(session, f"session {index}")
        first = acts[len(self.assemblies) + 1].at if len(acts) > len(self.assemblies) + 1 else _stamp(self.now)
        return SessionFile(self.name, machine, tuple(Act(a.at or first, a.command, a.where) for a in acts))

    def machine(self, table: dict[str, Any]) -> c.NewMachine:
        f = Fields(
            table,
            "machine",
            ("name", "maker", "model", "serial", "origin", "unit", "mass", "intent", "orientation"),
        )
        return c.NewMachine(
            name=f.text("name"), serial=f.text("serial", ""), maker=f.text("maker", ""),
            model=f.text("model", ""), origin=f.word("origin", ORIGINS, "unknown"),
            unit=f.word("unit", ("in", "mm"), ""), mass=f.text("mass", ""), intent=f.text("intent", ""),
            orientation=f.text("orientation", ""),
        )  # fmt: skip

    def tree(self, table: dict[str, Any]) -> Iterator[c.AddAssembly]:
        """Give the assemblies so that each comes after the one it sits in."""
        inside: dict[str, str] = {}
        for name, found in table.items():
            if not isinstance(found, dict):
                raise BadInput(f"assemblies: {quoted(name)} is a table, as {{}} or {{ in = ... }}.")
            inside[name] = Fields(found, f"assembly {quoted(name)}", ("in",)).text("in", "")
        self.assemblies = set(inside)
        for name, parent in inside.items():
            if parent and parent not in inside:
                raise BadInput(f"assembly {quoted(name)}: in = {quoted(parent)} is no assembly{nearest(parent, inside)}.")
            seen = {name}
            while parent:
                if parent in seen:
                    raise BadInput(f"assembly {quoted(name)} sits inside itself.")
                seen.add(parent)
                parent = inside[parent]
        placed: set[str] = set()
        while len(placed) < len(inside):
            for name, parent in inside.items():
                if name not in placed and (not parent or parent in placed):
                    placed.add(name)
                    yield c.AddAssembly(name=name, inside=parent)

    def session(self, table: dict[str, Any], where: str) -> Iterator[Act]:
        f = Fields(table, where, ("start", "title", "target", "box", "note", "breaks", "step", "move"))
        at = f.stamp("start", self.now, self.zone)
        first = self.number + 1
        steps = f.tables("step", default=[])
        last = self.number + len(steps)
        pauses = self.breaks(f, where, first, last)
        moves = self.moves(f.tables("move", default=[]), where, last)
        yield Act(
            _stamp(at),
            c.StartSession(
                title=f.text("title", ""), target=f.minutes("target", 40.0), box=f.text("box", ""),
                note=f.text("note", ""),
            ),
            where,
        )  # fmt: skip
        for after in range(0, first):
            for move in moves.pop(after, []):
                yield Act(_stamp(at), move, f"{where}, move after step {after}")
        for step in steps:
            self.number += 1
            number = self.number
            minutes = 0.0
            acts = list(self.step(step, number))
            for act in acts:
                if isinstance(act, c.Finish):
                    minutes = MINUTES if act.minutes is None else act.minutes
            for index, act in enumerate(acts):
                share = min(1.0, index / max(1, len(acts) - 1))
                yield Act(_stamp(at + timedelta(minutes=minutes * share)), act, f"step {number}")
            at += timedelta(minutes=minutes)
            for move in moves.pop(number, []):
                yield Act(_stamp(at), move, f"{where}, move after step {number}")
            if number in pauses and number != last:
                yield Act(_stamp(at), c.Pause(), where)
                at += timedelta(minutes=pauses[number])
                yield Act(_stamp(at), c.Resume(), where)
        yield Act(_stamp(at), c.EndSession(), where)

    def breaks(self, f: Fields, where: str, first: int, last: int) -> dict[int, float]:
        pauses: dict[int, float] = {}
        for row in f.tables("breaks", default=[]):
            b = Fields(row, f"{where}, breaks", ("after", "minutes"))
            after = b.whole("after")
            if not first <= after <= last:
                raise BadInput(f"{where}, breaks: after = {after} is no step of it; it has {first} to {last}.")
            pauses[after] = b.number("minutes")
        return pauses

    def moves(self, rows: list[dict[str, Any]], where: str, last: int) -> dict[int, list[c.CarryNamed]]:
        found: dict[int, list[c.CarryNamed]] = {}
        for index, row in enumerate(rows, 1):
            at = f"{where}, move {index}"
            f = Fields(row, at, ("after", "what", "step", "count", "from", "to", "note"))
            after, step = f.whole("after"), f.whole("step")
            if not 0 <= after <= last:
                raise BadInput(f"{at}: after = {after} is no step so far; the last one here is {last}.")
            if not 1 <= step <= after:
                raise BadInput(f"{at}: step = {step} was not done by then.")
            count = f.whole("count", 1)
            if count < 1:
                raise BadInput(f"{at}: count is at least 1.")
            source, target = (_place(f.text(end), f"{at}: {end}") for end in ("from", "to"))
            found.setdefault(after, []).append(
                c.CarryNamed(
                    what=f.text("what"), step=step, count=count, source=source, target=target,
                    note=f.text("note", ""),
                )  # fmt: skip
            )
        return found

    def step(self, table: dict[str, Any], number: int) -> Iterator[c.Command]:
        where = f"step {number}"
        f = Fields(
            table,
            where,
            (
                "do", "part", "in", "face", "bag", "put", "minutes", "needs", "tools", "cautions", "adjust",
                "fasteners", "loose", "whole", "close", "count", "cover", "at_refit", "soak", "todo", "tag",
                "state", "note",
            ),  # fmt: skip
        )
        inside = f.text("in", "")
        if inside and inside not in self.assemblies:
            raise BadInput(f"{where}: in = {quoted(inside)} is no assembly{nearest(inside, self.assemblies)}.")
        do = f.word("do", DOINGS)
        bag = f.whole("bag", 0)
        if "bag" in table and bag < 1:
            raise BadInput(f"{where}: a bag has a number from 1 up; {bag} was given.")
        yield c.Begin(
            do=do, name=f.text("part"), inside=inside, face=f.word("face", FACES, ""), bag=bag,
            needs=self.needs(f, number), whole=f.flag("whole"), tag=f.text("tag", ""),
            state=f.text("state", ""),
        )  # fmt: skip
        rows = f.tables("fasteners", default=[])
        above: list[c.Enter] = []
        for index, row in enumerate(rows, 1):
            last = self.fastener(row, f"{where}, fastener {index}", above)
            above.append(last)
            if not bag and do != "loosen" and not last.found:
                raise BadInput(f"{where}: it has fasteners and no bag; say bag = a number.")
            yield last
        for index, row in enumerate(f.tables("loose", default=[]), 1):
            p = Fields(row, f"{where}, loose {index}", ("name", "count", "put", "note"))
            put = _place(p.text("put", ""), f"{where}, loose {index}: put")
            if not bag and not put:
                raise BadInput(f"{where}: it has loose pieces and no bag; say bag = a number, or put.")
            yield c.EnterPiece(name=p.text("name"), count=p.whole("count", 1), put=put, note=p.text("note", ""))
        note = self.annotation(f, where)
        if note is not None:
            yield note
        yield c.Finish(
            put=_place(f.text("put", ""), f"{where}: put"),
            minutes=f.number("minutes", None),
            count=f.whole("count") if "count" in table else None,
        )
        for closed in f.wholes("close", ()):
            if closed in self.bags_closed:
                raise BadInput(f"{where}: bag {closed} is closed already, since step {self.bags_closed[closed]}.")
            self.bags_closed[closed] = number
            yield c.CloseBag(number=closed)

    def needs(self, f: Fields, number: int) -> tuple[int, ...]:
        needs = f.wholes("needs", None)
        if needs is None:
            return (number - 1,) if number > 1 else ()
        for need in needs:
            if not 1 <= need <= self.steps:
                raise BadInput(f"step {number}: needs {need}, and there is no step {need}.")
            if need == number:
                raise BadInput(f"step {number}: needs itself, which makes a circle.")
            if need > number:
                raise BadInput(f"step {number}: needs {need}, which comes later and makes a circle.")
        return needs

    def fastener(self, row: dict[str, Any], where: str, above: list[c.Enter]) -> c.Enter:
        f = Fields(
            row,
            where,
            (
                "hole", "same", "kind", *READINGS, "head", "drive", "small_end", "hand", "turns", "found",
                "note", "should_be",
            ),  # fmt: skip
        )
        try:
            hole = read_hole(f.text("hole"))
        except BadInput as fault:
            raise BadInput(f"{where}: {fault}") from fault
        if f.flag("same"):
            for name in row:
                if name not in ("hole", "same", "kind", "note"):
                    raise BadInput(f"{where}: {quoted(name)} and same = true; leave one of them out.")
            wanted = f.word("kind", KINDS, "")
            like = [e for e in above if not e.found and wanted in ("", e.kind)]
            if not like:
                raise BadInput(f"{where}: same = true, and there is no {wanted or 'fastener'} above it.")
            return replace(like[-1], hole=hole, note=f.text("note", ""))
        found = f.word("found", ("empty",), "")
        readings = {name: f.said(name) for name in READINGS if name in row}
        kind = f.word("kind", KINDS, "screw")
        if not found and not readings:
            raise BadInput(f"{where}: nothing was read of the {kind}; give one of {', '.join(READINGS[:5])}.")
        if not found and set(readings) == {"length"} and kind in ("screw", "bolt", "stud", "shoulder screw"):
            raise BadInput(f"{where}: a length alone names no {kind}; give gauge or od as well.")
        return c.Enter(
            hole=hole, kind=kind, readings=readings, head=f.word("head", HEADS, ""),
            drive=f.word("drive", DRIVES, ""), hand=f.word("hand", ("left", "right"), ""),
            small_end=f.word("small_end", FACES, ""), turns=f.number("turns", 0.0) or 0.0, found=found,
            should_be=f.text("should_be", ""), note=f.text("note", ""),
        )  # fmt: skip

    def annotation(self, f: Fields, where: str) -> c.Annotate | None:
        adjust = tuple(self.adjustment(row, where) for row in f.tables("adjust", default=[]))
        todo = []
        for row in f.tables("todo", default=[]):
            t = Fields(row, f"{where}, todo", ("do", "what"))
            todo.append(Chore(t.word("do", CHORES), t.text("what")))
        soak = None
        if "soak" in f.table_:
            s = Fields(f.table("soak"), f"{where}, soak", ("what", "hours"))
            soak = Soak(s.text("what"), s.number("hours"))
        note = c.Annotate(
            cautions=f.texts("cautions"), adjust=adjust, at_refit=f.texts("at_refit"), todo=tuple(todo),
            tools=f.texts("tools"), soak=soak, cover=True if f.flag("cover") else None, note=f.text("note", ""),
        )  # fmt: skip
        return None if note == c.Annotate() else note

    def adjustment(self, row: dict[str, Any], where: str) -> Adjustment:
        f = Fields(
            row,
            f"{where}, adjust",
            ("what", "turns", "mark", "gap", "shims", "should_be", "why", "note"),
        )
        return Adjustment(
            what=f.text("what"), turns=f.number("turns", None), mark=f.text("mark", ""),
            gap=f.said("gap", ""), shims=f.texts("shims"), should_be=f.said("should_be", ""),
            why=f.text("why", ""), note=f.text("note", ""),
        )  # fmt: skip


def _place(text: str, where: str) -> str:
    if not text:
        return ""
    try:
        return read_place(text)
    except BadInput as fault:
        raise BadInput(f"{where}: {fault}") from fault


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


