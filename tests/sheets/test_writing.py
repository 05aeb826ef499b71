"""The printed sheets between sessions: read again out of the PDF, with everything that they are to say."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from putback.errors import BadInput
from putback.labels.drawing import Words
from putback.labels.paper import PAPERS
from putback.photos.thumbnails import Thumbnails
from putback.reports.sent import sent_out
from putback.reports.to_get import get_lines
from putback.reports.wanted import wanted_things
from putback.sheets.parcels import parcels
from putback.sheets.ticked import Sheet, Ticked, ticked_pages
from putback.sheets.to_get import to_get
from putback.sheets.to_make import ToMake, made_of, make_page, to_make
from putback.sheets.writing import write_sheet
from putback.trade import commands as c
from putback.trade.commands.photos import FiledPhoto
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.making import Dimension
from tests.trade.hands import Hands

FILE = f"{'a' * 16}.jpg"


@pytest.fixture
def hands() -> Hands:
    """A dial and its lost screw, sent out; its pin to be made; a photo of it."""
    made = Hands(serial="12")
    made.take_off("dial", "5", "7")
    made.do(c.FilePhotos(photos=(FiledPhoto(file=FILE, name="DIAL.JPG", step=1, when="before", taken=made.at),)))
    made.do(c.Trouble(what="lost", step=1, hole="5"))
    measures = (Dimension("diameter", ".250 +.000 -.001"), Dimension("over all", "1 1/4"))
    made.do(c.SayJob(step=1, job=Job(do="make", what="pin", count=2, material="silver steel", measures=measures)))
    made.do(c.SendOut(to="plater", what="nickel", due="2025-03-20", named=((1, "dial"),)))
    return made


@pytest.fixture
def photos(tmp_path: Path) -> Thumbnails:
    """A workshop's folder with the photo in it."""
    (tmp_path / "photos").mkdir()
    Image.new("RGB", (400, 300), "tan").save(tmp_path / "photos" / FILE)
    return Thumbnails(tmp_path)


def read(path: Path) -> tuple[list[str], int]:
    """The text of each page, and how many pictures there are."""
    found = pypdfium2.PdfDocument(path)
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in found]
    pictures = [one for page in found for one in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])]
    return texts, len(pictures)


def test_each_sheet_says_what_it_is_for_with_its_photo(hands: Hands, photos: Thumbnails, tmp_path: Path) -> None:
    machine = hands.record.get(Machine, 1)
    [made], pictures = read(write_sheet(made_of(to_make(hands.record, [machine], photos)), tmp_path, day="2025-03-02"))
    for words in ("make 2: pin", "of silver steel", "press 12, step 1, dial", ".250 +.000 -.001 in", "1 1/4 in"):
        assert words in made
    assert ".249 to .250 in" in made and "as made" in made and pictures == 1
    trips = sent_out(hands.record, 1)
    [parcel], pictures = read(write_sheet(parcels(hands.record, trips, photos), tmp_path, day="2025-03-02"))
    for words in ("To plater: nickel", "from press 12", "due 2025-03-20", "photo DIAL.JPG", "1 thing in all"):
        assert words in parcel
    assert pictures == 1
    lines = get_lines(hands.record, wanted_things(hands.record, 1))
    [get], pictures = read(write_sheet(to_get(lines), tmp_path, day="2025-03-02"))
    for words in ("To get", "#8-32 UNC x 3/8 screw", "1 needed, 2 extra", "hole 5: missing", "ways: buy; make"):
        assert words in get
    assert pictures == 0


def test_with_nothing_to_say_no_sheet_is_written(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="Nothing is to be made"):
        write_sheet(made_of([]), tmp_path)
    with pytest.raises(BadInput, match="Nothing has to be got"):
        write_sheet(to_get([]), tmp_path)
    assert not list(tmp_path.iterdir())


def within(words: Words, paper: str) -> bool:
    wide, high = PAPERS[paper]
    return words.left > 0 and words.left + words.width < wide and 0 < words.y < high


WORDS = st.text("abcdefgh ¼é#", max_size=120)
SHEETS = st.builds(
    Sheet,
    title=WORDS,
    under=st.lists(WORDS, max_size=2).map(tuple),
    lines=st.lists(
        st.builds(Ticked, st.sampled_from(["1", "25", "100000"]), WORDS, st.lists(WORDS, max_size=9).map(tuple)),
        max_size=40,
    ).map(tuple),
    foot=WORDS,
)


@given(SHEETS, st.sampled_from(list(PAPERS)))
def test_every_word_of_a_list_stands_on_its_paper_and_none_is_left_out(sheet: Sheet, paper: str) -> None:
    marks = [mark for page in ticked_pages(sheet, paper, "2025-03-02") for mark in page.marks]
    texts = [mark for mark in marks if isinstance(mark, Words)]
    assert all(within(words, paper) for words in texts)
    said = "".join("".join(words.text.split()) for words in texts)
    for line in sheet.lines:
        for words in (line.what, *line.notes):
            assert all(word in said for word in words.split() if len(word) < 20)


@given(
    st.lists(
        st.tuples(WORDS, st.sampled_from([".250 +.000 -.001 in", "1 1/4 in"]), st.just(".249 to .250 in")), max_size=14
    ),
    WORDS,
    st.sampled_from(list(PAPERS)),
)
def test_every_measure_of_a_sheet_stands_on_its_paper(
    measures: list[tuple[str, str, str]], what: str, paper: str
) -> None:
    facts = ToMake(what=what, count=2, material="", whose="press", measures=tuple(measures), cautions=("goggles",) * 3)
    texts = [mark for mark in make_page(facts, paper, "2025-03-02").marks if isinstance(mark, Words)]
    assert all(within(words, paper) for words in texts)
    assert sum(words.text == ".250 +.000 -.001 in" for words in texts) == sum(row[1][0] == "." for row in measures)
