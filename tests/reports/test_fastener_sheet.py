"""fasteners.csv: one row a fastener, joined, and nothing in it that a spreadsheet takes for a date."""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction

import pytest

from putback.reports.fastener_sheet import COLUMNS, fastener_rows, fasteners_csv, length_of
from putback.trade import commands as c
from putback.trade.commands.rules import apply
from putback.trade.record.fastener import Thing
from putback.trade.record.job import Job
from putback.trade.record.record import Record

A_DATE = re.compile(r"\s*\d{1,4}\s*[-/. ]\s*(\d{1,2}|[A-Za-z]{3,9})(\s*[-/. ,]\s*\d{1,4})?\s*")
"""What a spreadsheet makes a date of: two or three numbers with - / or . between, or a month's name. Source: ISO/IEC
29500-1 lists the date formats m/d/yy, d-mmm-yy, d-mmm, mmm-yy; that typed text is matched to them is common practice,
no source."""


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_no_cell_of_the_press_is_a_date_and_every_fastener_has_its_row(sample_press: Record) -> None:
    rows = read(fasteners_csv(sample_press))
    assert len(rows) == sum(thing.sort == "fastener" for thing in sample_press.all(Thing))
    for row in rows:
        for column, cell in row.items():
            assert column.startswith("length_") or not A_DATE.fullmatch(cell), (column, cell)
    trap = [row for row in rows if row["part"] == "left panel" and row["bag"] == "3"]
    assert sorted(row["length"] for row in trap) == ["1/2 in"] + ["3/8 in"] * 7
    assert {row["length_mm"] for row in trap} == {"9.525", "12.7"}  # 3/8 and 1/2 of 25.4 mm exactly
    assert {row["thread"] for row in trap} == {"#6-32 UNC"} and {row["material"] for row in trap} == {"steel"}
    # The session file names neither a material nor an instrument: both are taken, and the row says so.
    assert {row["material_said"] for row in trap} == {"no"}
    assert trap[0]["read_length"].endswith(" in, not said: taken as caliper")
    assert trap[0]["read_gauge"].endswith(", not said: taken as gauge plate")


def test_what_was_said_of_a_fastener_is_in_its_row() -> None:
    record = Record()
    for command in (
        c.NewMachine(name="press", serial="41?7", origin="us"),
        c.Begin(name="lid"),
        c.Enter(hole="1", size="#8-32 UNC x 3/8", readings={"length": "3/8", "length_by": "rule"}, note="=stiff"),
        c.MendFastener(thing=1, material="brass", should_be="#8-32 UNC x 1/2"),
        c.Annotate(todo=(Job(do="get", what="a new one", hole="1"), Job(do="do", what="the rim"))),
        c.Finish(put="shelf"),
    ):
        record.absorb(apply(record, 1, command, at="2025-03-01T10:00:00+00:00", codes=["PB3K7M2Q4"]))
    [row] = read(fasteners_csv(record))
    assert tuple(row) == COLUMNS
    assert (row["material"], row["read_length"], row["remark"]) == ("brass", "3/8 in, by rule", "'=stiff")
    assert row["material_said"] == "yes"
    assert (row["as_found"], row["should_be"]) == ("screw #8-32 UNC x 3/8", "#8-32 UNC x 1/2")
    assert row["jobs_open"].startswith("to get: a new one") and "the rim" in row["jobs_open"]
    assert (row["place"], row["bag"], row["hole"], row["part"]) == ("bag 1", "1", "1", "lid")
    assert list(fastener_rows(record, machine=2)) == []


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        ("3/8", Fraction(3, 8)),
        ("1 1/4", Fraction(5, 4)),
        ("2", Fraction(2)),
        ("25.4 mm", Fraction(1)),
        ("odd", None),
        ("", None),
    ],
)
def test_a_stocked_length_as_a_number(name: str, inches: Fraction | None) -> None:
    assert length_of(name) == inches
