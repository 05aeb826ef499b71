"""CSV for spreadsheets: whole, in RFC 4180's form, and no cell that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

import msgspec
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from putback.reports.spreadsheet import columns_of, defused, spreadsheets
from putback.trade.record.record import TABLES

LEADING = ["=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20"]
"""What a cell must not begin with. Source: OWASP, CSV Injection (= + - @ tab CR LF and the wide forms of the
first four); CWE-1236 has the first four, and the apostrophe as the cure."""


@pytest.mark.parametrize("sign", LEADING)
def test_no_cell_begins_a_formula(sign: str) -> None:
    assert defused(f"{sign}1+1") == f"'{sign}1+1"
    assert defused(f"spring{sign}1") == f"spring{sign}1"


def test_a_cell_cut_at_another_separator_begins_no_formula_either() -> None:
    """OWASP: a separator inside the text may start a new cell, and the formula stands at its beginning."""
    assert defused('a";=1+1') == "a\";'=1+1"
    assert defused("a,=1\tb\n@x") == "a,'=1\tb\n'@x"
    assert defused('a;"=1"') == 'a;"\'=1"', "the mark is doubled in the file: cut there, it would close an empty cell"


def test_what_is_no_formula_stays_as_it_is() -> None:
    for text in ("", "lid", "#8-32 x 3/8", "turn +2", "a - b", "1 = 2", "x@y", "'quoted'"):
        assert defused(text) == text


@given(st.text())
@example("=\t=\r\n=")
@example("''=")
def test_whatever_is_written_no_cell_begins_so(text: str) -> None:
    for separator in ("\x00no separator", ",", ";", "\t", "|", "\n", "\r"):
        for cell in defused(text).split(separator):
            assert not cell.startswith(("=", "+", "-", "@", *LEADING[7:])), "a formula"
    assert not defused(text).startswith(tuple(LEADING))
    assert re.sub("'", "", defused(text)) == re.sub("'", "", text), "nothing but apostrophes was added"


def exported(**tables: list[dict[str, Any]]) -> dict[str, Any]:
    return {table: tables.get(table, []) for table in TABLES}


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_a_file_for_each_table_with_every_field() -> None:
    sheets = spreadsheets(exported())
    assert list(sheets) == [f"{table}.csv" for table in TABLES]
    for table, noun in TABLES.items():
        assert columns_of(table) == [field.name for field in msgspec.structs.fields(noun)]
        assert sheets[f"{table}.csv"].endswith('"\r\n') and sheets[f"{table}.csv"].count("\r\n") == 1


def test_rows_come_back_as_they_were() -> None:
    """RFC 4180, 2.5 to 2.7: quotation marks around, doubled inside, line breaks allowed; read by Python's reader."""
    rows = [
        {"id": 1, "machine": 1, "number": 1, "do": "take off", "name": 'the "lid", old', "cover": True,
         "needs": [], "tools": ["pliers", "=cmd"], "note": "one\r\ntwo", "minutes": 4.5},
        {"id": 2, "machine": 1, "number": 2, "do": "undo", "name": "=cmd|' /C calc'!A0", "needs": [1],
         "adjust": [{"what": "stop", "turns": 2.5}], "note": "Ölwanne 🔩"},
    ]  # fmt: skip
    first, second = read(spreadsheets(exported(steps=rows))["steps.csv"])
    assert (first["id"], first["name"], first["note"]) == ("1", 'the "lid", old', "one\r\ntwo")
    assert (first["cover"], first["whole"], first["minutes"], first["tools"]) == ("yes", "no", "4.5", "pliers; =cmd")
    assert (first["needs"], second["needs"], second["minutes"]) == ("", "1", "")
    assert second["name"] == "'=cmd|' /C calc'!A0" and second["note"] == "Ölwanne 🔩"
    assert msgspec.json.decode(second["adjust"]) == [{"what": "stop", "turns": 2.5}]


def test_the_moves_say_which_machine_step_and_thing_their_numbers_stand_for() -> None:
    tables = exported(
        machines=[{"id": 2, "name": "press", "serial": "4"}],
        steps=[{"id": 7, "machine": 2, "number": 1, "do": "take off", "name": "lid"}],
        things=[{"id": 9, "machine": 2, "step": 7, "sort": "fastener", "name": "screw", "size": "#8-32 UNC x 3/8"}],
        moves=[{"id": 1, "machine": 2, "thing": 9, "count": 1, "source": "fitted", "target": "bag 1", "step": 7}],
    )
    [move] = read(spreadsheets(tables)["moves.csv"])
    assert (move["machine"], move["step"], move["thing"]) == ("2", "7", "9")
    said = [move[column] for column in ("machine_said", "step_said", "thing_said")]
    assert said == ["press 4", "1", "screw #8-32 UNC x 3/8"]


def test_defaults_are_filled_in() -> None:
    rows = [{"id": 1, "machine": 1, "step": 1, "sort": "piece", "name": "x"}]
    (thing,) = read(spreadsheets(exported(things=rows))["things.csv"])
    assert (thing["count"], thing["start"], thing["readings"], thing["hole"]) == ("1", "fitted", "", "")
