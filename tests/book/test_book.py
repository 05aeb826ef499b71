"""The machine's book, read back by other libraries: PDF by pdfium, Markdown by markdown-it, HTML by html.parser."""

from __future__ import annotations

import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from msgspec.structs import replace
from PIL import Image

from putback.book.contents import PHOTO_SIZES, Book, gather
from putback.book.faces import PrintedHole, rows_of_text, spots
from putback.book.html import html_of
from putback.book.leaves import length_mm
from putback.book.markdown import markdown_of
from putback.book.pdf import pdf_of
from putback.errors import BadInput
from putback.photos.thumbnails import Thumbnails
from putback.store.photos import keep_photo
from putback.trade import commands as c
from putback.trade.record.machine import Machine
from tests.trade.hands import Hands

HOSTILE = "lid <b>[x](y)</b> *a* | `c` & #8"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The workshop's folder."""
    return tmp_path_factory.mktemp("bench")


@pytest.fixture(scope="module")
def hands(folder: Path) -> Hands:
    """A press with a lid and a drum off: a caution, a setting, a washer, an empty hole, two photos, one damaged."""
    hands = Hands(name="press", serial="2041?7", origin="us")
    hands.do(c.StartSession(title="the outside"))
    hands.do(c.Begin(name=HOSTILE, face="top"))
    for hole, size in (("1", "#8-32 UNC x 3/8"), ("3", "#8-32 UNC x 1/2")):
        hands.do(c.Enter(hole=hole, size=size, thread="#8-32 UNC", length=size.rpartition(" ")[2]))
    hands.do(c.Enter(kind="washer", hole="3", size="3/8 x 1/16"))
    hands.do(c.Enter(hole="9", found="empty"))
    hands.do(c.Finish(put="shelf"))
    hands.do(c.Annotate(step=1, cautions=("the lid drops",), tools=("driver",)))
    hands.take_off("drum", "5", put="away: plater")
    photos = folder / "photos"
    camera = folder / "a.jpg"
    Image.new("RGB", (1800, 1350), "#806040").save(camera)
    whole = keep_photo(camera, photos)
    camera.write_bytes(camera.read_bytes()[:2000])
    short = keep_photo(camera, photos)
    filed = tuple(
        c.FiledPhoto(file=f, name="a.jpg", taken="2025-03-01T10:01:00+00:00", step=1, when=w)  # type: ignore[arg-type]
        for f, w in ((whole, "before"), (short, "after"))
    )
    hands.do(c.FilePhotos(photos=filed))
    return hands


@pytest.fixture(scope="module")
def book(hands: Hands, folder: Path) -> Book:
    machine = hands.record.get(Machine, hands.machine)
    return gather(hands.record, machine, now=hands.at, look=Thumbnails(folder).path)


def test_the_book_holds_what_a_person_needs_away_from_the_bench(book: Book) -> None:
    lid, drum = book.chapters[0].leaves
    assert [(h.place, h.letter, h.stacked, h.empty) for h in lid.faces[0].holes] == [
        ("1", "A", 0, False), ("3", "B", 1, False), ("9", "", 0, True),
    ]  # fmt: skip
    assert [(s.letter, s.count, s.holes) for s in lid.sizes][:2] == [("A", 1, "1"), ("B", 1, "3")]
    assert (lid.cautions, lid.bags, drum.needs) == (("the lid drops",), (1,), ((1, f"took off {HOSTILE}"),))
    assert [one.number for one in book.returns] == [2, 1]
    assert "drum" in book.returns[0].account.why
    assert [(p.path is not None) for p in lid.photos] == [True, False]
    assert "damaged or cut short" in lid.photos[1].text
    assert sum(n for n, _ in book.balance) == book.things


def test_the_pdf_is_on_its_paper_and_says_it_all(book: Book) -> None:
    """A4 is 210 x 297 mm (ISO 216); Letter 8.5 x 11 in (ANSI/ASME Y14.1)."""
    for paper, size in (("A4", (210 / 25.4 * 72, 297 / 25.4 * 72)), ("letter", (612, 792))):
        pdf = pypdfium2.PdfDocument(pdf_of(book, paper))
        assert pdf[0].get_size() == pytest.approx(size, abs=0.1)
        text = " ".join(page.get_textpage().get_text_range() for page in pdf)
        screw = "1 \u00d7 screw #8-32 UNC x 3/8"
        for words in ("press 2041?7", HOSTILE, "Caution: the lid drops", screw, "found empty"):
            assert words in text
        assert [mark.get_title() for mark in pdf.get_toc()][:2] == ["How it stands", "Session 1: the outside"]
    with pytest.raises(BadInput, match="foolscap is not a paper"):
        pdf_of(book, "foolscap")


def test_a_step_of_the_way_back_stands_on_one_page_whole(tmp_path: Path) -> None:
    """Heading, caution, face and what goes into its holes: whoever opens the book there sees all of it."""
    hands = Hands(name="press")
    for number in range(1, 15):
        hands.take_off(f"plate no. {number:02}", *"1379", face="top")
        hands.do(c.Annotate(step=number, cautions=(f"edge {number:02} is sharp",), note=f"seen {number:02}"))
    found = gather(hands.record, hands.record.get(Machine, hands.machine), now=hands.at, look=Thumbnails(tmp_path).path)
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf_of(found))]
    back = next(number for number, page in enumerate(pages) if number and "The way back" in page)
    assert "put on plate no. 14, top face" in pages[back], "the chapter's heading does not stand alone"
    for number in range(1, 15):
        (page,) = [page for page in pages[back:] if f"put on plate no. {number:02}" in page]
        whole = page.partition(f"put on plate no. {number:02}")[2].partition("put on plate")[0]
        assert f"Caution: edge {number:02} is sharp" in whole and "holes 9 1 7 3: 4 x" in whole
    assert f"Strict reverse, always right: {found.plan.partition(': ')[2]}"[:60] in " ".join(pages[back].split())


def test_a_screw_stands_in_the_pdf_at_its_true_length(book: Book) -> None:
    """The bar beside `x 1/2` is half an inch, 36 points, from its head's left to its tip's right edge."""
    pdf = pypdfium2.PdfDocument(pdf_of(book))
    boxes = [o.get_bounds() for page in pdf for o in page.get_objects() if o.type == 2]
    heads = [b for b in boxes if b[2] - b[0] == pytest.approx(0.9 / 25.4 * 72, abs=0.05)]
    lengths = {
        round(tip[2] - head[0], 1)
        for head in heads
        for tip in boxes
        if tip[0] == pytest.approx(head[2], abs=0.05) and head[1] < (tip[1] + tip[3]) / 2 < head[3]
    }
    assert lengths == {27.0, 36.0}


def test_a_persons_words_act_in_no_format(book: Book) -> None:
    class Words(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.open: list[str] = []
            self.words = ""
            self.pictures = 0

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            if tag == "img":
                self.pictures += 1
            if tag not in ("meta", "img", "br", "input", "circle", "path", "rect"):
                self.open.append(tag)

        def handle_endtag(self, tag: str) -> None:
            if tag not in ("circle", "path", "rect"):
                assert self.open.pop() == tag

        def handle_data(self, data: str) -> None:
            self.words += data

    page = Words()
    page.feed(html_of(book))
    assert page.open == [] and page.pictures == 1 and f"took off {HOSTILE}" in page.words
    assert "//" not in re.sub(r"base64,[^\"]*", "", html_of(book)), "nothing is fetched"
    made = MarkdownIt().enable("table").render(markdown_of(book, lambda path: f"book-photos/{path.name}"))
    assert f"1. took off {HOSTILE}".replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") in made
    assert made.count("<img") == 1 and "<b>" not in made and "<em>a</em>" not in made


@given(st.lists(st.sampled_from("123456789"), min_size=1, max_size=20))
def test_holes_of_a_face_lie_in_their_place_and_apart(keys: list[str]) -> None:
    letters = "abcdefghijklmnopqrstuvwxyz"
    places = [f"{key}{letters[keys[:i].count(key)]}" for i, key in enumerate(keys)]
    drawn = spots([PrintedHole(place, "A", 0, False) for place in places])
    assert sorted(spot.hole.place for spot in drawn) == sorted(places)
    for spot in drawn:
        column, row = (int(spot.hole.place[0]) - 1) % 3, 2 - (int(spot.hole.place[0]) - 1) // 3
        assert column <= spot.x - spot.radius and spot.x + spot.radius <= column + 1
        assert row <= spot.y - spot.radius and spot.y + spot.radius <= row + 1
        for other in drawn:
            apart = ((spot.x - other.x) ** 2 + (spot.y - other.y) ** 2) ** 0.5
            assert other is spot or apart >= spot.radius + other.radius


def test_photos_are_as_large_as_asked_and_their_total_is_told(hands: Hands, folder: Path) -> None:
    machine = hands.record.get(Machine, hands.machine)
    made = {}
    for size, pixels in PHOTO_SIZES.items():
        look = Thumbnails(folder, pixels).path
        made[size] = gather(hands.record, machine, now=hands.at, look=look, photo_size=size)
    small, large, none = (html_of(made[size]) for size in ("small", "large", "none"))
    assert 'width="640" height="480"' in small and 'width="1600" height="1200"' in large and "<img" not in none
    assert f"1 of 2 photos shown, small: {made['small'].photo_bytes / 1e6:.1f} MB in all" in small
    assert 0 < made["small"].photo_bytes < made["large"].photo_bytes
    assert "2 photos left out" in none and "before, 2025-03-01" in none
    assert len(pypdfium2.PdfDocument(pdf_of(made["large"]))) >= len(pypdfium2.PdfDocument(pdf_of(made["none"])))
    with pytest.raises(BadInput, match="huge is not a size of photos"):
        gather(hands.record, machine, now=hands.at, look=look, photo_size="huge")


def test_a_date_and_a_size_in_markdown_stand_as_they_are(book: Book) -> None:
    """CommonMark 5.2 and 4.2: a list's number has a point or a bracket behind it, a heading's # no figure before it."""
    found = markdown_of(book, lambda path: path.name)
    assert f"as of {book.as_of[:10]}" in found
    lines = markdown_of(replace(book, caption="1. lid"), lambda path: path.name).splitlines()
    assert lines[0] == "# 1\\. lid"


def test_a_face_in_text_is_laid_out_like_the_number_keys() -> None:
    holes = [PrintedHole("7", "A", 0, False), PrintedHole("3", "B", 1, False), PrintedHole("5", "", 0, True)]
    assert rows_of_text(holes) == ["[A ] [  ] [  ]", "[  ] [x ] [  ]", "[  ] [  ] [B+]"]


@pytest.mark.parametrize(("name", "length"), [("3/8", 9.525), ("1 1/4", 31.75), ("12 mm", 12), ("2", 50.8), ("", None)])
def test_stocked_lengths_in_millimetres(name: str, length: float | None) -> None:
    """An inch is 25.4 mm exactly (ISO 80000-3)."""
    assert length_mm(name) == (None if length is None else pytest.approx(length))


@pytest.mark.parametrize("name", ["book.docx", "book"])
def test_another_ending_is_refused_in_a_sentence(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from putback.cli import main

    assert main(["book", "--workshop", str(tmp_path), "--out", str(tmp_path / name)]) == 2
    assert "a book is written as .html, .pdf or .md" in capsys.readouterr().err


def test_the_command_writes_each_format(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from putback.cli import main

    sample = Path(__file__).parents[2] / "sample_sessions" / "skein_winder.toml"
    where = ["--workshop", str(tmp_path / "bench")]
    assert main([*where, "replay", str(sample)]) == 0
    begins: dict[str, Callable[[bytes], bool]] = {
        "a.html": lambda data: data.startswith(b"<!DOCTYPE html>"),
        "a.pdf": lambda data: data.startswith(b"%PDF-"),
        "a.md": lambda data: data.startswith(b"# Skein winder"),
    }
    for name, right in begins.items():
        assert main([*where, "book", "--out", str(tmp_path / name)]) == 0
        assert right((tmp_path / name).read_bytes())
    capsys.readouterr()
    assert main([*where, "book"]) == 0
    assert Path(capsys.readouterr().out.strip()).name.startswith("book-skein-winder")
