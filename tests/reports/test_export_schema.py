"""The export keeps to its schema, as a validator sees it; the schema beside the documents is that of today."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from putback.reports.export import export_json
from putback.reports.export_schema import export_schema
from putback.trade.record.record import TABLES, Record

KEPT = Path(__file__).parents[2] / "docs" / "schemas" / "export.schema.json"


def test_the_schema_beside_the_documents_is_that_of_the_program() -> None:
    again = "putback export --schema > docs/schemas/export.schema.json"
    assert json.loads(KEPT.read_text("utf-8")) == json.loads(json.dumps(export_schema())), (
        f"the form changed; write it anew: {again}"
    )
    jsonschema.Draft202012Validator.check_schema(export_schema())


def test_the_press_is_valid_and_what_is_not_is_seen(sample_press: Record) -> None:
    value: Any = json.loads(json.dumps(export_json(sample_press, changes=396)))
    validator = jsonschema.Draft202012Validator(export_schema())
    assert [fault.message for fault in validator.iter_errors(value)] == []
    value["bags"][0]["nubmer"] = 1
    value["steps"][0]["needs"] = "all"
    faults = sorted(fault.message for fault in validator.iter_errors(value))
    assert len(faults) == 2 and "'nubmer'" in "".join(faults) and "'all' is not of type 'array'" in "".join(faults)


@pytest.mark.parametrize("table", TABLES)
def test_every_field_is_told_in_the_document(table: str) -> None:
    """docs/export.md names every field of every noun of its table."""
    text = (KEPT.parents[1] / "export.md").read_text("utf-8")
    noun = TABLES[table].__name__
    missing = [
        name for name in export_schema()["$defs"][noun]["properties"] if f"`{name}`" not in text and name != "id"
    ]
    assert missing == []
