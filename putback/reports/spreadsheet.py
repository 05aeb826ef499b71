"""The record as CSV, one file a table, for spreadsheets: to look at and count, not to bring back.

The form is RFC 4180's: cells in quotation marks, lines that end with CR LF. A spreadsheet takes a cell that
begins with one of a few characters for a formula, and runs it; such a cell gets an apostrophe before it.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Mapping
from io import StringIO
from typing import Any

import msgspec

from putback.trade.record.fastener import sized_name
from putback.trade.record.record import TABLES

_SIGNS = r"=+\-@\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}\N{FULLWIDTH COMMERCIAL AT}"
_FORMULA = re.compile(rf'\A(?=[{_SIGNS}\t\r\n])|(?:\A|(?<=[,;\t\r\n|]))"*(?=[{_SIGNS}])')


def defused(text: str) -> str:
    """Return `text` so that no spreadsheet takes it, or a piece of it, for a formula.

    An apostrophe goes before = + - @ tab, CR and LF and the wide forms of the first four where they begin the
    cell (OWASP, CSV Injection; CWE-1236), and after a separator too: a spreadsheet that cuts the line elsewhere
    would begin a cell there.
    """
    return _FORMULA.sub(r"\g<0>'", text)


def columns_of(table: str) -> list[str]:
    """Return the columns of a table: every field of its noun, whether used or not."""
    return [field.encode_name for field in msgspec.structs.fields(TABLES[table])]


SAID = (("machine", "machine_said", "machines"), ("step", "step_said", "steps"), ("thing", "thing_said", "things"))
"""Fields that hold the number of a document in the workshop: the column at the end of the row that says what it is
(a machine's name and serial, a step's number on its machine, what a thing is called), and its table."""


def said_columns(table: str) -> list[str]:
    """Return the columns at the end of a table's rows that say what its numbers stand for."""
    fields = columns_of(table)
    return [column for field, column, _ in SAID if field in fields]


def spreadsheets(exported: Mapping[str, Any]) -> dict[str, str]:
    """Return an exported record (see `reports.export`) as file name to the text of that CSV file.

    Texts are defused; a list of texts or numbers is one cell with `; ` between; anything deeper is JSON. Behind the
    fields stand `said_columns`.
    """
    sheets = {}
    names = _names(exported)
    for table in TABLES:
        columns = columns_of(table)
        out = StringIO()
        writer = csv.writer(out, quoting=csv.QUOTE_ALL)
        writer.writerow([*columns, *said_columns(table)])
        said = [(field, of) for field, _, of in SAID if field in columns]
        defaults = {f.encode_name: f.default for f in msgspec.structs.fields(TABLES[table])}
        for row in exported[table]:
            cells = [_cell(row.get(column, defaults[column])) for column in columns]
            writer.writerow(cells + [_cell(names[of].get(row.get(field), "")) for field, of in said])
        sheets[f"{table}.csv"] = out.getvalue()
    return sheets


def _names(exported: Mapping[str, Any]) -> dict[str, dict[Any, str | int]]:
    """Return what each document that others point to is called, by table and its number in the workshop."""
    return {
        "machines": {row["id"]: f"{row['name']} {row.get('serial', '')}".rstrip() for row in exported["machines"]},
        "steps": {row["id"]: row["number"] for row in exported["steps"]},
        "things": {row["id"]: sized_name(row["name"], row.get("size", "")) for row in exported["things"]},
    }


def _cell(value: object) -> object:
    if value is None or value is msgspec.NODEFAULT or value == () or value == {}:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return defused(value)
    if isinstance(value, list) and not any(isinstance(inner, dict | list) for inner in value):
        return defused("; ".join(map(str, value)))
    if isinstance(value, list | dict):
        return defused(json.dumps(value, ensure_ascii=False))
    return value
