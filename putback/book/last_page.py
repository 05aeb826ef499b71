"""The last page on paper: one sheet with boxes to tick, as HTML, PDF, Markdown or plain text."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from putback.errors import BadInput
from putback.labels.drawing import FAMILY, add_fonts
from putback.labels.lettering import printable
from putback.labels.paper import PAPERS
from putback.reports.last_page import LastPage, Line

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
.box { display: inline-block; width: .9rem; height: .9rem; border: 1px solid #23211d; margin: 0 .75rem 0 .05rem;
  vertical-align: -.1rem; } .dot { display: inline-block; width: 1.8rem; text-indent: .4rem; }
@page { margin: 16mm; } @media print { body { font-size: 10.5pt; padding: 0; } h2, li { break-inside: avoid; } }
"""


def as_html(page: LastPage) -> str:
    """Return it as one page of HTML."""

    def line(one: Line) -> str:
        sign = '<span class="box" role="img" aria-label="to do"></span>' if one.open else '<span class="dot">·</span>'
        return f"<li>{sign}{escape(one.words)}</li>"

    sections = (
        f"<h2>{escape(section.title)}</h2><ul>{''.join(map(line, section.lines))}</ul>" for section in page.sections
    )
    title = escape(f"The last page of {page.machine}")
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{STYLE}</style></head><body><main><h1>{title}</h1>"
        f"<p>{escape(page.as_of)}: {escape(page.heading)}.</p>{''.join(sections)}</main></body></html>\n"
    )


def as_markdown(page: LastPage) -> str:
    """Return it as Markdown, open lines as tasks."""
    from putback.book.markdown import marked  # the other forms do without it

    blocks = [f"# {marked(f'The last page of {page.machine}')}", f"{page.as_of}: {marked(page.heading)}."]
    for section in page.sections:
        blocks.append(f"## {marked(section.title)}")
        blocks.append("\n".join(f"- {'[ ] ' if one.open else ''}{marked(one.words)}" for one in section.lines))
    return "\n\n".join(blocks) + "\n"


def as_pdf(page: LastPage, paper: str = "A4") -> bytes:
    """Return it as PDF on `paper`, A4 or Letter. Raises BadInput for any other."""
    from fpdf import FPDF  # the PDF library, only where a PDF is made

    name = next((known for known in PAPERS if known.casefold() == paper.strip().casefold()), "")
    if not name:
        raise BadInput(f"{paper} is not a paper known here; there is {' and '.join(PAPERS)}")
    pdf = FPDF(unit="mm", format=PAPERS[name])
    pdf.set_margins(18, 18)
    pdf.set_auto_page_break(True, 16)
    pdf.set_title(f"The last page of {page.machine}")
    add_fonts(pdf)
    pdf.add_page()
    pdf.set_font(FAMILY, "B", 16)
    pdf.multi_cell(0, 8, printable(f"The last page of {page.machine}"), new_x="LMARGIN", new_y="NEXT")
    pdf.set_font(FAMILY, "", 10)
    pdf.multi_cell(0, 5, printable(f"{page.as_of}: {page.heading}."), new_x="LMARGIN", new_y="NEXT")
    for section in page.sections:
        pdf.set_font(FAMILY, "B", 11)
        if pdf.will_page_break(3 + 6 + _height(pdf, section.lines[0])):  # a title stays with its first line
            pdf.add_page()
        pdf.ln(3)
        pdf.multi_cell(0, 6, printable(section.title), new_x="LMARGIN", new_y="NEXT")
        pdf.set_font(FAMILY, "", 10)
        for one in section.lines:
            _line(pdf, one)
    return bytes(pdf.output())


def _height(pdf: FPDF, one: Line) -> float:
    """Return how many millimetres a line takes."""
    high = pdf.multi_cell(pdf.epw - INSET, LEADING, printable(one.words), dry_run=True, output="HEIGHT")
    return float(high) if isinstance(high, float) else LEADING


def _line(pdf: FPDF, one: Line) -> None:
    """Set a line, with a box before it where it is open; it stands on one page whole."""
    if pdf.will_page_break(_height(pdf, one)):
        pdf.add_page()
    if one.open:
        pdf.rect(pdf.get_x() + 1, pdf.get_y() + 1, 3, 3)
    pdf.set_x(pdf.get_x() + INSET)
    pdf.multi_cell(0, LEADING, printable(one.words), align="L", new_x="LMARGIN", new_y="NEXT")
