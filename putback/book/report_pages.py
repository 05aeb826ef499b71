"""A report on paper, from its blocks: as HTML, PDF or Markdown, with boxes to tick where something is open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

from putback.errors import BadInput
from putback.labels.drawing import FAMILY, add_fonts
from putback.labels.lettering import printable
from putback.labels.paper import PAPERS
from putback.reports.blocks import MARKS, Block

if TYPE_CHECKING:
    from fpdf import FPDF

INSET = 7.0
"""Millimetres that the words of a line stand in from the margin: a box has its room before them."""

LEADING = 5.0
"""Millimetres from a row to the next."""

STYLE = """
body { font: 16px/1.45 Georgia, "DejaVu Serif", serif; max-width: 44rem; margin: 0 auto; padding: 1rem; color: #23211d;
  background: #fff; }
h1 { font-size: 1.6rem; margin: 0; font-weight: normal; } h2 { font-size: 1.05rem; margin: 1.1rem 0 .2rem; }
ul { margin: 0; padding: 0; list-style: none; } li { padding: .1rem 0 .1rem 1.8rem; text-indent: -1.8rem; }
td, th { padding: .1rem 1rem .1rem 0; vertical-align: top; text-align: left; }
.box { display: inline-block; width: .9rem; height: .9rem; border: 1px solid #23211d; margin: 0 .75rem 0 .05rem;
  vertical-align: -.1rem; } .dot { display: inline-block; width: 1.8rem; text-indent: .4rem; }
@page { margin: 16mm; } @media print { body { font-size: 10.5pt; padding: 0; } h2, li, tr { break-inside: avoid; }
  h2 { break-after: avoid; } }
"""

_SIGNS = {
    "open": '<span class="box" role="img" aria-label="to do"></span>',
    "caution": '<span class="dot" role="img" aria-label="caution">!</span>',
}


def in_form(blocks: Iterable[Block], ending: str, paper: str = "A4") -> bytes:
    """Return a report in the form that a file's ending asks for: `.html`, `.pdf` or else Markdown."""
    if ending == ".pdf":
        return as_pdf(blocks, paper)
    return (as_html if ending in (".html", ".htm") else as_markdown)(blocks).encode()


def _seen(blocks: Iterable[Block]) -> tuple[str, list[Block]]:
    """Return the title of a report, empty where it has none, and the rest of what is for the eye."""
    found = [block for block in blocks if block.line]
    return (found[0].line, found[1:]) if found and found[0].sort == "title" else ("", found)


def as_html(blocks: Iterable[Block]) -> str:
    """Return a report as one page of HTML."""
    title, rest = _seen(blocks)
    heading = f"<h1>{escape(title)}</h1>" if title else ""
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{STYLE}</style></head><body><main>"
        f"{heading}{''.join(_html(rest))}</main></body></html>\n"
    )


def _html(blocks: Iterable[Block]) -> Iterator[str]:
    for kind, some in _parts(blocks):
        if kind == "heading":
            yield from (f"<h2>{escape(block.line)}</h2>" for block in some)
        elif kind == "row":
            yield f"<table>{''.join(map(_row, some))}</table>"
        elif kind == "line":
            dot = '<span class="dot">·</span>'
            yield f"<ul>{''.join(f'<li>{_SIGNS.get(b.sort, dot)}{escape(b.line)}</li>' for b in some)}</ul>"
        else:
            yield from (f"<p>{escape(block.line)}</p>" for block in some)


def _row(block: Block) -> str:
    tag = "th" if block.sort == "columns" else "td"
    return f"<tr>{''.join(f'<{tag}>{escape(cell)}</{tag}>' for cell in block.cells)}</tr>"


def _parts(blocks: Iterable[Block]) -> Iterator[tuple[str, list[Block]]]:
    """Give blocks of one kind that stand together; rows of one table have as many cells."""
    for (kind, _), some in groupby(blocks, lambda block: (_kind(block), len(block.cells))):
        yield kind, list(some)


def _kind(block: Block) -> str:
    """What a block is on paper: a heading, a row of a table, a line of a list, or a sentence at the margin."""
    if block.sort in ("title", "heading"):
        return "heading"
    return "row" if block.cells else "line" if block.inset or block.sort in MARKS else "sentence"


def as_markdown(blocks: Iterable[Block]) -> str:
    """Return a report as Markdown, open lines as tasks."""
    title, rest = _seen(blocks)
    return "\n\n".join((*((f"# {_marked(title)}",) if title else ()), *_markdown(rest))) + "\n"


def _markdown(blocks: Iterable[Block]) -> Iterator[str]:
    for kind, some in _parts(blocks):
        if kind == "heading":
            yield from (f"## {_marked(block.line)}" for block in some)
        elif kind == "row":
            yield _table(some)
        elif kind == "line":
            signs = {"open": "[ ] ", "caution": "**Caution:** "}
            yield "\n".join(f"- {signs.get(block.sort, '')}{_marked(block.line)}" for block in some)
        else:
            yield from (_marked(block.line) for block in some)


def _table(rows: list[Block]) -> str:
    """Rows as a table; its head is empty where no row names the columns."""
    across, named = len(rows[0].cells), rows[0].sort == "columns"
    lines = [f"| {' | '.join(map(_marked, row.cells))} |" for row in rows]
    head = lines.pop(0) if named else f"|{' |' * across}"
    return "\n".join((head, f"|{'---|' * across}", *lines))


def _marked(words: str) -> str:
    from putback.book.markdown import marked  # the other forms do without it

    return marked(words)


def as_pdf(blocks: Iterable[Block], paper: str = "A4") -> bytes:
    """Return a report as PDF on `paper`, A4 or Letter. Raises BadInput for any other."""
    from fpdf import FPDF  # the PDF library, only where a PDF is made

    name = next((known for known in PAPERS if known.casefold() == paper.strip().casefold()), "")
    if not name:
        raise BadInput(f"{paper} is not a paper known here; there is {' and '.join(PAPERS)}")
    title, rest = _seen(blocks)
    pdf = FPDF(unit="mm", format=PAPERS[name])
    pdf.set_margins(18, 18)
    pdf.set_auto_page_break(True, 16)
    pdf.set_title(title)
    add_fonts(pdf)
    pdf.add_page()
    if title:
        _words(pdf, title, 16, 8, bold=True)
    parts = list(_parts(rest))
    for (kind, some), (_, after) in zip(parts, [*parts[1:], ("", [])], strict=True):
        if kind == "heading":
            for block in some:
                _heading(pdf, block, after[0] if after else None)
        elif kind == "row":
            _rows(pdf, some)
        else:
            for block in some:
                _line(pdf, block, INSET if kind == "line" else 0.0)
    return bytes(pdf.output())


def _words(pdf: FPDF, words: str, size: float, leading: float, *, bold: bool = False) -> None:
    pdf.set_font(FAMILY, "B" if bold else "", size)
    pdf.multi_cell(0, leading, printable(words), align="L", new_x="LMARGIN", new_y="NEXT")


def _heading(pdf: FPDF, block: Block, after: Block | None) -> None:
    """Set a heading, which stays with what is below it."""
    pdf.set_font(FAMILY, "", 10)
    if pdf.will_page_break(3 + 6 + (_height(pdf, after, INSET) if after is not None else 0.0)):
        pdf.add_page()
    pdf.ln(3)
    _words(pdf, block.line, 11, 6, bold=True)


def _rows(pdf: FPDF, rows: list[Block]) -> None:
    """Set rows as a table, each column as wide as its widest cell, as far as there is room."""
    pdf.set_font(FAMILY, "", 10)
    cells = [[printable(cell) for cell in row.cells] for row in rows]
    wide = [max(map(pdf.get_string_width, column)) + 5 for column in zip(*cells, strict=True)]
    with pdf.table(
        cells,
        first_row_as_headings=rows[0].sort == "columns",
        borders_layout="NONE",
        line_height=LEADING,
        width=min(pdf.epw, sum(wide)),
        col_widths=tuple(wide),
        align="LEFT",
        text_align="LEFT",
    ):
        pass


def _height(pdf: FPDF, block: Block, inset: float) -> float:
    """Return how many millimetres a line takes."""
    high = pdf.multi_cell(pdf.epw - inset, LEADING, printable(block.line), dry_run=True, output="HEIGHT")
    return float(high) if isinstance(high, float) else LEADING


def _line(pdf: FPDF, block: Block, inset: float) -> None:
    """Set a line, with a box before it where it is open; it stands on one page whole."""
    pdf.set_font(FAMILY, "", 10)
    if pdf.will_page_break(_height(pdf, block, inset)):
        pdf.add_page()
    if block.sort == "open":
        pdf.rect(pdf.get_x() + 1, pdf.get_y() + 1, 3, 3)
    elif block.sort == "caution":
        pdf.text(pdf.get_x() + 2, pdf.get_y() + LEADING - 1.4, "!")
    pdf.set_x(pdf.get_x() + inset)
    _words(pdf, block.line, 10, LEADING)
