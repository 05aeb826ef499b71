"""The record: every noun of a workshop in memory, with the indexes that panes and rules read.

The record changes in one way only, by absorbing a Change; rules read it and never write it. No question
that a key or a pane asks costs more in a larger workshop.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping
from typing import Any, Final, TypeVar

import msgspec

from putback.errors import Damaged, Refused
from putback.trade.accounts import Accounts
from putback.trade.bag import Bag, Move
from putback.trade.breaks import Break
from putback.trade.change import Change, Document, Edit
from putback.trade.fastener import Thing
from putback.trade.machine import Machine, Part
from putback.trade.photo import Photo
from putback.trade.place import FITTED, bag_number, in_bag
from putback.trade.session import Session
from putback.trade.step import Step

Noun = Machine | Part | Step | Thing | Bag | Move | Session | Photo | Break
N = TypeVar("N", bound=Noun)

_Numbered = tuple[int, int]
"""A step's number on its machine, and its document's."""

TABLES: Final[Mapping[str, type[Any]]] = {
    "machines": Machine,
    "parts": Part,
    "steps": Step,
    "things": Thing,
    "bags": Bag,
    "moves": Move,
    "sessions": Session,
    "photos": Photo,
    "breaks": Break,
}
"""Every table and the noun it holds."""

_encode = msgspec.json.Encoder().encode
_decode = msgspec.json.Decoder().decode

TABLE_OF: Final[Mapping[type[Any], str]] = {noun: table for table, noun in TABLES.items()}


def document(noun: Noun) -> Document:
    """Return `noun` as plain JSON values, fields at their default left out: what a file gives back.

    Raises UnicodeEncodeError for a text that holds half a character.
    """
    plain: Document = _decode(_encode(noun))
    return plain


class Record:
    """Everything known of every machine in a workshop."""

    def __init__(self) -> None:
        self._rows: dict[str, dict[int, Any]] = {table: {} for table in TABLES}
        self._next: dict[str, int] = dict.fromkeys(TABLES, 1)
        self._accounts = Accounts()
        self._threads: dict[int, Counter[str]] = defaultdict(Counter)
        # Every list below holds document numbers in ascending order; lists of steps go by the steps' own
        # numbers, since a forgotten step is written in between with a later document number.
        self._of_machine: dict[tuple[str, int], list[int]] = defaultdict(list)
        self._steps: dict[int, list[_Numbered]] = defaultdict(list)
        self._step_of: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._needing: dict[tuple[int, int], list[_Numbered]] = defaultdict(list)
        self._steps_of_part: dict[int, list[_Numbered]] = defaultdict(list)
        self._steps_of_session: dict[int, list[_Numbered]] = defaultdict(list)
        self._things_of_step: dict[int, list[int]] = defaultdict(list)
        self._stand_ins: dict[int, list[int]] = defaultdict(list)
        self._taken_out: dict[int, list[int]] = defaultdict(list)
        self._bag_of: dict[tuple[int, int], list[int]] = defaultdict(list)
        self._bag_by_code: dict[str, list[int]] = defaultdict(list)
        self._bag_numbers: dict[int, list[int]] = defaultdict(list)
        self._part_named: dict[tuple[int, int, str], list[int]] = defaultdict(list)
        self._assembly_named: dict[tuple[int, str], list[int]] = defaultdict(list)
        self._moves_of_step: dict[int, list[int]] = defaultdict(list)
        self._moves_into: dict[tuple[int, str], list[int]] = defaultdict(list)
        self._open_sessions: dict[int, list[int]] = defaultdict(list)
        self._photos_of_step: dict[int, list[int]] = defaultdict(list)
        self._photo_of_file: dict[tuple[int, str], list[int]] = defaultdict(list)
        # A machine's nouns are put into the indexes when it is first asked about: opening a workshop of fifty
        # machines costs the work of the one on the bench. Bag codes are of all machines, and indexed at once.
        self._waiting: dict[int, list[Noun]] = defaultdict(list)

    # -- coming in ---------------------------------------------------------------------------------

    def load(self, table: str, documents: Mapping[int, Document], last_id: int = 0) -> None:
        """Take in a whole table; `last_id` is the highest number it ever gave away.

        Raises Damaged, naming table and document, where one is no noun.
        """
        rows, waiting = self._rows.get(table, {}), self._waiting
        highest = last_id
        for number, found in documents.items():
            noun = _read(table, number, found)
            if number in rows:
                self._ready(rows[number])
                self._drop(table, number)
            rows[number] = noun
            highest = max(highest, number)
            waiting[number if table == "machines" else noun.machine].append(noun)
            if table == "bags":
                _mark(self._bag_by_code, noun.code, number, +1)
        self._next[table] = max(self._next[table], highest + 1)

    def absorb(self, change: Change) -> None:
        """Take in a committed change."""
        for edit in change.edits:
            self._edit(edit)

    def _edit(self, edit: Edit) -> None:
        if edit.new is None:
            self._drop(edit.table, edit.id)
        else:
            self._put(edit.table, edit.id, edit.new)

    def _put(self, table: str, number: int, found: Document) -> None:
        noun = _read(table, number, found)
        self._ready(noun)
        self._drop(table, number)
        self._rows[table][number] = noun
        self._next[table] = max(self._next[table], number + 1)
        self._index(noun, +1)
        if isinstance(noun, Bag):
            _mark(self._bag_by_code, noun.code, noun.id, +1)

    def _ready(self, of: Noun | int | None) -> None:
        """See that what was loaded of a machine, or of a noun's machine, is in the indexes."""
        if not self._waiting or of is None:
            return
        machine = of if isinstance(of, int) else of.id if isinstance(of, Machine) else of.machine
        for noun in self._waiting.pop(machine, ()):
            self._index(noun, +1)

    def _drop(self, table: str, number: int) -> None:
        self._ready(self._rows[table].get(number))
        noun = self._rows[table].pop(number, None)
        if noun is not None:
            self._index(noun, -1)
            if isinstance(noun, Bag):
                _mark(self._bag_by_code, noun.code, noun.id, -1)

    def _index(self, noun: Noun, sign: int) -> None:
        """Add a noun to the indexes, or with sign -1 take it out of them."""
        table = TABLE_OF[type(noun)]
        machine = noun.id if isinstance(noun, Machine) else noun.machine
        _mark(self._of_machine, (table, machine), noun.id, sign)
        if isinstance(noun, Thing):
            self._index_thing(noun, sign)
        elif isinstance(noun, Move):
            self._accounts.post(machine, noun.thing, noun.source, -sign * noun.count)
            self._accounts.post(machine, noun.thing, noun.target, sign * noun.count)
            if noun.step:
                _mark(self._moves_of_step, noun.step, noun.id, sign)
                _mark(self._moves_into, (machine, noun.target), noun.id, sign)
        elif isinstance(noun, Part):
            _mark(self._part_named, (machine, noun.inside, noun.name.casefold()), noun.id, sign)
            if noun.assembly:
                _mark(self._assembly_named, (machine, noun.name.casefold()), noun.id, sign)
        elif isinstance(noun, Step):
            _mark(self._step_of, (machine, noun.number), noun.id, sign)
            numbered = noun.number, noun.id
            _mark(self._steps, machine, numbered, sign)
            _mark(self._steps_of_session, noun.session, numbered, sign)
            if noun.part:
                _mark(self._steps_of_part, noun.part, numbered, sign)
            for need in set(noun.needs):
                _mark(self._needing, (machine, need), numbered, sign)
        elif isinstance(noun, Bag):
            _mark(self._bag_of, (machine, noun.number), noun.id, sign)
            _mark(self._bag_numbers, machine, noun.number, sign)
        elif isinstance(noun, Session):
            if not noun.ended:
                _mark(self._open_sessions, machine, noun.id, sign)
        elif isinstance(noun, Photo):
            _mark(self._photo_of_file, (machine, noun.file), noun.id, sign)
            if noun.step:
                _mark(self._photos_of_step, noun.step, noun.id, sign)

    def _index_thing(self, thing: Thing, sign: int) -> None:
        self._accounts.post(thing.machine, thing.id, thing.start, sign * thing.count)
        _mark(self._things_of_step, thing.step, thing.id, sign)
        if thing.replaces:
            _mark(self._stand_ins, thing.replaces, thing.id, sign)
        elif thing.sort == "fastener" and not thing.found:
            _mark(self._taken_out, thing.machine, thing.id, sign)
            if thing.thread:
                self._threads[thing.machine][thing.thread] += sign

    # -- asking ------------------------------------------------------------------------------------

    def next_id(self, table: str) -> int:
        """Return the number the next new document of `table` takes."""
        return self._next[table]

    def documents(self, table: str) -> dict[int, Document]:
        """Return a whole table as documents."""
        return {number: document(noun) for number, noun in sorted(self._rows[table].items())}

    def get(self, kind: type[N], number: int) -> N:
        """Return one noun. Raises Refused where there is none of that number."""
        noun = self._rows[TABLE_OF[kind]].get(number)
        if noun is None:
            raise Refused(f"There is no {kind.__name__.lower()} {number} in this workshop.")
        found: N = noun
        return found

    def find(self, kind: type[N], number: int) -> N | None:
        """Return one noun, or None."""
        return self._rows[TABLE_OF[kind]].get(number)

    def all(self, kind: type[N], machine: int | None = None) -> Iterator[N]:
        """Give every noun of a kind, of one machine or of all, in the order of their numbers.

        Steps of one machine come in the order they were done.
        """
        self._ready(machine)
        table = TABLE_OF[kind]
        rows = self._rows[table]
        if kind is Step and machine is not None:
            return iter([rows[number] for _, number in self._steps.get(machine, ())])
        numbers = sorted(rows) if machine is None else list(self._of_machine.get((table, machine), ()))
        return iter([rows[number] for number in numbers])

    def count(self, kind: type[Noun], machine: int) -> int:
        """Return how many nouns of a kind a machine has."""
        self._ready(machine)
        return len(self._of_machine.get((TABLE_OF[kind], machine), ()))

    def _pick(self, table: str, numbers: Iterable[int]) -> list[Any]:
        rows = self._rows[table]
        return [rows[number] for number in numbers]

    def _pick_steps(self, numbered: Iterable[_Numbered]) -> list[Step]:
        rows = self._rows["steps"]
        return [rows[number] for _, number in numbered]

    def _last(self, table: str, numbers: list[int] | None) -> Any:
        return self._rows[table][numbers[-1]] if numbers else None

    # steps

    def step(self, machine: int, number: int) -> Step | None:
        """Return step `number` of a machine, or None."""
        self._ready(machine)
        found: Step | None = self._last("steps", self._step_of.get((machine, number)))
        return found

    def last_step(self, machine: int) -> Step | None:
        """Return the machine's last step, or None before the first."""
        self._ready(machine)
        numbered = self._steps.get(machine)
        found: Step | None = self._rows["steps"][numbered[-1][1]] if numbered else None
        return found

    def open_step(self, machine: int) -> Step | None:
        """Return the step that is still being done, or None. Only the last one can be."""
        last = self.last_step(machine)
        return last if last is not None and last.is_open else None

    def steps_needing(self, machine: int, number: int) -> list[Step]:
        """Return the steps that say they need step `number`, in order."""
        self._ready(machine)
        return self._pick_steps(self._needing.get((machine, number), ()))

    def steps_of_part(self, part: int) -> list[Step]:
        """Return the steps done on a part, in order."""
        self._ready(self._rows["parts"].get(part))
        return self._pick_steps(self._steps_of_part.get(part, ()))

    def steps_of_session(self, session: int) -> list[Step]:
        """Return the steps done in a session, in order."""
        self._ready(self._rows["sessions"].get(session))
        return self._pick_steps(self._steps_of_session.get(session, ()))

    def off_at(self, part: int) -> Step | None:
        """Return the step that took a part off and was not put back since, or None while it is on."""
        self._ready(self._rows["parts"].get(part))
        for _, number in reversed(self._steps_of_part.get(part, ())):
            step: Step = self._rows["steps"][number]
            if step.takes_off and step.ended and not step.back:
                return step
        return None

    # things and moves

    def things_of(self, step: Step) -> list[Thing]:
        """Return what a step has to put back, as entered: what it released, and what stands in for that."""
        self._ready(step)
        return self._pick("things", self._things_of_step.get(step.id, ()))

    def stand_ins(self, thing: int) -> list[Thing]:
        """Return what was put in the place of a thing, in the order it came."""
        self._ready(self._rows["things"].get(thing))
        return self._pick("things", self._stand_ins.get(thing, ()))

    def last_taken_out(self, machine: int) -> Thing | None:
        """Return the fastener entered last on a machine, or None; holes found empty do not count."""
        self._ready(machine)
        found: Thing | None = self._last("things", self._taken_out.get(machine))
        return found

    def moves_of(self, step: int) -> list[Move]:
        """Return the moves made at a step, in order."""
        self._ready(self._rows["steps"].get(step))
        return self._pick("moves", self._moves_of_step.get(step, ()))

    def released_by(self, step: int) -> dict[int, int]:
        """Return what left its place on the machine at a step: thing number to count."""
        out: dict[int, int] = {}
        for move in self.moves_of(step):
            if move.source == FITTED:
                out[move.thing] = out.get(move.thing, 0) + move.count
        return out

    def bags_filled_by(self, step: int) -> frozenset[int]:
        """Return the numbers of the bags that a step's own moves filled."""
        numbers = (bag_number(move.target) for move in self.moves_of(step))
        return frozenset(number for number in numbers if number is not None)

    def steps_filling(self, bag: Bag) -> list[Step]:
        """Return the steps whose own moves put something into a bag, in order."""
        self._ready(bag)
        moves = self._pick("moves", self._moves_into.get((bag.machine, in_bag(bag.number)), ()))
        steps: list[Step] = self._pick("steps", {move.step for move in moves})
        return sorted(steps, key=lambda step: step.number)

    # bags

    def bag(self, machine: int, number: int) -> Bag | None:
        """Return bag `number` of a machine, or None."""
        self._ready(machine)
        found: Bag | None = self._last("bags", self._bag_of.get((machine, number)))
        return found

    def bag_by_code(self, code: str) -> Bag | None:
        """Return the bag with that code, of whichever machine, or None."""
        found: Bag | None = self._last("bags", self._bag_by_code.get(code))
        return found

    def bags_by_code(self, code: str) -> list[Bag]:
        """Return every bag with that code, in order: more than one only where a fault let them in."""
        return self._pick("bags", self._bag_by_code.get(code, ()))

    def highest_bag(self, machine: int) -> int:
        """Return the highest number among a machine's bags; 0 where it has none."""
        self._ready(machine)
        numbers = self._bag_numbers.get(machine)
        return numbers[-1] if numbers else 0

    # places

    def standing(self, thing: int) -> dict[str, int]:
        """Return how many of a thing are at which place."""
        self._ready(self._rows["things"].get(thing))
        return self._accounts.standing(thing)

    def account(self, machine: int, place: str) -> dict[int, int]:
        """Return what is at a place: thing number to count."""
        self._ready(machine)
        return self._accounts.held(machine, place)

    def total(self, machine: int, place: str) -> int:
        """Return how many things are at a place."""
        self._ready(machine)
        return self._accounts.total(machine, place)

    def places(self, machine: int) -> list[str]:
        """Return every place at which the machine has something."""
        self._ready(machine)
        return self._accounts.places(machine)

    def in_bag(self, bag: Bag) -> dict[int, int]:
        """Return what is in a bag: thing number to count."""
        return self.account(bag.machine, in_bag(bag.number))

    # photos

    def photos_of(self, step: Step) -> list[Photo]:
        """Return the photos that show a step, as filed."""
        self._ready(step)
        return self._pick("photos", self._photos_of_step.get(step.id, ()))

    def photo_of_file(self, machine: int, file: str) -> Photo | None:
        """Return the photo of a machine that lies in that file, or None."""
        self._ready(machine)
        found: Photo | None = self._last("photos", self._photo_of_file.get((machine, file)))
        return found

    # the rest

    def threads(self, machine: int) -> dict[str, int]:
        """Return which threads the machine has shown so far, and how often; replacements do not count."""
        self._ready(machine)
        return {name: times for name, times in self._threads[machine].items() if times > 0}

    def part_named(self, machine: int, name: str, inside: int) -> Part | None:
        """Return the part of that name in that assembly, or None. Capitals do not matter."""
        self._ready(machine)
        return self._first_part(self._part_named.get((machine, inside, name.casefold())))

    def assembly_named(self, machine: int, name: str) -> Part | None:
        """Return the assembly of that name, or None. Capitals do not matter."""
        self._ready(machine)
        return self._first_part(self._assembly_named.get((machine, name.casefold())))

    def _first_part(self, numbers: list[int] | None) -> Part | None:
        return self._rows["parts"][numbers[0]] if numbers else None

    def open_session(self, machine: int) -> Session | None:
        """Return the machine's session that goes on, or None."""
        self._ready(machine)
        found: Session | None = self._last("sessions", self._open_sessions.get(machine))
        return found


def _read(table: str, number: int, found: Document) -> Any:
    """Return a document as its noun. Raises Damaged, naming table and document, where it is none."""
    fault: Exception | None = None
    try:
        noun = msgspec.convert(found, TABLES[table])
        if noun.id == number:
            return noun
        why = f"it says that it is {noun.id}"
    except (msgspec.ValidationError, KeyError) as found_wrong:
        why, fault = str(found_wrong), found_wrong
    raise Damaged(f"Document {number} of table {table!r} cannot be read: {why}.") from fault


K = TypeVar("K", bound=Hashable)
V = TypeVar("V", int, tuple[int, int])


def _mark(index: dict[K, list[V]], key: K, number: V, sign: int) -> None:
    """Put a number into its list, or with sign -1 take it out; lists stay in order, empty ones go."""
    numbers = index[key]
    if sign > 0:
        if not numbers or number > numbers[-1]:  # as at opening, where they come in order
            numbers.append(number)
        else:
            insort(numbers, number)
        return
    at = bisect_left(numbers, number)
    if at < len(numbers) and numbers[at] == number:
        del numbers[at]
    if not numbers:
        del index[key]
