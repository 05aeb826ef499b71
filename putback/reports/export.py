"""The whole record as one JSON value, for other programs and for keeping."""

from __future__ import annotations

from itertools import chain
from typing import Any

from putback.progress import each
from putback.trade.files.importing import FORM
from putback.trade.record.job import with_state
from putback.trade.record.record import TABLES, Record


def export_json(record: Record, *, changes: int, machine: int | None = None) -> dict[str, Any]:
    """Return the record as plain JSON values; with `machine`, only what belongs to that one.

    `changes` is the number of the last change. The form is told in docs/export.md.
    """
    tables: dict[str, Any] = {}
    for table in each(TABLES, "tables"):
        documents = record.documents(table)
        tables[table] = [
            found
            for number, found in documents.items()
            if machine is None or (found["machine"] if table != "machines" else number) == machine
        ]
    for holder in chain(tables["steps"], tables["bags"], tables["machines"]):
        if "todo" in holder:
            holder["todo"] = [with_state(job) for job in holder["todo"]]
    return {"putback": "export", "version": FORM, "changes": changes, **tables}
