"""The whole record as one JSON value, for other programs and for keeping."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec
from msgspec import Raw

from putback.progress import each
from putback.trade.files.importing import FORM
from putback.trade.record.change import Document
from putback.trade.record.job import with_state
from putback.trade.record.machine import Machine
from putback.trade.record.record import TABLES, Record, document

_encode = msgspec.json.Encoder().encode


def export_value(record: Record, *, changes: int, machine: int | None = None) -> dict[str, Any]:
    """Return the record as a value to be written as JSON, most documents as the text they are; as `export_json`."""
    tables = {table: list(_documents(record, table, machine)) for table in each(TABLES, "tables")}
    return {"putback": "export", "version": FORM, "changes": changes, **tables}


def _documents(record: Record, table: str, machine: int | None) -> Iterator[Raw | Document]:
    for noun in record.glances(table):
        if machine is not None and (noun.id if isinstance(noun, Machine) else noun.machine) != machine:
            continue
        if getattr(noun, "todo", ()):
            found = document(noun)
            yield {**found, "todo": [with_state(job) for job in found["todo"]]}
        else:
            yield Raw(_encode(noun))


def export_json(record: Record, *, changes: int, machine: int | None = None) -> dict[str, Any]:
    """Return the record as plain JSON values; with `machine`, only what belongs to that one.

    `changes` is the number of the last change. The form is told in docs/export.md.
    """
    plain: dict[str, Any] = msgspec.json.decode(_encode(export_value(record, changes=changes, machine=machine)))
    return plain
