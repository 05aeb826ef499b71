"""The user's words reach the screen as characters and nothing else."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.app import App, ComposeResult
from textual.widgets import DataTable, Label, Tree

from putback.tui.draw.text import cell, ends_kept, first_of, fitted, padded, plain, rows_needed, wrapped

NASTY = [
    "bolt [left]",
    "M6 [/]",
    "[@click=app.bell]ring[/]",
    "[bold",
    "\\[",
    "\x1b[31mred\x07",
    "two\nlines\tand a tab",
    "ידית שמאל",
    "برغي رقم 4",
    "a\u202eright to left\u202c",
    "🔩🔧👩🏽\u200d🔧 ❤\ufe0f",
    "漢字カバー",
    "e\u0301" + "\u0301" * 40,
    "\u0301leading",
    "\ud800",
    "x" * 300,
    "🔩" * 300,
    "",
    "   ",
]

words = st.one_of(
    st.sampled_from(NASTY),
    st.text(max_size=300),
    st.text(alphabet="[]/\\@$ abc\u0301\u05d0\u0627\u200d\ufe0f🔩漢\x1b\n", max_size=60),
)


@settings(max_examples=200, deadline=None)
@given(words, st.one_of(st.none(), st.integers(0, 60)))
@example("bolt [left]", None)
@example("🔩🔩", 3)
@example("🔩", 1)
def test_one_line_that_fits_and_does_nothing(typed: str, width: int | None) -> None:
    content = plain(typed, width)
    line = content.plain
    assert not content.spans
    assert not any(unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") for letter in line)
    assert line.encode("utf-8").decode("utf-8") == line
    if width is not None:
        assert cell_len(line) <= width
        assert cell_len(padded(typed, width)) == width
    # Every isolate that is opened is closed, and no other direction mark is left.
    assert line.count("\u2068") == line.count("\u2069") <= 1
    assert not set(line) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u200e\u200f\u061c")


@given(st.text(alphabet=st.characters(min_codepoint=0x20, max_codepoint=0x7E), max_size=80))
def test_plain_ascii_words_are_left_alone(typed: str) -> None:
    assert plain(typed).plain == typed
    assert cell(typed).plain == typed


def test_cut_at_a_whole_letter_with_an_ellipsis() -> None:
    assert plain("drum guard", 7).plain == "drum g…"
    assert plain("drum guard", 5).plain == "drum…"
    assert plain("drum guard", 7, ascii_only=True).plain == "drum g~"
    assert plain("drum guard", 10).plain == "drum guard"
    assert plain("漢字カバー", 6).plain == "漢字…"
    assert plain("cafe\u0301 noir", 5).plain == "café…"
    assert plain("drum", 1).plain == "…"
    assert plain("drum", 0).plain == ""


def test_right_to_left_words_are_isolated_from_what_stands_beside_them() -> None:
    # Unicode Standard Annex 9, isolates: FSI takes the direction of the first strong letter,
    # PDI gives the line its own direction back.
    lever = "\u05d9\u05d3\u05d9\u05ea"
    assert fitted(lever) == f"\u2068{lever}\u2069"
    assert fitted("lever") == "lever"


def test_a_stack_of_marks_is_kept_low() -> None:
    line = fitted("e" + "\u0329\u0301" * 30 + "x")
    assert sum(unicodedata.combining(letter) != 0 for letter in line) <= 4
    assert line.startswith(("e", "é")) and line.endswith("x")


def test_marks_without_a_letter_get_one() -> None:
    assert fitted("\u0301a") == "\u25cc\u0301a"


def test_joined_emoji_take_the_cells_that_are_counted() -> None:
    # Terminals disagree on joined emoji; without the joiner all draw the same cells.
    assert "\u200d" not in fitted("👩\u200d🔧")
    assert cell_len(fitted("A\u200dB")) == 2
    persian = "\u0645\u06cc\u200c\u062e\u0648"
    assert fitted(persian) == f"\u2068{persian}\u2069"


class Everywhere(App[None]):
    """One nasty text in each kind of place that reads markup."""

    def __init__(self, typed: str) -> None:
        super().__init__()
        self.typed = typed

    def compose(self) -> ComposeResult:
        yield Label(plain(self.typed, 70))
        tree: Tree[None] = Tree(cell(self.typed, 60))
        tree.root.add_leaf(cell(self.typed, 60))
        tree.root.expand()
        yield tree
        yield DataTable[object]()

    def on_mount(self) -> None:
        tree = self.query_one(Tree)
        tree.styles.height = 6
        tree.styles.border = ("solid", "white")
        tree.border_title = plain(self.typed, 40)
        table = self.query_one(DataTable)
        table.add_column(cell("part"), width=70)
        table.add_row(cell(self.typed, 70))


@pytest.mark.parametrize("typed", ["bolt [left] M6 [/] [red]", "[@click=app.bell]ring[/] \\[", "ידית [/b] 🔩漢"])
async def test_nothing_is_read_as_markup_on_a_real_screen(typed: str) -> None:
    app = Everywhere(typed)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        shown = [strip.text for strip in app.screen._compositor.render_strips()]
    places = [row for row in shown if fitted(typed) in row or fitted(typed, 40) in row]
    # label, border title, root, leaf, table cell
    assert len(places) == 5, "\n".join(shown)


def test_a_number_and_its_fraction_are_never_parted() -> None:
    rows = [row.plain for row in wrapped("2 x screw #8-32 UNC x 1 1/4, round, slot", 24)]
    assert rows == ["2 x screw #8-32 UNC x", "1 1/4, round, slot"]


@given(st.text(st.sampled_from("abc 1/4-x\t日") | st.characters(), max_size=90), st.integers(4, 30))
@example("2 x screw #8-32 UNC x 1 1/4, round, slot", 24)
def test_the_rows_that_words_need_are_counted_without_setting_them(words: str, width: int) -> None:
    assert rows_needed(words, width) == len(wrapped(words, width))


@given(st.text(st.sampled_from("abc 3"), min_size=1, max_size=40), st.integers(9, 20))
def test_a_long_name_keeps_its_end(name: str, width: int) -> None:
    cut = ends_kept(name, width)
    assert cell_len(cut) <= width and (cut == name if len(name) <= width else cut[-2:].strip() in name[-2:])
    assert ends_kept("Cork press Halder 3", 15) != ends_kept("Cork press Halder 4", 15)


def test_of_a_message_too_long_its_first_clauses_stay() -> None:
    assert first_of("step 4 is back; next: lid", 18) == "step 4 is back"
    assert first_of("step 4 is back; next: lid", 40) == "step 4 is back; next: lid"
