"""A bag's card: what is in it, from which holes and steps. A scan opens it from anywhere."""

from __future__ import annotations

from textual import work
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from putback.reports.bags import Content as Row
from putback.reports.bags import bag_card
from putback.trade import commands as c
from putback.trade.bag import Bag
from putback.trade.fastener import Thing
from putback.tui.screens.keyed import KeyedModal
from putback.tui.screens.prompts import Ask, Pick
from putback.tui.text import plain
from putback.tui.widgets.panes import sign


class BagScreen(KeyedModal[None]):
    """One bag."""

    def __init__(self, bag: int) -> None:
        super().__init__()
        self._bag = bag
        self._first = 0

    def compose(self) -> ComposeResult:
        with Vertical(classes="card"):
            yield Static(id="bag")

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    @property
    def bag(self) -> Bag:
        """The bag shown."""
        return self.bench.workshop.record.get(Bag, self._bag)

    @property
    def is_ours(self) -> bool:
        """Whether it belongs to the machine on the bench."""
        return self.bag.machine == self.bench.machine_id

    def redraw(self) -> None:
        """Draw the card."""
        card = bag_card(self.bench.workshop.record, self.bag)
        width = max(30, min(66, self.app.size.width - 10))
        room = max(3, self.app.size.height - 10)
        box = f", box {card.row.box}" if card.row.box else ""
        total = f"{card.row.count} in it" if card.contents else "empty"
        lines = [
            Content.assemble(
                plain(f"bag {card.row.number}{box} ", width - 12, "bold $pb-brass"),
                sign(card.row.state, self.bench.glyphs),
                f" {card.row.state}, {total}   ",
                Content.styled(card.row.code, "$pb-muted"),
            ),
            plain(f"of {card.machine}", width, "$pb-muted" if self.is_ours else "bold $pb-rust"),
            Content(""),
        ]
        body: list[Content] = []
        step = 0
        for row in card.contents:
            if row.step != step:
                step = row.step
                body.append(plain(f"step {step}, {row.part}", width, "$pb-blue"))
            body.append(self._line(row, width))
        self._first = max(0, min(self._first, len(body) - room))
        lines += body[self._first : self._first + room]
        if len(body) > room:
            lines.append(
                plain(
                    f"lines {self._first + 1} to {min(len(body), self._first + room)} of {len(body)}",
                    width,
                    "$pb-muted",
                )
            )
        said = self.bench.said
        keys = "Enter back   * count   / close or reopen" if self.is_ours else "Enter back"
        if self.is_ours and self.takes():
            keys += "   + use it now"
        lines += [Content(""), plain(keys, width, "$pb-muted")]
        if said.sort == "refused":
            lines.append(plain(said.words, width, "bold $pb-rust"))
        self.query_one("#bag", Static).update(Content("\n").join(lines))

    def _line(self, row: Row, width: int) -> Content:
        hole = f"hole {row.hole:<3}" if row.hole else "        "
        what = row.size if row.size.startswith(row.what) else f"{row.what} {row.size}".strip()
        return Content.assemble(f"  {row.count:>2} x {hole} ", plain(what, width - 17, "bold $pb-text"))

    def takes(self) -> bool:
        """Whether a part is coming off that could use this bag."""
        step = self.bench.workshop.record.open_step(self.bench.machine_id)
        return step is not None and step.bag != self.bag.number and not self.bag.closed

    def press(self, key: str) -> None:
        """Take one key."""
        if key in ("enter", "escape", ".", "0"):
            self.leave(None)
        elif key in ("down", "pagedown"):
            self._first += 1
            self.redraw()
        elif key in ("up", "pageup"):
            self._first = max(0, self._first - 1)
            self.redraw()
        elif not self.is_ours:
            self.bench.bell()
        elif key == "/":
            bag = self.bag
            self.bench.do(c.ReopenBag(number=bag.number) if bag.closed else c.CloseBag(number=bag.number))
            self.redraw()
        elif key == "+" and self.takes():
            if self.bench.do(c.TakeBag(number=self.bag.number)) is not None:
                self.leave(None)
        elif key == "*":
            self.count()

    @work
    async def count(self) -> None:
        """Count one thing in the bag; what is short is missing from now on."""
        record = self.bench.workshop.record
        held = list(record.in_bag(self.bag).items())
        if not held:
            self.bench.refuse("The bag is empty in the record: nothing to count.")
            return
        options = [f"{n} x {record.get(Thing, t).called} {record.get(Thing, t).hole}".strip() for t, n in held]
        index = 0 if len(held) == 1 else await self.bench.push_screen_wait(Pick("Count what?", options))
        if index is None:
            return
        text = await self.bench.push_screen_wait(Ask(f"How many are there?  ({options[index]} in the record)"))
        if text is None or not text.strip():
            return
        if not (text.strip().isdecimal() and text.strip().isascii()):
            self.bench.refuse(f"“{text.strip()}” is no count.")
        else:
            counted = min(int(text.strip()[:9]), 10**9)
            self.bench.do(c.StockTake(bag=self.bag.number, thing=held[index][0], counted=counted))
        self.redraw()
