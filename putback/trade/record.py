"""The record: every noun of a workshop in memory, with the indexes that panes and rules read.

The record changes in one way only, by absorbing a Change; rules read it and never write it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, TypeVar

import msgspec

from putback.errors import Damaged, Refused
from putback.trade.bag import Bag, Move
from putback.trade.change import Change, Document, Edit
from putback.trade.fastener import Thing
from putback.trade.machine import Machine, Part
from putback.trade.place import in_bag
from putback.trade.session import Session
from putback.trade.step import Step

Noun = Machine | Part | Step | Thing | Bag | Move | Session
N = TypeVar("N", bound=Noun)

TABLES: Final[Mapping[str, type[Any]]] = {
    "machines": Machine,
    "parts": Part,
    "steps": Step,
    "things": Thing,
    "bags": Bag,
    "moves": Move,
    "sessions": Session,
}
"""Every table and the noun it holds."""

TABLE_OF: Final[Mapping[type[Any], str]] = {noun: table for table, noun in TABLES.items()}


def document(noun: Noun) -> Document:
    """Return `noun` as plain JSON values, fields at their default left out."""
    built: Document = msgspec.to_builtins(noun)
    return built


class Record:
    """Everything known of every machine in a workshop."""

    def __init__(self) -> None:
        self._rows: dict[str, dict[int, Any]] = {table: {} for table in TABLES}
        self._next: dict[str, int] = dict.fromkeys(TABLES, 1)
        self._of_machine: dict[str, dict[int, dict[int, None]]] = {t: defaultdict(dict) for t in TABLES}
        self._step_of: dict[tuple[int, int], int] = {}
        self._bag_of: dict[tuple[int, int], int] = {}
        self._bag_by_code: dict[str, int] = {}
        self._things_of_step: dict[int, dict[int, None]] = defaultdict(dict)
        self._steps_of_part: dict[int, dict[int, None]] = defaultdict(dict)
        self._standing: dict[int, Counter[str]] = {}
        self._threads: dict[int, Counter[str]] = defaultdict(Counter)
        self._account: dict[tuple[int, str], dict[int, int]] = defaultdict(dict)

    # -- coming in ---------------------------------------------------------------------------------

    def load(self, table: str, documents: Mapping[int, Document]) -> None:
        """Take in a whole table. Raises Damaged, naming table and document, where one is no noun."""
        for number, found in documents.items():
            self._put(table, number, found)

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
        try:
            noun = msgspec.convert(found, TABLES[table])
        except (msgspec.ValidationError, KeyError) as fault:
            raise Damaged(f"Document {number} of table {table!r} cannot be read: {fault}.") from fault
        self._drop(table, number)
        self._rows[table][number] = noun
        self._next[table] = max(self._next[table], number + 1)
        self._index(noun, +1)

    def _drop(self, table: str, number: int) -> None:
        noun = self._rows[table].pop(number, None)
        if noun is not None:
            self._index(noun, -1)

    def _index(self, noun: Noun, sign: int) -> None:
        """Add a noun to the indexes, or with sign -1 take it out of them."""
        table = TABLE_OF[type(noun)]
        machine = noun.id if isinstance(noun, Machine) else noun.machine
        _mark(self._of_machine[table][machine], noun.id, sign)
        if isinstance(noun, Step):
            _key(self._step_of, (noun.machine, noun.number), noun.id, sign)
            if noun.part:
                _mark(self._steps_of_part[noun.part], noun.id, sign)
        elif isinstance(noun, Bag):
            _key(self._bag_of, (noun.machine, noun.number), noun.id, sign)
            _key(self._bag_by_code, noun.code, noun.id, sign)
        elif isinstance(noun, Thing):
            _mark(self._things_of_step[noun.step], noun.id, sign)
            if noun.thread:
                self._threads[noun.machine][noun.thread] += sign
            self._shift(noun.machine, noun.id, noun.start, sign * noun.count)
        elif isinstance(noun, Move):
            self._shift(noun.machine, noun.thing, noun.source, -sign * noun.count)
            self._shift(noun.machine, noun.thing, noun.target, sign * noun.count)

    def _shift(self, machine: int, thing: int, place: str, count: int) -> None:
        standing = self._standing.setdefault(thing, Counter())
        standing[place] += count
        if standing[place]:
            self._account[machine, place][thing] = standing[place]
        else:
            del standing[place]
            self._account[machine, place].pop(thing, None)

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
        """Give every noun of a kind, of one machine or of all, in the order of their numbers."""
        table = TABLE_OF[kind]
        rows = self._rows[table]
        numbers: Iterable[int] = rows if machine is None else self._of_machine[table].get(machine, ())
        for number in sorted(numbers):
            yield rows[number]

    def step(self, machine: int, number: int) -> Step | None:
        """Return step `number` of a machine, or None."""
        found = self._step_of.get((machine, number))
        return None if found is None else self._rows["steps"][found]

    def last_step(self, machine: int) -> Step | None:
        """Return the machine's last step, or None before the first."""
        number = len(self._of_machine["steps"].get(machine, ()))
        return self.step(machine, number) if number else None

    def open_step(self, machine: int) -> Step | None:
        """Return the step that is still being done, or None. Only the last one can be."""
        last = self.last_step(machine)
        return last if last is not None and last.is_open else None

    def things_of(self, step: Step) -> list[Thing]:
        """Return what a step released, as entered."""
        return [self._rows["things"][n] for n in sorted(self._things_of_step.get(step.id, ()))]

    def bag(self, machine: int, number: int) -> Bag | None:
        """Return bag `number` of a machine, or None."""
        found = self._bag_of.get((machine, number))
        return None if found is None else self._rows["bags"][found]

    def bag_by_code(self, code: str) -> Bag | None:
        """Return the bag with that code, of whichever machine, or None."""
        found = self._bag_by_code.get(code)
        return None if found is None else self._rows["bags"][found]

    def standing(self, thing: int) -> dict[str, int]:
        """Return how many of a thing are at which place."""
        return dict(self._standing.get(thing, {}))

    def account(self, machine: int, place: str) -> dict[int, int]:
        """Return what is at a place: thing number to count."""
        return dict(self._account.get((machine, place), {}))

    def places(self, machine: int) -> list[str]:
        """Return every place at which the machine has something."""
        return sorted(place for (owner, place), held in self._account.items() if owner == machine and held)

    def in_bag(self, bag: Bag) -> dict[int, int]:
        """Return what is in a bag: thing number to count."""
        return self.account(bag.machine, in_bag(bag.number))

    def threads(self, machine: int) -> dict[str, int]:
        """Return which threads the machine has shown so far, and how often."""
        return {name: times for name, times in self._threads[machine].items() if times > 0}

    def part_named(self, machine: int, name: str, inside: int) -> Part | None:
        """Return the part of that name in that assembly, or None."""
        wanted = name.casefold()
        for part in self.all(Part, machine):
            if part.inside == inside and part.name.casefold() == wanted:
                return part
        return None

    def assembly_named(self, machine: int, name: str) -> Part | None:
        """Return the assembly of that name, or None."""
        wanted = name.casefold()
        for part in self.all(Part, machine):
            if part.assembly and part.name.casefold() == wanted:
                return part
        return None

    def steps_of_part(self, part: int) -> list[Step]:
        """Return the steps done on a part, in order."""
        return [self._rows["steps"][n] for n in sorted(self._steps_of_part.get(part, ()))]

    def off_at(self, part: int) -> Step | None:
        """Return the step that took a part off and was not put back since, or None while it is on."""
        for step in reversed(self.steps_of_part(part)):
            if step.takes_off and step.ended and not step.back:
                return step
        return None

    def open_session(self, machine: int) -> Session | None:
        """Return the machine's session that goes on, or None."""
        for session in self.all(Session, machine):
            if not session.ended:
                return session
        return None


def _mark(marks: dict[int, None], number: int, sign: int) -> None:
    if sign > 0:
        marks[number] = None
    else:
        marks.pop(number, None)


def _key(index: dict[Any, int], key: Any, number: int, sign: int) -> None:
    if sign > 0:
        index[key] = number
    elif index.get(key) == number:
        del index[key]
