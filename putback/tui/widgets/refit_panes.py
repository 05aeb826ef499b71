"""The panes of refit: the plan, a step as a card, and the view from a metre away."""

from __future__ import annotations

from msgspec import Struct
from textual.content import Content
from textual.message import Message

from putback.tui.draw.buttons import answers_row
from putback.tui.draw.digits import tall_fitting
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.palette import CURSOR, LOOK
from putback.tui.draw.signs import sign
from putback.tui.draw.text import first_of, plain, wrapped
from putback.tui.keyboard.tapping import tapped
from putback.tui.widgets.shown import Shown


class PlanRow(Struct, frozen=True):
    """One step of the plan."""

    state: str
    """next, waits, skipped, or off where something else comes first."""
    number: int
    """Its number."""
    words: str
    """What refit does."""
    here: bool
    """Whether the card shows it."""


class PlanPane(Shown[tuple[PlanRow, ...]]):
    """The steps still off, in the order of the plan."""

    def lines(self, data: tuple[PlanRow, ...], width: int, height: int) -> list[Content]:
        at = next((i for i, row in enumerate(data) if row.here), 0)
        first = max(0, min(at - height // 3, len(data) - height))
        out = []
        for row in data[first : first + height]:
            if self.glyphs.words:
                state = "on the card: " if row.here else "" if row.state == "off" else f"{row.state}: "
                words = f"{state}step {row.number}, {row.words}"
                out.append(tapped(plain(words, width), "step", row.number))
                continue
            quiet = row.state in ("waits", "skipped")
            style = CURSOR if row.here else "$pb-muted" if quiet else "$pb-text"
            lead = sign("now" if row.here else row.state, self.glyphs) if row.here or row.state != "off" else " "
            number = Content.styled(f"{row.number:>4} ", style)
            words = row.words.removeprefix("put on ")  # what most of them say: the names have the room
            drawn = Content.assemble(lead, number, plain(words, width - 6, style))
            out.append(tapped(drawn.pad_right(max(0, width - drawn.cell_length)), "step", row.number))
        signs = self._signs({row.state for row in data if not row.here}, width)
        if not self.glyphs.words and len(out) + 1 + len(signs) <= height:
            out += [Content("")] * (height - len(out) - len(signs)) + signs
        return out

    def _signs(self, states: set[str], width: int) -> list[Content]:
        """What the signs before the steps mean, those that stand there."""
        meanings = {"next": "can go on now", "waits": "waits for something", "skipped": "skipped"}
        return [
            Content.assemble(sign(state, self.glyphs), plain(f" {words}", width - 2, "$pb-muted"))
            for state, words in meanings.items()
            if state in states
        ]


class Sized(Message):
    """A pane whose pages are laid out for its size has another one now."""


class CardPane(Shown[tuple[Content, ...]]):
    """One step, as large as there is room."""

    def on_resize(self) -> None:
        """Say so: what it shows is laid out by its screen."""
        self.post_message(Sized())

    def lines(self, data: tuple[Content, ...], width: int, height: int) -> list[Content]:
        return list(data)


class FarGoing(Struct, frozen=True):
    """What has to be read from a metre away at refit, laid out by `far_page`."""

    rows: tuple[Content, ...]
    """The rows above the foot."""
    answers: tuple[tuple[str, str], ...] = ()
    """The next key and what it does; where something is asked, each key that answers it."""
    more: str = ""
    """That there are further pages, and which this one is."""
    text: str = ""
    """What the last key did: said above the keys where a row is left for it."""


def far_head(where: str, name: str, number: str, width: int, glyphs: GlyphSet) -> list[Content]:
    """Return the rows above what is said: the bag to open or the place to go to in tall figures, the step.

    On a page behind the first `where` is empty: what is said there has the rows.
    """
    top = tall_fitting(where.upper(), width, LOOK, glyphs=glyphs) if where else []
    text = plain(number, width, "$pb-muted", ascii_only=glyphs.ascii)
    return [*top, *wrapped(name, width, "bold $pb-text"), text]


class FarGoingPane(Shown[FarGoing]):
    """Draws it: the bag in tall figures, the step, what is said of it, and the keys that answer it."""

    def on_resize(self) -> None:
        """Say so: what it shows is laid out by its screen."""
        self.post_message(Sized())

    def lines(self, data: FarGoing, width: int, height: int) -> list[Content]:
        row = answers_row(data.answers)
        if data.more:
            room = width - row.cell_length - 3
            short = data.more.removeprefix("page ").replace(" of ", "/")
            row = Content.assemble(row, "   ", data.more if len(data.more) <= room else short)
        rows = [Content.assemble(" ", line) for line in data.rows[: height - 1]]
        rows += [Content("")] * (height - 1 - len(rows))
        if data.text and len(data.rows) < len(rows):
            told = first_of(data.text, width - 2)
            rows[-1] = Content.assemble(" ", plain(told, width - 2, "$pb-muted", ascii_only=self.glyphs.ascii))
        return [*rows, row]
