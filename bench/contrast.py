"""The contrast of every sign in the pictures of the screens, against the ground it stands on.

    python -m bench.contrast [PICTURE.svg...]

Without names it reads all pictures of docs/screens and docs/guide. Of each picture it prints the least ratio of words
(letters and figures; WCAG 2.1, success criterion 1.4.3, wants 4.5 to 1) and of lines and signs (1.4.11 wants 3 to 1),
with what has it, and exits 1 where one is below. What lies dimmed behind a question has colours that no theme has: of
it the words count, and have to have 3 to 1; its lines carry nothing there, and neither do the cells of a photo.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from html import unescape
from pathlib import Path

from putback.tui.draw.palette import TONES, contrast

DOCS = Path(__file__).parents[1] / "docs"

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


def main(names: list[str]) -> int:
    """Print the least ratios of each picture; 1 where one is too low."""
    paths = [Path(name) for name in names] or sorted([*DOCS.glob("screens/*.svg"), *DOCS.glob("guide/**/*.svg")])
    low = 0
    for path in paths:
        found = {"words": (21.0, ""), "lines": (21.0, ""), "dimmed": (21.0, "")}
        for sort, ratio, text in signs(path.read_text(encoding="utf-8")):
            found[sort] = min(found[sort], (ratio, text))
        bad = any(found[sort][0] < least for sort, least in LEAST.items())
        low += bad
        told = "  ".join(f"{sort} {ratio:5.2f} {text[:16]:<16}" for sort, (ratio, text) in found.items() if text)
        print(f"{path.stem:<18} {told}{'  too low' if bad else ''}")
    print(f"{len(paths)} pictures, {low} with something too low")
    return 1 if low else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
