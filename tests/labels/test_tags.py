"""Hang-tags, box labels and the command sheet, read back and kept on their paper."""

from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from putback.errors import BadInput
from putback.labels import drawing
from putback.labels.facts import BoxFacts, StrokeFacts, TagFacts
from putback.labels.printing import write_box_labels, write_command_sheet, write_tags
from putback.labels.tags import box_label, command_cell, hang_tag
from putback.scans.command_code import command_code
from tests.labels.qr_reading import read_texts

TAG = TagFacts(
    "A",
    "tray lock",
    "cam stays on, 3 turns loose",
    "Ticket-dating press",
    "2041?7",
    57,
    date(2025, 2, 9),
    "PB3K7M2Q4",
)
BOX = BoxFacts(
    "A",
    "Ticket-dating press",
    "2041?7",
    ((1, "hand lever"), (2, "lid, ticket tray"), (3, "left panel")),
    "PB84G7ZWS",
)
LONG = "x" * 300
SIZES = [(40.0, 20.0), (63.5, 38.1), (99.1, 67.7), (99.1, 38.1), (66.7, 25.4), (50.0, 80.0)]


def inside(made: drawing.Drawing) -> None:
    """Every mark stays on the label, and none stands in a square's quiet zone."""
    codes = [mark for mark in made.marks if isinstance(mark, drawing.Code)]
    for mark in made.marks:
        match mark:
            case drawing.Words():
                box = (mark.left, mark.y - mark.size * 0.73, mark.left + mark.width, mark.y)
            case drawing.Rectangle():
                box = (mark.x, mark.y, mark.x + mark.width, mark.y + mark.height)
            case drawing.Ring():
                r = mark.radius
                box = (mark.x - r, mark.y - r, mark.x + r, mark.y + r)
            case drawing.Code():
                box = (mark.x, mark.y, mark.x + mark.side, mark.y + mark.side)
        assert box[0] >= -0.05 and box[1] >= -0.05, mark
        assert box[2] <= made.width + 0.05 and box[3] <= made.height + 0.05, mark
        for code in codes:
            assert (
                mark is code
                or box[0] >= code.x + code.side - 0.05
                or box[2] <= code.x + 0.05
                or box[1] >= code.y + code.side - 0.05
                or box[3] <= code.y + 0.05
            ), f"{mark} in the quiet zone"


def words(made: drawing.Drawing) -> str:
    return " ".join(mark.text for mark in made.marks if isinstance(mark, drawing.Words))


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_tags_say_what_is_open_and_their_square_reads_back(width: float, height: float) -> None:
    made = hang_tag(TAG, width, height)
    inside(made)
    assert read_texts(drawing.to_image(made, 300)) == ["PB3K7M2Q4"]
    for word in ("A", "tray", "cam", "SN"):
        assert word in words(made)
    largest = max((m for m in made.marks if isinstance(m, drawing.Words)), key=lambda mark: mark.size)
    assert largest.text == "A" and largest.white
    inside(hang_tag(TagFacts(LONG, LONG, LONG, LONG, LONG, 10**9, None, "PB3K7M2Q4"), width, height))
    inside(hang_tag(TagFacts("", ""), width, height))
    inside(hang_tag(TagFacts("\u0300", "\u0300"), width, height))  # an accent alone has no width


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_boxes_list_their_bags_or_count_the_rest(width: float, height: float) -> None:
    made = box_label(BOX, width, height)
    inside(made)
    assert read_texts(drawing.to_image(made, 300)) == ["PB84G7ZWS"]
    for count in (0, 1, 7, 40, 200):
        bags = tuple((n, f"part {n}") for n in range(1, count + 1))
        made = box_label(BoxFacts("B", "press", "1", bags), width, height)
        inside(made)
        found = words(made).split()
        shown = sum(
            f"part {n}" in [m.text for m in made.marks if isinstance(m, drawing.Words)] for n in range(1, count + 1)
        )
        rest = int(found[found.index("and") + 1]) if "and" in found else 0
        assert shown + rest == count or width < 60
    inside(box_label(BoxFacts(LONG, LONG, LONG, ((1, LONG), (10**9, "")), "PB84G7ZWS"), width, height))


def test_too_small_is_refused() -> None:
    with pytest.raises(BadInput, match="hang-tag of 30 x 20 mm is too small"):
        hang_tag(TAG, 30, 20)
    with pytest.raises(BadInput, match="box label of 30 x 20 mm is too small"):
        box_label(BOX, 30, 20)


def test_the_command_sheet_reads_back_stroke_for_stroke(tmp_path: Path) -> None:
    strokes = [StrokeFacts(f"command.{n}", "+-*/0123456789"[n % 14], f"does thing {n}") for n in range(20)]
    path = write_command_sheet(strokes, tmp_path / "out")
    pages = [page.render(scale=3).to_pil() for page in pypdfium2.PdfDocument(path)]
    read = sorted(text for page in pages for text in read_texts(page))
    assert read == sorted(command_code(stroke.name) for stroke in strokes)
    inside(command_cell(StrokeFacts("x", LONG, LONG), 90, 28))
    with pytest.raises(BadInput, match="no command"):
        write_command_sheet([], tmp_path)
    with pytest.raises(BadInput, match="not a paper"):
        write_command_sheet(strokes, tmp_path, paper="A9")


def test_tags_and_boxes_are_written_as_sheet_and_pictures(tmp_path: Path) -> None:
    odd = TagFacts("../B\U0001f5a8", "[/]")
    tags = write_tags([TAG, odd], tmp_path)
    boxes = write_box_labels([BOX], tmp_path, paper="Letter")
    assert [path.name for path in tags] == ["tags.pdf", "tag-A.png", "tag----B-.png"]
    assert [path.name for path in boxes] == ["boxes.pdf", "box-A.png"]
    with Image.open(tags[1]) as picture:
        assert read_texts(picture) == ["PB3K7M2Q4"]
    [page] = pypdfium2.PdfDocument(boxes[0])
    assert read_texts(page.render(scale=4).to_pil()) == ["PB84G7ZWS"]
    with pytest.raises(BadInput, match="no label"):
        write_tags([], tmp_path)
