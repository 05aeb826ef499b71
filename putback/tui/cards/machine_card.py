"""A machine's card: what it is, what was seen before anything came off, and what became of that."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import cached_property, partial

from textual import work
from textual.content import Content
from textual.screen import Screen

from putback.reports.first_look import first_look
from putback.reports.machines import machine_line
from putback.trade import commands as c
from putback.trade.record.first_look import LEADS, ONE, SORTS, Seen, still_open
from putback.trade.record.machine import Machine
from putback.tui.cards.card import CardScreen, Link, Mend
from putback.tui.dialogs.machine_fields import MachineFields
from putback.tui.draw.palette import LOOK
from putback.tui.draw.text import wrapped

HINTS = {
    "from": "a barn, an auction, who had it",
    "condition": "complete, rust on the left side",
    "fault": "the bell is dull; the drum turns heavily",
    "works": "the counter counts",
    "fails": "the ribbon does not move",
    "measured": "pull of the spring: 1.2 kg",
    "lift": "two people, by the feet; never by the drum",
    "missing": "one foot; the paper rest",
}
"""What may be said of each sort."""

ASKED = {
    "from": "where is it from",
    "condition": "what is its condition",
    "fault": "which fault do you see",
    "works": "what works",
    "fails": "what does not work",
    "measured": "what was measured",
    "lift": "how is it lifted",
    "missing": "what is missing already",
}
"""Each sort as a question."""

Act = Callable[[], Awaitable[None]]


class MachineScreen(CardScreen):
    """One machine."""

    def __init__(self, machine: int) -> None:
        super().__init__()
        self._machine = machine

    # -- what it is about ----------------------------------------------------------------------------

    def is_there(self) -> bool:
        return self.record.find(Machine, self._machine) is not None

    @cached_property
    def fields(self) -> MachineFields:
        """The questions about what can be said of it."""
        return MachineFields(self.questions)

    @property
    def noun(self) -> Machine:
        """The machine shown."""
        return self.record.get(Machine, self._machine)

    def machine(self) -> int:
        return self._machine

    @property
    def is_ours(self) -> bool:
        """Whether it can be changed here: what is said of a machine can, on the bench or not."""
        return True

    def caption(self) -> str:
        return f"machine: {self.noun.caption}"

    def facts(self, width: int) -> list[Content]:
        machine = self.noun
        line = machine_line(self.record, machine, now=self.host.workshop.now())
        lines = wrapped(line.text, width, LOOK)
        for sort, words in sorted(first_look(machine).facts(), key=lambda fact: fact[0] != "caution"):
            lines += self.fact(sort, words, width)
        return lines

    # -- what can be said ----------------------------------------------------------------------------

    def _acts(self) -> list[tuple[str, Act]]:
        """Return what can be said of it, in the order of its numbers."""
        asked = [
            (f"{LEADS[seen.sort]}: {seen.what}: what became of it?", partial(self._came_of, seen))
            for seen in still_open(self.noun.first_look)
        ]
        meant = [] if self.noun.intent else [("what is it restored for: run, show, keep as found?", self._intent)]
        return [("write down what you see: a fault, a test, where it is from", self._look), *meant, *asked]

    def links(self) -> list[Link]:
        return [Link(label, lambda: self) for label, _ in self._acts()]

    def go(self, index: int) -> None:
        """Ask what has that number."""
        links = self._pages[self._page][1] if self._pages else []
        if index >= len(links):
            self.host.ring("refused")
            return
        label = links[index].label
        self.say_it(next(act for known, act in self._acts() if known == label))

    @work
    async def say_it(self, asks: Act) -> None:
        """Ask what has to be asked, and say it."""
        await asks()
        self.redraw()

    async def _look(self) -> None:
        """Ask for one thing after another, until the list of sorts is left."""
        while picked := await self.questions.pick("First look: what do you see?", tuple(SORTS.values())):
            sort = next(sort for sort, words in SORTS.items() if words == picked)
            had = next((one.what for one in self.noun.first_look if one.sort == sort), "")
            value = had if sort in ONE else ""
            what = await self.questions.ask(f"First look: {ASKED[sort]}?", value=value, hint=HINTS[sort])
            if what:
                self.host.do(c.LookAt(sort=sort, what=what), machine=self._machine)

    async def _intent(self) -> None:
        intent = await self.fields.ask_intent(self.noun)
        if intent:
            self.host.do(c.MendMachine(intent=intent), machine=self._machine)

    async def _came_of(self, seen: Seen) -> None:
        text = await self.questions.ask(
            f"{seen.text}. What became of it?", hint="cleaned, it rings; or: as it was, and why"
        )
        if text:
            self.host.do(c.MendLook(sort=seen.sort, what=seen.what, came_of=text), machine=self._machine)

    # -- correcting ----------------------------------------------------------------------------------

    def mends(self) -> list[Mend]:
        machine = self.noun
        seen = [Mend(one.text, partial(self._mend_seen, one)) for one in first_look(machine).seen]
        fields = [
            Mend(f"{field:<13}{value or '-'}", partial(self.fields.mend_field, machine, field))
            for field, value in self.fields.fields_of(machine).items()
        ]
        return [*fields, *seen]

    async def _mend_seen(self, seen: Seen) -> None:
        """Ask for its words as they should be, and for what became of it; without words it is taken out."""
        words = await self.questions.ask_line("What was seen? With nothing it is taken out.", value=seen.what)
        if words is None:
            return
        came_of: str | None = None
        if words and seen.came_of:
            came_of = await self.questions.ask_line("What became of it?", value=seen.came_of)
        if (words, came_of) != (seen.what, None):
            new = None if words == seen.what else words
            mended = c.MendLook(sort=seen.sort, what=seen.what, new=new, came_of=came_of)
            self.host.do(mended, machine=self._machine)

    def take_back(self) -> None:
        """Take back the last thing done on its machine."""
        self.host.take_back(self._machine)

    def beside(self, step: int) -> Screen[str | None] | None:
        kin = [machine.id for machine in self.record.all(Machine)]
        at = kin.index(self._machine) + step
        return MachineScreen(kin[at]) if 0 <= at < len(kin) else None
