"""Every drawing of the screen on one sheet, to look at while changing one of them.

    python docs/making/gallery.py                 t: next theme, a: ASCII, q: quit
    python docs/making/gallery.py --svg FILE      writes a picture instead
    NO_COLOR=1 python docs/making/gallery.py      as a person without colour sees it

Options: --theme NAME, --ascii, --size 80x24.
"""

from __future__ import annotations

import argparse
import asyncio
from collections.abc import Sequence
from pathlib import Path

from textual.app import App, ComposeResult
from textual.content import Content
from textual.widgets import Static

from putback.tui.draw import digits, glyphs, holes, legend, palette, rule
from putback.tui.draw.canvas import side_by_side
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.heads import HoleView
from putback.tui.draw.legend import SizeView
from putback.tui.draw.rule_marks import RuleMark

Rows = Sequence[Content]

THREADS = [
    RuleMark("#6-32 UNC", 0.1312, 0.1372, 0.1342),
    RuleMark("#8-32 UNC", 0.1571, 0.1631, 0.1601, best=True),
    RuleMark("#8-36 UNF", 0.1577, 0.1632, 0.1604),
    RuleMark("#10-24 UNC", 0.1818, 0.1890, 0.1854),
    RuleMark("M4x0.7", 0.1510, 0.1566, 0.1538),
]
LENGTHS = [
    RuleMark(name, value - 0.03, value, value, best=name == "3/8")
    for name, value in (("1/4", 0.25), ("5/16", 0.3125), ("3/8", 0.375), ("7/16", 0.4375), ("1/2", 0.5))
]
METRIC = [RuleMark(f"{long} mm", long - 0.3, long + 0.3, long) for long in (8, 10, 12, 16, 20)]

TAKING_OFF = [
    HoleView("1", "taken", "A", long=3),
    HoleView("2", "taken", "A", long=3),
    HoleView("3", "taken", "B", long=4),
    HoleView("4", "found_empty"),
    HoleView("5", "taken", "C", stacked=1),
    HoleView("5a"),
    HoleView("5b", "now"),
    HoleView("6", "next"),
    HoleView("7"),
    HoleView("8"),
    HoleView("9", "taken", "D", long=8, odd=True),
]
PUTTING_BACK = [
    HoleView("1", "filled", "A"),
    HoleView("3", "filled", "A"),
    HoleView("4", "empty", "A", long=3),
    HoleView("6", "now", "B", long=4, stacked=1),
    HoleView("7", "empty", "A", long=3),
    HoleView("9", "next", "A"),
]
SIZES = [
    SizeView("A", "#6-32 x 3/8 fillister", 7, 3, long=3),
    SizeView("B", "#6-32 x 1/2 fillister", 1, 1, long=4),
    SizeView("C", "M4x0.7 x 12 mm cheese head, found [odd]", 2),
]


def sheet(width: int, signs: GlyphSet) -> Rows:
    """All drawings, one under the other."""
    half = (width - 2) // 2
    rows: list[Content] = []
    rows += rule.steel_rule(width, THREADS, 0.1615, glyphs=signs)
    rows += rule.steel_rule(width, LENGTHS, 0.372, in_fractions=True, reading=".372", glyphs=signs)
    rows += side_by_side(
        rule.steel_rule(half, LENGTHS, 0.405, in_fractions=True, glyphs=signs),
        rule.steel_rule(half, METRIC, 11.2, "mm", glyphs=signs),
    )
    rows.append(Content(""))
    rows.append(rule.time_rule(width, 26.2, 40, [12], glyphs=signs))
    rows += side_by_side(
        [rule.time_rule(half, 47.5, 40, glyphs=signs)],
        [rule.meter_rule(half, 5, 8, of_what="holes", glyphs=signs)],
    )
    rows.append(Content(""))
    small = side_by_side(
        holes.hole_map(PUTTING_BACK, 27, 7, title="top face", glyphs=signs),
        holes.hole_map(TAKING_OFF, 27, 7, title="left panel", glyphs=signs),
        holes.hole_map(PUTTING_BACK, 27, 7, title="top face", turn=180, glyphs=signs),
    )
    brass = "bold $pb-brass"
    if width < 110:
        return [*rows, *small, Content(""), *digits.tall("#8-32 3/8", 3, brass, glyphs=signs)]
    beside = [
        *legend.legend(SIZES, 38, glyphs=signs),
        Content(""),
        *digits.tall(".372 x?", 3, brass, glyphs=signs),
    ]
    rows += side_by_side(small, beside)
    large = side_by_side(
        holes.hole_map(PUTTING_BACK, 41, 13, title="top face", glyphs=signs),
        holes.hole_map(TAKING_OFF, 41, 13, title="left panel", glyphs=signs),
    )
    verdicts = ("sure", "likely", "either", "none")
    signed = [(palette.mark(word), word) for word in verdicts]
    words = [Content.styled(f"{mark.sign(signs)} {word}", mark.style) for mark, word in signed]
    marks = [
        *digits.tall("#8-32", 5, brass, glyphs=signs),
        Content(""),
        *digits.tall("2BA ?", 5, "bold $pb-text", glyphs=signs),
        Content(""),
        Content("  ").join(words),
    ]
    return [*rows, *side_by_side(large, marks)]


class Gallery(App[None]):
    """The sheet."""

    CSS = """
    Screen { padding: 0 1; overflow: hidden; }
    Static { height: auto; text-wrap: nowrap; }
    """
    BINDINGS = [("t", "turn_theme", "theme"), ("a", "turn_signs", "ASCII"), ("q", "quit", "quit")]  # noqa: RUF012

    def __init__(self, theme_name: str, signs: GlyphSet) -> None:
        super().__init__()
        for theme in palette.THEMES:
            self.register_theme(theme)
        self.theme = theme_name
        self.signs = signs

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return palette.variables(palette.BENCH_DARK)

    def compose(self) -> ComposeResult:
        yield Static()

    def on_resize(self) -> None:
        self.draw()

    def draw(self) -> None:
        rows = sheet(max(40, self.size.width - 2), self.signs)
        self.query_one(Static).update(Content("\n").join(rows))

    def action_turn_theme(self) -> None:
        names = list(palette.TONES)
        self.theme = names[(names.index(self.theme) + 1) % len(names)]

    def action_turn_signs(self) -> None:
        self.signs = glyphs.glyph_set(not self.signs.ascii)
        self.draw()


async def picture(app: Gallery, width: int, height: int, out: Path) -> None:
    """The sheet at one size, as an SVG file."""
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.pause()
        out.write_text(app.export_screenshot(title="drawings"), encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description="Every drawing of the screen on one sheet.")
    parser.add_argument("--theme", default="bench-dark", choices=list(palette.TONES))
    parser.add_argument("--ascii", action="store_true")
    parser.add_argument("--size", default="120x36")
    parser.add_argument("--svg", type=Path)
    asked = parser.parse_args()
    app = Gallery(asked.theme, glyphs.glyph_set(asked.ascii))
    if asked.svg:
        width, height = (int(part) for part in asked.size.split("x"))
        asyncio.run(picture(app, width, height, asked.svg))
    else:
        app.run()


if __name__ == "__main__":
    main()
