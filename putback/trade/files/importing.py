"""Taking in an exported record: machines from another workshop, all of them or none.

The form is that of `reports/export.py`, told in docs/export.md. What is read is proved as a workshop is;
its documents get numbers of this workshop, and a bag whose code is on a bag here gets a fresh one.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from itertools import islice
from typing import Any

import msgspec
import msgspec.inspect
from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput, Damaged, Refused
from putback.progress import each
from putback.trade.commands.rules import TAKE_IN
from putback.trade.files.proof import prove
from putback.trade.record.bag import Bag
from putback.trade.record.change import Change, Edit
from putback.trade.record.job import as_kept
from putback.trade.record.machine import Machine
from putback.trade.record.photo import Photo
from putback.trade.record.phrases import counted, few, instead, quoted
from putback.trade.record.record import TABLES, Noun, Record, document
from putback.trade.record.session import Session
from putback.trade.record.spare import OF_NO_MACHINE

FORM = 1
"""The version of an exported record; also what is read here."""

POINTS_TO: Mapping[str, Mapping[str, str]] = {
    "machines": {},
    "parts": {"machine": "machines", "inside": "parts"},
    "steps": {"machine": "machines", "session": "sessions", "part": "parts", "area": "parts"},
    "things": {"machine": "machines", "step": "steps", "part": "parts", "replaces": "things", "like": "things"},
    "bags": {"machine": "machines"},
    "moves": {"machine": "machines", "thing": "things", "step": "steps"},
    "sessions": {"machine": "machines"},
    "photos": {"machine": "machines", "step": "steps", "instead": "steps"},
    "breaks": {"machine": "machines", "session": "sessions"},
    "sent": {"machine": "machines", "thing": "things"},
    "spares": {"machine": "machines"},
}
"""For each table the fields that hold a document's number, and of which table; 0 is none."""

LATER = frozenset({"breaks", "sent", "spares"})
"""Tables that an export of an earlier time does not have."""

LARGEST = 10**9
"""The largest number that a document may hold."""

Tables = dict[str, dict[int, Noun]]


class NewCode(Struct, frozen=True):
    """A bag that got a fresh code, since its own is on another bag here."""

    machine: str
    """Whose bag it is."""
    bag: int
    """Its number on that machine."""
    was: str
    """The code it came with."""
    now: str
    """The code it has here."""
    held: str
    """The bag that has the old code here, in words."""

    @property
    def text(self) -> str:
        """One line for the person, who has a label to change."""
        return f"Bag {self.bag} of {self.machine} came with the code {self.was}, which {self.held} has; now {self.now}."


class TakenIn(Struct, frozen=True):
    """What taking in an export comes to."""

    change: Change
    """The one change that does it."""
    machines: tuple[str, ...]
    """The machines, name and serial."""
    codes: tuple[NewCode, ...]
    """Bags with a fresh code."""
    photos: tuple[str, ...]
    """Names of the photo files that belong to them; an export holds none of the files."""


# -- reading -----------------------------------------------------------------------------------------


def read_export(text: str, name: str, is_code: Callable[[str], bool]) -> Record:
    """Return an exported record, proved as a workshop is; `name` is the file's, for the sentences.

    `is_code` tells whether a text is a bag code. Raises BadInput naming the file, the place and the error.
    """
    try:
        record = _read(text)
        faults = [f"{found.where}: {found.what}" for found in islice(prove(record, is_code), 21)]
    except BadInput as fault:
        raise BadInput(f"{name}: {_one_line(str(fault))}") from fault
    if faults:
        more = f" (and {counted(len(faults) - 1, 'fault')} more)" if len(faults) > 1 else ""
        raise BadInput(f"{name}: {_one_line(faults[0])}{more}")
    return record


def _one_line(words: str) -> str:
    return " ".join(words.split())


def _read(text: str) -> Record:
    try:
        value = json.loads(text)
    except RecursionError as fault:
        raise BadInput("It is nested too deep.") from fault
    except ValueError as fault:
        raise BadInput(f"It is not JSON: {fault}.") from fault
    if not isinstance(value, dict) or value.get("putback") != "export":
        raise BadInput("It is not a record that putback export wrote.")
    version = value.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise BadInput("It does not say of which version it is.")
    if version > FORM:
        raise BadInput(f"It is of version {version}, and this Putback reads up to {FORM}; use a newer one.")
    known = {"putback", "version", "changes", *TABLES}
    for field in value:
        if field not in known:
            raise BadInput(f"{quoted(field)} is not a table of a record{instead(field, known)}")
    record = Record()
    for table in TABLES:
        rows = value.get(table, [] if table in LATER else None)
        if not isinstance(rows, list):
            raise BadInput(f"The table {table} is missing, or is not a list.")
        found: dict[int, Any] = {}
        kind = msgspec.inspect.type_info(TABLES[table])
        for at, row in enumerate(each(rows, f"{table} read"), 1):
            where = f"{table}, document {at}"
            if not isinstance(row, dict) or not _whole(row.get("id")):
                raise BadInput(f"{where}: it has no number.")
            where = f"{table} {row['id']}"
            if row["id"] in found:
                raise BadInput(f"{where}: it is there twice.")
            _sane(row, where)
            row = _with_jobs_of_today(row, where)
            _known(row, kind, where)
            found[row["id"]] = row
        try:
            record.load(table, found)
        except Damaged as fault:
            raise BadInput(str(fault)) from fault
    return record


def _with_jobs_of_today(row: dict[str, Any], where: str) -> dict[str, Any]:
    """Return a document with its jobs in the words of today, and without what their stamps say."""
    jobs = row.get("todo")
    if not isinstance(jobs, list):
        return row
    try:
        return {**row, "todo": [as_kept(job) if isinstance(job, dict) else job for job in jobs]}
    except BadInput as fault:
        raise BadInput(f"{where}: {fault}") from fault


def _whole(number: object) -> bool:
    return isinstance(number, int) and not isinstance(number, bool) and 1 <= number <= LARGEST


def _sane(value: object, where: str) -> None:
    """Raise BadInput for numbers that nothing at a bench comes to, and for half characters."""
    if isinstance(value, dict):
        for key, inner in value.items():
            _sane(key, where)
            _sane(inner, where)
    elif isinstance(value, list):
        for inner in value:
            _sane(inner, where)
    elif isinstance(value, str):
        try:
            value.encode()
        except UnicodeEncodeError as fault:
            raise BadInput(f"{where}: a text holds half a character.") from fault
    elif isinstance(value, int | float) and not -LARGEST <= value <= LARGEST:
        raise BadInput(f"{where}: {quoted(value)} is a number far beyond anything in a record.")


@cache
def _fields(noun: type) -> Mapping[str, msgspec.inspect.Type]:
    kind = msgspec.inspect.type_info(noun)
    assert isinstance(kind, msgspec.inspect.StructType)
    return {field.encode_name: field.type for field in kind.fields}


def _known(value: object, kind: msgspec.inspect.Type, where: str) -> None:
    """Raise BadInput for a field that would be lost, since no noun has it."""
    if isinstance(kind, msgspec.inspect.UnionType):
        for one in kind.types:
            if isinstance(one, msgspec.inspect.StructType):
                _known(value, one, where)
    elif isinstance(kind, msgspec.inspect.VarTupleType) and isinstance(value, list):
        for inner in value:
            _known(inner, kind.item_type, where)
    elif isinstance(kind, msgspec.inspect.StructType) and isinstance(value, dict):
        fields = _fields(kind.cls)
        for key, inner in value.items():
            if key not in fields:
                raise BadInput(f"{where}: {quoted(key)} is not a field here{instead(key, fields)}")
            _known(inner, fields[key], where)


# -- taking in ---------------------------------------------------------------------------------------


def take_in(record: Record, found: Record, codes: Iterable[str], machines: Iterable[int] | None = None) -> TakenIn:
    """Return the change that takes an exported record into `record`, leaving both as they are.

    `codes` gives codes that no bag of `record` has; `machines` names those to take by their numbers in the
    export, else all are taken. Raises Refused where there is none to take, or one is there already.
    """
    wanted = {m.id for m in found.all(Machine)} if machines is None else set(machines)
    taken = [found.get(Machine, number) for number in sorted(wanted)]
    if not taken:
        raise Refused("There is no machine to take in.")
    for machine in taken:
        for other in record.all(Machine):
            if other.is_twin_of(machine.name, machine.serial):
                raise Refused(f"{other.caption} is in this workshop already; nothing was taken in.")
    bags = _settled(record, found, wanted, codes)
    shift = {table: record.next_id(table) - 1 for table in TABLES}
    edits = []
    for table, kind in TABLES.items():
        for noun in found.all(kind):
            whose = noun.id if isinstance(noun, Machine) else noun.machine
            if whose in wanted or (whose == OF_NO_MACHINE and machines is None):
                fresh = bags.get(noun.id) if isinstance(noun, Bag) else None
                moved = _renumbered(table, noun if fresh is None else replace(noun, code=fresh.now), shift)
                edits.append(Edit(table, moved.id, None, document(moved)))
    captions = tuple(machine.caption for machine in taken)
    fresh_codes = tuple(bags[number] for number in sorted(bags))
    text = f"taken in: {few(captions)}"
    if fresh_codes:
        text += f"; {counted(len(fresh_codes), 'bag')} with a fresh code"
    only = shift["machines"] + taken[0].id if len(taken) == 1 else 0
    photos = tuple(photo.file for photo in found.all(Photo) if photo.machine in wanted)
    return TakenIn(Change(did=TAKE_IN, said=text, edits=tuple(edits), machine=only), captions, fresh_codes, photos)


def _settled(record: Record, found: Record, wanted: set[int], codes: Iterable[str]) -> dict[int, NewCode]:
    """Return a fresh code for each bag whose own is on a bag of the workshop, by the bag's number."""
    coming = {bag.code for bag in found.all(Bag)}
    fresh = (code for code in codes if code not in coming)
    settled = {}
    for bag in found.all(Bag):
        held = record.bag_by_code(bag.code)
        if held is None or bag.machine not in wanted:
            continue
        owner = record.get(Machine, held.machine).caption
        now = next(fresh, None)
        if now is None:
            raise Refused(f"There is no fresh code left for bag {bag.number}.")
        machine = found.get(Machine, bag.machine).caption
        settled[bag.id] = NewCode(machine, bag.number, bag.code, now, f"bag {held.number} of {owner}")
    return settled


def _renumbered(table: str, noun: Any, shift: Mapping[str, int]) -> Any:
    numbers: dict[str, Any] = {"id": noun.id + shift[table]}
    if isinstance(noun, Session):
        walked = (replace(w, step_id=w.step_id + shift["steps"]) if w.step_id else w for w in noun.walked)
        numbers["walked"] = tuple(walked)
    for field, target in POINTS_TO[table].items():
        number = getattr(noun, field)
        numbers[field] = number + shift[target] if number else 0
    return replace(noun, **numbers)
