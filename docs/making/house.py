"""Draws the house from its imports: every room, every arrow between two rooms, and how many imports it stands for.

    python -m docs.making.house              writes docs/house/after.svg anew
    python -m docs.making.house --check      says whether that drawing is the house as it stands
    python -m docs.making.house --rooms FILE --package DIR --out FILE --title WORDS
                                             draws another house, say one of an earlier commit

The rooms and their floors are not found but given: they are the block that begins with ```rooms in DEVELOPERS.md,
the same that `tests/test_floors.py` proves.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from html import escape
from pathlib import Path

from docs.making.imports import ROOMS, ROOT, House, look_at, room_of, rooms_in, widest_circle

DRAWING = ROOT / "docs" / "house" / "after.svg"
TITLE = "The house of Putback"

WIDTH = 1200
LEFT, TOP = 44, 40
BOX = 132
ROW = 27

WINGS = {"tui": "#2f6f9f", "trade": "#4b7f3a", "": "#8a6d3b"}
"""The colour of the rooms inside `tui`, of those inside `trade`, and of all others."""

UP = "#c4342d"

STYLE = """
text { font-family: "DejaVu Sans", Verdana, sans-serif; font-size: 11px; fill: #2b2b2b }
.big { font-size: 21px; font-weight: bold }
.name { font-weight: bold; fill: #fff }
.small { font-size: 9px }
.files { font-size: 9.5px; fill: #fff; text-anchor: end }
.n { font-size: 9.5px; text-anchor: middle }
.long { font-size: 8px }
.floor { font-size: 10px; fill: #8f887b; text-anchor: end }
.line { fill: none; stroke-width: 1.1; stroke-opacity: .55 }
.late { stroke-dasharray: 3 2.4 }
.dot { fill: #fffdf8; stroke-width: 1.2 }
.dot.late { stroke-dasharray: 2.6 1.8 }
"""

PILL = (
    '<rect class="dot{0}" x="-{1}" y="-8" width="{2}" height="16" rx="8" stroke="{3}"/>'
    '<text class="n" y="3.4">{4}</text>'
)

SIGNS = (
    (
        PILL.format("", 9, 18, WINGS["tui"], 5),
        "5 imports: the room above this number imports from the room at its right",
    ),
    (
        PILL.format(" late", 15, 30, WINGS["tui"], "2+3"),
        "2 imports, and 3 inside functions, which run late; a dashed line: these alone",
    ),
    (PILL.format("", 9, 18, UP, 1), "an import that leads up, or to a room of the same floor"),
    *(
        (f'<rect x="-22" y="-8" width="44" height="16" rx="3" fill="{colour}"/>', words)
        for colour, words in (
            (WINGS["tui"], "a room of the screens, with the number of its files"),
            (WINGS["trade"], "a room of the trade"),
            (WINGS[""], "any other room; the floors are counted from the ground"),
        )
    ),
)
"""The signs of the legend, drawn about a point, and what they mean."""


class Drawing:
    """The house as SVG: rooms stand on their floors like the steps of a stair, the roof at the upper left.

    What a room imports leaves its box downwards; each arrow turns off at a number, to the right, and ends at the room
    that is imported. So every pair of rooms has a place of its own, and no two numbers can meet. An import that leads
    up leaves its box upwards and comes in from the right.
    """

    def __init__(self, house: House, title: str) -> None:
        """Lay the rooms out."""
        self.house = house
        self.title = title
        self.rooms = sorted(house.rooms, key=lambda room: -room.floor)
        self.place = {room.name: number for number, room in enumerate(self.rooms)}
        self.step = min(44.0, (WIDTH - LEFT - BOX - 14) / max(1, len(self.rooms) - 1))
        self.height = TOP + ROW * len(self.rooms) + 14
        self.early: Counter[tuple[str, str]] = Counter()
        self.late: Counter[tuple[str, str]] = Counter()
        for one in house.imports:
            pair = (room_of(one.source, self.place), room_of(one.target, self.place))
            if all(pair) and pair[0] != pair[1]:
                (self.late if one.late else self.early)[pair] += 1

    def x(self, name: str) -> float:
        """Return where a box begins."""
        return LEFT + self.step * self.place[name]

    def y(self, name: str) -> float:
        """Return the middle of a box."""
        return TOP + ROW * (self.place[name] + 0.5)

    def pairs(self, *, up: bool) -> list[tuple[str, str]]:
        """Return the pairs of rooms with an arrow between them that leads up, or does not."""
        found = self.early.keys() | self.late.keys()
        floor = {room.name: room.floor for room in self.rooms}
        return sorted(pair for pair in found if (floor[pair[1]] >= floor[pair[0]]) == up)

    def svg(self) -> str:
        """Return the whole picture."""
        rows = [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {self.height}" '
            f'width="{WIDTH}" height="{self.height}">',
            f"<title>{escape(self.title)}</title>",
            f"<style>{STYLE}</style>",
            f'<rect width="{WIDTH}" height="{self.height}" fill="#fffdf8"/>',
            *self.storeys(),
            *self.wires(),
            *self.dots(),
            *self.boxes(),
            *self.legend(),
            "</svg>",
        ]
        return "\n".join(rows) + "\n"

    def storeys(self) -> Iterable[str]:
        """Every other floor shaded, with its number."""
        for floor in sorted({room.floor for room in self.rooms}):
            mine = [self.y(room.name) for room in self.rooms if room.floor == floor]
            top, bottom = min(mine) - ROW / 2, max(mine) + ROW / 2
            if floor % 2 == 0:
                yield f'<rect x="0" y="{top:g}" width="{WIDTH}" height="{bottom - top:g}" fill="#f4efe4"/>'
            yield f'<text class="floor" x="30" y="{(top + bottom) / 2 + 3.5:g}">{floor}</text>'

    def wires(self) -> Iterable[str]:
        """The way of every arrow. Those of one room share their way down, those to one room the last stretch."""
        down = self.pairs(up=False)
        for room in self.rooms:
            out = [(self.y(b), not self.early[a, b]) for a, b in down if a == room.name]
            x, y = self.x(room.name) + self.step / 2, self.y(room.name)
            yield from stretch(wing(room.name), f"M{x:g} {y:g}V", out, max)
        for room in self.rooms:
            into = [(self.x(a) + self.step / 2, not self.early[a, b]) for a, b in down if b == room.name]
            x, y = self.x(room.name), self.y(room.name)
            yield from stretch(wing(room.name), f"M{x - 4:g} {y:g}H", into, min)
            if into:
                yield f'<path d="M{x - 7:g} {y - 4:g}l7 4l-7 4z" fill="{wing(room.name)}"/>'
        for pair in self.pairs(up=True):
            (x, y), late = self.corner(*pair), not self.early[pair]
            end = self.x(pair[1]) + BOX
            style = f'class="line{" late" * late}" stroke="{UP}"'
            yield f'<path {style} d="M{x:g} {self.y(pair[0]):g}V{y:g}H{end + 4:g}"/>'
            yield f'<path d="M{end + 7:g} {y - 4:g}l-7 4l7 4z" fill="{UP}"/>'

    def corner(self, source: str, target: str) -> tuple[float, float]:
        """Return where the arrow between two rooms turns, which is where its number stands."""
        if self.place[source] < self.place[target]:
            return self.x(source) + self.step / 2, self.y(target)
        return self.x(source) + BOX - self.step / 2, self.y(target)

    def dots(self) -> Iterable[str]:
        """The number of every arrow, at its turn; the darker the more."""
        for up in (False, True):
            for a, b in self.pairs(up=up):
                x, y = self.corner(a, b)
                early, late = self.early[a, b], self.late[a, b]
                words = "+".join(str(count) for count in (early, late) if count)
                wide = max(18.0, 6.2 * len(words) + 7) if len(words) < 5 else 5.3 * len(words) + 3
                text = " and ".join(
                    words for count, words in ((early, f"{early} imports"), (late, f"{late} inside functions")) if count
                )
                colour = UP if up else wing(a)
                shade = min(0.42, 0.03 * (early + late))
                box = f'x="{x - wide / 2:g}" y="{y - 8:g}" width="{wide:g}" height="16" rx="8"'
                yield (
                    f"<g><title>{a} to {b}: {text}</title>"
                    f'<rect class="dot{" late" * bool(late)}" {box} stroke="{colour}"/>'
                    f'<rect {box} fill="{colour}" fill-opacity="{shade:.2f}"/>'
                    f'<text class="n{" long" * (len(words) > 4)}" x="{x:g}" y="{y + 3.4:g}">{words}</text></g>'
                )

    def boxes(self) -> Iterable[str]:
        """The rooms."""
        for room in self.rooms:
            x, y = self.x(room.name), self.y(room.name)
            files = self.house.files[room.name]
            yield (
                f"<g><title>{room.name}: {escape(room.purpose)} ({files} files)</title>"
                f'<rect x="{x:g}" y="{y - 11:g}" width="{BOX}" height="22" rx="3" fill="{wing(room.name)}"/>'
                f'<text class="name{" small" * (len(room.name) > 14)}" x="{x + 7:g}" y="{y + 4:g}">{room.name}</text>'
                f'<text class="files" x="{x + BOX - 6:g}" y="{y + 3.6:g}">{files}</text></g>'
            )

    def legend(self) -> Iterable[str]:
        """The title, the figures of the whole house, and what the signs mean."""
        x, y = WIDTH - 560, 54
        yield f'<text class="big" x="{x}" y="{y}">{escape(self.title)}</text>'
        y += 6
        for words in figures(self):
            y += 19
            yield f'<text x="{x}" y="{y}">{escape(words)}</text>'
        y += 10
        for sign, words in SIGNS:
            y += 20
            yield f'<g transform="translate({x + 26} {y})">{sign}</g>'
            yield f'<text x="{x + 60}" y="{y + 4}">{escape(words)}</text>'


def stretch(
    colour: str, start: str, ends: Sequence[tuple[float, bool]], far: Callable[[Iterable[float]], float]
) -> Iterable[str]:
    """A line as far as the farthest end; dashed where only imports inside functions go on."""
    for late in (True, False):
        mine = [end for end, is_late in ends if is_late == late]
        if mine:
            yield f'<path class="line{" late" * late}" stroke="{colour}" d="{start}{far(mine):g}"/>'


def wing(name: str) -> str:
    """Return the colour of a room."""
    return WINGS.get(name.partition(".")[0], WINGS[""])


def figures(drawing: Drawing) -> list[str]:
    """Return what can be counted of a house, a line each."""
    house = drawing.house
    down, up = drawing.pairs(up=False), drawing.pairs(up=True)
    late = sum(one.late for one in house.imports)
    circle = widest_circle(house.imports)
    where = ", ".join(sorted({room_of(module, drawing.place) for module in circle}))
    return [
        f"{sum(house.files.values())} files in {len(house.rooms)} rooms",
        f"{len(down) + len(up)} arrows between rooms; {len(up) or 'none'} of them up or sideways",
        f"{late} imports inside functions",
        f"modules are opened by name, which no arrow shows, in: {', '.join(sorted(house.by_name)) or 'no room'}",
        f"widest circle of imports: {f'{len(circle)} files of {where}' if circle else 'none'}",
    ]


# -- the command


def main(words: Sequence[str]) -> int:
    """Draw, or compare; return 1 where the kept drawing is not that of today."""
    ask = argparse.ArgumentParser(description="Draws the house from its imports.")
    ask.add_argument("--rooms", type=Path, default=ROOMS, help="a text with a rooms block")
    ask.add_argument("--package", type=Path, default=ROOT / "putback")
    ask.add_argument("--out", type=Path, default=DRAWING)
    ask.add_argument("--title", default=TITLE)
    ask.add_argument("--check", action="store_true", help="write nothing; say whether the drawing is up to date")
    text = ask.parse_args(words)
    drawing = Drawing(look_at(text.package, rooms_in(text.rooms.read_text("utf-8"))), text.title)
    print(f"{drawing.house.lines:,} lines", *figures(drawing), sep="\n")
    for a, b in drawing.pairs(up=True):
        print(f"leads up: {a} to {b}, {drawing.early[a, b]} imports and {drawing.late[a, b]} inside functions")
    if text.check:
        fresh = text.out.exists() and text.out.read_text("utf-8") == drawing.svg()
        print("the drawing is up to date" if fresh else "the drawing is out of date: python -m docs.making.house")
        return 0 if fresh else 1
    text.out.write_text(drawing.svg(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
