"""The book as it is seen: in a browser, by two checkers, on paper, and its contrast by day, by night and in the PDF.

    python -m bench.book [--axe AXE.js] [--vnu VNU.jar] [--pictures DIR]

It makes the book of each sample and opens it in Chromium: a line a look with how far it scrolls sideways, what axe-core
finds and the least contrast of words and signs; then the pages that the browser prints beside those of the PDF. AXE.js
is a newer axe-core than that of the tests (npm: axe-core), VNU.jar the Nu HTML checker (npm: vnu-jar; it wants Java).
`--pictures` writes what was looked at. Exits 1 where anything is found.
"""

from __future__ import annotations

import argparse
import io
import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2

from bench.contrast import LEAST, SAMPLES, book_of, least, signs_in_page, signs_in_pdf
from putback.book.html import html_of
from putback.book.pdf import pdf_of
from tests.book.browser import AXE, PROGRAM, SIDEWAYS, Page, accessibility_checker, browser

LOOKS = (("desktop", 1280, False, ""), ("390 px", 390, False, ""), ("390 px, dark", 390, True, ""))
"""What is looked at: its name, the window's width, whether by night, and as what."""
A4 = (210 / 25.4, 297 / 25.4)
STRIP = 1600
"""Pixels of the page that one picture shows."""


def looked_at(page: Page, axe: str, pictures: Path | None, name: str) -> int:
    """Print what is found in each look of the page; return how many looks have something."""
    found = 0
    for look, wide, dark, media in LOOKS:
        page.wide(wide)
        page.looks(media=media, dark=dark)
        sideways = page.run(SIDEWAYS)
        page.run(f"{axe};0")
        rules = page.run(AXE % ("document", ""))
        low = least(signs_in_page(page))
        told = "  ".join(f"{sort} {ratio:5.2f} {text[:16]}" for sort, (ratio, text) in low.items() if text)
        print(f"  {look:<14} sideways {sideways['scrolls']:>2} px  axe {len(rules)}  {told}")
        for rule in rules:
            print(f"    {rule['impact']}: {rule['rule']}, {rule['count']} times: {rule['first']}")
        found += bool(sideways["scrolls"] or sideways["out"] or rules or any(low[s][0] < LEAST[s] for s in low))
        if pictures is not None:
            for at in ("h1", "#session-1", "#back", "#sizes"):
                top = page.run(
                    f"(document.querySelector('{at}') || document.body).getBoundingClientRect().top + scrollY"
                )
                part = "".join(letter for letter in f"{name} {look} {at}" if letter.isalnum() or letter == " ")
                page.picture(pictures / f"{part.replace(' ', '-')}.png", top=top, high=STRIP)
    page.looks()
    return found


def main(arguments: list[str]) -> int:
    """Look at the books of the samples; 1 where something is found."""
    parser = argparse.ArgumentParser(prog="python -m bench.book")
    parser.add_argument("--axe", type=Path)
    parser.add_argument("--vnu", type=Path)
    parser.add_argument("--pictures", type=Path)
    args = parser.parse_args(arguments)
    axe = args.axe.read_text("utf-8") if args.axe else accessibility_checker()
    if PROGRAM is None or axe is None:
        print("no Chromium here, or no axe-core: nothing was looked at")
        return 1
    if args.pictures:
        args.pictures.mkdir(parents=True, exist_ok=True)
    found = 0
    with tempfile.TemporaryDirectory() as folder, browser() as page:
        for sample in sorted(SAMPLES.glob("*.toml")):
            book, path = book_of(sample), Path(folder, f"{sample.stem}.html")
            path.write_text(html_of(book), encoding="utf-8")
            pdf = pdf_of(book)
            print(book.caption)
            page.open(path.as_uri())
            found += looked_at(page, axe, args.pictures, sample.stem)
            printed = page.printed(A4)
            pages = [len(pypdfium2.PdfDocument(io.BytesIO(made))) for made in (printed, pdf)]
            low = least(signs_in_pdf(pdf))
            told = "  ".join(f"{sort} {ratio:5.2f} {text[:16]}" for sort, (ratio, text) in low.items() if text)
            print(f"  {'PDF':<14} {pages[1]} pages, {pages[0]} from the browser  {told}")
            found += pages[0] > pages[1] or any(low[s][0] < LEAST[s] for s in low)
            if args.pictures:
                (args.pictures / f"{sample.stem}.pdf").write_bytes(pdf)
                (args.pictures / f"{sample.stem}-printed.pdf").write_bytes(printed)
            if args.vnu:
                checked = subprocess.run(["java", "-jar", args.vnu, path], capture_output=True, text=True)
                lines = [line for line in checked.stderr.splitlines() if "error" in line or "warning" in line]
                print(f"  {'HTML checker':<14} {len(lines)} findings", *lines, sep="\n    ")
                found += bool(lines)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
