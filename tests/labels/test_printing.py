"""Labels on paper: every square is read back from PNG and PDF by an independent reader."""

from datetime import date
from pathlib import Path
from random import Random

import pypdfium2
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from PIL import Image

from putback.errors import BadInput, DiskTrouble
from putback.labels import drawing, qr
from putback.labels.facts import Contents, LabelFacts
from putback.labels.layout import bag_label
from putback.labels.lettering import printable
from putback.labels.paper import GRIDS, grid
from putback.labels.printer import PrinterProfile
from putback.labels.printing import make_labels, sheet_pdf, write_labels
from putback.labels.sheets import read_sheet
from putback.labels.whose import set_aside, whose_sheet
from putback.scans.bag_code import new_code
from tests.labels.qr_reading import read_all, read_texts
from tests.sampled import some

CODE = "PB3K7M2Q4"
FACTS = LabelFacts(
    code=CODE,
    machine="Ticket-dating press",
    serial="2041?7",
    bag=4,
    box="A",
    parts=("left panel",),
    steps=(5,),
    contents=(
        Contents(7, "#8-32 UNC x 3/8"),
        Contents(1, "#8-32 UNC x 1/2"),
        Contents(2, "washer #8"),
        Contents(1, "M4x0.7 x 10 mm"),
    ),
    day=date(2024, 10, 6),
)
BLANK = LabelFacts("PB84G7ZWS")
ODD = LabelFacts(
    code="PBF8QY404",
    machine="[/] Führung מכונת كابينة \U0001f5a8\ufe0f 日本 \u202e\x1b[31m " + "x" * 300,
    serial="?" * 5 + "1234567890ABCD" * 9,
    bag=123456,
    box="a box with a long name " * 9,
    parts=("part " * 60,) * 5,
    steps=tuple(range(1, 200, 2)),
    contents=tuple(Contents(n * 1000, f"#{n} in a long long description" * 9) for n in range(1, 60)),
    day=date(2024, 10, 6),
)


def pages(pdf: bytes, dpi: int = 300) -> list[Image.Image]:
    return [page.render(scale=dpi / 72).to_pil() for page in pypdfium2.PdfDocument(pdf)]


def text_of(pdf: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))


@pytest.mark.parametrize("paper", some(GRIDS, 3))
def test_every_square_on_every_grid_reads_back_from_pdf_and_png(paper: str, tmp_path: Path) -> None:
    facts = [FACTS, BLANK, ODD]
    written = write_labels(facts, tmp_path / "out", paper=paper)
    assert [path.name for path in written] == [
        "labels.pdf",
        "PB3K7M2Q4.png",
        "PB84G7ZWS.png",
        "PBF8QY404.png",
    ]
    labels = make_labels(facts, grid(paper))
    texts = sorted(label.payload.text for label in labels)
    made = pages(written[0].read_bytes())
    assert len(made) == (1 if grid(paper).per_sheet > 1 else len(facts))
    assert sorted(text for page in made for text in read_texts(page)) == texts
    for label, path in zip(labels, written[1:], strict=True):
        with Image.open(path) as picture:
            [found] = read_all(picture)
            assert found.text == label.payload.text
            assert found.ec_level == label.code.square.level.name
            assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.1)


@pytest.mark.parametrize("dpi", [180, 203, 300, 600])
@pytest.mark.parametrize("paper", ["A4", "A4 5x13", "Letter 4x20"])
def test_modules_are_whole_dots_and_never_under_the_least(dpi: int, paper: str) -> None:
    press = PrinterProfile(dpi=dpi)
    on = grid(paper)
    for facts in (FACTS, BLANK):
        try:
            label = bag_label(facts, on.width, on.height, press)
        except BadInput as refusal:
            assert paper == "Letter 4x20" and "too small" in str(refusal)
            continue
        dots = label.code.module / press.dot
        assert dots == pytest.approx(round(dots))
        assert label.code.module >= 0.33
        picture = drawing.to_image(label.drawing, dpi)
        assert picture.size == (round(on.width * dpi / 25.4), round(on.height * dpi / 25.4))
        assert picture.mode == "1"
        assert read_texts(picture) == [label.payload.text]


def test_the_level_is_the_highest_whose_modules_are_still_large_enough() -> None:
    press = PrinterProfile(dpi=300)
    for width, height in ((38.1, 21.2), (63.5, 38.1), (99.1, 67.7)):
        label = bag_label(ODD, width, height, press)
        made = label.code.square
        if made.level < qr.Level.H:
            # One level up would need more modules than the label can show at the least size.
            higher = qr.best(len(made.text), 40, qr.Level(made.level + 1))
            assert higher is not None
            side = (qr.side_of(higher[0]) + 2 * qr.QUIET) * press.least_dots * press.dot
            assert side > min(0.48 * width, height - 8)


@pytest.mark.parametrize("width", some(range(25, 110, 5), 3))
@pytest.mark.parametrize("height", [12.7, 21.2, 38.1, 67.7])
def test_nothing_leaves_the_label_or_touches_the_square(width: float, height: float) -> None:
    for facts in (FACTS, BLANK, ODD):
        try:
            label = bag_label(facts, width, height)
        except BadInput:
            assert min(width * 0.48, height) < 12
            continue
        code = label.code
        for mark in label.drawing.marks:
            match mark:
                case drawing.Words():
                    box = (mark.left, mark.y - mark.size * 0.73, mark.left + mark.width, mark.y)
                case drawing.Rectangle():
                    box = (mark.x, mark.y, mark.x + mark.width, mark.y + mark.height)
                case drawing.Code():
                    box = (mark.x, mark.y, mark.x + mark.side, mark.y + mark.side)
                    assert box[0] >= 0 and box[1] >= 0
                case _:
                    raise AssertionError(mark)
            assert box[0] >= -0.05 and box[1] >= -0.05, mark
            assert box[2] <= width + 0.05 and box[3] <= height + 0.05, mark
            if not isinstance(mark, drawing.Code):
                clear = (
                    box[0] >= code.x + code.side - 0.05
                    or box[2] <= code.x + 0.05
                    or box[1] >= code.y + code.side - 0.05
                )
                assert clear, f"{mark} in the quiet zone"


def test_what_is_printed_is_there_in_the_pdf_and_the_bag_number_is_largest() -> None:
    on = grid("A4")
    [label] = make_labels([FACTS], on)
    text = text_of(sheet_pdf([label.drawing], on))
    for words in ("Ticket-dating press", "SN 2041?7", "left panel, step 5", "2024-10-06", CODE):
        assert words in text
    for words in ("#8-32 x 3/8", "#8-32 x 1/2", "washer #8", "M4x0.7 x 10 mm"):
        assert words in text
    sizes = {mark.text: mark.size for mark in label.drawing.marks if isinstance(mark, drawing.Words)}
    assert sizes["4"] == max(sizes.values())
    assert sizes["4"] * 0.729 > 7  # millimetres of capital height
    assert sizes["#8-32 x 1/2"] * 0.729 > 1.7


@pytest.mark.parametrize(
    ("name", "drawn"),
    [
        ("Führung [/] Łódź", "Führung [/] Łódź"),
        ("печать Ω 5", "печать Ω 5"),
        ("press \U0001f5a8\ufe0f 日本", "press □ □□"),
        ("a\x1b[31m\u202eb\u200d\tc", "a[31mb c"),
        ("\U0001f468\u200d\U0001f527", "□"),
        # Unicode's own bidirectional algorithm: Hebrew runs right to left, digits left to right.
        ("מכונה 12", "12 הנוכמ"),
        # Arabic presentation forms (Unicode chart FE70): seen, lam with alef, meem, right to left.
        ("سلام", "\ufee1\ufefc\ufeb3"),
        ("ب", "\ufe8f"),
        ("", ""),
        (" \n ", ""),
    ],
)
def test_lettering_is_what_the_font_has_in_drawing_order(name: str, drawn: str) -> None:
    assert printable(name) == drawn


def test_the_pdf_carries_its_letters() -> None:
    on = grid("A4 2x4")
    facts = LabelFacts(CODE, "Führung [/] Łódź Ω □", "печать", 4)
    text = text_of(sheet_pdf([bag_label(facts, on.width, on.height).drawing], on))
    assert "Führung [/] Łódź Ω □" in text
    assert "SN печать" in text


def test_sheets_run_on_and_start_at_any_free_label() -> None:
    on = grid("A4 2x4")
    rng = Random(5)
    facts = [LabelFacts(new_code(rng, ())) for _ in range(9)]
    labels = make_labels(facts, on)
    made = pages(sheet_pdf([label.drawing for label in labels], on, start=7), 150)
    assert [len(read_texts(page)) for page in made] == [2, 7]


def test_cut_marks_stand_at_the_corners_of_plain_paper_only() -> None:
    [label] = make_labels([BLANK], grid("A4"))
    round_ones = read_sheet("A4 plain", label="40 round")
    [disc] = make_labels([BLANK], round_ones)
    [page] = pages(sheet_pdf([disc.drawing], round_ones), 150)
    edge = round(round_ones.left * 150 / 25.4), round((round_ones.top + 20) * 150 / 25.4)
    around = (edge[0] - 4, edge[1] - 4, edge[0] + 4, edge[1] + 4)
    assert page.convert("L").crop(around).getextrema() != (255, 255), "a disc has its outline to cut by"
    [plain] = pages(sheet_pdf([label.drawing], grid("A4")), 150)
    [sticker] = pages(sheet_pdf([label.drawing], grid("A4 3x7")), 150)
    on = grid("A4")
    corner = tuple(round(edge * 150 / 25.4) for edge in (on.left + 63.5, on.top + 38.1))
    box = (corner[0] - 6, corner[1] - 6, corner[0] + 6, corner[1] + 6)
    assert plain.convert("L").crop(box).getextrema() != (255, 255)
    last = (plain.width * 2 // 3, plain.height // 2, plain.width, plain.height)
    assert sticker.convert("L").crop(last).getextrema() == (255, 255)


def test_the_steel_rule_is_true_to_size() -> None:
    dpi = 600
    [label] = make_labels([BLANK], grid("A4"))
    foot = drawing.to_image(label.drawing, dpi).convert("L")
    row = foot.crop((0, foot.height - 10, foot.width, foot.height - 9))
    ink = [x for x in range(1, row.width) if row.getpixel((x, 0)) == 0 and row.getpixel((x - 1, 0)) != 0]
    assert len(ink) == 58  # 0 to 57 mm on a label 63.5 mm wide
    assert (ink[50] - ink[0]) / dpi * 25.4 == pytest.approx(50, abs=0.1)


@pytest.mark.parametrize(("full", "code_alone"), [(True, True), (False, False)])
def test_a_label_too_small_for_the_summary_says_so_and_holds_the_code_alone(full: bool, code_alone: bool) -> None:
    label = bag_label(ODD, 40, 12, PrinterProfile(dpi=300), full=full)
    assert label.payload.text == ODD.code
    assert label.code_alone is code_alone
    assert (label.code.square.version, label.code.square.level) == (1, qr.Level.H)


def test_a_label_too_small_for_any_code_is_refused() -> None:
    with pytest.raises(BadInput, match=r"20 x 8 mm is too small for any code: .* needs 9\.8 mm"):
        bag_label(FACTS, 20, 8)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [({"dpi": 30}, "30 dots"), ({"dpi": 99999}, "99999 dots"), ({"least_module": 0}, "0 mm")],
)
def test_printers_that_cannot_be_are_refused(arguments: dict[str, float], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        PrinterProfile(**arguments)  # type: ignore[arg-type]


def test_bad_requests_are_refused_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no label to print"):
        write_labels([], tmp_path)
    with pytest.raises(BadInput, match=f"two labels have the code {CODE}"):
        write_labels([FACTS, BLANK, FACTS], tmp_path)
    with pytest.raises(BadInput, match="labels 1 to 21"):
        write_labels([FACTS], tmp_path, start=22)
    with pytest.raises(BadInput, match="not a label sheet"):
        write_labels([FACTS], tmp_path, paper="foolscap")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("here already")
    with pytest.raises(DiskTrouble, match="could not be written"):
        write_labels([FACTS], tmp_path / "out")
    assert (tmp_path / "out").read_text() == "here already"


awkward = "[]/\"'\U0001f5a8\ufe0f\u200d\u202e\u05d0\u0628\u0644\u0627\u0301 \t\n"
names = st.text(max_size=300) | st.text(alphabet=awkward, max_size=60)


@given(machine=names, serial=names, box=names, part=names, size=names, bag=st.integers(0, 10**9))
@example(machine="", serial="", box="\u0300", part="\u0300", size="", bag=0)  # an accent alone has no width
def test_any_words_print(machine: str, serial: str, box: str, part: str, size: str, bag: int) -> None:
    on = grid("A4 5x13")
    facts = LabelFacts(CODE, machine, serial, bag, box, (part, part), (1, 2), (Contents(3, size),))
    label = bag_label(facts, on.width, on.height)
    assert sheet_pdf([label.drawing], on).startswith(b"%PDF")
    assert read_texts(drawing.to_image(label.drawing, 300)) == [label.payload.text]


def test_a_sheet_of_another_machine_is_kept_under_its_name(tmp_path: Path) -> None:
    for machine in ("Färe stamp", "Panel 7"):
        facts = [LabelFacts("PB3K7M2Q4", machine=machine, serial="4?1", bag=1)]
        told = set_aside(tmp_path, "labels", f"{machine} 4?1")
        write_labels(facts, tmp_path)
        assert whose_sheet(tmp_path / "labels.pdf") == f"{machine} 4?1"
    assert told == "labels.pdf was that of Färe stamp 4?1: it is kept as labels-färe-stamp-4-1.pdf."
    assert whose_sheet(tmp_path / "labels-färe-stamp-4-1.pdf") == "Färe stamp 4?1"
    assert set_aside(tmp_path, "labels", "Panel 7 4?1") == "" == set_aside(tmp_path, "tags", "Panel 7 4?1")
