"""The form of an exported record as JSON Schema, made from the nouns of the record, so that the two are one."""

from __future__ import annotations

from typing import Any

import msgspec

from putback.trade.files.importing import FORM
from putback.trade.files.session_schema import DIALECT
from putback.trade.record.job import Job
from putback.trade.record.record import TABLES


def export_schema() -> dict[str, Any]:
    """Return the schema of what `putback export` prints: each table a list of its nouns, no field but theirs."""
    nouns = list(TABLES.values())
    refs, defs = msgspec.json.schema_components(nouns, ref_template="#/$defs/{name}")
    for form in defs.values():
        form["additionalProperties"] = False
    # what is told of a job beside its fields: how it stands
    defs[Job.__name__]["properties"]["state"] = {"enum": ["to do", "in hand", "done"]}
    tables = {table: {"type": "array", "items": ref} for table, ref in zip(TABLES, refs, strict=True)}
    head = {
        "putback": {"const": "export"},
        "version": {"const": FORM},
        "changes": {"type": "integer", "minimum": 0, "description": "The number of the last change in the journal."},
    }
    return {
        "$schema": DIALECT,
        "title": "What putback export prints",
        "type": "object",
        "properties": {**head, **tables},
        "required": [*head, *tables],
        "additionalProperties": False,
        "$defs": defs,
    }
