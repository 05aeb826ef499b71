"""The panes of refit: the plan, a step as a card, and the view from a metre away."""

from __future__ import annotations

from msgspec import Struct
from textual.content import Content

from putback.tui.draw.digits import tall_fitting
from putback.tui.draw.holes import HoleView, SizeView, hole_map, legend
from putback.tui.tapping import tapped
from putback.tui.text import plain, wrapped
from putback.tui.widgets.far_pane import LEAST_LARGE, MAP, MOST_MAP
from putback.tui.widgets.shown import Shown, sign, signed


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
            style = "bold $pb-brass" if row.here else "$pb-muted" if quiet else "$pb-text"
            lead = sign("now" if row.here else row.state, self.glyphs) if row.here or row.state != "off" else " "
            number = Content.styled(f"{row.number:>4} ", style)
            words = row.words.removeprefix("put on ")  # what most of them say: the names have the room
            drawn = Content.assemble(lead, number, plain(words, width - 6, style))
            out.append(tapped(drawn.pad_right(max(0, width - drawn.cell_length)), "step", row.number))
        signs = self._signs({row.state for row in data}, width)
        if not self.glyphs.words and len(out) + 1 + len(signs) <= height:
            out += [Content("")] * (height - len(out) - len(signs)) + signs
        return out

    def _signs(self, states: set[str], width: int) -> list[Content]:
        """What the signs before the steps mean, those that stand there."""
        told = {"next": "can go on now", "waits": "waits for something", "skipped": "skipped"}
        return [
            Content.assemble(sign(state, self.glyphs), plain(f" {words}", width - 2, "$pb-muted"))
            for state, words in told.items()
            if state in states
        ]


class CardPane(Shown[tuple[Content, ...]]):
    """One step, as large as there is room."""

    def lines(self, data: tuple[Content, ...], width: int, height: int) -> list[Content]:
        return list(data)


class FarGoing(Struct, frozen=True):
    """What has to be read from a metre away at refit."""

    where: str
    """The bag to open or the place to go to, in tall figures."""
    name: str
    """What goes on."""
    number: str
    """The step, and how many are to go."""
    face: str = ""
    """The face, on the plate's edge."""
    holes: tuple[HoleView, ...] = ()
    """The holes."""
    sizes: tuple[SizeView, ...] = ()
    """Which size goes into which of them."""
    sort: str = ""
    """The sign before the line."""
    line: str = ""
    """The one thing to do next, or what was refused."""
    more: str = ""
    """What is said where not all of that has room."""
    beside: tuple[tuple[str, str], ...] = ()
    """What is to be known besides, the tools and what to beware of: its sign's name and its words."""
    key: str = ""
    """The one next key."""
    label: str = ""
    """What it does."""


class FarGoingPane(Shown[FarGoing]):
    """Draws it: the bag in tall figures, the step, its holes with their sizes, and one key."""

    def lines(self, data: FarGoing, width: int, height: int) -> list[Content]:
        top = tall_fitting(data.where.upper(), width - 2, "bold $pb-brass", glyphs=self.glyphs)
        told = [
            plain(data.name, width - 2, "bold $pb-text", ascii_only=self.glyphs.ascii),
            plain(data.number, width - 2, "$pb-muted", ascii_only=self.glyphs.ascii),
        ]
        loud = "bold $pb-rust" if data.sort in ("refused", "caution", "finding") else "bold $pb-text"
        line = wrapped(data.line, width - 4, loud)[:3]
        said = [
            Content.assemble(" ", sign(data.sort, self.glyphs) if i == 0 else " ", " ", row)
            for i, row in enumerate(line)
            if data.line
        ]
        foot = Content.assemble(
            " ", Content.styled(f" {data.key} ", "bold $pb-on-brass on $pb-brass"), "  ",
            Content.styled(data.label, "bold $pb-text"),
        )  # fmt: skip
        head = [*(Content.assemble(" ", row) for row in (*top, *told)), *said]
        room = height - len(head) - 1
        body: list[Content] = []
        if not data.holes:
            body = [Content.assemble(" ", row) for row in self._known(data, width - 2, room)]
        elif room >= 5:
            wide = min(MOST_MAP[0], max(MAP, width // 2)) if room >= LEAST_LARGE else MAP
            rows = min(room, MOST_MAP[1])
            drawn = hole_map(data.holes, wide, rows, None, title=data.face, glyphs=self.glyphs)
            room_beside = max(8, width - wide - 4)
            names = legend(data.sizes, room_beside, glyphs=self.glyphs, map_size=(wide, rows))
            names += [Content(""), *self._known(data, room_beside, rows - len(names) - 1)]
            body = [Content.assemble(" ", row, "  ", *names[i : i + 1]) for i, row in enumerate(drawn)]
        gap = [Content("")] * max(0, room - len(body))
        return [*[*head, *body, *gap][: height - 1], foot]

    def _known(self, data: FarGoing, width: int, room: int) -> list[Content]:
        """What is to be known besides, each sentence whole; where there is no room for one, that there is more."""
        styles = {"caution": "bold $pb-rust"}
        out: list[Content] = []
        for i, (sort, words) in enumerate(data.beside):
            rows = signed(sort, words, width, self.glyphs, styles.get(sort, "$pb-text"))
            if len(out) + len(rows) + (i + 1 < len(data.beside)) > room:
                more = signed(sort, data.more, width, self.glyphs, styles.get(sort, "$pb-text"))
                return [*out, *more][: max(0, room)]
            out += rows
        return out
