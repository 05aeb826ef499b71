"""The book's list of fasteners: one row a size, and what is easily mixed up once for all steps."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime
from pathlib import Path

import pypdfium2
import pytest

from putback.book.bag_lines import bag_lines
from putback.book.contents import Book, gather
from putback.book.html import html_of
from putback.book.pdf import pdf_of
from putback.errors import BadInput
from putback.reports.alike import alike
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine

SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "ticket_dating_press.toml"
NOW = "2025-07-01T12:00:00+00:00"


def no_photo(name: str) -> Path:
    raise BadInput(f"there is no {name}")


@pytest.fixture(scope="module")
def press() -> Book:
    """The book of the press, its way back cut into sessions of an hour."""
    file = read_session_file(SAMPLE.read_text("utf-8"), SAMPLE.name, now=datetime(2025, 7, 1, 12, tzinfo=UTC))
    record = rehearse(file).record
    machine = record.get(Machine, 1)
    made = gather(record, machine, now=NOW, look=no_photo, minutes=60)
    assert len(made.mixed) < len(alike(record, machine).look_alike)
    return made


def test_a_size_has_one_row_with_its_steps_and_bags(press: Book) -> None:
    rows = {(row.called, row.head, row.drive): row for row in press.sizes}
    assert len(rows) == len(press.sizes) and sum(row.count for row in press.sizes) == 135
    common = next(row for row in press.sizes if row.called == "screw #6-32 UNC x 3/8")
    assert (common.count, common.steps, common.bags) == (14, (5, 6), (3, 4))


def test_a_size_is_told_from_others_once(press: Book) -> None:
    sizes = [one.size for one in press.mixed]
    assert len(sizes) == len(set(sizes))
    [trap] = [one for one in press.mixed if one.size == "screw #6-32 UNC x 3/8"]
    assert any("#6-32 UNC x 1/2: same thread, 1/8 in longer" in other for other in trap.others)


def test_the_contents_name_the_page_on_which_each_chapter_begins(press: Book) -> None:
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(io.BytesIO(pdf_of(press)))]
    listed = re.findall(r"^(How it stands|The way back|Bags|Fasteners|Left to do) (\d+)\r?$", pages[0], re.M)
    assert len(listed) == 5
    for name, number in listed:
        assert re.search(rf"^{name}\r?$", pages[int(number) - 1], re.M), (name, number)
    assert "Session 1 of" in "".join(pages)
    texts = [" ".join(page.split()) for page in pages]
    named = {leaf.number: leaf.text for chapter in press.chapters for leaf in chapter.leaves}
    found = re.findall(r"step (\d+), (?:page (\d+):|[^;(]+\(page (\d+)\))", " ".join(texts))
    assert len({number for number, *_ in found}) > 50
    for number, one, other in found:
        assert f"{number} {named[int(number)]}" in texts[int(one or other) - 1], "a reference leads to its step"


def test_a_step_stands_on_one_page_whole(press: Book) -> None:
    """From its heading to the last of its words, both ways: whoever opens the book there sees all of it."""
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(pdf_of(press))]
    for chapter in press.chapters:
        for leaf in chapter.leaves:
            last = (*leaf.todo, *leaf.notes, *leaf.at_refit, *leaf.settings, *leaf.tools, leaf.text)[0]
            first = f"{leaf.number} {leaf.text}"
            assert any(" ".join(last.split()) in text.partition(first)[2] or last in first for text in texts), first


def test_equal_pieces_of_a_step_are_one_line_of_their_bag(press: Book) -> None:
    card = next(card for card in press.bags if card.row.number == 3)
    lines = bag_lines(card)
    assert [(line.count, line.called, line.about) for line in lines] == [
        (7, "screw #6-32 UNC x 3/8", "left panel, holes 1 2 4 6 7 8 9"),
        (1, "screw #6-32 UNC x 1/2", "left panel, hole 3"),
    ]
    for card in press.bags:
        assert sum(line.count for line in bag_lines(card)) == card.row.count


def test_the_page_is_read_without_colour_script_or_width(press: Book) -> None:
    """WCAG 2.2: links told by more than colour (1.4.1), a language (3.1.1), a name for each box (4.1.2)."""
    page = html_of(press)
    assert "text-decoration: none" not in page and '<html lang="en">' in page and "max-width: 36rem" in page
    box = r'<label class="tick" hidden><input type="checkbox" data-step="\d+"> done</label>'
    assert len(re.findall(box, page)) == 59
    assert "print-color-adjust: exact" in page and page.count("<script>") == 1
    assert set(re.findall(r'href="?#([\w-]+)', page)) <= set(re.findall(r'id="([\w-]+)"', page))
