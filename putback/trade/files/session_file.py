"""Session files: a session on paper, as TOML, read into commands.

The format is told in docs/session-files.md. Reading checks every field by name and kind and says
file, step, field and what was expected; what the record itself refuses (a hole twice, a closed bag)
is found when the commands are tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta, tzinfo
from typing import Any

from msgspec import Struct

from putback.errors import BadInput, BadSessionFile
from putback.planning.tasks import Task, circle_with, say_circle
from putback.toml_text import TooDeep, read_toml
from putback.trade import commands as c
from putback.trade.files.between_steps import TABLES as BETWEEN
from putback.trade.files.between_steps import Placed, between_steps
from putback.trade.files.fastener_rows import TROUBLE, FastenerRows, trouble
from putback.trade.files.fields import Fields, stamped
from putback.trade.files.said_rows import SaidRows
from putback.trade.record.machine import FACES, ORIGINS, PARTS_GO, PLATE_NAMES, UNITS
from putback.trade.record.phrases import instead, quoted
from putback.trade.record.place import MOST_BAGS
from putback.trade.record.session import TARGET
from putback.trade.record.step import DOINGS, LIST_NAMES

MOST_STEPS = 100_000
"""How many steps one file may hold."""

MINUTES = 5.0
"""How long a step is taken to last where the file says nothing; common practice, no source."""

LONGEST_BREAK = 24 * 60.0
"""How many minutes a break within one session may last."""

MACHINE = (
    "name", "serial", "origin", "unit", *PLATE_NAMES, "parts_go", "notes", "cautions", "first_look", "adjust",
    "next_time",
)  # fmt: skip
SESSION = ("start", "title", "target", "box", "note", "breaks", "step", "move", "trouble", *BETWEEN)
STEP = (
    "do", "part", "in", "face", "bag", "put", "minutes", "needs", *LIST_NAMES, "adjust", "fasteners", "loose", "whole",
    "close", "count", "cover", "soak", "todo", "tag", "state", "note", "because", "why", "on_hold", "in_the_way",
    "take_up",
)  # fmt: skip
BEGUN = ("in", "face", "bag", "needs", "whole", "tag", "state", "why")
TAKEN_UP = tuple(name for name in STEP if name not in BEGUN)
"""What a step that is taken up again can still say; the rest was said when it was begun."""
MOVE = ("after", "what", "step", "count", "from", "to", "note", "because")


class TimedCommand(Struct, frozen=True):
    """One command of a session file, its stamp, and where in the file it stands."""

    at: str
    """The stamp."""
    command: c.Command
    """What is done."""
    where: str
    """As `step 7, fastener 2` or `session 2`, for an error's sentence."""
    row: int = 0
    """Of a move its number among the rows of its session, from 1."""


class SessionFile(Struct, frozen=True):
    """A session file as commands."""

    name: str
    """The file's name."""
    machine: c.NewMachine
    """The machine that it puts on the bench."""
    acts: tuple[TimedCommand, ...]
    """Everything done, in order; the machine itself is first."""


def read_session_file(text: str, name: str, *, now: datetime, zone: tzinfo | None = None) -> SessionFile:
    """Return the session file in `text`.

    `now` (with an offset) stands for a missing `start` of the first session; later ones without a start
    begin where the one before ended. A start without an offset is taken in `zone`, else in the zone of
    `now`. Raises BadSessionFile with one sentence that names `name`, the step and the error.
    """
    try:
        top = read_toml(text)
    except (RecursionError, TooDeep) as fault:
        raise BadSessionFile(f"{name}: this is not a session file: it is nested too deep.") from fault
    except ValueError as fault:
        # A TOMLDecodeError, or a number of so many digits that it cannot be read at all.
        raise BadSessionFile(f"{name}: this is not TOML: {str(fault).rstrip('.')}.") from fault
    try:
        return _Reader(name, now, zone or now.tzinfo).read(top)
    except BadInput as fault:
        raise BadSessionFile(f"{name}: {fault}") from fault


class _Reader:
    """One file being read: what was seen so far, so that what comes later can be held against it."""

    def __init__(self, name: str, now: datetime, zone: tzinfo | None) -> None:
        self.name = name
        self.now = now
        self.zone = zone
        self.number = 0
        self.steps = 0
        self.tables: list[Any] = []
        self.assemblies: dict[str, str] = {}
        self.closed: dict[int, int] = {}
        self.held: dict[str, int] = {}
        self.rows = FastenerRows()
        self.said = SaidRows(now, self.zone)

    def read(self, top: dict[str, Any]) -> SessionFile:
        f = Fields(top, "the file", ("machine", "assemblies", "session"))
        machine = self.machine(f.table("machine"))
        tree = list(self.tree(f.table("assemblies", default={})))
        sessions = f.tables("session")
        self.tables = [t for s in sessions if isinstance(s.get("step", []), list) for t in s.get("step", [])]
        self.steps = sum(not _takes_up(table) for table in self.tables)
        if self.steps > MOST_STEPS:
            raise BadInput(f"it has {self.steps} steps; {MOST_STEPS} is the most.")
        done: list[TimedCommand] = []
        for index, session in enumerate(sessions, 1):
            done += self.session(session, f"session {index}")
        first = done[0].at if done else stamped(self.now)
        laid_out = [TimedCommand(first, machine, "machine"), *(TimedCommand(first, act, "assemblies") for act in tree)]
        return SessionFile(self.name, machine, (*laid_out, *done))

    # -- the machine ---------------------------------------------------------------------------------

    def machine(self, table: dict[str, Any]) -> c.NewMachine:
        f = Fields(table, "machine", MACHINE)
        plate: dict[str, Any] = {name: f.text(name, "") for name in PLATE_NAMES if name in f}
        return c.NewMachine(
            name=f.text("name"),
            serial=f.text("serial", ""),
            origin=f.word("origin", ORIGINS, "unknown"),
            unit=f.word("unit", UNITS, ""),
            parts_go=f.word("parts_go", PARTS_GO, "shelf"),
            notes=f.texts("notes"),
            cautions=f.texts("cautions"),
            first_look=tuple(
                self.said.seen(row, f"machine, first look {k}")
                for k, row in enumerate(f.tables("first_look", default=[]), 1)
            ),
            adjust=tuple(
                self.said.adjustment(row, f"machine, adjust {index}")
                for index, row in enumerate(f.tables("adjust", default=[]), 1)
            ),
            next_time=f.texts("next_time"),
            **plate,
        )

    def tree(self, table: dict[str, Any]) -> Iterator[c.AddAssembly]:
        """Give the assemblies so that each comes after the one it sits in."""
        for name, found in table.items():
            if not name.strip():
                raise BadInput("assemblies: one has no name.")
            self.assemblies[name] = Fields(found, f"assembly {quoted(name)}", ("in",)).text("in", "")
        placed: set[str] = set()
        for name in self.assemblies:
            chain: dict[str, None] = {}
            while name and name not in placed:
                parent = self.assemblies[name]
                where = f"assembly {quoted(name)}: in = {quoted(parent)}"
                if parent and parent not in self.assemblies:
                    raise BadInput(f"{where} is not an assembly{instead(parent, self.assemblies)}")
                if name in chain:
                    raise BadInput(f"{where} puts it inside itself.")
                chain[name] = None
                name = parent
            placed.update(chain)
            for inner in reversed(chain):
                yield c.AddAssembly(name=inner, inside=self.assemblies[inner])

    # -- a session -----------------------------------------------------------------------------------

    def session(self, table: dict[str, Any], where: str) -> Iterator[TimedCommand]:
        f = Fields(table, where, SESSION)
        at = f.stamp("start", self.now, self.zone)
        steps = f.tables("step", default=[])
        first, last = self.number + 1, self.number + sum(not _takes_up(step) for step in steps)
        pauses = self.breaks(f, first, last)
        moves = self.moves(f, last)
        said = self.troubles(f, last)
        for after, acts in between_steps(f, last, self.said.job).items():
            said.setdefault(after, []).extend(acts)
        yield TimedCommand(
            stamped(at),
            c.StartSession(
                title=f.text("title", ""),
                target=f.minutes("target", TARGET),
                box=f.text("box", ""),
                note=f.text("note", ""),
            ),
            where,
        )
        for after in sorted(after for after in moves if after < first):
            yield from _moved(moves[after], stamped(at), f"{where}, move after step {after}", back=False)
        for after in sorted(after for after in said if after < first):
            yield from (TimedCommand(stamped(at), act, place) for place, act in said[after])
        for after in sorted(after for after in moves if after < first):
            yield from _moved(moves[after], stamped(at), f"{where}, move after step {after}", back=True)
        for step, following in zip(steps, [*steps[1:], {}], strict=False):
            self.number += not _takes_up(step)
            number = self.number
            acts = list(self.step(step, number))
            minutes = sum(MINUTES if a.minutes is None else a.minutes for _, a in acts if isinstance(a, c.Finish))
            for index, (field, act) in enumerate(acts):
                share = index / max(1, len(acts) - 1)
                yield TimedCommand(stamped(at + timedelta(minutes=minutes * share)), act, f"step {number}{field}")
            at += timedelta(minutes=minutes)
            if _takes_up(following):
                continue  # that one has the number then, and what is said of it comes after it
            moved = f"{where}, move after step {number}"
            yield from _moved(moves.get(number, ()), stamped(at), moved, back=False)
            yield from (TimedCommand(stamped(at), act, place) for place, act in said.get(number, ()))
            yield from _moved(moves.get(number, ()), stamped(at), moved, back=True)
            if number in pauses and number != last:
                yield TimedCommand(stamped(at), c.Pause(), where)
                at += timedelta(minutes=pauses[number])
                yield TimedCommand(stamped(at), c.Resume(), where)
        yield TimedCommand(stamped(at), c.EndSession(), where)
        self.now = max(self.now, at)

    def breaks(self, session: Fields, first: int, last: int) -> dict[int, float]:
        """Return the breaks of a session: minutes by the step they follow."""
        pauses: dict[int, float] = {}
        for row in session.tables("breaks", default=[]):
            f = Fields(row, f"{session.where}, breaks", ("after", "minutes"))
            after = f.whole("after")
            if not first <= after <= last:
                raise f.fault("after", f"there is no step {after} in this session; it has {first} to {last}.")
            if after in pauses:
                raise f.fault("after", f"there are two breaks after step {after}.")
            pauses[after] = f.number("minutes")
            if pauses[after] > LONGEST_BREAK:
                raise f.fault("minutes", "a break within a session must be at most a day; begin another session.")
        return pauses

    def moves(self, session: Fields, last: int) -> dict[int, list[tuple[int, c.CarryNamed]]]:
        """Return the moves of a session by the step they follow, each with its number among the rows."""
        found: dict[int, list[tuple[int, c.CarryNamed]]] = {}
        for index, row in enumerate(session.tables("move", default=[]), 1):
            f = Fields(row, f"{session.where}, move {index}", MOVE)
            after, step = f.whole("after"), f.whole("step")
            if after > last:
                raise f.fault("after", f"there is no step {after} so far; the last one here is {last}.")
            if not 1 <= step <= after:
                raise f.fault("step", f"step {step} was not done by then.")
            for end in ("from", "to"):
                f.text(end)
            move = c.CarryNamed(
                what=f.text("what"),
                step=step,
                count=f.whole("count", 1, least=1),
                source=f.place("from"),
                target=f.place("to"),
                note=f.text("note", ""),
                because=f.text("because", ""),
            )
            found.setdefault(after, []).append((index, move))
        return found

    def troubles(self, session: Fields, last: int) -> Placed:
        """Return the troubles of a session by the step they follow, each with where it stands in the file."""
        found: Placed = {}
        for index, row in enumerate(session.tables("trouble", default=[]), 1):
            f = Fields(row, f"{session.where}, trouble {index}", TROUBLE)
            after, step = f.whole("after"), f.whole("step")
            if after > last:
                raise f.fault("after", f"there is no step {after} so far; the last one here is {last}.")
            if not 1 <= step <= after:
                raise f.fault("step", f"step {step} was not done by then.")
            where = f"{f.where}, step {step}"
            found.setdefault(after, []).append((where, trouble(f, step)))
        return found

    # -- a step --------------------------------------------------------------------------------------

    def step(self, table: dict[str, Any], number: int) -> Iterator[tuple[str, c.Command]]:
        """Give the commands of a step, each with the field it stands for, as the end of `step 7`."""
        where = f"step {number}"
        taken_up = _takes_up(table)
        f = Fields(table, where, TAKEN_UP if taken_up else STEP)
        do = f.word("do", DOINGS)
        part = f.text("part")
        inside = f.text("in", "")
        if inside and inside not in self.assemblies:
            raise BadInput(f"{where}: in = {quoted(inside)} is not an assembly{instead(inside, self.assemblies)}")
        bag = f.whole("bag", 0, least=1)
        if bag > MOST_BAGS:
            raise f.fault("bag", f"a bag has a number from 1 to {MOST_BAGS}; {bag} is there.")
        begin: c.Command = c.Begin(
            do=do,
            name=part,
            inside=inside,
            face=f.word("face", FACES, ""),
            bag=bag,
            needs=self.needs(f, number),
            whole=f.flag("whole"),
            tag=f.text("tag", ""),
            state=f.text("state", ""),
        )
        if f.flag("take_up"):
            begin = c.TakeUpHeld(step=self.taken_up(f, part))
        yield "", begin
        if "why" in f:
            yield ", why", c.SetNeeds(needs=self.needs(f, number), why=f.text("why"))
        fasteners = list(self.rows.fasteners(f, bag=bag, loosened=do == "loosen" or taken_up))
        pieces = list(self.rows.pieces(f, bag))
        came = list(self.rows.came_out(f))
        for index, row in enumerate(fasteners, 1):
            yield f", fastener {index}", row
            if (how := came[index - 1]) is not None:
                yield f", fastener {index}", how
        yield from ((f", loose {index}", piece) for index, piece in enumerate(pieces, 1))
        listed = sum(not row.found for row in fasteners) + sum(piece.count for piece in pieces)
        if "count" in f and f.whole("count") != listed:
            raise f.fault("count", f"{f.whole('count')} were counted by hand, and the lists come to {listed}.")
        note = self.said.annotation(f)
        if note is not None:
            yield "", note
        if "on_hold" in f:
            self.held[part.casefold()] = number
            yield ", on_hold", c.PutOnHold(reason=f.text("on_hold"), in_the_way=f.flag("in_the_way", True))
        else:
            yield ", put" if "put" in f else "", self.finish(f)
        for closed in f.wholes("close", ()):
            if closed in self.closed:
                raise f.fault("close", f"bag {closed} is closed already, since step {self.closed[closed]}.")
            self.closed[closed] = number
            yield ", close", c.CloseBag(number=closed)

    def finish(self, f: Fields) -> c.Finish:
        """Return the end of a step."""
        return c.Finish(put=f.place("put"), minutes=f.minutes("minutes", None), because=f.text("because", ""))

    def taken_up(self, f: Fields, part: str) -> int:
        """Return the number of the step on hold that is taken up again; those behind it have one less from now on."""
        held = self.held.pop(part.casefold(), 0)
        if not held:
            raise f.fault("take_up", f"{quoted(part)} is not on hold.")
        self.held = {name: number - (number > held) for name, number in self.held.items()}
        return held

    def needs(self, f: Fields, number: int) -> tuple[int, ...]:
        """Return what a step needs: the step before that is not on hold, where the file says nothing."""
        needs = f.wholes("needs", None)
        if needs is None:
            before = next((n for n in range(number - 1, 0, -1) if n not in self.held.values()), 0)
            return (before,) if before else ()
        for need in needs:
            if not 1 <= need <= self.steps:
                raise f.fault("needs", f"there is no step {need}; the file has {self.steps}.")
            if need == number:
                raise f.fault("needs", f"step {need} is this one; it cannot need itself, that makes a circle.")
            if need > number:
                raise f.fault("needs", self.later(number, need))
        return needs

    def later(self, number: int, need: int) -> str:
        """Return what is wrong with a need on a later step: the circle that it makes, where it makes one."""
        tasks = []
        for other, table in enumerate(self.tables, 1):
            found = table.get("needs") if isinstance(table, dict) else None
            found_needs = found if isinstance(found, list) else [other - 1]
            tasks.append(Task(other, frozenset(n for n in found_needs if isinstance(n, int) and 1 <= n <= self.steps)))
        circle = circle_with(tasks, number, need)
        names = {n: str(t.get("part", "")) if isinstance(t, dict) else "" for n, t in enumerate(self.tables, 1)}
        text = say_circle(circle, names) if circle else f"step {need} comes later"
        return f"{text[0].lower()}{text[1:]}; only an earlier step can be needed."


def _moved(moves: Iterable[tuple[int, c.CarryNamed]], at: str, where: str, *, back: bool) -> Iterator[TimedCommand]:
    """Give the moves that follow a step; those `back` into the house come after what is said there to be sent out."""
    for row, move in moves:
        if move.source.startswith("away: ") == back:
            yield TimedCommand(at, move, where, row)


def _takes_up(table: Any) -> bool:
    """Tell whether a table of a step goes on with one that is on hold."""
    return isinstance(table, dict) and table.get("take_up") is True
