"""Lettering for labels: the font, its widths, and any text turned into what the font can print.

The core fonts of PDF stop at Latin-1 and Pillow's own font at ASCII, so two cuts of DejaVu Sans
Condensed travel with the program; PDF and PNG then show the same letters at the same widths. What the
font lacks (emoji, East Asian scripts) is printed as an empty box: a name with a gap still says that
something stands there. Right-to-left text is put into the order in which it is drawn.
"""

import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

MISSING = "□"
"""Printed for a character that the font does not have."""
CAP_HEIGHT = 0.729
"""Height of a capital as a share of the letter size (DejaVu Sans: 1493 of 2048 units)."""

_FONTS = Path(__file__).parent / "fonts"
_MEASURE = 1000


def font_file(bold: bool) -> Path:
    """The font file, regular or bold."""
    return _FONTS / ("DejaVuSansCondensed-Bold.ttf" if bold else "DejaVuSansCondensed.ttf")


@cache
def font_at(pixels: int, bold: bool) -> "FreeTypeFont":
    """The font for Pillow at a letter size of so many pixels."""
    from PIL import ImageFont  # the picture library, only where there is a picture

    return ImageFont.truetype(str(font_file(bold)), pixels, layout_engine=ImageFont.Layout.BASIC)


def measure(text: str, size: float, bold: bool = False) -> float:
    """How wide printable text is at a letter size of `size`, in the unit of `size`."""
    return _width(text, bold) * size


@lru_cache(4096)
def _width(text: str, bold: bool) -> float:
    return font_at(_MEASURE, bold).getlength(text) / _MEASURE


@cache
def _covered() -> frozenset[str]:
    # The font library, only where something is printed; it ships no types.
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(font_file(bold=False)) as regular, TTFont(font_file(bold=True)) as bold:
        both = regular.getBestCmap().keys() & bold.getBestCmap().keys()
    return frozenset(map(chr, both))


@lru_cache(4096)
def printable(text: str) -> str:
    """`text` on one line, of characters the font has, in the order in which they are drawn."""
    text = re.sub(r"\s+", " ", unicodedata.normalize("NFC", text)).strip()
    if text.isascii():
        return "".join(character for character in text if character.isprintable())
    text = re.sub(r"[\U0001F3FB-\U0001F3FF\uFE00-\uFE0F]|\u200D[^\w\s]", "", text)
    right_to_left = any(unicodedata.bidirectional(character) in ("R", "AL") for character in text)
    if right_to_left:
        text = _in_drawing_order(_joined(text))
    kept = (character for character in text if unicodedata.category(character) not in ("Cc", "Cf", "Cs"))
    return "".join(character if character in _covered() else MISSING for character in kept)


def _in_drawing_order(text: str) -> str:
    from fpdf.bidi import BidiParagraph  # the PDF library, only where a PDF is made

    return BidiParagraph(text=text).get_reordered_string()


@cache
def _forms() -> dict[str, dict[str, str]]:
    """Arabic letters (and lam with alef) -> the shapes Unicode has for them, by place in the word."""
    forms: dict[str, dict[str, str]] = {}
    for code in (*range(0xFB50, 0xFC00), *range(0xFE70, 0xFF00)):
        place, *letters = unicodedata.decomposition(chr(code)).split() or [""]
        base = "".join(chr(int(letter, 16)) for letter in letters)
        if place in ("<isolated>", "<final>", "<initial>", "<medial>") and " " not in base:
            forms.setdefault(base, {}).setdefault(place[1:-1], chr(code))
    return forms


def _joined(text: str) -> str:
    """Arabic letters as they look joined to their neighbours; all else as it is."""
    forms = _forms()
    pairs = [base for base in forms if len(base) == 2 and base[0] == "\u0644"]
    letters = re.findall("|".join(map(re.escape, pairs)) + "|.", text, re.DOTALL)
    shaped: list[str] = []
    for place, letter in enumerate(letters):
        mine = forms.get(letter, {})
        before = _neighbour(letters[:place][::-1])
        after = _neighbour(letters[place + 1 :])
        joins_before = "final" in mine and "initial" in forms.get(before, {})
        joins_after = "initial" in mine and "final" in forms.get(after, {})
        shape = {
            (True, True): "medial",
            (True, False): "final",
            (False, True): "initial",
            (False, False): "isolated",
        }[joins_before, joins_after]
        shaped.append(mine.get(shape, letter))
    return "".join(shaped)


def _neighbour(letters: list[str]) -> str:
    """The next letter that is not a vowel sign."""
    return next((letter for letter in letters if not unicodedata.combining(letter[0])), "")


def wrap(text: str, room: float, size: float, bold: bool, lines: int) -> list[str]:
    """Printable `text` in at most so many lines of `room` width, the last cut with … if it must be.

    A word wider than the line is cut. An empty text gives no line.
    """
    done: list[str] = []
    rest = text
    while rest and len(done) < lines:
        last = len(done) == lines - 1
        if measure(rest, size, bold) <= room:
            return [*done, rest]
        if last:
            return [*done, clip(rest, room, size, bold)]
        fits = how_many_fit(rest, room, size, bold)
        cut = rest[: fits + 1].rfind(" ")
        if cut <= 0:
            cut = max(1, fits)
        done.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    return done


def clip(text: str, room: float, size: float, bold: bool) -> str:
    """Printable `text` cut to `room` with … at its end when it is wider."""
    if measure(text, size, bold) <= room:
        return text
    fits = how_many_fit(text, room - measure("…", size, bold), size, bold)
    return text[:fits].rstrip() + "…" if fits > 0 else ""


def how_many_fit(text: str, room: float, size: float, bold: bool) -> int:
    """How many letters of printable text fit a line of `room` width."""
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(text[:middle], size, bold) <= room:
            low = middle
        else:
            high = middle - 1
    return low
