"""The sheet for the cupboard door: every bag of every machine, whole, on one page where all has room."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from putback.errors import Refused
from putback.labels.cupboard import Shelf, cupboard_sheets
from putback.labels.drawing import Words
from putback.labels.printing import write_cupboard_sheet
from putback.labels.tag_facts import shelves
from putback.trade.record.record import Record

SHELVES = [
    Shelf("Ticket-dating press 2041?7", "A", tuple((n, f"part number {n}, and its lever") for n in range(1, 30))),
    Shelf("Ticket-dating press 2041?7", "", ((30, "bell dome"),)),
    Shelf("Skein winder 4?6", "F", ((1, "crank"), (2, "reel arms"))),
]


def test_every_bag_stands_under_its_box_and_machine(tmp_path: Path) -> None:
    path = write_cupboard_sheet(SHELVES, tmp_path, day="2025-03-01")
    [page] = pypdfium2.PdfDocument(path)
    text = " ".join(page.get_textpage().get_text_range().split())
    order = [
        "Ticket-dating press 2041?7",
        "box A",
        "29part number 29",
        "in no box",
        "30bell dome",
        "Skein winder 4?6",
        "box F",
    ]
    places = [text.replace(" ", "").index(words.replace(" ", "")) for words in order]
    assert places == sorted(places) and "2025-03-01" in text


@pytest.mark.parametrize("many", [10, 150, 700])
def test_nothing_leaves_the_sheet_and_nothing_is_left_out(many: int) -> None:
    shelf = Shelf(
        "press", "B", tuple((n, "left ribbon spool, right ribbon spool and their springs") for n in range(many))
    )
    sheets = cupboard_sheets([shelf], "A4", "")
    numbers = [m.text for one in sheets for m in one.marks if isinstance(m, Words) and m.bold and m.text.isdecimal()]
    assert numbers == [str(n) for n in range(many)] and (len(sheets) == 1) == (many < 100)
    for one in sheets:
        for mark in one.marks:
            if isinstance(mark, Words) and mark.text:
                assert mark.left > 0 and mark.left + mark.width < 210 and 5 < mark.y < 285


def test_without_a_bag_there_is_no_sheet() -> None:
    with pytest.raises(Refused, match="no bag"):
        shelves(Record())
