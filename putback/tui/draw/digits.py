"""Tall figures for a metre's distance: sizes, readings, counts, three or five rows high.

Drawn from little bitmaps, two dots to a cell one above the other. `/ . # - x " ?` are figures of
their own, for `#8-32`, `3/8`, `M5x0.8`, `.372` and `2BA` are what has to be read from afar.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Literal

from rich.cells import cell_len
from textual.content import Content

from putback.tui.draw.glyphs import UNICODE, GlyphSet
from putback.tui.draw.text import fitted, plain, wrapped

Rows = Literal[3, 5]

_LOW = """
0 .##. #..# #..# #..# #..# .##.
1 .#. ##. .#. .#. .#. ###
2 ###. ...# ...# .##. #... ####
3 ###. ...# .##. ...# ...# ###.
4 #..# #..# #..# #### ...# ...#
5 #### #... ###. ...# ...# ###.
6 .##. #... ###. #..# #..# .##.
7 #### ...# ..#. ..#. .#.. .#..
8 .##. #..# .##. #..# #..# .##.
9 .##. #..# #..# .### ...# .##.
. . . . . . #
/ ...# ...# ..#. .#.. #... #...
# .#.#. ##### .#.#. .#.#. ##### .#.#.
- ... ... ### ... ... ...
+ ... .#. ### .#. ... ...
: . # . . # .
x ... ... #.# .#. .#. #.#
" #.# #.# ... ... ... ...
? ###. ...# ..#. .#.. .... .#..
A .##. #..# #..# #### #..# #..#
B ###. #..# ###. #..# #..# ###.
C .### #... #... #... #... .###
D ###. #..# #..# #..# #..# ###.
E #### #... ###. #... #... ####
F #### #... ###. #... #... #...
G .### #... #... #.## #..# .###
H #..# #..# #### #..# #..# #..#
I ### .#. .#. .#. .#. ###
J ...# ...# ...# ...# #..# .##.
K #..# #.#. ##.. #.#. #..# #..#
L #... #... #... #... #... ####
M #...# ##.## #.#.# #...# #...# #...#
N #..# ##.# ##.# #.## #.## #..#
O .##. #..# #..# #..# #..# .##.
P ###. #..# #..# ###. #... #...
Q .##. #..# #..# #..# #.#. .#.#
R ###. #..# #..# ###. #.#. #..#
S .### #... .##. ...# ...# ###.
T ##### ..#.. ..#.. ..#.. ..#.. ..#..
U #..# #..# #..# #..# #..# .##.
V #...# #...# #...# .#.#. .#.#. ..#..
W #...# #...# #...# #.#.# ##.## #...#
X #...# .#.#. ..#.. ..#.. .#.#. #...#
Y #...# .#.#. ..#.. ..#.. ..#.. ..#..
Z #### ...# ..#. .#.. #... ####
"""

_HIGH = """
0 .####. ###### ##..## ##..## ##..## ##..## ##..## ##..## ###### .####.
1 ..##.. .###.. ####.. ..##.. ..##.. ..##.. ..##.. ..##.. ###### ######
2 #####. ###### ....## ....## .##### #####. ##.... ##.... ###### ######
3 #####. ###### ....## ....## .####. .####. ....## ....## ###### #####.
4 ##..## ##..## ##..## ##..## ###### ###### ....## ....## ....## ....##
5 ###### ###### ##.... ##.... #####. ###### ....## ....## ###### #####.
6 .##### ###### ##.... ##.... #####. ###### ##..## ##..## ###### .####.
7 ###### ###### ....## ....## ...##. ...##. ..##.. ..##.. ..##.. ..##..
8 .####. ###### ##..## ##..## .####. .####. ##..## ##..## ###### .####.
9 .####. ###### ##..## ##..## ###### .##### ....## ....## ###### #####.
. .. .. .. .. .. .. .. .. ## ##
/ ....## ....## ....## ...##. ...##. ..##.. ..##.. .##... ##.... ##....
# .##.##. .##.##. ####### ####### .##.##. .##.##. ####### ####### .##.##. .##.##.
- .... .... .... .... #### #### .... .... .... ....
+ ...... ...... ..##.. ..##.. ###### ###### ..##.. ..##.. ...... ......
: .. .. ## ## .. .. ## ## .. ..
x ...... ...... ...... ...... ##..## .####. ..##.. ..##.. .####. ##..##
" ##.## ##.## ##.## ..... ..... ..... ..... ..... ..... .....
? #####. ###### ....## ....## ..###. ..##.. ...... ...... ..##.. ..##..
A .####. ###### ##..## ##..## ###### ###### ##..## ##..## ##..## ##..##
B #####. ###### ##..## ##..## #####. #####. ##..## ##..## ###### #####.
C .##### ###### ##.... ##.... ##.... ##.... ##.... ##.... ###### .#####
D ####.. #####. ##..## ##..## ##..## ##..## ##..## ##..## #####. ####..
E ###### ###### ##.... ##.... #####. #####. ##.... ##.... ###### ######
F ###### ###### ##.... ##.... #####. #####. ##.... ##.... ##.... ##....
G .##### ###### ##.... ##.... ##.### ##.### ##..## ##..## ###### .#####
H ##..## ##..## ##..## ##..## ###### ###### ##..## ##..## ##..## ##..##
I #### #### .##. .##. .##. .##. .##. .##. #### ####
J ....## ....## ....## ....## ....## ....## ##..## ##..## ###### .####.
K ##..## ##..## ##.##. ##.##. ####.. ####.. ##.##. ##.##. ##..## ##..##
L ##.... ##.... ##.... ##.... ##.... ##.... ##.... ##.... ###### ######
M ##....## ###..### ######## ######## ##.##.## ##.##.## ##....## ##....## ##....## ##....##
N ##...## ##...## ###..## ###..## ####.## ##.#### ##..### ##..### ##...## ##...##
O .####. ###### ##..## ##..## ##..## ##..## ##..## ##..## ###### .####.
P #####. ###### ##..## ##..## ###### #####. ##.... ##.... ##.... ##....
Q .####. ###### ##..## ##..## ##..## ##..## ##..## ##.##. ###### .##.##
R #####. ###### ##..## ##..## ###### #####. ##.##. ##.##. ##..## ##..##
S .##### ###### ##.... ##.... #####. .##### ....## ....## ###### #####.
T ###### ###### ..##.. ..##.. ..##.. ..##.. ..##.. ..##.. ..##.. ..##..
U ##..## ##..## ##..## ##..## ##..## ##..## ##..## ##..## ###### .####.
V ##..## ##..## ##..## ##..## ##..## ##..## ##..## .####. .####. ..##..
W ##....## ##....## ##....## ##....## ##.##.## ##.##.## ######## ######## ###..### ##....##
X ##..## ##..## ##..## .####. ..##.. ..##.. .####. ##..## ##..## ##..##
Y ##..## ##..## ##..## ##..## .####. .####. ..##.. ..##.. ..##.. ..##..
Z ###### ###### ....## ...##. ..##.. ..##.. .##... ##.... ###### ######
"""


_LOW_ASCII = r"""
0 ~_~ |~| |_|
1 ~~ ~| ~|
2 ~_~ ~_| |_~
3 ~_~ ~_| ~_|
4 ~~~ |_| ~~|
5 ~_~ |_~ ~_|
6 ~_~ |_~ |_|
7 ~_~ ~~| ~~|
8 ~_~ |_| |_|
9 ~_~ |_| ~_|
. ~ ~ .
/ ~~/ ~/~ /~~
# _|_|_ _|_|_ ~|~|~
- ~~ __ ~~
+ ~~~ _|_ ~|~
: ~ . .
x ~~ \/ /\
" || ~~ ~~
? ~_~ ~_| ~.~
A ~_~ |_| |~|
B ~_~ |_) |_)
C ~_~ |~~ |_~
D ~_~ |~\ |_/
E ~_~ |_~ |_~
F ~_~ |_~ |~~
G ~_~ |~~ |_|
H ~~~ |_| |~|
I ~ | |
J ~~~ ~~| |_|
K ~~~ |/~ |\~
L ~~~ |~~ |_~
M ~~~~ |\/| |~~|
N ~~~~ |\~| |~\|
O ~_~ |~| |_|
P ~_~ |_| |~~
Q ~_~ |~| |_\
R ~_~ |_| |~\
S ~_~ (_~ ~_)
T ___ ~|~ ~|~
U ~~~ |~| |_|
V ~~~~ \~~/ ~\/~
W ~~~~ |~~| |/\|
X ~~~ ~\/ ~/\
Y ~~~ \_/ ~|~
Z ___ ~/~ /__
"""
"""Three rows are too few for dots of one row each, so these are strokes; ~ is a blank."""


def tall(words: str, rows: Rows = 3, style: str = "", *, glyphs: GlyphSet = UNICODE) -> list[Content]:
    """The words in tall figures: `rows` rows, 3 or 5, all as wide as `tall_width` says.

    Small letters are drawn as capitals, but for the `x` of `M5x0.8`. A sign without a figure
    is set small in the middle row, so that nothing is lost.
    """
    lines = _lines(words, rows, glyphs.ascii)
    return [Content.styled(line, style) if style else Content(line) for line in lines]


def tall_width(words: str, rows: Rows = 3, *, glyphs: GlyphSet = UNICODE) -> int:
    """Cells across that the words will take."""
    return len(_lines(words, rows, glyphs.ascii)[0])


def tall_fitting(
    words: str, width: int, style: str = "", *, glyphs: GlyphSet = UNICODE, most: int = 5
) -> list[Content]:
    """The words as tall as they will go into the width: fifteen rows or ten where `most` has room, five, three, or
    plain in one."""
    for times in (3, 2):
        lines = _lines(words, 5, glyphs.ascii)
        if 5 * times <= most and len(lines[0]) * times <= width and set("".join(lines)) <= set(_dots(glyphs.ascii)):
            lines = _scaled(lines, times, glyphs.ascii)
            return [Content.styled(line, style) if style else Content(line) for line in lines]
    sizes: tuple[Rows, ...] = (5, 3)
    for rows in sizes:
        if tall_width(words, rows, glyphs=glyphs) <= width:
            return tall(words, rows, style, glyphs=glyphs)
    return [plain(words, width, style, ascii_only=glyphs.ascii)]


def tall_whole(words: str, width: int, style: str = "", *, glyphs: GlyphSet = UNICODE, most: int = 5) -> list[Content]:
    """The same, with nothing cut: the one and the other of two candidates stand one under the other, and what is too
    wide on two lines of three rows, else small on as many as it needs."""
    first, either, second = words.partition(" or ")
    if not either and tall_width(words, 3, glyphs=glyphs) <= width:
        return tall_fitting(words, width, style, glyphs=glyphs, most=most)
    halves = [first, second] if either else _two(words)
    if len(halves) == 2 and all(tall_width(half, 3, glyphs=glyphs) <= width for half in halves):
        upper, lower = (tall(half, 3, style, glyphs=glyphs) for half in halves)
        return [*upper, Content(""), *lower]
    return wrapped(words, width, style)


def _two(words: str) -> list[str]:
    """Words on two lines, as equal as may be."""
    each = words.split()
    cuts = [(" ".join(each[:at]), " ".join(each[at:])) for at in range(1, len(each))]
    return list(min(cuts, key=lambda cut: max(map(len, cut)), default=(words,)))


def _scaled(lines: Sequence[str], times: int, ascii_only: bool) -> tuple[str, ...]:
    """Lines of half cells, so many times as wide and as high."""
    signs = _dots(ascii_only)
    upper, lower, full = signs[1], signs[2], signs[3]
    out = []
    for line in lines:
        dots = [(sign in (upper, full), sign in (lower, full)) for sign in line]
        for row in range(times):
            halves = [(2 * row) // times, (2 * row + 1) // times]
            out.append("".join(signs[dot[halves[0]] + 2 * dot[halves[1]]] * times for dot in dots))
    return tuple(out)


Font = Mapping[str, tuple[str, ...]]
"""The rows of each figure, as they are drawn."""


@lru_cache(maxsize=8)
def _font(rows: Rows, ascii_only: bool) -> Font:
    blank = "   " if rows == 5 else "  "
    font = {" ": (blank,) * rows}
    strokes = rows == 3 and ascii_only
    sheet = _LOW_ASCII if strokes else {3: _LOW, 5: _HIGH}[rows]
    for line in sheet.strip().splitlines():
        sign, *parts = line.split(" ")
        if strokes:
            font[sign] = tuple(part.replace("~", " ") for part in parts)
        else:
            font[sign] = tuple(_cells(*two, ascii_only) for two in zip(parts[::2], parts[1::2], strict=True))
    return font


@lru_cache(maxsize=512)
def _lines(words: str, rows: Rows, ascii_only: bool) -> tuple[str, ...]:
    font = _font(rows, ascii_only)
    lines = [""] * rows
    for index, sign in enumerate(words):
        drawn = font.get(sign) or font.get(sign.upper()) or _unknown(sign, rows, ascii_only)
        for row in range(rows):
            lines[row] += (" " if index else "") + drawn[row]
    return tuple(lines)


def _unknown(sign: str, rows: Rows, ascii_only: bool) -> tuple[str, ...]:
    """A sign that has no figure, small in the middle row."""
    letter = fitted(sign) if sign.isascii() or not ascii_only else "?"
    width = cell_len(letter)
    return tuple(letter if row == rows // 2 else " " * width for row in range(rows))


def _dots(ascii_only: bool) -> str:
    """The cells with no dot, the upper one, the lower one, both."""
    return " '.#" if ascii_only else " ▀▄█"


def _cells(upper: str, lower: str, ascii_only: bool) -> str:
    """Two rows of dots as one row of cells."""
    signs = _dots(ascii_only)
    return "".join(signs[(a == "#") + 2 * (b == "#")] for a, b in zip(upper, lower, strict=True))
