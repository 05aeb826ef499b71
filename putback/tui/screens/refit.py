"""Refit: the plan on the left, one step as a card on the right, everything confirmed before it is back."""

from __future__ import annotations

from textual import work
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content

from putback.opening import share_of
from putback.reports.plan import at_refit, everything_home, to_fetch
from putback.reports.planning import ORDERS, refit_plan
from putback.trade import commands as c
from putback.trade.bag import Bag
from putback.trade.fastener import Thing
from putback.trade.ledger import Holding, bench_check, holdings, left_over, short_of
from putback.trade.lying import turn_first, turning_cautions
from putback.trade.machine import Machine
from putback.trade.pace import time_left
from putback.trade.place import sort_of
from putback.trade.putting_back import needed_by, ticks_itself_off
from putback.trade.record import Record
from putback.trade.refit import Waits, chase, steps_off, what_waits
from putback.trade.step import LAST_LOOK, Step
from putback.tui.keys import command_for, keys_of
from putback.tui.screens.keyed import KeyedScreen
from putback.tui.screens.prompts import Ask, Pick
from putback.tui.text import plain, wrapped
from putback.tui.views import hole_views, size_views
from putback.tui.widgets.panes import KeysLine, SaidLine, Shown, sign
from putback.tui.widgets.plate import LEAST, plate

SHELF = "shelf"

PLAN_SECONDS = 0.9
"""How long the screen may search for a plan: the person asked for it, and waits."""


class PlanPane(Shown[tuple[tuple[str, int, str, bool], ...]]):
    """The steps still off, in the order of the plan: sign, number, words, whether it is the card's."""

    def lines(self, data: tuple[tuple[str, int, str, bool], ...], width: int, height: int) -> list[Content]:
        at = next((i for i, row in enumerate(data) if row[3]), 0)
        first = max(0, min(at - height // 3, len(data) - height))
        out = []
        for state, number, words, here in data[first : first + height]:
            style = "bold $pb-brass" if here else "$pb-muted" if state == "waits" else "$pb-text"
            lead = sign("now" if here else state, self.glyphs) if here or state != "off" else Content(" ")
            out.append(Content.assemble(lead, Content.styled(f"{number:>4} ", style), plain(words, width - 6, style)))
        return out


class CardPane(Shown[tuple[Content, ...]]):
    """One step, as large as there is room."""

    def lines(self, data: tuple[Content, ...], width: int, height: int) -> list[Content]:
        return list(data)


class RefitScreen(KeyedScreen[None]):
    """One step at a time, strict reverse first."""

    def __init__(self) -> None:
        super().__init__()
        self._step = 0
        self._asked = "reverse"
        self._order: tuple[int, ...] = ()
        self._waits: tuple[tuple[int, int], list[Waits]] | None = None

    def compose(self) -> ComposeResult:
        with Horizontal(id="panes"):
            yield PlanPane(id="plan")
            yield CardPane(id="card")
        yield SaidLine(id="said")
        yield KeysLine(id="keys")

    def on_mount(self) -> None:
        for pane in self.query(Shown):
            pane.glyphs = self.bench.glyphs
        self.bench.say("note", "the way back: what came off last goes on first")
        self.redraw()

    def on_resize(self) -> None:
        self.call_after_refresh(self.redraw)

    def on_screen_resume(self) -> None:
        if self.is_mounted:
            self.redraw()

    @property
    def record(self) -> Record:
        """The record of the workshop."""
        return self.bench.workshop.record

    def off(self) -> list[Step]:
        """Return the steps that are done and not back, in the order of the plan."""
        steps = steps_off(self.record, self.bench.machine_id)
        if not self._order:
            return steps
        place = {number: index for index, number in enumerate(self._order)}
        return sorted(steps, key=lambda step: place.get(step.number, -1))

    def next_order(self) -> None:
        """Plan again, for the next of the orders there are."""
        names = list(ORDERS)
        self._asked = names[(names.index(self._asked) + 1) % len(names)]
        plan = refit_plan(self.record, self.bench.machine_id, self._asked, budget=share_of(PLAN_SECONDS))
        self._order = plan.order
        self._step = 0
        self.bench.say("note", plan.told)

    # -- where the plan stands ---------------------------------------------------------------------

    def ready(self) -> list[Step]:
        """Return the steps that can go on now, in the order of the plan."""
        waiting = {w.step for w in self.waits()}
        found = [step for step in self.off() if step.number not in waiting and not needed_by(self.record, step)]
        return [step for step in found if not ticks_itself_off(self.record, step)] or found

    def waits(self) -> list[Waits]:
        """Return what cannot go back yet; asked for many times a key, and changed only by a change."""
        stand = (self.bench.workshop.store.number, self.bench.machine_id)
        if self._waits is None or self._waits[0] != stand:
            self._waits = (stand, what_waits(self.record, self.bench.machine_id))
        return self._waits[1]

    def step(self) -> Step | None:
        """Return the step on the card: the one chosen, else the first that can go on now."""
        chosen = self.record.find(Step, self._step)
        if chosen is not None and not chosen.back:
            return chosen
        ready = self.ready()
        if ready:
            return ready[0]
        off = self.off()
        return next((s for s in off if short_of(self.record, s)), off[0] if off else None)

    # -- keys --------------------------------------------------------------------------------------

    def press(self, key: str) -> None:
        """Take one key."""
        wish = command_for(key, "refit")
        step = self.step()
        if wish == "refit.leave":
            self.leave(None)
            return
        if wish == "refit.back":
            self.bench.take_back()
        elif key == "?":
            from putback.tui.screens.help import HelpScreen

            self.bench.push_screen(HelpScreen(("refit",)))
        elif step is None:
            self.bench.say("note", "nothing is off: . goes back to the bench")
        elif wish in ("refit.skip", "refit.before"):
            self.go(step, 1 if wish == "refit.skip" else -1)
        elif wish == "refit.next":
            self.go_on(step)
        elif wish == "refit.book":
            self.book_in(step)
        elif wish == "refit.order":
            self.next_order()
        self.redraw()

    def go(self, step: Step, by: int) -> None:
        """Show another step that can go on now, or, where none can, one that waits for something."""
        choices = self.ready() + [s for s in self.off() if short_of(self.record, s)]
        ids = [s.id for s in choices]
        if not ids:
            return
        at = ids.index(step.id) if step.id in ids else -by
        self._step = ids[(at + by) % len(ids)]
        self.bench.say(
            "note", f"step {self.record.get(Step, self._step).number}; + and * go through what can go on now"
        )

    def go_on(self, step: Step) -> None:
        """Confirm the next line of the card; when all are confirmed, put the step back."""
        waits = next((w for w in self.waits() if w.step == step.number), None)
        if waits is not None:
            self.bench.refuse(f"{step.name} waits for {waits.told}; / books it in")
            return
        turn = turn_first(self.record, step)
        if turn and not needed_by(self.record, step):
            self.bench.do(c.Confirm(step=step.number, item=turn))
            return
        if step.unconfirmed and not needed_by(self.record, step):
            self.bench.do(c.Confirm(step=step.number, item=step.unconfirmed[0]))
            return
        if self.bench.do(c.PutBack(step=step.number)) is not None:
            self._step = 0
            if everything_home(self.record, self.bench.machine_id):
                self.bench.say("recorded", "every step is back, every bag is empty: nothing left over")

    def take_bag(self, bag: Bag) -> bool:
        """A scanned bag proves itself: another machine's is refused, one not wanted is said to be so."""
        step = self.step()
        if bag.machine != self.bench.machine_id:
            owner = self.record.get(Machine, bag.machine).caption
            self.bench.refuse(f"Bag {bag.number} belongs to {owner}, not to this machine.")
            return True
        wanted = {f.place for f in to_fetch(self.record, step)} if step else set()
        if f"bag {bag.number}" in wanted:
            self.bench.say("recorded", f"bag {bag.number} is the right one")
            return True
        self.bench.refuse(f"Bag {bag.number} is not wanted for this step; {', '.join(sorted(wanted)) or 'no bag'} is.")
        return True

    @work
    async def book_in(self, step: Step) -> None:
        """Book in what a step waits for: come back, found, or something new in its place."""
        short = short_of(self.record, step)
        if not short:
            waits = next((w for w in self.waits() if w.step == step.number), None)
            if waits is None:
                self.bench.refuse("This step waits for nothing.")
                return
            short = list(waits.things)
        held = short[0]
        if len(short) > 1:
            options = [f"{h.count} x {h.thing.called}, {h.place}" for h in short]
            index = await self.bench.push_screen_wait(Pick("Book in what?", options))
            if index is None:
                return
            held = short[index]
        await self._book(held)
        self._step = 0
        self.redraw()

    async def _book(self, held: Holding) -> None:
        name, sort = held.thing.called, sort_of(held.place)
        came = {"missing": "found again", "borrowed": "given back"}.get(sort, "back, and looked at")
        options = ("something new in its place",) if sort == "scrapped" else (came, "something new in its place")
        index = await self.bench.push_screen_wait(Pick(f"{held.count} x {name} ({held.place})", options))
        if index is None:
            return
        if options[index] == came:
            self.bench.do(c.Carry(thing=held.thing.id, count=held.count, source=held.place, target=SHELF, note=came))
            return
        note = await self.bench.push_screen_wait(Ask("What is the new one?", hint="made, bought, from where"))
        if note is not None:
            self.bench.do(c.Replace(thing=held.thing.id, count=held.count, put=SHELF, note=note.strip()))

    # -- drawing -----------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw plan and card."""
        app = self.bench
        self.query_one(SaidLine).show(app.said)
        self.query_one(KeysLine).show(tuple((key.shown, key.label) for key in keys_of("refit")))
        off = self.off()
        waiting = {w.step: w for w in self.waits()}
        step = self.step()
        ready = {s.id for s in self.ready()}
        rows = tuple(
            (
                "waits" if s.number in waiting else "next" if s.id in ready else "off",
                s.number,
                at_refit(s),
                step is not None and s.id == step.id,
            )
            for s in off
        )
        plan, card = self.query_one(PlanPane), self.query_one(CardPane)
        plan.border_title = f"{len(off)} to go, {time_left(self.record, app.machine_id).told.split(',')[0]}"
        plan.show(rows)
        card.border_title = "going back"
        card.show(tuple(self.card(step, waiting)))

    def card(self, step: Step | None, waiting: dict[int, Waits]) -> list[Content]:
        """Return the rows of the card."""
        width = max(20, self.query_one(CardPane).size.width)
        height = max(10, self.query_one(CardPane).size.height)
        if step is None:
            return self.all_home(width)
        glyphs = self.bench.glyphs
        fetch = to_fetch(self.record, step)
        places = ", ".join(dict.fromkeys(f.place for f in fetch))
        out = [
            plain(at_refit(step), width, "bold $pb-brass"),
            plain(f"step {step.number}" + (f", {step.face} face" if step.face else ""), width, "$pb-muted"),
        ]
        if step.number in waiting:
            out += self.signed("waits", f"waits for {waiting[step.number].told}", width, "bold $pb-blue")
            out.append(plain("  / books it in", width, "$pb-muted"))
            first = chase(self.record, self.bench.machine_id)
            if first and not self.ready():
                out += self.signed("note", f"nothing else can go on; chase first: {first}", width, "$pb-muted")
        turn = turn_first(self.record, step)
        if turn:
            out += self.signed("adjustment", f"now: {turn}", width, "bold $pb-text")
            for caution in turning_cautions(self.record, self.bench.machine_id):
                out += self.signed("caution", caution, width, "bold $pb-rust")
        for item in step.to_confirm:
            if item == LAST_LOOK:
                out += self.last_look(width)
            done = item in step.confirmed
            here = not turn and not done and item == next(iter(step.unconfirmed), "")
            word = "done" if done else "caution" if item in step.cautions else "adjustment"
            style = "$pb-muted" if done else "bold $pb-text" if here else "$pb-text"
            lead = "" if not here else "now: "
            out += self.signed(word, lead + item, width, style)
        if places:
            out += self.signed("bag", f"take up: {places}", width, "bold $pb-text")
        if step.tools:
            out.append(plain(f"  tools: {', '.join(step.tools)}", width, "$pb-muted"))
        holes = hole_views(self.record, step, refit=True)
        sizes = size_views(self.record, step, refit=True)
        if holes:
            pieces = len(self.pieces(step, width))
            room = max(LEAST, height - len(out) - pieces - 1)
            out += plate(holes, sizes, width, room, title=step.face, glyphs=glyphs)
        out += self.pieces(step, width)
        if not turn and not step.unconfirmed and step.number not in waiting:
            out.append(plain("Enter when it is back", width, "bold $pb-verdigris"))
        return out

    def signed(self, word: str, words: str, width: int, style: str) -> list[Content]:
        """Return words after their sign, on as many rows as they need."""
        rows = wrapped(words, width - 2, style)
        first = Content.assemble(sign(word, self.bench.glyphs), " ", rows[0])
        return [first, *(Content.assemble("  ", row) for row in rows[1:])]

    def pieces(self, step: Step, width: int) -> list[Content]:
        """Return one row for each thing that is no plain fastener, or wants a word."""
        out = []
        for thing in self.record.things_of(step):
            words = self.told(thing, step)
            if words:
                out.append(Content.assemble("  ", sign("note", self.bench.glyphs), " ", plain(words, width - 4)))
        return out

    def told(self, thing: Thing, step: Step) -> str:
        """Return what has to be said of a thing at refit, or nothing."""
        if thing.replaces:
            return f"new: {thing.called}"
        if thing.sort == "piece":
            return f"{thing.count} x {thing.name}" + (f": {thing.note}" if thing.note else "")
        if thing.found:
            return f"hole {thing.hole} was empty when found" + (f": {thing.note}" if thing.note else "")
        words = []
        if step.do == "loosen":
            words.append(f"tighten {thing.turns:g} turns")
        if thing.hand == "left":
            words.append("LEFT-HAND thread")
        if thing.small_end:
            words.append(f"small end {thing.small_end}")
        if thing.should_be:
            words.append(f"should be {thing.should_be}")
        if thing.note:
            words.append(thing.note)
        return f"hole {thing.hole}: {'; '.join(words)}" if words else ""

    def last_look(self, width: int) -> list[Content]:
        """Return what is still open on the machine, before a cover hides it."""
        record, machine = self.record, self.bench.machine_id
        open_ends = [f"{h.thing.called} ({h.place})" for h in holdings(record, machine, "away", "missing", "borrowed")]
        open_ends += [f"{h.thing.called} (loose on the bench)" for h in bench_check(record, machine)]
        open_ends += [
            f"{s.name} only loosened{f', tag {s.tag}' if s.tag else ''}"
            for s in record.all(Step, machine)
            if s.do == "loosen" and not s.back
        ]
        out = [plain("last look before this closes", width, "bold $pb-rust")]
        for words in open_ends[:4]:
            out.append(Content.assemble("  ", sign("finding", self.bench.glyphs), " ", plain(words, width - 4)))
        if len(open_ends) > 4:
            out.append(plain(f"    and {len(open_ends) - 4} more", width, "$pb-muted"))
        if not open_ends:
            out.append(plain("  nothing is away, missing, lent or loose", width, "$pb-muted"))
        return out

    def all_home(self, width: int) -> list[Content]:
        """Return the card for the end: nothing left over, or what is."""
        record, machine = self.record, self.bench.machine_id
        over = left_over(record, machine)
        if over:
            out = [plain("Every step is back, and this is left over:", width, "bold $pb-rust")]
            return out + [plain(f"  {h.count} x {h.thing.called}: {h.place}", width) for h in over]
        out = [
            plain("Everything is back.", width, "bold $pb-verdigris"),
            plain("Every bag is empty, nothing is left over.", width),
        ]
        for step in record.all(Step, machine):
            for thing in record.things_of(step):
                if thing.found:
                    out.append(plain(f"  {step.name}, hole {thing.hole}: empty as found", width, "$pb-muted"))
        return out
