"""The contrast of every sign in the pictures of the screens and in the book, against the ground it stands on.

    python -m bench.contrast [PICTURE.svg...]

Without names it reads all pictures of docs/screens and docs/guide, and the press's book: as PDF and, where there is a
Chromium, as HTML by day and by night. Of each picture it prints the least ratio of words
(letters and figures; WCAG 2.1, success criterion 1.4.3, wants 4.5 to 1) and of lines and signs (1.4.11 wants 3 to 1),
with what has it, and exits 1 where one is below. What lies dimmed behind a question has colours that no theme has: of
it the words count, and have to have 3 to 1; its lines carry nothing there, and neither do the cells of a photo.
"""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Iterable, Iterator
from ctypes import byref, c_int, c_uint
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

import pypdfium2
import pypdfium2.raw as raw

from putback.book.colours import DAY
from putback.book.contents import Book, gather
from putback.book.html import html_of
from putback.book.pdf import pdf_of
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.machine import Machine
from putback.tui.draw.palette import TONES, contrast
from tests.book.browser import PROGRAM, Page, browser

DOCS = Path(__file__).parents[1] / "docs"
SAMPLES = Path(__file__).parents[1] / "sample_sessions"

LEAST = {"words": 4.5, "lines": 3.0, "dimmed": 3.0}
"""The least ratio of each sort."""

_OWN = {getattr(tones, name) for tones in TONES.values() for name in tones.__struct_fields__}
"""The colours of the themes."""

_FILL = re.compile(r"\.([\w-]+-r\d+) \{ fill: (#[0-9a-f]{6})")
_GROUND = re.compile(
    r'<rect fill="(#[0-9a-f]{6})" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"[^>]*shape-rendering'
)
_TEXT = re.compile(r'<text class="([\w-]+-r\d+)" x="([\d.]+)" y="([\d.]+)" textLength="([\d.]+)"[^>]*>([^<]*)</text>')


def signs(svg: str) -> Iterator[tuple[str, float, str]]:
    """Give every text of a picture that Textual made: `words`, `lines` or `dimmed`, its ratio, and itself."""
    fills = dict(_FILL.findall(svg))
    grounds = [(fill, *map(float, lies)) for fill, *lies in _GROUND.findall(svg)]
    for name, *lies, text in _TEXT.findall(svg):
        x, y, length = map(float, lies)
        words = unescape(text).replace("\xa0", " ").strip()
        middle = x + min(length, 12.2) / 2
        under = [
            fill
            for fill, left, top, wide, high in grounds
            if left <= middle < left + wide and top <= y - 8 < top + high
        ]
        sort = "words" if re.search(r"\w", words) else "lines"
        if words and under and fills[name] not in _OWN:
            sort = "dimmed" if sort == "words" else ""
        if words and under and sort:
            yield sort, contrast(fills[name], under[-1]), words


def signs_in_pdf(data: bytes) -> Iterator[tuple[str, float, str]]:
    """Give every word of a PDF, and every line that is drawn on it, with its ratio to what was filled below it.

    Lines between steps are left out: they part, and carry no meaning.
    """
    colour = [c_uint() for _ in range(4)]
    fills, stroke = c_int(), c_int()
    for page in pypdfium2.PdfDocument(io.BytesIO(data)):
        words, grounds = page.get_textpage(), [("#ffffff", (0.0, 0.0, 1e9, 1e9))]
        for one in page.get_objects():
            left, bottom, right, top = one.get_bounds()
            x, y = (left + right) / 2, (bottom + top) / 2
            under = [fill for fill, (a, b, c, d) in grounds if a <= x <= c and b <= y <= d][-1]
            if one.type == raw.FPDF_PAGEOBJ_TEXT:
                raw.FPDFPageObj_GetFillColor(one, *map(byref, colour))
                text = words.get_text_bounded(left, bottom, right, top).strip()
                yield "words", contrast(_hex(colour), under), text
            elif one.type == raw.FPDF_PAGEOBJ_PATH:
                raw.FPDFPath_GetDrawMode(one, byref(fills), byref(stroke))
                if stroke.value:
                    raw.FPDFPageObj_GetStrokeColor(one, *map(byref, colour))
                    if _hex(colour) != DAY.line:
                        yield "lines", contrast(_hex(colour), under), f"a line at {left:.0f}, {top:.0f}"
                if fills.value:
                    raw.FPDFPageObj_GetFillColor(one, *map(byref, colour))
                    grounds.append((_hex(colour), (left, bottom, right, top)))


def _hex(colour: list[c_uint]) -> str:
    return "#" + "".join(f"{one.value:02x}" for one in colour[:3])


IN_PAGE = """
(() => {
  const clear = ground => !ground || ground === "transparent" || ground.endsWith(", 0)");
  const under = element => {
    while (element && clear(getComputedStyle(element).backgroundColor)) element = element.parentElement;
    return element ? getComputedStyle(element).backgroundColor : "rgb(255, 255, 255)"; };
  const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const words = walk.currentNode.textContent.trim(), element = walk.currentNode.parentElement;
    if (!words || element.closest("script, style") || !element.getClientRects().length) continue;
    if (!element.closest("svg")) { found.push([words, getComputedStyle(element).color, under(element)]); continue; }
    const box = element.getBBox(), x = box.x + box.width / 2, y = box.y + box.height / 2;
    const below = [...element.parentElement.querySelectorAll("rect, circle")].filter(shape => {
      const b = shape.getBBox();
      return (element.compareDocumentPosition(shape) & 2) && getComputedStyle(shape).fill !== "none"
        && b.x <= x && x <= b.x + b.width && b.y <= y && y <= b.y + b.height; }).pop();
    found.push([words, getComputedStyle(element).fill, below ? getComputedStyle(below).fill : under(element)]);
  }
  return found;
})()
"""
"""Every text of a page with its colour and that of the ground it stands on; in a face the shape below it."""


def signs_in_page(page: Page) -> Iterator[tuple[str, float, str]]:
    """Give every word of a page that is open in a browser, with its ratio."""
    for words, colour, ground in page.run(IN_PAGE):
        ratio = contrast(
            *("#" + "".join(f"{int(part):02x}" for part in _PART.findall(one)[:3]) for one in (colour, ground))
        )
        yield "words", ratio, words


_PART = re.compile(r"\d+")


def least(found: Iterable[tuple[str, float, str]]) -> dict[str, tuple[float, str]]:
    """Return the least ratio of each sort with what has it; 21 and nothing for a sort that is not there."""
    low = dict.fromkeys(LEAST, (21.0, ""))
    for sort, ratio, text in found:
        low[sort] = min(low[sort], (ratio, text))
    return low


def told(name: str, low: dict[str, tuple[float, str]]) -> bool:
    """Print the least ratios of one thing that was looked at; return whether one is too low."""
    bad = any(low[sort][0] < ratio for sort, ratio in LEAST.items())
    words = "  ".join(f"{sort} {ratio:5.2f} {text[:16]:<16}" for sort, (ratio, text) in low.items() if text)
    print(f"{name:<18} {words}{'  too low' if bad else ''}")
    return bad


def book_of(sample: Path) -> Book:
    """Return the book of a session file, as it would be made now."""
    now = datetime.now(UTC)
    record = rehearse(read_session_file(sample.read_text("utf-8"), sample.name, now=now)).record
    return gather(record, record.get(Machine, 1), now=now.isoformat(timespec="seconds"), look=Path)


def book() -> Iterator[tuple[str, dict[str, tuple[float, str]]]]:
    """Give the press's book in each form with its least ratios."""
    made = book_of(SAMPLES / "ticket_dating_press.toml")
    yield "book, PDF", least(signs_in_pdf(pdf_of(made)))
    if PROGRAM is None:
        return
    with TemporaryDirectory() as folder, browser() as page:
        path = Path(folder, "book.html")
        path.write_text(html_of(made), encoding="utf-8")
        for dark in (False, True):
            page.looks(dark=dark)
            page.open(path.as_uri())
            yield f"book, {'night' if dark else 'day'}", least(signs_in_page(page))


def main(names: list[str]) -> int:
    """Print the least ratios of each picture and of the book; 1 where one is too low."""
    paths = [Path(name) for name in names] or sorted([*DOCS.glob("screens/*.svg"), *DOCS.glob("guide/**/*.svg")])
    low = sum(told(path.stem, least(signs(path.read_text(encoding="utf-8")))) for path in paths)
    forms = [] if names else list(book())
    low += sum(told(name, ratios) for name, ratios in forms)
    print(f"{len(paths)} pictures, {len(forms)} forms of the book: {low} with something too low")
    return 1 if low else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
