"""Every fastener as one row, joined with its step, bag and readings: the list that a spreadsheet is opened for.

No spreadsheet makes a date of a size: a length carries its unit beside a decimal column, a thread its `#` or series,
and a reading its unit or how it was taken.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from fractions import Fraction
from io import StringIO

from putback.progress import each
from putback.reports.spreadsheet import defused
from putback.sizing.instruments import SAID, WAYS
from putback.trade.record.fastener import FIELDS, LEFT_OVER, READINGS, TAKEN_BY, Thing
from putback.trade.record.machine import Machine
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import place_words
from putback.trade.sizes.reading_words import FIELD_WORDS

FILE = "fasteners.csv"
"""What the file is called."""

STEEL = "steel"
"""What a fastener is taken to be of where nobody said what; its column `material_said` says which it is."""

TAKEN = "not said: taken as "
"""What stands before the instrument of a reading where nobody said it, and there are several: the usual one."""

_READ = {reading: f"read_{FIELD_WORDS.get(reading, reading).replace(' ', '_')}" for reading in READINGS}

_NAMED = frozenset({"head", "drive", "hand", "material", "should_be"})
_MORE = tuple(field.name for field in FIELDS if field.column and field.name not in _NAMED)
"""What can be said of a fastener and has no place of its own among the columns."""

COLUMNS = (
    "machine", "serial", "step", "doing", "part", "face", "hole", "goes_into", "count", "bag", "place", "kind", "size",
    "thread", "length", "length_mm", "length_in", "head", "drive", "hand", "material", "material_said", "verdict",
    *_READ.values(),
    "as_found", "should_be", "measured", *_MORE, "trouble", "jobs_open", "remark", "thing",
)  # fmt: skip
"""The columns, in their order; `thing` is the number by which the other tables know it."""

_LENGTH = re.compile(r"((?:\d+ )?\d+/\d+|\d+(?:\.\d+)?)( mm)?")
_BARE = re.compile(r"[0-9 ./,-]+")
_PURE_NUMBERS = ("gauge", "tpi", "nut")


def fastener_rows(record: Record, machine: int | None = None) -> Iterator[dict[str, object]]:
    """Give every fastener, in the order in which they came off, by machine; a replacement has a row of its own."""
    for one in record.all(Machine):
        if machine is not None and one.id != machine:
            continue
        things = [t for t in record.all(Thing, one.id) if t.sort in ("fastener", LEFT_OVER)]
        steps = {step.id: step for step in record.all(Step, one.id)}
        things.sort(key=lambda thing: (steps[thing.step].number, thing.id))
        for thing in each(things, "fasteners"):
            yield _row(record, one, steps[thing.step], thing)


def fasteners_csv(record: Record, machine: int | None = None) -> str:
    """Return the rows as the text of a CSV file, defused as `reports.spreadsheet` tells."""
    out = StringIO()
    writer = csv.DictWriter(out, COLUMNS, quoting=csv.QUOTE_ALL)
    writer.writeheader()
    for row in fastener_rows(record, machine):
        writer.writerow({name: defused(value) if isinstance(value, str) else value for name, value in row.items()})
    return out.getvalue()


def _row(record: Record, machine: Machine, step: Step, thing: Thing) -> dict[str, object]:
    places = list(record.standing(thing.id))
    bags = [number for place in places if (number := bag_number(place)) is not None]
    value = length_of(thing.length)
    jobs = [job.called for job in step.todo if job.open and job.hole in ("", thing.spot)]
    return {
        "machine": machine.name,
        "serial": machine.serial,
        "step": step.number,
        "doing": step.do,
        "part": step.name,
        "face": thing.face or step.face,
        "hole": thing.hole,
        "goes_into": thing.goes_into,
        "count": thing.count,
        "bag": "; ".join(map(str, bags)),
        "place": "; ".join(place_words(thing, place) for place in places),
        "kind": thing.name,
        "size": thing.called,
        "thread": thing.thread,
        "length": "" if not thing.length else thing.length if "mm" in thing.length else f"{thing.length} in",
        "length_mm": "" if value is None else float(round(value * Fraction(127, 5), 4)),
        "length_in": "" if value is None else float(round(value, 5)),
        "head": thing.head,
        "drive": thing.drive,
        "hand": thing.hand,
        "material": thing.material or STEEL,
        "material_said": "yes" if thing.material else "no",
        "verdict": thing.verdict,
        **{column: _read(machine, thing, reading) for reading, column in _READ.items()},
        "as_found": "hole empty" if thing.found else thing.called if thing.should_be else "",
        "should_be": thing.should_be,
        "measured": "as another" if thing.like else "yes" if thing.readings else "no",
        **{name: getattr(thing, name) for name in _MORE},
        "trouble": "; ".join(thing.trouble),
        "jobs_open": "; ".join(jobs),
        "remark": thing.note,
        "thing": thing.id,
    }


def _read(machine: Machine, thing: Thing, reading: str) -> str:
    """A reading as typed, with its unit where it had none, and its instrument: `.372 in, by rule`.

    An instrument that nobody said is told as taken: `.372 in, not said: taken as caliper`.
    """
    typed = thing.readings.get(reading, "").strip()
    if not typed:
        return ""
    unit = f" {machine.unit}" if reading not in _PURE_NUMBERS and _BARE.fullmatch(typed) else ""
    ways = WAYS.get("pitch" if reading == "tpi" else reading)
    by = f"{'pitch' if reading == 'tpi' else reading}_by"
    said = thing.readings.get(by if by in TAKEN_BY else "", "")
    how = said or (ways[0] if ways else "")
    way = SAID.get(how, how)
    return ", ".join(filter(None, (f"{typed}{unit}", way if said or not way else f"{TAKEN}{way}")))


def length_of(name: str) -> Fraction | None:
    """Return a stocked length, such as `3/8`, `1 1/4` or `12 mm`, in inches; None for no such name."""
    found = _LENGTH.fullmatch(name)
    if not found:
        return None
    value = sum((Fraction(piece) for piece in found[1].split()), Fraction(0))
    return value / Fraction(127, 5) if found[2] else value
