"""What the cards of a step, a part and a fastener share: facts above, numbered ways to other cards below."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from functools import partial

from msgspec import Struct
from rich.cells import cell_len
from textual import work
from textual.content import Content
from textual.screen import Screen

from putback.reports.cards import Card as NounCard
from putback.reports.cards import Way
from putback.trade import commands as c
from putback.trade.checks.walked import wrong_at
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine, Part
from putback.trade.record.place import bag_number
from putback.trade.record.step import Step
from putback.tui.dialogs.photo_beside import GAP
from putback.tui.dialogs.sheet import COPY, TO_THE_BENCH, CardFrame
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.palette import KEY, LOOK
from putback.tui.draw.signs import signed
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped
from putback.tui.widgets.plate import LEAST, MOST

LINKS = 9
"""Ways to other cards on one page: as many as there are number keys."""

PHOTO_ROWS = 14
"""Rows that a photo keeps at least, its caption among them; what stands below it has the whole width."""

HUNG = " " * 4
"""How the further lines of a fact begin."""

PICTURE_ROWS = 13
"""Rows of a picture of holes at most."""

HEAD_ROWS = 3
"""Rows of name and machine at most that stand above every page; further ones begin the first."""

MANY = 99
"""More pages than a card has: the foot is measured with it."""

WIDE = 400
"""A width in which no fact goes on in a further line, for a card that is copied as text."""

LEAST_FACTS = 4
"""Rows that facts keep on the first page, however many ways on there are."""


class Link(Struct, frozen=True):
    """A way to another card, or to the bench."""

    label: str
    """What it is, in a line."""
    made: Callable[[], Screen[str | None]] | None = None
    """Makes the card; None where it leads to the bench."""
    beside: str = ""
    """What stands beside it, less bright."""


class Mend(Struct, frozen=True):
    """Something on a card that can be said right."""

    label: str
    """What it is, with how it stands now."""
    do: Callable[[], Awaitable[None]]
    """Asks what is so, and writes it down."""


NEW_BAG = "a new bag"
"""The last line of a list of bags."""


class CardScreen(CardFrame):
    """One noun of the record."""

    def links_of(self, card: NounCard) -> list[Link]:
        """Return the ways on from a card, each with the screen it leads to."""

        def made(way: Way) -> Callable[[], Screen[str | None]]:
            return partial(self.host.card_of, way.sort, *way.ids)

        return [Link(way.label, made(way), way.beside) for way in card.ways]

    def __init__(self) -> None:
        super().__init__()
        self._page = 0
        self._pages: list[tuple[list[Content], list[Link]]] = []

    # -- what a card is about ------------------------------------------------------------------------

    def is_there(self) -> bool:
        """Tell whether the noun is still in the record; taking back may have taken it away."""
        raise NotImplementedError

    def machine(self) -> int:
        """Return the machine it belongs to."""
        raise NotImplementedError

    def caption(self) -> str:
        """Return what it is, in a line."""
        raise NotImplementedError

    def facts(self, width: int) -> list[Content]:
        """Return what there is to say of it, in lines of `width` cells."""
        raise NotImplementedError

    def picture(self, width: int, rows: int) -> list[list[Content]]:
        """Return the holes it has to do with as pages of at most so many rows; nothing where there are none."""
        return []

    def links(self) -> list[Link]:
        """Return the ways to other cards."""
        raise NotImplementedError

    def mends(self) -> list[Mend]:
        """Return what can be said right."""
        raise NotImplementedError

    def mends_say(self) -> str:
        """Return what the foot says of the key for what can be said right; empty for the usual word."""
        return ""

    def beside(self, step: int) -> Screen[str | None] | None:
        """Return the card `step` places on in order, or None where there is none."""
        raise NotImplementedError

    # -- drawing -------------------------------------------------------------------------------------

    @property
    def is_ours(self) -> bool:
        """Whether it belongs to the machine on the bench."""
        return self.machine() == self.host.machine_id

    def fact(self, word: str, words: str, width: int) -> list[Content]:
        """Return one fact behind the sign of `word`, on as many lines as it needs."""
        return signed(word, words, width, self.host.glyphs, "", inset=2)

    def facts_of(self, card: NounCard, width: int) -> list[Content]:
        """Return the facts of a card: a sign before what has one, and what is so now in bold."""
        lines: list[Content] = []
        for fact in card.facts:
            if fact.sort == "now":
                lines += wrapped(fact.words, width, "bold $pb-text")
            elif fact.sort == "move":
                first, *more = wrapped(fact.words, width - len(HUNG), "$pb-muted")
                lines += [Content.assemble("  ", first), *(Content.assemble(HUNG, row) for row in more)]
            else:
                lines += self.fact(fact.sort, fact.words, width)
        return lines

    mended = "What is wrong here?"
    """What is asked over the list of what can be said right."""
    gone = "This is no longer in the record: it was taken back."
    """What the card says once what it is about is not there any more."""

    def redraw(self) -> None:
        """Draw the card."""
        width = inner_width(self.app.size.width)
        if not self.is_there():
            gone = self.gone
            self._pages = []
            back = plain(f"{self.key_of('card.leave')} back", width, "$pb-muted")
            lines = [*wrapped(gone, width, LOOK), Content(""), back]
            self._draw(Content("\n").join(lines))
            self.place_photo(0, 0, 0, 0)
            return
        whole, beside = width, self.photo_width(width)
        width -= beside
        head = wrapped(self.voiced(self.caption()), width, "bold $pb-text")
        owner = self.record.get(Machine, self.machine()).caption
        if self.caption() != f"machine: {owner}":
            head += wrapped(self.voiced(f"of {owner}"), width, "$pb-muted" if self.is_ours else LOOK)
        answer = self._answer(whole)
        height = inner_height(self.app.size.height)
        facts = [*head[HEAD_ROWS:], *self.in_words(width), *self.facts(width)]
        head, links = head[:HEAD_ROWS], self.links()
        rows = [len(self._link(1, link, width)) for link in links]
        for count in (1, MANY):  # the key that turns pages takes room in the foot, which may make pages
            foot = feet(self._keys(count), whole)
            room = max(4, height - len(head) - len(answer) - len(foot))
            self._pages = self._laid_out(facts, links, rows, width, room)
            if len(self._pages) == 1:
                break
        self._page %= len(self._pages)
        foot = feet(self._keys(len(self._pages)), whole)
        facts, links = self._pages[self._page]
        ways = [self._link(number, link, width) for number, link in enumerate(links, 1)]
        gap = facts and ways and len(facts) + sum(map(len, ways)) < room
        lines = [*head, *facts, *([Content("")] if gap else [])]
        photo_rows = min(max(len(lines), PHOTO_ROWS), height - len(answer) - len(foot)) if beside else 0
        for number, link in enumerate(links, 1):
            lines += self._link(number, link, width if len(lines) < photo_rows else whole)
        lines += [Content("")] * (height - len(lines) - len(answer) - len(foot))
        lines += [*answer, *foot]
        self._draw(Content("\n").join(lines))
        self.place_photo(whole - beside + GAP, 0, beside - GAP, photo_rows)

    def _laid_out(
        self, facts: list[Content], links: list[Link], rows: list[int], width: int, room: int
    ) -> list[tuple[list[Content], list[Link]]]:
        """Return the pages, the picture behind the facts where it fits there beside the ways on, else on the last.

        `rows` says how many each way on takes.
        """
        left = room - 1 - len(facts) - sum(rows)
        if left > LEAST and len(links) <= LINKS and not self.host.glyphs.words:
            picture = self.picture(width, min(left, PICTURE_ROWS))
            if len(picture) <= 1:
                return [([*facts, *(row for page in picture for row in page)], links)]
        if self.host.glyphs.words:  # words need no room to be seen at a glance in
            facts = [*facts, *(row for page in self.picture(width, MOST * LINKS) for row in page)]
            return laid_out(facts, links, room, rows)
        picture = self.picture(width, room)
        return [*laid_out(facts, links, room, rows), *((page, []) for page in picture)]

    def _link(self, number: int, link: Link, width: int) -> list[Content]:
        """Return a way on, on as many rows as it needs."""
        first, *more = wrapped(self.voiced(link.label), width - 4, "bold $pb-text")
        rows = [Content.assemble((f" {number} ", KEY), first)]
        rows += [Content.assemble("   ", row) for row in more]
        if link.beside and rows[-1].cell_length + 2 + cell_len(link.beside) <= width:
            rows[-1] = Content.assemble(rows[-1], "  ", plain(link.beside, None, "$pb-muted"))
        elif link.beside:
            rows += [Content.assemble("     ", row) for row in wrapped(link.beside, width - 5, "$pb-muted")]
        return [tapped(row.pad_right(max(0, width - row.cell_length)), "press", number) for row in rows]

    def _keys(self, pages: int) -> list[tuple[str, str]]:
        pair = self.host.keymap.pair
        keys = [pair("card.go")]
        if self.is_ours:
            keys += [pair("card.mend", self.mends_say()), pair("card.back")]
        if self.photos():
            keys.append(pair("card.photo"))
        keys += [pair("card.next", "next"), pair("card.leave"), pair("card.bench"), pair("card.help")]
        if pages > 1:
            keys.insert(1, pair("card.page", f"page {self._page + 1} of {pages}"))
        return keys

    # -- keys ----------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """On a card."""
        return ("card",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "card")
        if command_id == "card.bench":
            self.leave(TO_THE_BENCH)
        elif command_id == "card.leave" or not self.is_there():
            self.leave(None)
        elif command_id == "card.go":
            self.go(int(key) - 1)
        elif command_id == "card.page":
            self._page += 1
            self.redraw()
        elif command_id in ("card.next", "card.before"):
            self._turn(1 if command_id == "card.next" else -1)
        elif command_id == "card.photo":
            self.turn_photo()
        elif command_id == "card.help":
            self.show_keys("card")
        elif command_id in ("card.mend", "card.back"):
            if not self.is_ours:
                self._of_another(self.machine())
            elif command_id == "card.back":
                self.take_back()
            else:
                self.mend()

    def take_back(self) -> None:
        """Take back the last thing done."""
        self.host.take_back()

    def go(self, index: int) -> None:
        """Open the card of a number on this page."""
        links = self._pages[self._page][1] if self._pages else []
        if index < len(links):
            made = links[index].made
            if made is None:
                self.take_apart()
            else:
                self.open_card(made())
        else:
            self.host.ring("refused")

    def part_to_take_apart(self) -> Part | None:
        """Return the part of this card that can be worked in; None where there is none."""
        return None

    def apart_link(self) -> list[Link]:
        """Return the way inside the part of this card, where there is one."""
        part = self.part_to_take_apart()
        return [Link(f"take {part.name} apart", None, "work inside it")] if part is not None else []

    def take_apart(self) -> None:
        """Go to the bench, and there inside the part of this card."""
        part = self.part_to_take_apart()
        if part is not None:
            self.host.going_inside = part.id
            self.leave(TO_THE_BENCH)

    def _turn(self, by: int) -> None:
        card = self.beside(by)
        if card is None:
            self.host.refuse("There is no next one.")
        else:
            self.open_card(card)

    @work
    async def mend(self) -> None:
        """Ask what is to be said right, and then what is so."""
        mends = self.mends()
        chosen = await self.questions.pick(self.mended, (*(mend.label for mend in mends), COPY))
        if chosen is None:
            return
        if chosen == COPY:
            lines = (self.caption(), *(line.plain for line in self.facts(WIDE)))
            self.copy_text("\n".join(lines))
            return
        number, step = self.host.workshop.store.number, self.mended_step()
        await next(mend.do for mend in mends if mend.label == chosen)()
        if step is not None and self.host.workshop.store.number > number and wrong_at(self.record, step) is not None:
            self.host.do(c.WalkBack(step=step.number, answer="put right"), quiet=True)
        self.redraw()

    def mended_step(self) -> Step | None:
        """Return the step that a correction on this card is of; None where it is of none alone."""
        return None

    async def ask_bag(self, caption: str) -> int | None:
        """Ask for one of the machine's open bags or a new one; its number, or None where it was left."""
        bags = [bag.number for bag in self.record.all(Bag, self.machine()) if not bag.closed]
        lines = [f"bag {number}" for number in sorted(bags, reverse=True)]
        chosen = await self.questions.pick(caption, (*lines, NEW_BAG), here=NEW_BAG)
        if chosen is None:
            return None
        return bag_number(chosen) or self.record.highest_bag(self.machine()) + 1


def laid_out(
    facts: Sequence[Content], links: Sequence[Link], room: int, rows: Sequence[int] = ()
) -> list[tuple[list[Content], list[Link]]]:
    """Return pages of facts and ways on, each of at most `room` rows and LINKS ways.

    The first page shows as many ways as it can beside LEAST_FACTS rows of facts. `rows` says how many each way takes,
    where that is not one.
    """
    facts, links, rows = list(facts), list(links), list(rows or [1] * len(links))
    pages: list[tuple[list[Content], list[Link]]] = []
    while facts or links or not pages:
        ways = _ways(rows, max(1, room - min(len(facts), LEAST_FACTS)), alone=not facts)
        shown = min(len(facts), max(0, room - sum(rows[:ways])))
        whole = shown
        while 0 < whole < len(facts) and facts[whole].plain.startswith(HUNG):
            whole -= 1
        shown = whole or shown  # a sentence is not cut by a page, unless it fills one
        pages.append((facts[:shown], links[:ways]))
        facts, links, rows = facts[shown:], links[ways:], rows[ways:]
    return pages


def _ways(rows: Sequence[int], room: int, *, alone: bool) -> int:
    """Return how many ways of so many rows each stand on a page; where nothing else does, at least one."""
    ways = 0
    while ways < min(len(rows), LINKS) and sum(rows[: ways + 1]) <= room:
        ways += 1
    return max(ways, min(1, len(rows))) if alone else ways
