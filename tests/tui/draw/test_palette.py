"""Colours that can be read, and signs that need none."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.app import App

from putback.tui.draw import palette
from putback.tui.draw.glyphs import ASCII, UNICODE
from putback.tui.draw.palette import MARKS, TONES, Tones, contrast

# WCAG 2.1, success criterion 1.4.3: 4.5 to 1 for words; 1.4.11: 3 to 1 for graphics.
WORDS, GRAPHICS = 4.5, 3.0


def test_the_contrast_formula_against_known_pairs() -> None:
    # Ends of the scale: WCAG 2.1, definition of contrast ratio, "from 1 to 21".
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#123456", "#123456") == pytest.approx(1.0)
    # The lightest grey that still passes on white, and the next that does not (value from memory).
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)
    # Pure red, green and blue on white (values from memory).
    assert contrast("#ff0000", "#ffffff") == pytest.approx(4.00, abs=0.01)
    assert contrast("#0000ff", "#ffffff") == pytest.approx(8.59, abs=0.01)


@pytest.mark.parametrize("name", TONES)
@pytest.mark.parametrize("word", ["text", "muted", "brass", "blue", "verdigris", "rust"])
def test_words_can_be_read_on_every_ground(name: str, word: str) -> None:
    tones = TONES[name]
    for ground in (tones.background, tones.surface, tones.panel):
        assert contrast(getattr(tones, word), ground) >= WORDS


@pytest.mark.parametrize("name", TONES)
def test_plates_and_frames_are_seen_on_every_ground(name: str) -> None:
    tones = TONES[name]
    for ground in (tones.background, tones.surface, tones.panel):
        assert contrast(tones.line, ground) >= GRAPHICS


@pytest.mark.parametrize("name", TONES)
def test_the_rule_can_be_read(name: str) -> None:
    tones: Tones = TONES[name]
    assert contrast(tones.ink, tones.steel) >= WORDS
    assert contrast(tones.ink, tones.other_band) >= WORDS
    assert contrast(tones.on_brass, tones.brass) >= WORDS
    assert contrast(tones.on_brass, tones.verdigris) >= WORDS
    assert contrast(tones.brass, tones.stem) >= WORDS
    assert contrast(tones.tick, tones.steel) >= GRAPHICS
    assert contrast(tones.text, tones.selection) >= WORDS


def test_each_colour_is_named_where_its_meaning_stands_and_nowhere_else() -> None:
    """Brass is where the hand is, rust a caution: CURSOR, FIELD and CAUTION say so, besides the rule's pointer."""
    tui = Path(palette.__file__).parents[1]
    sources = [*tui.rglob("*.py"), *tui.rglob("*.tcss")]
    for colour, elsewhere in (("pb-brass", {"rule.py"}), ("pb-rust", {"app.tcss"})):
        assert {path.name for path in sources if f"${colour}" in path.read_text("utf-8")} == {"palette.py"} | elsewhere
    cautions = {word for word, sign in MARKS.items() if "pb-rust" in sign.style}
    assert cautions == {"caution"} and {word for word, sign in MARKS.items() if "pb-brass" in sign.style} == {"now"}
    assert MARKS["caution"].ascii_glyph not in {sign.ascii_glyph for word, sign in MARKS.items() if word != "caution"}


def test_the_contrast_theme_is_what_it_says() -> None:
    # WCAG 2.1, success criterion 1.4.6 (enhanced): 7 to 1.
    tones = palette.BENCH_CONTRAST
    for word in (tones.text, tones.muted, tones.brass, tones.blue, tones.verdigris, tones.rust):
        assert contrast(word, tones.panel) >= 7
    assert contrast(tones.ink, tones.steel) >= 7


@pytest.mark.parametrize("word", MARKS)
def test_every_mark_is_one_cell_and_has_a_twin_in_ascii(word: str) -> None:
    mark = MARKS[word]
    assert cell_len(mark.glyph) == 1
    assert mark.ascii_glyph.isascii() and len(mark.ascii_glyph) == 1
    assert mark.sign(UNICODE) == mark.glyph and mark.sign(ASCII) == mark.ascii_glyph


@pytest.mark.parametrize(
    "group",
    [
        ("sure", "likely", "either", "none"),
        ("open", "closed"),
        ("fitted", "bag", "box", "shelf", "kept", "loose", "away", "borrowed", "scrapped", "missing"),
        ("done", "now", "next", "waits"),
        ("done", "fitted", "now"),
        ("recorded", "refused", "asks"),
        ("caution", "adjustment", "note"),
    ],
)
def test_meanings_side_by_side_differ_in_shape(group: tuple[str, ...]) -> None:
    assert len({MARKS[word].glyph for word in group}) == len(group)
    assert len({MARKS[word].ascii_glyph for word in group}) == len(group)


def test_all_themes_know_every_variable() -> None:
    names = set(palette.variables(palette.BENCH_DARK))
    for theme in palette.THEMES:
        assert names <= set(theme.variables)
        assert all(re.fullmatch("#[0-9a-f]{6}", theme.variables[name]) for name in names)
    for mark in MARKS.values():
        assert set(re.findall(r"\$([\w-]+)", mark.style)) <= names


async def test_the_app_takes_the_themes() -> None:
    app: App[None] = App()
    for theme in palette.THEMES:
        app.register_theme(theme)
    async with app.run_test(size=(20, 5)) as pilot:
        for theme in palette.THEMES:
            app.theme = theme.name
            await pilot.pause()
            assert app.theme_variables["pb-brass"] == theme.variables["pb-brass"]
            assert app.theme_variables["background"].lower() == theme.background


def test_every_colour_named_on_the_screen_is_one_of_the_palette() -> None:
    """Textual drops a style whole where it names an unknown variable, and says nothing."""
    home = Path(palette.__file__).parent
    named = {
        (path.name, name)
        for path in (*home.rglob("*.py"), *home.rglob("*.tcss"))
        for name in re.findall(r"\$(pb-[a-z-]+)", path.read_text(encoding="utf-8"))
    }
    known = set(palette.variables(palette.BENCH_DARK))
    assert not {(file, name) for file, name in named if name not in known}
