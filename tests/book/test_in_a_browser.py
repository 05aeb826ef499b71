"""The book as a browser shows and prints it: wide, at 390 px, in the dark, without script, on paper; ticks in pencil.

One browser is started for all of it. Where there is none (Debian's `chromium`), what needs no browser is tried alone.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import html5lib
import pypdfium2
import pytest

from putback.book.contents import Book, gather
from putback.book.html import html_of
from putback.book.pdf import pdf_of
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from tests.book.browser import AXE, PROGRAM, SIDEWAYS, Page, accessibility_checker, browser

SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "skein_winder.toml"
A4 = (210 / 25.4, 297 / 25.4)


@pytest.fixture(scope="module")
def winder() -> Book:
    """The book of the winder: cautions, an unsettled size, settings, a soak, four faces."""
    file = read_session_file(SAMPLE.read_text("utf-8"), SAMPLE.name, now=datetime(2025, 7, 1, 12, tzinfo=UTC))
    record = rehearse(file).record
    return gather(record, record.get(Machine, 1), now="2025-07-01T12:00:00+00:00", look=Path)


@pytest.fixture(scope="module")
def page(winder: Book, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """The book in a browser, at 390 px."""
    if PROGRAM is None:
        pytest.skip("no chromium on this machine")
    path = tmp_path_factory.mktemp("book") / "book.html"
    path.write_text(html_of(winder), encoding="utf-8")
    with browser() as page:
        page.wide(390)
        page.open(path.as_uri())
        yield page


def test_the_page_is_valid_html(winder: Book) -> None:
    """By the HTML standard's own rules of parsing: a strict parser meets no error."""
    html5lib.HTMLParser(strict=True).parse(html_of(winder))


def test_ticks_are_kept_in_the_browser_and_listed(page: Page) -> None:
    page.run("document.querySelector('[data-step=\"19\"]').click()")
    page.again()
    assert page.run("[...document.querySelectorAll('.tick input:checked')].map(box => box.dataset.step)") == ["19"]
    assert "Ticked so far: steps 19. Enter them at the bench." in page.run(
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
    some = '{exclude: [[".step:not(:nth-of-type(3n + 1))"]]}'  # a third of the steps: the rest is made the same way
    assert page.run(AXE % (some, "")) == []
    page.looks()
    assert page.run(AXE % (some, 'runOnly: ["color-contrast"]')) == []


def test_printed_from_the_browser_it_takes_no_more_pages_than_the_pdf(page: Page, winder: Book) -> None:
    page.looks()
    printed = pypdfium2.PdfDocument(io.BytesIO(page.printed(A4)))
    assert 5 < len(printed) <= len(pypdfium2.PdfDocument(io.BytesIO(pdf_of(winder))))
    text = "".join(sheet.get_textpage().get_text_range() for sheet in printed)
    assert "took off reel hub" in text and "pencil" not in text and "done" not in text.split("The way back")[-1]


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
