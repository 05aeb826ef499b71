"""The step on the card, page by page: which page is shown, how long the step has been there, and what is drawn."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace
from textual.content import Content

from putback.reports.account import Account
from putback.trade.cautions.dangers import FIRST
from putback.trade.checks.open_jobs import not_in_its_place, still_open
from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from putback.tui.dialogs.far_switch import LOUD
from putback.tui.draw.account import Page
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.palette import CAUTION, LOOK
from putback.tui.draw.signs import signed
from putback.tui.draw.text import plain
from putback.tui.draw.views import MessageData
from putback.tui.keyboard.key import Key
from putback.tui.refit.standing import Standing
from putback.tui.refit.step_pages import HELD, StepPages
from putback.tui.widgets.refit_panes import FarGoing, far_head

LEAST_BESIDE_TALL = 4
"""Rows for what is said of a step, below which the tall figures give way."""

COMING_UP = 3
"""Steps of the plan that are told beforehand."""

LEAST_COMING_UP = 6
"""Rows for them: a gap, their title, and a line each, one of them of two rows."""

TOO_QUICK = 0.5
"""Seconds for which a step has to have been on the screen before a key can confirm anything of it."""

THE_END = -1
"""What is shown where every step is back, in the place of a step's number."""


class Drawn(Struct, frozen=True):
    """The card as it is drawn."""

    title: str
    """What stands in its upper edge."""
    subtitle: str
    """What stands in its lower edge; empty for nothing."""
    rows: tuple[Content, ...]
    """Its lines, as far as the page goes."""
    keys: tuple[Key, ...]
    """The keys of the foot, with what they say here."""


class CardPages:
    """Which page of which step is shown."""

    def __init__(self, way: Standing) -> None:
        self.host = way.host
        self.record = way.record
        self.way = way
        self.at = 0
        self.pages: list[Page] = []
        self._seen: tuple[int, float] = (0, 0.0)
        """The step that is on the screen, and since when."""

    # -- which page ----------------------------------------------------------------------------------

    def come_to(self, step: Step | None) -> None:
        """Show a step from its first page on, where it is another; None is the end."""
        number = step.id if step is not None else THE_END
        if self._seen[0] != number:
            self._seen, self.at = (number, self.host.seconds()), 0

    def too_quick(self, step: Step) -> bool:
        """Tell whether a step has been on the screen for so short a time that no eye has read it; then say so."""
        shown, since = self._seen
        if shown == step.id and self.host.seconds() - since >= TOO_QUICK:
            return False
        if shown != step.id:
            self._seen = (step.id, self.host.seconds())
        self.host.say("note", f"too quick: step {step.number} is now shown")
        return True

    def turn(self, by: int) -> None:
        """Turn to a page further on or back; the last one is where drawing finds it."""
        self.at = max(0, self.at + by)

    def turned(self, by: int) -> bool:
        """Turn to a page further on or back, if there is one; tell whether there is."""
        page = self.at + by
        there = page != self.at and 0 <= page < len(self.pages)
        self.at = page if there else self.at
        return there

    def reads_on(self, account: Account) -> bool:
        """Turn the page where nothing on it is asked for and another follows; tell whether that was so."""
        todo, page = account.todo, min(self.at, len(self.pages) - 1)
        asked = todo is not None and account.next not in HELD and todo.item in self.pages[page].items
        reads_on = not asked and page + 1 < len(self.pages)
        self.at = page + 1 if reads_on else self.at
        return reads_on

    def follow(self, account: Account) -> None:
        """Turn the page where nothing on this one is still asked for, so that the page follows the mark."""
        page = min(self.at, len(self.pages) - 1)
        open_here = {block.item for block in account.asked if not block.done} & self.pages[page].items
        if not open_here and page + 1 < len(self.pages):
            self.at = page + 1

    def _page(self, account: Account) -> int:
        """Return the page that is shown: never behind the marked line, where that was gone back to."""
        self.at = min(self.at, len(self.pages) - 1)
        todo = account.todo
        if todo is not None and account.next not in HELD:
            asked = next((i for i, page in enumerate(self.pages) if todo.item in page.items), self.at)
            self.at = min(self.at, asked)
        return self.at

    # -- drawing -------------------------------------------------------------------------------------

    @property
    def _card(self) -> StepPages:
        return StepPages(self.record, self.host.glyphs, self.host.keymap)

    def _lay_out(self, account: Account, width: int, height: int, before: tuple[Content, ...]) -> None:
        hushed, scanned = self.way.hushed(), self.way.scanned(account)
        self.pages = self._card.pages(account, width, height, hushed=hushed, scanned=scanned, before=before)

    def near(self, account: Account, width: int, height: int) -> Drawn:
        """Return the card of a step, as large as that."""
        card, words = self._card, self.host.glyphs.words
        head = card.head(account, width)
        hint = self.way.hint(account)
        before = signed("note", hint, width, self.host.glyphs, "$pb-muted") if hint else []
        self._lay_out(account, width, height - len(head), tuple(before))
        page = self.pages[self._page(account)]
        answers = card.answers(account, self.at, self.pages)
        says = dict(answers)
        keys = [replace(key, label=says.get(key.id, key.label)) for key in self.keys()]
        keys.sort(key=lambda key: key.id not in says)  # what answers the card comes first
        many = len(self.pages) > 1
        title = f"going back, page {self.at + 1} of {len(self.pages)}" if many else "going back"
        # Whose rules come first stands on the frame too, where a usual caution is on the page.
        subtitle = FIRST if page.sorts & {"usual", "rules"} and not words else ""
        room = height - len(head) - len(page.rows)
        return Drawn(title, subtitle, (*head, *page.rows, *self._coming_up(account, width, room)), tuple(keys))

    def _coming_up(self, account: Account, width: int, room: int) -> list[Content]:
        """What comes next in the plan, with where it lies and its tools, at the foot of a card that has room for it."""
        if room < LEAST_COMING_UP or self.host.glyphs.words:
            return []
        rows = [plain("after this", width, "bold $pb-text")]
        for next_one in self.way.accounts_behind(account.step, COMING_UP):
            fetched = ", ".join(filter(None, (*next_one.places, *(block.words for block in next_one.of("tools")))))
            said = f"{next_one.step.number} {next_one.heading}{f': {fetched}' if fetched else ''}"
            rows += signed("note", said, width, self.host.glyphs, "$pb-muted")
        return [*[Content("")] * (room - len(rows)), *rows] if 1 < len(rows) < room else []

    def end(self, machine: Machine, width: int, height: int) -> Drawn:
        """Return what is said at the end, with the machine's last page behind it."""
        self.pages = self._card.end(machine, width, height, now=self.host.workshop.now())
        self.at = min(self.at, len(self.pages) - 1)
        last = self.at + 1 == len(self.pages)
        asks = self.at == 0 and self.way.asks_at_the_end()
        names = [
            *(["next"] * (asks or not last)),
            *(["book"] * bool(self.record.held_steps(machine.id))),
            "back",
            "help",
            "leave",
        ]
        keys = [self.host.keymap.key(f"refit.{name}") for name in names]  # what does nothing here is not named
        said = {"refit.next": "what would you do differently?" if asks else "read on"}
        keys = [replace(key, label=said.get(key.id, key.label)) for key in keys]
        title = f"the end, page {self.at + 1} of {len(self.pages)}"
        return Drawn(title, "", self.pages[self.at].rows, tuple(keys))

    def keys(self) -> list[Key]:
        """Return the keys of the foot, in the order in which it shows as many as fit."""
        return [self.host.keymap.key(f"refit.{name}") for name in _FIRST]

    def from_afar(self, account: Account | None, width: int, height: int) -> FarGoing:
        """Return what is shown from afar, on as many pages as it needs."""
        message, glyphs = self.host.message, self.host.glyphs
        width, height = max(20, width), max(8, height)
        if account is None:
            head = self._end_from_afar(width, glyphs)
            asks = ((self.host.keymap.shown("refit.next"), "look back"),) if self.way.asks_at_the_end() else ()
            near = (self.host.keymap.shown("refit.far"), "all of it")
            keys = (*asks, near, self.host.keymap.pair("refit.leave"))
            return FarGoing(tuple(head), keys, text=_quiet(message))
        step, places = account.step, account.places
        where = places[0] if places else _in_a_word(account)
        number = f"step {step.number}{f', {account.faces}' if account.faces else ''}; {self.way.to_go()}"
        style = CAUTION if message.sort == "caution" else LOOK
        now = signed(message.sort, message.words, width, glyphs, style) if message.sort in LOUD else []
        first = far_head(where, account.heading, number, width, glyphs)
        later = far_head("", account.heading, number, width, glyphs)
        # The tall figures of the first page stand in the place of rows that every later page has.
        tall = tuple([*first[: len(first) - len(later)], *now])
        room = height - len(later) - 1
        before = tall if room - len(tall) >= LEAST_BESIDE_TALL else tuple(now)
        self._lay_out(account, width, room, before)
        at = self._page(account)
        rows = [*later, *self.pages[at].rows]
        if before and at == 0:
            rows = [*before, *later, *self.pages[0].rows[len(before) :]]
        more = f"page {at + 1} of {len(self.pages)}" if len(self.pages) > 1 else ""
        answers = self._card.answers(account, at, self.pages)
        keys = tuple((self.host.keymap.shown(id), label) for id, label in answers)
        return FarGoing(tuple(rows), keys, more, _quiet(message))

    def _end_from_afar(self, width: int, glyphs: GlyphSet) -> list[Content]:
        """Return what is said at the end from afar: done, or what is not in its place and what is still open."""
        machine = self.host.machine_id
        gaps, still = not_in_its_place(self.record, machine), still_open(self.record, machine)
        if not gaps and not still:
            return far_head("done", "Everything is back.", "nothing is left over", width, glyphs)
        said = ["Every step is back."]  # what is open may be long: it stands where it is wrapped
        said += [f"Not in its place: {'; '.join(gaps)}."] if gaps else []
        said += [f"Still open: {'; '.join(still)}"] if still else []
        return far_head("open", " ".join(said), "", width, glyphs)


def _quiet(message: MessageData) -> str:
    """Return what the last key did, where it is not said above in its own colour."""
    return "" if message.sort in LOUD else message.words


def _in_a_word(account: Account) -> str:
    """Return what a step of the way back is about that has nothing to fetch: what is waited for is not there to be."""
    if account.next in ("waits", "turn"):
        return account.next
    return "put on" if account.step.do == "take off" else account.step.do


_FIRST = (
    "next", "other", "book", "skip", "back", "help", "leave", "note", "photos", "trouble", "again", "far", "up", "down",
    "order", "card",
)  # fmt: skip
"""The keys of the foot, the most wanted first."""
