"""The form of a session file keeps to what the reader takes, as a validator sees it."""

from __future__ import annotations

import json
import tomllib
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from putback.errors import BadSessionFile
from putback.trade.files.session_file import read_session_file
from putback.trade.files.session_schema import session_schema

ROOT = Path(__file__).parents[3]
FILES = [*(ROOT / "sample_sessions").glob("*.toml"), *(ROOT / "putback" / "demo").glob("*.toml")]
VALIDATOR = jsonschema.Draft202012Validator(session_schema())


def as_json(value: Any) -> Any:
    """A TOML value as an editor's validator has it: a date and time is a text."""
    if isinstance(value, dict):
        return {name: as_json(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, date) else value


def faults(text: str) -> list[str]:
    """What the schema finds in a file, by the word of the schema that it offends."""
    return [str(fault.validator) for fault in VALIDATOR.iter_errors(as_json(tomllib.loads(text)))]


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_every_sample_keeps_to_the_schema(path: Path) -> None:
    assert faults(path.read_text("utf-8")) == []


WHOLE = """
[machine]
name = "Frame"
[assemblies]
bed = {}
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "take off"
part = "lid"
in = "bed"
bag = 1
fasteners = [{ hole = 1, gauge = 832, length = ".372", came_out = ["tight"] }, { hole = "3", same = true }]
todo = [{ do = "make", what = "felt", measures = [{ of = "length", measure = "12.5 +-.05 mm" }] }]
adjust = [{ what = "end stop", gap = ".312", should_be = ".281", shims = [".005"] }]
soak = { what = "penetrant", hours = 12 }
[[session.job]]
after = 1
do = "get"
what = "felt"
[[session.sent]]
after = 1
to = "plater"
things = [{ step = 1, what = "lid" }]
"""


@pytest.mark.parametrize(
    ("was", "wrong", "offends"),
    [
        ("", "", ""),
        ('name = "Frame"', 'nmae = "Frame"', "additionalProperties"),
        ('do = "take off"', 'do = "take of"', "enum"),
        ("bag = 1", 'bag = "one"', "type"),
        ('["tight"]', '["thight"]', "enum"),
        ("hours = 12", "hour = 12", "additionalProperties"),
        ("same = true", "same = 1", "type"),
        ('do = "get"', 'do = "buy"', "enum"),
        ('to = "plater"', "to = 1", "type"),
    ],
)
def test_what_the_reader_refuses_by_its_form_the_schema_refuses_too(was: str, wrong: str, offends: str) -> None:
    text = WHOLE.replace(was, wrong) if was else WHOLE
    found = faults(text)
    if not offends:
        read_session_file(text, "frame.toml", now=datetime(2025, 3, 1, tzinfo=UTC))
        assert found == []
        return
    assert offends in found
    with pytest.raises(BadSessionFile):
        read_session_file(text, "frame.toml", now=datetime(2025, 3, 1, tzinfo=UTC))


def test_the_schema_beside_the_documents_is_that_of_the_program() -> None:
    kept = json.loads((ROOT / "docs" / "schemas" / "session-file.schema.json").read_text("utf-8"))
    assert kept == json.loads(json.dumps(session_schema())), "write it anew: python -m docs.making.schemas"
    jsonschema.Draft202012Validator.check_schema(kept)
