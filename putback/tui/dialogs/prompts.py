"""Two small questions over the bench: choose from a numbered list, and type a line."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from itertools import accumulate, pairwise

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from putback.trade.commands.machines import LONGEST_NAME
from putback.trade.files.fields import LONGEST_TEXT
from putback.tui.dialogs.keyed import KeyedModal, LeavesOnce
from putback.tui.draw.frame import inner_height, inner_width
from putback.tui.draw.palette import KEY, LOOK
from putback.tui.draw.text import fitted, plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped
from putback.tui.widgets.text_input import Line

ROOMY = 72
"""Columns of a screen from which all keys of a list stand on one line."""

WIDE_LINE = 72
"""Cells of a line from which a list is as wide as its longest line."""

FOOT_ROWS = 2
"""Rows of the keys under a list at most."""

LOW = 20
"""Rows of a screen below which a line under its list has no blank rows about it."""

TAKEN = 24
"""Cells for what Enter takes of a list above a line."""

PAGE = 9
"""How many choices stand on a page: as many as there are number keys."""


MORE = -1
"""What a list gives where more was asked for of the marked line."""


class Pick(KeyedModal[int | None]):
    """A numbered list; a number key chooses at once. Gives the index, or None."""

    passing = True

    def __init__(
        self,
        caption: str,
        options: Sequence[str],
        *,
        here: int = -1,
        pages: Sequence[tuple[str, int]] = (),
        more: str = "",
        first: str = "",
        letters: Mapping[str, int] | None = None,
    ) -> None:
        """`here` is the one marked; `pages` are titles and how many options each has, where they are grouped, and
        `first` is the title of the one that is shown first.

        `more` says what the key does that asks for more of the marked one, and gives MORE; without it there is none.
        `letters` are keys that stand in the lines, and the index of each: they choose as the number does.
        """
        super().__init__()
        self._caption = caption
        self._options = list(options)
        self._titles = [title for title, _ in pages]
        cuts = [number for _, number in pages] or [PAGE] * (len(self._options) // PAGE)
        self._starts = [0, *accumulate(cuts)]
        if self._starts[-1] < len(self._options):
            self._starts.append(len(self._options))
        self._here = here
        self._more = more
        self._letters = letters or {}
        self._pages: list[range] = [range(0)]
        self._rows: list[list[Content]] = []
        self._first = self._titles.index(first) if first in self._titles else 0
        self._page = 0  # a number means the same line each time, whichever is marked

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="pick")

    def on_mount(self) -> None:
        self._laid_out()
        begins = self._starts[self._first]
        self._page = next((at for at, page in enumerate(self._pages) if page.start >= begins), 0)
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def _laid_out(self) -> tuple[int, int]:
        """Lay the choices out on pages; return the cells of a line, and the rows there are for title and choices.

        A page of nine that has more rows than the screen is parted. Its lines keep their numbers.
        """
        width = inner_width(self.app.size.width)
        longest = max(map(cell_len, self._options), default=0) + 8  # its number, mark and margin
        width = min(width, max(64, longest) if width >= WIDE_LINE else 64)
        self._rows = [self._option(index, width) for index in range(len(self._options))]
        room = inner_height(self.app.size.height) - FOOT_ROWS
        self._pages = []
        for group, (start, end) in enumerate(pairwise(self._starts)):
            left = 0
            for index in range(start, end):
                left -= len(self._rows[index])
                if left < 0:
                    self._pages.append(range(index, index))
                    left = max(1, room - len(self._title(group, width))) - len(self._rows[index])
                self._pages[-1] = range(self._pages[-1].start, index + 1)
        self._pages = self._pages or [range(0)]
        self._page %= len(self._pages)
        return width, room

    def _group(self) -> int:
        """Return which nine, or which titled page, the page on the screen belongs to."""
        return max(0, bisect_right(self._starts, self._pages[self._page].start) - 1)

    def _title(self, group: int, width: int) -> list[Content]:
        title = f"{self._caption} ({self._titles[group]})" if self._titles else self._caption
        return wrapped(title, width, "bold $pb-text")

    def _option(self, index: int, width: int) -> list[Content]:
        """Return one choice on as many rows as it needs."""
        number = index - self._starts[max(0, bisect_right(self._starts, index) - 1)] + 1
        if self.host.glyphs.words:
            marked = "as it is now: " if index == self._here else ""
            words = wrapped(self.voiced(f"{number} {marked}{self._options[index]}"), width)
            return [tapped(row, "press", number) for row in words]
        sign = self.host.glyphs.right if index == self._here else " "
        whole = plain(self._options[index])
        first, *more = [whole] if whole.cell_length <= width - 5 else wrapped(self._options[index], width - 5)
        rows = [Content.assemble((f" {number} ", KEY), f"{sign} ", first)]
        rows += [Content.assemble("     ", row) for row in more]
        return [tapped(row.pad_right(max(0, width - row.cell_length)), "press", number) for row in rows]

    def redraw(self) -> None:
        """Draw the page."""
        width, room = self._laid_out()
        title = self._title(self._group(), width)
        rows = [row for index in self._pages[self._page] for row in self._rows[index]]
        foot = self._foot(width)
        # Blank rows stand where there is room for them.
        spare = room + FOOT_ROWS - len(title) - len(rows) - len(foot)
        lines = [*title, *[Content("")] * (spare > 1), *rows, *[Content("")] * (spare > 0), *foot]
        self._draw(Content("\n").join(lines))

    def _draw(self, content: Content) -> None:
        drawn = self.query_one("#pick", Static)
        drawn.update(content)
        self.point(drawn)

    def _foot(self, width: int) -> list[Content]:
        """Return the keys that answer, and the page; on a small screen a list with a mark only turns onward."""
        shown = self.host.keymap.shown
        marked, many = self._here >= 0, len(self._pages) > 1
        foot = [Content.assemble((shown("list.go"), KEY), " ", ("choose", "$pb-muted"))]
        if many:
            foot.append(_tap(shown("list.next"), "next"))
            if not (marked and self.app.size.width < ROOMY):
                foot.append(_tap(shown("list.before"), "before"))
        if marked:
            # What Enter takes is always to be read: where it is on another page, here.
            key, used = shown("list.marked"), Content("   ").join(foot).cell_length
            named = fitted(self._options[self._here], max(8, width - used - len(key) - 4))
            foot.append(_tap(key, "marked" if self._here in self._pages[self._page] else named))
        if self._more:
            foot.append(_tap(shown("list.more"), self._more))
        foot.append(_tap(shown("list.leave"), "back"))
        if many:
            foot.append(plain(f"{self._page + 1} of {len(self._pages)}", None, "$pb-muted"))
        whole = Content("   ").join(foot)
        return (
            [whole] if whole.cell_length <= width else [Content("   ").join(foot[:-2]), Content("   ").join(foot[-2:])]
        )

    @property
    def places(self) -> tuple[str, ...]:
        """In a list."""
        return ("list",)

    def take(self, key: str) -> None:
        """Choose the line that a key stands in, unless it means something in every list."""
        of_lists = {known for command in self.host.keymap.keys_of("list") for known in command.keys}
        meant = next((one for one in (key, key.lower()) if one in self._letters.keys() - of_lists), "")
        if meant:
            self.leave(self._letters[meant])
        else:
            super().take(key)

    def press(self, key: str) -> None:
        """Choose, turn the page, or leave."""
        command_id = command_for(key, "list")
        if command_id == "list.leave":
            self.leave(None)
        elif command_id == "list.help":
            self.show_keys("list")
        elif command_id == "list.next":
            self._page += 1
            self.redraw()
        elif command_id == "list.before":
            self._page -= 1
            self.redraw()
        elif command_id == "list.more" and self._more:
            self.leave(MORE)
        elif command_id == "list.marked" and self._here >= 0:
            self.leave(self._here)
        elif command_id == "list.go":
            group = self._group()
            index = self._starts[group] + int(key) - 1
            if index in self._pages[self._page]:
                self.leave(index)
            elif index < self._starts[min(group + 1, len(self._starts) - 1)]:  # not shown yet: first it is
                self._page = next(at for at, page in enumerate(self._pages) if index in page)
                self.redraw()


class AskLine(LeavesOnce, ModalScreen[str | None]):
    """One line to type. Gives the text, or None; empty text is an answer too.

    Escape leaves it, and, since a bare pad has none, so does a dash that comes first.
    """

    passing = True

    def __init__(
        self,
        caption: str,
        *,
        value: str = "",
        hint: str = "",
        replaced: bool = False,
        note: bool = False,
        reads: Callable[[str], object] | None = None,
    ) -> None:
        """The first figure or letter typed takes the place of `value`, unless it is a `note` and not to be `replaced`.

        A note may be long and have several lines, and goes on behind what stands. What `reads` raises BadInput for
        stays in the line, with the reason under it.
        """
        super().__init__()
        self._reads = reads
        self._note = note
        self._replaced = replaced or (bool(value) and not note)
        self._caption = caption
        self._value = value
        self._hint = hint

    def compose(self) -> ComposeResult:
        most = LONGEST_TEXT if self._note else LONGEST_NAME
        self._line = Line(
            value=self._value, placeholder=self._hint, replaced=self._replaced, most=most, lines=self._note
        )
        self._line.once = True
        self._line.reads = self._reads
        with Vertical(classes="card"):
            yield Static(plain(self._caption, None, "bold $pb-text"))
            yield from self.above()
            yield self._line
            self._refusal = Static(classes="refusal")
            yield self._refusal
            self._foot = Static(self._keys())
            yield self._foot

    def _keys(self) -> Content:
        """Return the keys of the line as it stands."""
        foot = [_tap("Enter", self.kept()), _tap("Esc", "leaves it")]
        if self._line.by_pad and self._line.value:
            foot.append(_tap("-", "erases one more" if self._line.erasing else "twice: erases"))
        elif not self._value or self._replaced:
            foot.append(_tap("-", "in an empty line: leaves it"))
        return Content("   ").join(foot)

    def above(self) -> list[Static]:
        """What stands between the question and the line."""
        return []

    def kept(self) -> str:
        """What Enter does with what stands in the line."""
        return "keeps it"

    def on_unmount(self) -> None:
        """Give what was typed behind the end of the line to the screen that is on top now."""
        for key in self._line.late:
            again = events.Key(key.key, key.character)
            again.time = key.time
            self.app.screen.post_message(again)

    def on_line_left(self) -> None:
        """Leave with the one key of a bare pad that an empty line has to spare."""
        self.leave(None)

    def on_line_entered(self, message: object) -> None:
        self.leave(getattr(message, "text", ""))

    def on_line_refused(self, message: Line.Refused) -> None:
        """Say under the line why it is not taken; it stands there until the line is as it may be."""
        self._refusal.update(plain(message.words, None, LOOK))
        self._refusal.display = True

    def on_input_changed(self) -> None:
        """Clear the reason once what is typed fits; tell what a dash does now."""
        self._foot.update(self._keys())
        if not self._line.too_many:
            self._refusal.display = False

    def on_paste(self, event: events.Paste) -> None:
        """Give the line what was pasted before it had the focus."""
        event.stop()
        self._line.paste(event.text)

    def on_key(self, event: events.Key) -> None:
        """Leave on Escape; every other key is the line's own, one that came before the line stood there too."""
        if event.key == "escape":
            event.stop()
            self.leave(None)
            return
        if event is not self._line.last_key:
            event.stop()
            self._line.take(event)


class AskListed(AskLine):
    """One line to type under a numbered list: one figure alone is the line of that number, anything else is the answer
    itself. So a text never chooses a line by its first figure. Gives what was typed, or None."""

    def __init__(
        self,
        caption: str,
        options: Sequence[str],
        *,
        hint: str = "",
        note: bool = False,
        reads: Callable[[str], object] | None = None,
    ) -> None:
        super().__init__(caption, hint=hint, note=note, reads=reads)
        self._options = list(options)

    def above(self) -> list[Static]:
        """The list."""
        rows = [
            tapped(Content.assemble((f" {number} ", KEY), " ", plain(option, 50)), "press", number)
            for number, option in enumerate(self._options, 1)
        ]
        return [Static(Content("\n").join(rows), classes="listed")]

    def kept(self) -> str:
        """A figure alone does not act at once, as in a list without a line: say what Enter makes of it."""
        by_figure = {str(number): option for number, option in enumerate(self._options, 1)}
        chosen = by_figure.get(self._line.value)
        return super().kept() if chosen is None else f"takes {fitted(chosen, TAKEN)}"

    def on_mount(self) -> None:
        """Set list and line close where the screen is low."""
        self.set_class(self.app.size.height < LOW, "low")

    def press(self, key: str) -> None:
        """Take a line that was tapped."""
        self.leave(key)


def _tap(shown: str, label: str) -> Content:
    """Return a key and what it does, to be tapped."""
    return tapped(Content.assemble((shown, KEY), " ", (label, "$pb-muted")), "key", shown)
