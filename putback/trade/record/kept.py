"""The tables of a workshop's documents, by noun, and the lists over them: which follow their tables as they change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from typing import Any, Final, TypeVar

import msgspec
from msgspec import Raw, Struct

from putback.trade.record.bag import Bag, Move
from putback.trade.record.breaks import Break
from putback.trade.record.change import Change, Document, Written
from putback.trade.record.fastener import Thing
from putback.trade.record.indexes import Indexes, mark_in
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import Photo
from putback.trade.record.rows import Held, Rows, damaged
from putback.trade.record.session import Session
from putback.trade.record.spare import Spare
from putback.trade.record.step import Step
from putback.trade.record.trip import Sent

Noun = Machine | Part | Step | Thing | Bag | Move | Session | Photo | Break | Sent | Spare
N = TypeVar("N", bound=Noun)

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
    "sent": Sent,
    "spares": Spare,
}
"""Every table and the noun it holds."""

_AT_ONCE = frozenset({"machines", "bags", "sessions"})
"""Tables that are read at opening: few documents, looked for in all machines at once."""

_encode = msgspec.json.Encoder().encode
_decode = msgspec.json.Decoder().decode

TABLE_OF: Final[Mapping[type[Any], str]] = {noun: table for table, noun in TABLES.items()}


def document(noun: Noun) -> Document:
    """Return `noun` as plain JSON values, fields at their default left out: what a file gives back.

    Raises UnicodeEncodeError for a text that holds half a character.
    """
    plain: Document = _decode(_encode(noun))
    return plain


class Kept:
    """The tables and the lists over them.

    It follows its tables. Where they are a store's, whoever changes them is the store, and it hears of it; where they
    are its own, `load` and `absorb` change them.
    """

    def __init__(self, tables: Callable[[str], Rows] | None = None) -> None:
        """Follow the tables that are given, by name; else begin with empty ones of its own.

        Raises Damaged, naming table and document, where a document that has to be read at once is not a noun.
        One that is still text is believed to be what it was written as, and read when it is asked for; any
        question may then raise that.
        """
        self._own = tables is None
        self.rows: dict[str, Rows] = {table: (tables or Rows)(table) for table in TABLES}
        """The tables."""
        self.bag_by_code: dict[str, list[int]] = defaultdict(list)
        """Bags of all machines by their codes."""
        self.open_sessions: dict[int, list[int]] = defaultdict(list)
        """Sessions that go on, by machine."""
        self.indexes: dict[int, Indexes] = {}
        """The lists of each machine that was asked about."""
        self._none = Indexes()
        """Empty ones, only to be asked."""
        # A machine's nouns are read and put into its indexes when it is first asked about: opening a workshop
        # of fifty machines costs the work of the one on the bench. What is looked for in all machines at once
        # (bags by code, sessions that go on) is read and indexed at opening.
        self._waiting: dict[int, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
        for table, kind in TABLES.items():
            rows = self.rows[table]
            rows.read_as(kind, self)
            self._wait_for(table, rows.held())

    def load(self, table: str, documents: Mapping[int, Written], last_id: int = 0) -> None:
        """Take a whole table into one of its own; `last_id` is the highest number it ever gave away.

        Raises Damaged, naming table and document, where one is not a noun; text is believed and read later.
        """
        rows = self._own_table(table)
        for number in rows.held().keys() & documents.keys():
            rows.settle(number, rows.ready(number, None))
        laid: dict[int, Held] = {}
        try:
            for number, found in documents.items():
                rows.lay(number, found)
                laid[number] = rows.held()[number]
        finally:
            self._wait_for(table, laid)
        rows.reserve(last_id)

    def absorb(self, change: Change) -> None:
        """Make a change in tables of its own. Raises Damaged where a document is not a noun."""
        for edit in change.edits:
            rows = self._own_table(edit.table, edit.id)
            rows.settle(edit.id, rows.ready(edit.id, edit.new))

    def _own_table(self, table: str, number: int = 0) -> Rows:
        if not self._own:
            raise TypeError("this record follows a store: commit the change there")
        if table not in self.rows:
            raise damaged(table, number, "there is no such table")
        return self.rows[table]

    def _wait_for(self, table: str, documents: Mapping[int, Held]) -> None:
        """Note of documents that nobody follows yet whose they are; read what is looked for at once."""
        waiting: dict[int, list[int]] = defaultdict(list)
        at_once = table in _AT_ONCE
        if at_once:
            self.rows[table].many(list(documents))
            documents = {number: self.rows[table][number] for number in documents}
        number = 0
        try:
            for number, found in documents.items():
                if type(found) is Raw:
                    waiting[read_owner(found).machine].append(number)
                else:
                    waiting[_machine_of(found)].append(number)
                    if at_once:
                        self._mark_at_once(found, +1)
        except (msgspec.MsgspecError, UnicodeDecodeError):  # a text without a machine
            _ = self.rows[table][number]  # says what is wrong
            raise
        finally:
            for machine, numbers in waiting.items():
                self._waiting[machine][table] += numbers

    def ready_for(self, table: str, number: int, after: Noun | None) -> None:
        """Have the lists of every machine that a change of a document touches complete before it is made."""
        before = self.rows[table].get(number)
        for noun in (before, after):
            if noun is not None:
                self.of(_machine_of(noun))

    def follow(self, table: str, number: int, after: Noun | None) -> None:
        """Take a document out of the lists as what it was, and in as what it becomes."""
        before = self.rows[table].get(number)
        if before is not None:
            self.of(_machine_of(before)).drop(table, before)
            self._mark_at_once(before, -1)
        if after is not None:
            self._mark_at_once(after, +1)
            self.of(_machine_of(after)).add(table, after)

    def _mark_at_once(self, noun: Noun, sign: int) -> None:
        """Mark what is looked for in all machines at once."""
        if isinstance(noun, Bag):
            mark_in(self.bag_by_code, noun.code, noun.id, sign)
        elif isinstance(noun, Session) and not noun.ended:
            mark_in(self.open_sessions, noun.machine, noun.id, sign)

    def of(self, machine: int) -> Indexes:
        """Return a machine's indexes, with everything in them that was loaded of it."""
        found = self.indexes.get(machine)
        if found is None or (self._waiting and machine in self._waiting):
            found = self.indexes.setdefault(machine, Indexes())
            for table, numbers in self._waiting.pop(machine, {}).items():
                found.fill(table, self.rows[table].many(numbers))
        return found

    def of_noun(self, table: str, number: int) -> Indexes:
        """Return the indexes of the machine that a noun belongs to; empty ones where there is no such noun."""
        noun = self.rows[table].get(number)
        if noun is None:
            return self._none
        return self.of(noun.id if table == "machines" else noun.machine)


def _machine_of(noun: Noun) -> int:
    return noun.id if isinstance(noun, Machine) else noun.machine


class _Owned(Struct, gc=False):
    machine: int


read_owner: Callable[[Raw], _Owned] = msgspec.json.Decoder(_Owned).decode
