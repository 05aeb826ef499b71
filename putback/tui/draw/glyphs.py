"""The sets of signs every drawing is made of: Unicode, ASCII for screens without it, and none: words alone."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace


class GlyphSet(Struct, frozen=True):
    """The signs of one kind of screen. Every sign is one cell wide."""

    name: str
    """`unicode`, `ascii` or `words`."""
    ascii: bool
    """Whether only ASCII may be drawn."""
    ticks: str
    """Ticks of a rule: minor, middle, major."""
    band_ticks: str
    """The same ticks inside the best mark's band: heavier."""
    other_ticks: str
    """The same ticks inside the band of a mark that is not the best."""
    at: str
    """The tick of a mark's own value."""
    best_at: str
    """The tick of the best mark's own value."""
    up: str
    """A pointer from below."""
    down: str
    """A pointer from above."""
    left: str
    """Off the left end."""
    right: str
    """Off the right end."""
    best_caps: tuple[str, str]
    """What stands at both sides of the best mark's name."""
    solid_caps: tuple[tuple[str, str], ...]
    """The two sides of a solid head, a shape for each size in turn."""
    hollow_caps: tuple[tuple[str, str], ...]
    """The two sides of the same heads as holes to come."""
    shank: tuple[str, str, str]
    """A cell of the shank of a screw: bare, through one washer, through several."""
    close: tuple[str, str]
    """The same where the longest has no room: one stroke in a cell, two."""
    stem: str
    """The pointer's shaft across the graduations."""
    ring: str
    """An open hole in one cell."""
    cross: str
    """A hole found empty, in one cell."""
    big_cross: str
    """The same in the middle of a large ring."""
    next_caps: tuple[str, str]
    """The two sides of the hole after this one."""
    hatch: str
    """Time over the target."""
    spent: str
    """Ticks of time spent: minor, middle, major."""
    pause: str
    """A clock that stands."""
    beads: tuple[str, str]
    """One of a count: done, to come."""
    fill: tuple[str, str]
    """A cell of a rule that fills: done, to come."""
    plate: str
    """Corners and edges of a plate: upper left, top, upper right, side, lower left, bottom, lower right."""
    corners: str
    """The finder: upper left, upper right, lower left, lower right."""
    solid_heads: tuple[tuple[str, str, str], ...]
    """Large solid heads, five cells by three, in the shapes of `solid_caps`; the letter goes where the @ is."""
    hollow_heads: tuple[tuple[str, str, str], ...]
    """The same as holes to come."""
    next_head: tuple[str, str, str]
    """The hole after this one."""
    ellipsis: str
    """The end of words that were cut."""
    words: bool = False
    """Whether nothing is drawn: what would be a sign or a picture is said instead."""


UNICODE = GlyphSet(
    name="unicode",
    ascii=False,
    ticks="╷││",
    band_ticks="╻┃┃",
    other_ticks="╎╎│",
    at="│",
    best_at="┃",
    up="▲",
    down="▼",
    left="◀",
    right="▶",
    best_caps=("▐", "▌"),
    solid_caps=(("▐", "▌"), ("▟", "▛"), ("▟", "▙"), ("▜", "▛"), ("▄", "▄"), ("▀", "▀")),
    hollow_caps=(("(", ")"), ("/", "/"), ("/", "\\"), ("\\", "/"), ("└", "┘"), ("┌", "┐")),
    shank=("▐", "┃", "╏"),
    close=("│", "║"),
    stem="┃",
    ring="○",
    cross="\u00d7",
    big_cross="\u2573",
    next_caps=("\u2039", "\u203a"),
    hatch="\u2571",
    spent="╻┃┃",
    pause="\u2016",
    beads=("●", "○"),
    fill=("┃", "╷"),
    plate="╭─╮│╰─╯",
    corners="┏┓┗┛",
    solid_heads=(
        ("▗███▖", "██@██", "▝███▘"),
        ("  ▟█▛", " ▟@▛ ", "▟█▛  "),
        (" ▟█▙ ", "▟█@█▙", "█████"),
        ("█████", "▜█@█▛", " ▜█▛ "),
        (" ███ ", " █@█ ", "█████"),
        ("█████", " █@█ ", " ███ "),
    ),
    hollow_heads=(
        ("▗▛▀▜▖", "█ @ █", "▝▙▄▟▘"),
        ("  \u2571─\u2571", " \u2571@\u2571 ", "\u2571─\u2571  "),
        (" \u2571─\u2572 ", "\u2571 @ \u2572", "└───┘"),
        ("┌───┐", "\u2572 @ \u2571", " \u2572─\u2571 "),
        (" ┌─┐ ", " │@│ ", "└───┘"),
        ("┌───┐", " │@│ ", " └─┘ "),
    ),
    next_head=("▗▘▀▝▖", "▀ @ ▀", "▝▖▄▗▘"),
    ellipsis="…",
)

ASCII = GlyphSet(
    name="ascii",
    ascii=True,
    ticks=".:|",
    band_ticks="==#",
    other_ticks="--+",
    at="I",
    best_at="H",
    up="^",
    down="v",
    left="<",
    right=">",
    best_caps=("[", "]"),
    solid_caps=(("#", ")"), ("#", ":"), ("#", "\\"), ("#", "/"), ("#", "_"), ("#", "^")),
    hollow_caps=(("(", ")"), (":", ":"), ("/", "\\"), ("\\", "/"), ("_", "_"), ("^", "^")),
    shank=("=", "+", "%"),
    close=("'", '"'),
    stem="!",
    ring="o",
    cross="x",
    big_cross="x",
    next_caps=("<", ">"),
    hatch="/",
    spent="==#",
    pause="=",
    beads=("#", "."),
    fill=("#", "."),
    plate="+-+|+-+",
    corners="++++",
    solid_heads=(
        (".###.", "##@##", "'###'"),
        ("  ###", " #@# ", "###  "),
        (" /#\\ ", "/#@#\\", "#####"),
        ("#####", "\\#@#/", " \\#/ "),
        (" ### ", " #@# ", "#####"),
        ("#####", " #@# ", " ### "),
    ),
    hollow_heads=(
        (".---.", "| @ |", "'---'"),
        ("  /-/", " /@/ ", "/-/  "),
        (" /-\\ ", "/ @ \\", "-----"),
        ("-----", "\\ @ /", " \\-/ "),
        (" --- ", " |@| ", "-----"),
        ("-----", " |@| ", " --- "),
    ),
    next_head=(".- -.", "< @ >", "'- -'"),
    ellipsis="~",
)


WORDS = replace(ASCII, name="words", words=True)
"""No drawing at all, for a screen reader; where a sign is wanted all the same it is ASCII."""


def glyph_set(ascii_only: bool, plain: bool = False) -> GlyphSet:
    """The signs to draw with; with `plain`, words instead."""
    return WORDS if plain else ASCII if ascii_only else UNICODE
