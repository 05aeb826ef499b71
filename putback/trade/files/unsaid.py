"""What of a machine another record of it has not, or has otherwise, in phrases that a person reads."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any, Final

from msgspec.structs import asdict

from putback.trade.files.toml_writing import Table
from putback.trade.record.bag import Move
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine, Part
from putback.trade.record.phrases import counted
from putback.trade.record.place import FITTED
from putback.trade.record.record import TABLES, Record
from putback.trade.record.step import Step
from putback.trade.record.trip import Sent

ASIDE: Final = {
    "id", "machine", "at", "code", "began", "ended", "opened", "segments", "session", "start", "back_at", "minutes",
    "facing", "label", "printed", "replaces", "step", "thing", "like",
}  # fmt: skip
"""Stamps, codes, what is printed, and numbers that only tie documents together."""

WORDS: Final = {
    "steps.back": "{} put back",
    "steps.skipped": "why {} were passed over",
    "steps.confirmed": "what was confirmed on the way back, of {}",
    "steps.answers": "answers of the way back, of {}",
    "steps.lifted": "when it was lifted out of its soak, of {}",
    "steps.on_hold": "that {} is still being done (it is on hold in the file)",
    "things.standing": "where {} lie now",
    "machines.looked_back": "that it was asked at the end of {} what one would do differently",
    "sessions.walked": "the walk-backs of {}",
}
NOUNS: Final = {"things": "thing", "sent": "thing sent", "breaks": "count of tools or note at a break"}


def told(record: Record, machine: int) -> dict[str, list[tuple[Any, Table]]]:
    """Return a machine's nouns with a key each, and without what only ties them together."""
    steps = {step.id: step.number for step in record.all(Step, machine)}
    names = {part.id: part.name for part in record.all(Part, machine)}
    things = {thing.id: (steps.get(thing.step, 0), thing.called) for thing in record.all(Thing, machine)}
    found: dict[str, list[tuple[Any, Table]]] = {}
    for table, kind in TABLES.items():
        rows = found[table] = []
        for noun in [record.get(Machine, machine)] if kind is Machine else record.all(kind, machine):
            row = {name: value for name, value in asdict(noun).items() if name not in ASIDE}
            row |= {name: names.get(row[name], "") for name in ("part", "area", "inside") if name in row}
            row |= {name: bool(row[name]) for name in ("closed", "back") if name in row}
            key: Any = row.get("number", 0)
            if isinstance(noun, Part):
                key = noun.name
            elif isinstance(noun, Thing):
                place = noun.spot if noun.sort == "fastener" else noun.name
                key = (steps.get(noun.step, 0), noun.sort, noun.name, place, bool(noun.replaces))
                row |= {"like": bool(noun.like), "standing": _apart(record.standing(noun.id))}
            elif isinstance(noun, Move):
                if FITTED in (noun.source, noun.target):
                    continue  # the steps tell of it
                key = (*things[noun.thing], noun.source, noun.target, noun.note)
            elif isinstance(noun, Sent):
                key = (*things[noun.thing], noun.to)
            rows.append((key, row))
    return found


def _apart(standing: dict[str, int]) -> dict[str, int]:
    """Return where a thing lies as long as it is off: what is put back is told with its step."""
    return {} if FITTED in standing else standing


def unlike(mine: dict[str, list[tuple[Any, Table]]], again: dict[str, list[tuple[Any, Table]]]) -> list[str]:
    """Name what of a record, as `told` has it, another one has not, or has otherwise: a phrase each."""
    gone: Counter[str] = Counter()
    fields: Counter[str] = Counter()
    for table, rows in mine.items():
        known: dict[Any, list[Table]] = defaultdict(list)
        for key, row in again[table]:
            known[key].append(row)
        for key, row in rows:
            if not known[key]:
                gone[table] += 1
            elif row in known[key]:
                known[key].remove(row)
            else:
                other = known[key].pop(0)
                put_back = table == "things" and not row["standing"]
                other_fields = {n for n in row if row[n] != other[n] and not (n == "standing" and put_back)}
                fields.update(f"{table}.{name}" for name in other_fields)
    phrases = [counted(number, _noun(table)) for table, number in gone.items()]
    for name, number in fields.items():
        table, field = name.split(".")
        phrases.append(WORDS.get(name, f"{field.replace('_', ' ')} of {{}}").format(counted(number, _noun(table))))
    return phrases


def _noun(table: str) -> str:
    return NOUNS.get(table, table.removesuffix("s"))
