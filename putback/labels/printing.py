"""Sheets of labels as PDF and single labels as PNG. fpdf2 and Pillow are loaded on first use."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from putback.errors import BadInput, DiskTrouble
from putback.labels import drawing
from putback.labels.cupboard import Shelf, cupboard_sheets
from putback.labels.facts import BoxFacts, Contents, LabelFacts, StrokeFacts, TagFacts
from putback.labels.layout import Label, bag_label
from putback.labels.paper import PAPERS, Grid, centred, grid
from putback.labels.printer import PrinterProfile
from putback.labels.tags import box_label, command_cell, hang_tag
from putback.labels.whose import BLANK, signed
from putback.progress import each
from putback.store.disk import put_made

if TYPE_CHECKING:
    from fpdf import FPDF

__all__ = [
    "BoxFacts",
    "Contents",
    "Label",
    "LabelFacts",
    "PrinterProfile",
    "StrokeFacts",
    "TagFacts",
    "make_labels",
    "sheet_pdf",
    "write_box_labels",
    "write_command_sheet",
    "write_cupboard_sheet",
    "write_labels",
    "write_made",
    "write_pages",
    "write_tags",
]


def make_labels(
    facts: Sequence[LabelFacts], on: Grid, printer: PrinterProfile | None = None, *, full: bool = True
) -> list[Label]:
    """The labels for a grid, each with what its square holds and what did not fit into it.

    Raises BadInput when there is none, when two have one code, or when they are too small for a code.
    """
    if not facts:
        raise BadInput("there is no label to print")
    [(code, times)] = Counter(one.code for one in facts).most_common(1)
    if times > 1:
        raise BadInput(f"two labels have the code {code}; each bag needs its own")
    made = (bag_label(one, *on.print_size, printer, full=full) for one in each(facts, "labels laid out"))
    return [replace(label, drawing=_on_stock(label.drawing, on)) for label in made]


def _on_stock(one: drawing.Drawing, on: Grid) -> drawing.Drawing:
    """A drawing in the middle of its label; on a disc there is paper around it."""
    right, down = (on.width - one.width) / 2, (on.height - one.height) / 2
    marks = tuple(replace(mark, x=mark.x + right, y=mark.y + down) for mark in one.marks) if on.round else one.marks
    return drawing.Drawing(on.width, on.height, marks)


def sheet_pdf(drawings: Sequence[drawing.Drawing], on: Grid, *, start: int = 1, whose: str = "") -> bytes:
    """A PDF of label sheets, the first label at the `start`th place of the first sheet.

    Print it at 100 %, not fitted to the page; it says `whose` labels it has. Raises BadInput when the sheet has no
    such place.
    """
    from fpdf import FPDF  # the PDF library, only where a PDF is made

    places = list(on.places(len(drawings), start))
    pdf = FPDF(unit="mm", format=on.size)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    if whose:
        pdf.set_subject(signed(whose))
    drawing.add_fonts(pdf)
    sheets = -1
    for one, (sheet, left, top) in zip(each(drawings, "labels set on sheets"), places, strict=True):
        while sheets < sheet:
            pdf.add_page()
            sheets += 1
            if on.cut_marks:
                _cut_marks(pdf, on)
        drawing.to_pdf(one, pdf, left, top)
    return bytes(pdf.output())


def _cut_marks(pdf: "FPDF", on: Grid) -> None:
    """Small crosses at the labels' corners; of discs their outlines."""
    pdf.set_draw_color(0)
    pdf.set_line_width(0.1)
    if on.round:
        for _, left, top in on.places(on.per_sheet):
            pdf.circle(left + on.width / 2, top + on.height / 2, on.width / 2)
        return
    xs = {on.left + n * on.across + edge for n in range(on.columns) for edge in (0.0, on.width)}
    ys = {on.top + n * on.down + edge for n in range(on.rows) for edge in (0.0, on.height)}
    for x in xs:
        for y in ys:
            pdf.line(x - 1.2, y, x + 1.2, y)
            pdf.line(x, y - 1.2, x, y + 1.2)


def write_labels(
    facts: Sequence[LabelFacts],
    out: Path,
    *,
    paper: str | Grid = "A4",
    printer: PrinterProfile | None = None,
    full: bool = True,
    start: int = 1,
) -> list[Path]:
    """Write `labels.pdf` and one `CODE.png` a label into `out`, and give back their paths, PDF first.

    `paper` is a grid, or names one of `paper.GRIDS`; `start` is the first free label of the first sheet. Without
    `full` every square holds its code alone. Raises BadInput for what cannot be printed, DiskTrouble
    when `out` will not take the files.
    """
    on, printer = _ready(paper, printer)
    return write_made(make_labels(facts, on, printer, full=full), out, on, printer, start=start)


def write_made(labels: Sequence[Label], out: Path, on: Grid, printer: PrinterProfile, *, start: int = 1) -> list[Path]:
    """Write labels that were made for this grid; all else as `write_labels`."""
    drawings = {label.facts.code: label.drawing for label in labels}
    return _write(drawings, "labels", out, on, printer, start, _whose(label.facts for label in labels))


def write_tags(
    tags: Sequence[TagFacts],
    out: Path,
    *,
    paper: str | Grid = "A4",
    printer: PrinterProfile | None = None,
    start: int = 1,
) -> list[Path]:
    """Write `tags.pdf` and one `tag-LETTER.png` a hang-tag; as `write_labels` in all else."""
    on, printer = _ready(paper, printer)
    drawings = {f"tag-{_file_name(one.letter)}": _on_stock(hang_tag(one, *on.print_size, printer), on) for one in tags}
    return _write(drawings, "tags", out, on, printer, start, _whose(tags))


def write_box_labels(
    boxes: Sequence[BoxFacts],
    out: Path,
    *,
    paper: str | Grid = "A4",
    printer: PrinterProfile | None = None,
    start: int = 1,
) -> list[Path]:
    """Write `boxes.pdf` and one `box-LETTER.png` a box; as `write_labels` in all else."""
    on, printer = _ready(paper, printer)
    drawings = {
        f"box-{_file_name(one.letter)}": _on_stock(box_label(one, *on.print_size, printer), on) for one in boxes
    }
    return _write(drawings, "boxes", out, on, printer, start, _whose(boxes))


def write_command_sheet(
    strokes: Sequence[StrokeFacts], out: Path, *, paper: str = "A4", printer: PrinterProfile | None = None
) -> Path:
    """Write `commands.pdf`: the strokes of the bench as codes, with the key and plain words beside each.

    `paper` is A4 or Letter. Raises BadInput when there is no stroke, DiskTrouble when it cannot write.
    """
    if not strokes:
        raise BadInput("there is no command to print")
    on = replace(centred(paper, 90.0, 28.0, gap=4.0, margin=8.0), cut_marks=False)
    pdf = sheet_pdf([command_cell(one, on.width, on.height, printer) for one in strokes], on)
    return _save({"commands.pdf": pdf}, out)[0]


def write_cupboard_sheet(shelves: Sequence[Shelf], out: Path, *, paper: str = "A4", day: str = "") -> Path:
    """Write `bags.pdf`, boxes and bags of all machines, and give its path. Raises DiskTrouble when it cannot write."""
    return write_pages("bags", cupboard_sheets(shelves, paper, day), out, paper)


def write_pages(name: str, pages: Sequence[drawing.Drawing], out: Path, paper: str) -> Path:
    """Write whole pages as `NAME.pdf` and give its path. Raises DiskTrouble when it cannot write."""
    wide, high = PAPERS[paper]
    on = Grid(paper, wide, high, 1, 1, 0.0, 0.0, wide, high)
    return _save({f"{name}.pdf": sheet_pdf(pages, on)}, out)[0]


def _ready(paper: str | Grid, printer: PrinterProfile | None) -> tuple[Grid, PrinterProfile]:
    on = grid(paper) if isinstance(paper, str) else paper
    return on, printer or PrinterProfile(inches=on.paper == "Letter")


def _file_name(letter: str) -> str:
    """A tag's or box's letter as part of a file name."""
    return "".join(c if c.isalnum() else "-" for c in letter.strip())[:40] or "-"


def _whose(facts: Iterable[LabelFacts | TagFacts | BoxFacts]) -> str:
    """Return the machine that labels are of, name and serial; of blank ones that they are blank."""
    first = next(iter(facts), None)
    return (f"{first.machine} {first.serial}".strip() if first is not None else "") or BLANK


def _write(
    drawings: dict[str, drawing.Drawing],
    sheet: str,
    out: Path,
    on: Grid,
    printer: PrinterProfile,
    start: int,
    whose: str,
) -> list[Path]:
    if not drawings:
        raise BadInput("there is no label to print")
    files = {f"{sheet}.pdf": sheet_pdf(list(drawings.values()), on, start=start, whose=whose)}
    for name, one in each(drawings.items(), "pictures of labels"):
        into = BytesIO()
        drawing.to_image(one, printer.dpi).save(into, "PNG", dpi=(printer.dpi, printer.dpi))
        files[f"{name}.png"] = into.getvalue()
    return _save(files, out)


def _save(files: dict[str, bytes], out: Path) -> list[Path]:
    """Write files for their owner only, as the workshop is; give their paths. Raises DiskTrouble."""
    try:
        for name, content in files.items():
            put_made(out / name, content)
    except OSError as fault:
        raise DiskTrouble(f"what is to be printed could not be written to {out}: {fault.strerror or fault}") from fault
    return [out / name for name in files]
