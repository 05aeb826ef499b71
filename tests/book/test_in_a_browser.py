"""The book as a browser shows and prints it: wide, at 390 px, in the dark, without script, on paper; ticks in pencil.

One browser is started for all of it. Where there is none (Debian's `chromium`), what needs no browser is tried alone.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import html5lib
import pypdfium2
import pytest
from msgspec.structs import replace

from putback.book.contents import Book, gather
from putback.book.html import html_of
from putback.book.pdf import pdf_of
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from tests.book.browser import AXE, PROGRAM, SIDEWAYS, Page, accessibility_checker, browser

SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "ticket_dating_press.toml"
A4 = (210 / 25.4, 297 / 25.4)


@pytest.fixture(scope="module")
def press() -> Book:
    """A part of the press's book: cautions, an unsettled size, settings, a soak, the longest names."""
    file = read_session_file(SAMPLE.read_text("utf-8"), SAMPLE.name, now=datetime(2025, 7, 1, 12, tzinfo=UTC))
    record = rehearse(file).record
    whole = gather(record, record.get(Machine, 1), now="2025-07-01T12:00:00+00:00", look=Path)
    return replace(
        whole,
        chapters=whole.chapters[1:2],
        returns=whole.returns[:6],
        bags=whole.bags[:4],
        sizes=whole.sizes[:6],
        mixed=tuple(sorted(whole.mixed, key=lambda one: len(one.size))[-4:]),
    )


@pytest.fixture(scope="module")
def page(press: Book, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """The book in a browser, at 390 px."""
    if PROGRAM is None:
        pytest.skip("no chromium on this machine")
    path = tmp_path_factory.mktemp("book") / "book.html"
    path.write_text(html_of(press), encoding="utf-8")
    with browser() as page:
        page.wide(390)
        page.open(path.as_uri())
        yield page


def test_the_page_is_valid_html(press: Book) -> None:
    """By the HTML standard's own rules of parsing: a strict parser meets no error."""
    html5lib.HTMLParser(strict=True).parse(html_of(press))


def test_ticks_are_kept_in_the_browser_and_listed(page: Page) -> None:
    page.run("document.querySelector('[data-step=\"58\"]').click()")
    page.again()
    assert page.run("[...document.querySelectorAll('.tick input:checked')].map(box => box.dataset.step)") == ["58"]
    assert "Ticked so far: steps 58. Enter them at the bench." in page.run(
        "document.getElementById('pencil').innerText"
    )


def test_nothing_stands_out_to_the_side_of_a_telephone(page: Page) -> None:
    page.wide(390)
    assert page.run(SIDEWAYS) == {"scrolls": 0, "out": []}


def test_an_accessibility_checker_finds_nothing(page: Page) -> None:
    """Every rule of axe-core, those of WCAG 2.1 and good practice beyond it; by day what is of colours once more."""
    checker = accessibility_checker()
    if checker is None:
        pytest.skip("axe-core-python is not installed")
    page.looks(dark=True)
    page.run(f"{checker};0")
    assert page.run(AXE % ("document", "")) == []
    page.looks()
    assert page.run(AXE % ("document", 'runOnly: ["color-contrast"]')) == []


def test_printed_from_the_browser_it_takes_no_more_pages_than_the_pdf(page: Page, press: Book) -> None:
    page.looks()
    printed = pypdfium2.PdfDocument(io.BytesIO(page.printed(A4)))
    assert 3 < len(printed) <= len(pypdfium2.PdfDocument(io.BytesIO(pdf_of(press))))
    text = "".join(sheet.get_textpage().get_text_range() for sheet in printed)
    assert "took off lamp holder" in text and "pencil" not in text
    # the boxes' word; of a job it stands with its day
    assert not re.search(r"\bdone\b(?! \d)", text.split("The way back")[-1])


def test_without_script_the_page_is_whole(page: Page) -> None:
    def words() -> str:
        return str(page.run("document.querySelector('main').innerText")).replace("\u00a0", " ")

    with_script = words()
    page.scripts(False)
    page.again()
    without = words()
    page.scripts(True)
    added = {" done"} | {line for line in with_script.splitlines() if "pencil marks" in line}
    assert set(with_script.splitlines()) - set(without.splitlines()) - {""} == added
