"""A bag's card: what is in it, from which holes and steps. A scan opens it from anywhere."""

from __future__ import annotations

from functools import partial

from textual import work
from textual.content import Content

from putback.errors import BadInput
from putback.reports.bag_story import bag_story
from putback.reports.bags import Content as Row
from putback.reports.bags import bag_blocks, bag_card
from putback.reports.blocks import as_text
from putback.reports.spoken import spoken
from putback.trade import commands as c
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Part
from putback.trade.record.photo import Photo, in_order
from putback.trade.record.step import Step
from putback.tui.dialogs.label_printing import print_labels
from putback.tui.dialogs.numbers import COUNT, number_in
from putback.tui.dialogs.photo_beside import GAP
from putback.tui.dialogs.prompts import AskLine, Pick
from putback.tui.dialogs.questions import bag_of
from putback.tui.dialogs.sheet import COPY, TO_THE_BENCH, CardFrame
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.palette import KEY, LOOK, QUIET
from putback.tui.draw.signs import sign
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped

NOTE_JOB = "note a job on all that is in it"
"""A line of the list of what can be done with a bag."""


class BagScreen(CardFrame):
    """One bag."""

    def __init__(self, bag: int) -> None:
        super().__init__()
        self._bag = bag
        self._first = 0
        self._room = 1
        self._steps: list[int] = []

    def is_there(self) -> bool:
        """Tell whether the bag is still in the record; taking back may have taken it away."""
        return self.record.find(Bag, self._bag) is not None

    @property
    def bag(self) -> Bag:
        """The bag shown."""
        return self.record.get(Bag, self._bag)

    @property
    def is_ours(self) -> bool:
        """Whether it belongs to the machine on the bench."""
        return self.bag.machine == self.host.machine_id

    def photos(self) -> list[Photo]:
        """The photos of the steps that filled the bag, as taken off, then as put back."""
        if not self.is_there():
            return []
        steps = (self.record.step(self.bag.machine, number) for number in bag_card(self.record, self.bag).steps)
        return in_order([photo for step in steps if step is not None for photo in self.record.photos_of(step)])

    def redraw(self) -> None:
        """Draw the card."""
        if not self.is_there():
            gone = plain("This bag is no longer in the record: it was taken back.", None, LOOK)
            back = plain(f"{self.key_of('bag.leave')} back", None, "$pb-muted")
            self._draw(Content("\n").join([gone, back]))
            self.place_photo(0, 0, 0, 0)
            return
        card = bag_card(self.record, self.bag)
        whole = inner_width(self.app.size.width)
        beside = self.photo_width(whole)
        width = whole - beside
        box = f", box {card.row.box}" if card.row.box else ""
        total = f"{card.row.count} in it" if card.contents else "empty"
        story = bag_story(self.record, self.bag, self.host.workshop.now())
        name = plain(f"bag {card.row.number}{box} ", None, "bold $pb-text")
        state = Content.assemble(sign(card.row.state, self.host.glyphs), f" {card.row.state}, {total}   ")
        code = plain(f"code {card.row.code}", None, "$pb-muted")
        whole_row = Content.assemble(name, state, code)
        lines = [
            *(
                [whole_row]
                if whole_row.cell_length <= whole
                else [*wrapped(name.plain, whole, "bold $pb-text"), state, code]
            ),
            *wrapped(self.voiced(f"of {card.machine}"), width, "$pb-muted" if self.is_ours else LOOK),
            *wrapped(story, width, "$pb-muted"),
            *(row for job in self.bag.todo for row in wrapped(self.voiced(job.text), width)),
            *self.in_words(width),
        ]
        height = inner_height(self.app.size.height)
        foot = feet(self._keys(), whole)
        answer = self._answer(whole)
        body: list[Content] = []
        starts: dict[int, tuple[int, list[Content]]] = {}
        step = 0
        for row in card.contents:
            if row.step != step:
                step = row.step
                heading = wrapped(f"step {step}, {row.part}", width - 3, "$pb-blue")
                starts[len(body)] = step, heading
                body += heading
            body += self._lines(row, width)
        self._room = max(2, height - len(lines) - len(foot) - len(answer))
        self._room -= len(body) > self._room  # a row says how many there are
        room = self._room
        self._first = max(0, min(self._first, len(body) - room))
        shown = [at for at in starts if self._first <= at < self._first + room][:9]
        self._steps = [starts[at][0] for at in shown]
        for at, (_, heading) in starts.items():
            key = f" {shown.index(at) + 1} " if at in shown else "   "
            for down, words in enumerate(heading):
                head = Content.assemble((key if not down else "   ", KEY), words)
                head = head.pad_right(max(0, width - head.cell_length))
                body[at + down] = tapped(head, "press", key.strip()) if at in shown else head
        lines += body[self._first : self._first + room]
        if len(body) > room:
            last = min(len(body), self._first + room)
            keys = " ".join(map(self.key_of, ("bag.down", "bag.up")))
            lines.append(plain(f"lines {self._first + 1} to {last} of {len(body)}   {keys}", width, QUIET))
        lines += [Content("")] * (height - len(lines) - len(answer) - len(foot))
        lines += [*answer, *foot]
        self._draw(Content("\n").join(lines))
        self.place_photo(whole - beside + GAP, 1, beside - GAP, height - len(answer) - len(foot) - 1)

    def _keys(self) -> list[tuple[str, str]]:
        pair = self.host.keymap.pair
        keys = [pair("bag.go")] if any(row.step for row in bag_card(self.record, self.bag).contents) else []
        if self.is_ours:
            seal = "open again" if self.bag.closed else "close"
            keys += [pair("bag.mend"), pair("bag.seal", seal), pair("bag.back")]
        if self.is_ours and self.takes():
            keys.append(pair("bag.use"))
        if self.is_ours and self.parts():
            keys.append(pair("bag.inside"))
        if self.photos():
            keys.append(pair("bag.photo"))
        return [*keys, pair("bag.leave"), pair("bag.bench"), pair("bag.help")]

    def _lines(self, row: Row, width: int) -> list[Content]:
        if self.host.glyphs.words:
            return wrapped(spoken(row.said), width, "bold $pb-text")
        hole = f"hole {row.spot}" if row.hole else ""
        lead = f"{row.count} x {hole}".rstrip() if row.count > 1 or not hole else hole
        name, *more = wrapped(row.called, width - max(16, len(lead) + 7), "bold $pb-text")
        notes = wrapped(row.note, width - 16, "$pb-muted") if row.note else []
        return [
            Content.assemble(f"     {lead:<9}  ", name),
            *(Content.assemble(" " * 16, words) for words in (*more, *notes)),
        ]

    def takes(self) -> bool:
        """Whether a part is coming off that could use this bag."""
        step = self.record.open_step(self.host.machine_id)
        return step is not None and step.bag != self.bag.number and not self.bag.closed

    @property
    def places(self) -> tuple[str, ...]:
        """On a bag's card."""
        return ("bag",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "bag")
        if command_id == "bag.bench":
            self.leave(TO_THE_BENCH)
        elif command_id == "bag.leave" or not self.is_there():
            self.leave(None)
        elif command_id == "bag.go":
            self._go(int(key) - 1)
        elif command_id == "bag.down":
            self._first += self._room
            self.redraw()
        elif command_id == "bag.up":
            self._first = max(0, self._first - self._room)
            self.redraw()
        elif command_id == "bag.photo":
            self.turn_photo()
        elif command_id == "bag.help":
            self.show_keys("bag")
        elif not command_id:
            return
        elif not self.is_ours:
            self._of_another(self.bag.machine)
        elif command_id == "bag.back":
            self.host.take_back()
        elif command_id == "bag.mend":
            self.mend()
        elif command_id == "bag.seal":
            bag = self.bag
            self.host.do(c.ReopenBag(number=bag.number) if bag.closed else c.CloseBag(number=bag.number))
            self.redraw()
        elif command_id == "bag.use" and self.takes():
            if self.host.do(c.TakeBag(number=self.bag.number)) is not None:
                self.leave(None)
        elif command_id == "bag.count":
            self.count()
        elif command_id == "bag.inside":
            self.inside()

    def parts(self) -> list[Part]:
        """Return the parts in the bag that are off: each can be taken apart."""
        things = [self.record.get(Thing, number) for number in self.record.in_bag(self.bag)]
        return [self.record.get(Part, t.part) for t in things if t.part and self.record.off_at(t.part) is not None]

    @work
    async def inside(self) -> None:
        """Go to the bench, and there inside the part in this bag; asked which, where there are several."""
        parts = self.parts()
        if not parts:
            self.host.refuse("No part lies in this bag that could be taken apart.")
            return
        names = tuple(part.name for part in parts)
        chosen = names[0] if len(parts) == 1 else await self.questions.pick("Which part is taken apart?", names)
        if chosen is not None:
            self.host.going_inside = parts[names.index(chosen)].id
            self.leave(TO_THE_BENCH)

    def _go(self, index: int) -> None:
        """Open the card of the step of a number on this card."""
        number = self._steps[index] if index < len(self._steps) else 0
        step = self.record.step(self.bag.machine, number)
        if step is None:
            self.host.ring("refused")
        else:
            self.open_card(self.host.screen_named("step", step.id))

    @work
    async def mend(self) -> None:
        """Count one thing in the bag, split it, or tip it into another."""
        number = self.bag.number
        ways = (
            "count one thing in it",
            "split it: some of it into another bag",
            "tip it all into another bag",
            "print its label",
            NOTE_JOB,
            *(["take what lies in it apart"] if self.parts() else []),
            COPY,
        )
        how = await self.questions.pick(f"What is to be done with bag {number}?", ways)
        if how is None:
            return
        if how.startswith("take"):
            self.inside()
            return
        if how == NOTE_JOB:
            job = await self.questions.ask_job(sides=False)
            if job is not None:
                self.host.do(c.SayJob(bag=number, job=job))
            self.redraw()
            return
        if how == COPY:
            self.copy_text(as_text(bag_blocks(bag_card(self.record, self.bag))))
            return
        if how.startswith("print"):
            print_labels(self.host, [number])
            self.redraw()
            return
        if how.startswith("count"):
            await self._count()
            return
        things: tuple[int, ...] = ()
        if how.startswith("split"):
            things = await self._what_to_split()
            if not things:
                return
        hint = "a number; nothing for a new one" if things else "a number"
        text = await self.questions.ask_line("Into which bag?", hint=hint)
        if text is None:
            return
        try:
            into = bag_of(text)
        except BadInput as fault:
            self.host.refuse(str(fault))
            return
        if things:
            self.host.do(c.SplitBag(number=number, things=things, into=into))
        elif into:
            self.host.do(c.MergeBags(number=number, into=into))
        else:
            self.host.refuse("Say which bag it is tipped into.")
        self.redraw()

    async def _what_to_split(self) -> tuple[int, ...]:
        """Ask what goes into the other bag: all of a step, or one thing."""
        record = self.record
        held = [record.get(Thing, number) for number in record.in_bag(self.bag)]
        by_step: dict[int, list[int]] = {}
        for thing in held:
            by_step.setdefault(record.get(Step, thing.step).number, []).append(thing.id)
        choices: list[tuple[str, tuple[int, ...]]] = []
        if len(by_step) > 1:
            for number, found in sorted(by_step.items()):
                step = record.step(self.bag.machine, number)
                choices.append((f"all of step {number}, {step.name if step else ''}", tuple(found)))
        choices += [(f"{t.called}{f', hole {t.spot}' if t.hole else ''}", (t.id,)) for t in held]
        index = await self.host.push_screen_wait(Pick("What goes into the other bag?", [label for label, _ in choices]))
        return () if index is None else choices[index][1]

    @work
    async def count(self) -> None:
        """Count one thing in the bag; what is short is missing from now on."""
        await self._count()

    async def _count(self) -> None:
        record = self.record
        held = list(record.in_bag(self.bag).items())
        if not held:
            self.host.refuse("The bag is empty in the record: nothing to count.")
            return
        options = [f"{n} x {record.get(Thing, t).called} {record.get(Thing, t).spot}".strip() for t, n in held]
        index = 0 if len(held) == 1 else await self.host.push_screen_wait(Pick("Count what?", options))
        if index is None:
            return
        hint, reads = f"{options[index]} in the record", partial(number_in, of=COUNT)
        text = await self.host.push_screen_wait(AskLine("How many are there?", hint=hint, reads=reads))
        if text is None or not text.strip():
            return
        counted = int(number_in(text, COUNT))
        self.host.do(c.StockTake(bag=self.bag.number, thing=held[index][0], counted=counted))
        self.redraw()
