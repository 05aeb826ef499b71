"""Colours and signs. A meaning always has a shape or a letter; its colour only helps.

Three themes of one workshop: oil-grey steel by lamplight, the same on paper, and one at full
contrast. Each colour has one meaning. Brass is where the hand is: one part, one hole, one field.
Rust is a caution and nothing else. Steel-blue is what can be pressed or opened, and the other
candidates; verdigris says all is well. What has to be looked at is white and has a sign. Drawings
name colours through theme variables (`$pb-brass`), so a change of theme repaints them without
redrawing.
"""

from __future__ import annotations

from msgspec import Struct
from textual.theme import Theme

from putback.tui.draw.glyphs import GlyphSet

CURSOR = "bold $pb-brass"
"""Where the hand is: one part, one hole."""
FIELD = "bold $pb-on-brass on $pb-brass"
"""The field that is being typed."""
KEY = "bold $pb-blue"
"""A key, or the number of a line that can be opened."""
BUTTON = "bold reverse $pb-blue"
"""The same where it is read from a metre away."""
QUIET = "$pb-muted"
"""Words that matter less."""
LOOK = "bold $pb-text"
"""What has to be looked at; a sign or the words say why."""
CAUTION = "bold $pb-rust"
"""A caution."""


class Tones(Struct, frozen=True):
    """The colours of one theme, as `#rrggbb`."""

    background: str
    """Behind everything."""
    surface: str
    """Behind a pane."""
    panel: str
    """Behind a field, a bar, the row under the cursor."""
    text: str
    """Words."""
    muted: str
    """Words that matter less: units, hints, what is done."""
    line: str
    """Borders, plates and the scroll bar: three to one on every ground."""
    brass: str
    """Where the hand is: a part, a hole, a field and the reading in it."""
    on_brass: str
    """Words on brass."""
    blue: str
    """What can be pressed or opened; other candidates."""
    verdigris: str
    """All is well: sure, closed, fitted; the band of the best answer."""
    rust: str
    """A caution."""
    steel: str
    """The body of a rule."""
    ink: str
    """Numerals and tall graduations engraved in steel."""
    tick: str
    """Small graduations engraved in steel."""
    stem: str
    """Behind the pointer's shaft where it crosses the rule: the darkest (or lightest) there is."""
    other_band: str
    """The band of a mark that is not the best."""
    selection: str
    """Behind selected words."""


BENCH_DARK = Tones(
    background="#15181a",
    surface="#1b1f22",
    panel="#252a2e",
    text="#e7e3d9",
    muted="#a3abae",
    line="#6a7680",
    brass="#e9b04b",
    on_brass="#1a1408",
    blue="#86b8de",
    verdigris="#7fcba4",
    rust="#f39270",
    steel="#38424a",
    ink="#eef2f4",
    tick="#aab6be",
    stem="#15181a",
    other_band="#2b5573",
    selection="#2b5573",
)
BENCH_LIGHT = Tones(
    background="#f4f0e7",
    surface="#ece7db",
    panel="#e0dacb",
    text="#1f2325",
    muted="#52585b",
    line="#78776e",
    brass="#7a5000",
    on_brass="#fff8e8",
    blue="#1f5580",
    verdigris="#1c6142",
    rust="#98300f",
    steel="#c6cfd5",
    ink="#14181a",
    tick="#4a555c",
    stem="#fffaf0",
    other_band="#a5c6df",
    selection="#a5c6df",
)
BENCH_CONTRAST = Tones(
    background="#000000",
    surface="#000000",
    panel="#141414",
    text="#ffffff",
    muted="#d6d6d6",
    line="#a8a8a8",
    brass="#ffd147",
    on_brass="#000000",
    blue="#a5dcff",
    verdigris="#8dffc0",
    rust="#ffa78a",
    steel="#f0f0f0",
    ink="#000000",
    tick="#2e2e2e",
    stem="#000000",
    other_band="#9ecbf0",
    selection="#1c4f78",
)

TONES = {"bench-dark": BENCH_DARK, "bench-light": BENCH_LIGHT, "bench-contrast": BENCH_CONTRAST}


def variables(tones: Tones) -> dict[str, str]:
    """The theme variables the drawings use, by name without the `$`.

    For `Theme.variables`, and for `App.get_theme_variable_defaults` so that a theme from
    elsewhere draws too: a style with an unknown variable is dropped whole.
    """
    return {
        "pb-text": tones.text,
        "pb-muted": tones.muted,
        "pb-line": tones.line,
        "pb-brass": tones.brass,
        "pb-on-brass": tones.on_brass,
        "pb-blue": tones.blue,
        "pb-verdigris": tones.verdigris,
        "pb-rust": tones.rust,
        "pb-steel": tones.steel,
        "pb-ink": tones.ink,
        "pb-tick": tones.tick,
        "pb-stem": tones.stem,
        "pb-other-band": tones.other_band,
        "pb-panel": tones.panel,
    }


def _theme(name: str, tones: Tones, dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=tones.brass,
        secondary=tones.blue,
        accent=tones.brass,
        warning=tones.rust,
        error=tones.text,
        success=tones.verdigris,
        foreground=tones.text,
        background=tones.background,
        surface=tones.surface,
        panel=tones.panel,
        dark=dark,
        text_alpha=1.0,
        variables={
            **variables(tones),
            "text": tones.text,
            "text-muted": tones.muted,
            "border": tones.line,
            "border-blurred": tones.line,
            "block-cursor-background": tones.brass,
            "block-cursor-foreground": tones.on_brass,
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": tones.panel,
            "block-cursor-blurred-foreground": tones.text,
            "block-cursor-blurred-text-style": "bold",
            "input-cursor-background": tones.brass,
            "input-cursor-foreground": tones.on_brass,
            "input-cursor-text-style": "none",
            "input-selection-background": tones.selection,
            "screen-selection-background": tones.selection,
            "footer-key-foreground": tones.blue,
            "footer-background": tones.panel,
            "scrollbar": tones.line,
            "scrollbar-hover": tones.blue,
            "scrollbar-active": tones.blue,
            "scrollbar-background": tones.surface,
            "scrollbar-background-hover": tones.surface,
            "scrollbar-background-active": tones.surface,
            "scrollbar-corner-color": tones.surface,
        },
    )


CONTRAST = "bench-contrast"
"""The look at full contrast."""

THEMES: tuple[Theme, ...] = (
    _theme("bench-dark", BENCH_DARK, dark=True),
    _theme("bench-light", BENCH_LIGHT, dark=False),
    _theme(CONTRAST, BENCH_CONTRAST, dark=True),
)
"""Register each with `App.register_theme`; the first is the default."""


class Sign(Struct, frozen=True):
    """The sign of one meaning: a shape, its ASCII twin, and a style that helps."""

    glyph: str
    """One cell."""
    ascii_glyph: str
    """One ASCII character."""
    style: str
    """A Textual style in theme variables."""

    spoken: str = ""
    """What is said for it where nothing is drawn; empty where the words beside it say it already."""

    def sign(self, glyphs: GlyphSet) -> str:
        """The sign on this kind of screen."""
        if glyphs.words:
            return f"{self.spoken}:" if self.spoken else ""
        return self.ascii_glyph if glyphs.ascii else self.glyph


MARKS: dict[str, Sign] = {
    # how sure a size is
    "sure": Sign("●", "=", "bold $pb-verdigris"),
    "likely": Sign("◐", "~", "bold $pb-verdigris"),
    "either": Sign("◇", "/", "bold $pb-blue"),
    "none": Sign("\u00d7", "x", LOOK),
    # bags
    "open": Sign("▽", "v", "bold $pb-text"),
    "closed": Sign("▼", "#", "$pb-verdigris"),
    # where a thing is
    "fitted": Sign("╫", "H", "$pb-verdigris", "back"),
    "bag": Sign("▼", "#", "$pb-text"),
    "box": Sign("▣", "B", "$pb-text"),
    "shelf": Sign("▬", "_", "$pb-text"),
    "kept": Sign("▪", "&", "$pb-text"),
    "loose": Sign("○", "o", "bold $pb-text"),
    "away": Sign("▷", ">", "bold $pb-blue"),
    "borrowed": Sign("◁", "<", "bold $pb-blue"),
    "scrapped": Sign("□", "s", "$pb-muted"),
    "missing": Sign("?", "?", LOOK, "missing"),
    # steps and the last key
    "done": Sign("■", "+", "$pb-verdigris"),
    "now": Sign("▶", ">", CURSOR, "now"),
    "next": Sign("▸", "-", KEY, "next"),
    "skipped": Sign("▹", "s", LOOK, "skipped"),
    "waits": Sign("…", "w", QUIET, "waits"),
    "recorded": Sign("■", "+", "$pb-verdigris", "done"),
    "refused": Sign("\u00d7", "x", LOOK, "refused"),
    "asks": Sign("?", "?", KEY, "question"),
    "caution": Sign("▲", "^", CAUTION, "caution"),
    "adjustment": Sign("◆", "*", "bold $pb-blue", "to confirm"),
    "finding": Sign("!", "!", LOOK, "finding"),
    "note": Sign("·", ".", "$pb-muted"),
}
"""Every sign with a meaning, by its word."""


def mark(word: str) -> Sign:
    """The sign for one of the words of MARKS; KeyError for any other word."""
    return MARKS[word]


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two `#rrggbb` colours, 1 to 21 (WCAG 2.1, relative luminance)."""
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.03928 else ((channel + 0.055) / 1.055) ** 2.4
