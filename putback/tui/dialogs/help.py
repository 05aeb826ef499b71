"""The keys of the place one is in."""

from __future__ import annotations

from msgspec.structs import replace
from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from putback.tui.dialogs.keyed import KeyedModal
from putback.tui.draw.frame import inner_width
from putback.tui.draw.palette import KEY, LOOK, QUIET
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.bench_keys import GROUPS
from putback.tui.keyboard.key import Key
from putback.tui.keyboard.key_list import PLACES
from putback.tui.keyboard.keymap import Layout, spoken
from putback.tui.keyboard.keys import command_for

NARROW = 60
"""Cells of a line below which a key's sentence stands under it, and not behind it."""

SCROLL = 3
"""Cells for the bar that shows where one is on a long page, and for the air before it."""

SHOWN, LABEL = 10, 15
"""Cells for a key, and for its label."""


LINE = "line"
"""The place where a line of text is typed: no keymap changes a key of it."""

IN_A_LINE = "where a line is typed"

LINE_KEYS = (
    Key("", LINE, (), "Enter", "keeps it", "What was typed is the answer; under a list a figure alone is its line."),
    Key("", LINE, (), "Esc", "leaves it", "Nothing is answered, and nothing is recorded."),
    Key(
        "",
        LINE,
        (),
        "-",
        "leaves it",
        "As the first key, since a number pad has no Esc; later a dash. Two in a row erase what the pad typed.",
    ),
    Key("", LINE, (), "Arrows", "move", "Anywhere in the line; Backspace erases."),
)
"""The keys of a line."""


class HelpScreen(KeyedModal[None]):
    """A page of keys."""

    def __init__(self, places: tuple[str, ...]) -> None:
        super().__init__()
        self._places = places

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="card", can_focus=False):
            yield Static(id="help")

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        """Draw the page."""
        keymap = self.host.keymap
        width = inner_width(self.app.size.width) - SCROLL
        lines = []
        if keymap.layout is not None and not self.host.glyphs.words:
            lines += block_picture(keymap.layout, width)
        for place in self._places:
            lines.append(plain(PLACES.get(place, IN_A_LINE), width, LOOK))
            groups = GROUPS if place == "bench" else (("", tuple(key.id for key in keymap.keys_of(place))),)
            for title, ids in groups:
                if title:
                    lines.append(plain(f" {title}", width, QUIET))
                for key in LINE_KEYS if place == LINE else map(keymap.key, ids):
                    rows_of = key_words if self.host.glyphs.words else key_rows
                    lines += rows_of(replace(key, help=keymap.words(key.help)), width)
            lines.append(Content(""))
        if "field" in self._places or "bench" in self._places:
            words = "a size is sure, likely, either of two, or none: then it is kept as measured; "
            words += "(odd) is a length that is near no stocked one"
            lines += wrapped(words, width, "$pb-muted")
        code = "a bag's code (PB...), scanned or typed, chooses it while a part comes off, proves it at refit, "
        lines += wrapped(code + "opens its card anywhere else", width, "$pb-muted")
        lines += wrapped("F1 shows the keys of where you are, in a question and in a field, too", width, "$pb-muted")
        turn = f" {keymap.shown('help.down')} {keymap.shown('help.up')} turn the page   any other key goes back "
        page, drawn = self.query_one(VerticalScroll), self.query_one("#help", Static)
        page.border_subtitle = turn
        if self.host.glyphs.words:  # there is no frame to bear it
            lines.insert(0, plain(turn.strip(), width, "$pb-muted"))
        drawn.update(Content("\n").join(lines))
        self.point(drawn)

    @property
    def places(self) -> tuple[str, ...]:
        """On the page of keys."""
        return ("help",)

    def press(self, key: str) -> None:
        """Turn the page or go back."""
        page = self.query_one(VerticalScroll)
        command_id = command_for(key, "help")
        if command_id == "help.down":
            page.scroll_page_down(animate=False)
        elif command_id == "help.up":
            page.scroll_page_up(animate=False)
        else:
            self.leave(None)

    def on_click(self, event: events.Click) -> None:
        """A click goes back, too."""
        self.leave(None)


def key_rows(key: Key, width: int) -> list[Content]:
    """Return a command in lines of `width` cells: its key, its label, its sentence."""
    head = Content.assemble((f" {key.shown:<{SHOWN - 2}} ", KEY), (f"{key.label:<{LABEL - 1}} ", "bold $pb-text"))
    if width < NARROW:
        return [head, *(Content.assemble("   ", row) for row in wrapped(key.help, width - 3, "$pb-muted"))]
    rows = wrapped(key.help, width - SHOWN - LABEL)
    return [Content.assemble(head, rows[0]), *(Content.assemble(" " * (SHOWN + LABEL), row) for row in rows[1:])]


def key_words(key: Key, width: int) -> list[Content]:
    """Return a command in words: its key, its label, its sentence."""
    return wrapped(f"{key.shown}: {key.label}. {key.help}", width)


def block_picture(layout: Layout, width: int) -> list[Content]:
    """Return the block of a layout as it lies on the keyboard, beside the keypad keys it stands for."""
    pad = {twin: key for key, twin in layout.all.items()} | {",": "."}
    lines = [plain(f"the keys of “{layout.name}”", width, LOOK)]
    for row, (before, behind) in enumerate(layout.rows):
        letters = layout.block[3 * row : 3 * row + 3]
        left = Content.assemble(
            (f"   {spoken(before)}   ", "$pb-text"),
            ("  ".join(letters.upper()), KEY),
            (f"   {spoken(behind)}", "$pb-text"),
        )
        right = Content.assemble(
            ("     are     ", "$pb-muted") if row == 1 else "             ",
            (f"{pad[before]}   ", "$pb-text"),
            ("  ".join(pad[letter] for letter in letters), KEY),
            (f"   {pad[behind]}", "$pb-text"),
        )
        lines.append(Content.assemble(left, right))
    words = layout.help
    if "enter" in layout.twins:
        words += f" {spoken(layout.twins['enter'])} is Enter, in a field too."
    words += " In a field figures are figures and letters letters. What was on one of these letters is with Shift."
    return [*lines, *wrapped(words, width, "$pb-muted"), Content("")]
