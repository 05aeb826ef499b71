"""Refit: the plan on the left, one step as a card on the right, everything confirmed before it is back."""

from __future__ import annotations

from collections.abc import Iterator
from time import monotonic

from textual import work
from textual.app import ComposeResult

from putback.reports.going_back import Going, going_back, next_step, ready
from putback.reports.plan import at_refit, everything_home, to_fetch
from putback.reports.planning import ORDERS, refit_plan
from putback.trade import commands as c
from putback.trade.bag import Bag
from putback.trade.dangers import FIRST, LIFTING
from putback.trade.dangers_back import told_back
from putback.trade.driver import drivers_for
from putback.trade.jobs_open import jobs_first, still_open
from putback.trade.ledger import short_of
from putback.trade.machine import Machine
from putback.trade.pace import time_left
from putback.trade.refit import Waits, chase, steps_off, what_waits
from putback.trade.step import Step
from putback.trade.wording import counted
from putback.tui.keys import command_for
from putback.tui.screens.booking import NOT_TONIGHT, Booking
from putback.tui.screens.keyed import KeyedScreen
from putback.tui.screens.refit_card import FAR_ENTER, HELD, CardRows
from putback.tui.screens.standing import Standing
from putback.tui.views import hole_views, size_views
from putback.tui.widgets.panes import KeysLine, SaidLine
from putback.tui.widgets.refit_panes import CardPane, FarGoing, FarGoingPane, PlanPane, PlanRow
from putback.tui.widgets.shown import Panes, Shown

AWAY = 600.0
"""Seconds without a key after which the next one opens the walk-back (common practice, no source)."""

SMALL = (70, 20)
"""Columns and rows below which plan and card do not fit side by side."""

LOUD = ("refused", "asks", "caution")
"""What has to be said even from afar."""


class RefitScreen(Booking, KeyedScreen[None]):
    """One step at a time, strict reverse first."""

    def __init__(self) -> None:
        super().__init__()
        self._step = 0
        self._asked = "reverse"
        self._order: tuple[int, ...] = ()
        self._waits: tuple[tuple[int, int], list[Waits]] | None = None
        self._proved: set[tuple[int, int]] = set()
        self._key_at = monotonic()
        self._far_asked: bool | None = None

    def compose(self) -> ComposeResult:
        with Panes(id="panes"):
            yield PlanPane(id="plan")
            yield CardPane(id="card")
        yield FarGoingPane(id="far")
        yield SaidLine(id="said")
        yield KeysLine(id="keys")

    def on_mount(self) -> None:
        self.query_one(SaidLine).back_key = self.key_of("refit.back")
        for pane in self.query(Shown):
            pane.glyphs = self.bench.glyphs
        self.bench.say("note", "the way back: what came off last goes on first")
        self.redraw()

    def on_resize(self) -> None:
        self.call_after_refresh(self.redraw)

    def on_screen_resume(self) -> None:
        self._key_at = monotonic()
        if self.is_mounted:
            self.redraw()

    @property
    def far(self) -> bool:
        """Whether the view is the one from afar: asked for, or where plan and card do not fit."""
        size = self.app.size
        small = 0 < size.width < SMALL[0] or 0 < size.height < SMALL[1]
        if self.bench.glyphs.words:
            return False
        return small if self._far_asked is None else self._far_asked

    # -- where the plan stands ---------------------------------------------------------------------

    def off(self) -> list[Step]:
        """Return the steps that are done and not back, in the order of the plan; skipped ones last."""
        steps = steps_off(self.record, self.bench.machine_id)
        place = {number: index for index, number in enumerate(self._order)}
        ordered = sorted(steps, key=lambda step: place.get(step.number, -1)) if place else steps
        return sorted(ordered, key=lambda step: bool(step.skipped))

    def next_order(self) -> None:
        """Plan again, for the next of the orders there are."""
        names = list(ORDERS)
        self._asked = names[(names.index(self._asked) + 1) % len(names)]
        plan = refit_plan(self.record, self.bench.machine_id, self._asked)
        self._order = plan.order
        self._step = 0
        self.bench.say("note", plan.told)

    def ready(self) -> list[Step]:
        """Return the steps that can go on now, in the order of the plan."""
        return ready(self.record, self.off(), self.waits())

    def waits(self) -> list[Waits]:
        """Return what cannot go back yet; asked for many times a key, and changed only by a change."""
        stand = (self.bench.workshop.store.number, self.bench.machine_id)
        if self._waits is None or self._waits[0] != stand:
            self._waits = (stand, what_waits(self.record, self.bench.machine_id))
        return self._waits[1]

    def wait_of(self, step: Step) -> Waits | None:
        """Return what a step waits for, or None."""
        return next((w for w in self.waits() if w.step == step.number), None)

    def step(self) -> Step | None:
        """Return the step on the card: the one chosen, else the first that can go on now."""
        chosen = self.record.find(Step, self._step)
        if chosen is not None and not chosen.back:
            return chosen
        return next_step(self.record, self.off(), self.waits())

    # -- keys --------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """At refit."""
        return ("refit",)

    def press(self, key: str) -> None:
        """Take one key."""
        away, self._key_at = monotonic() - self._key_at, monotonic()
        wish = command_for(key, "refit")
        if away > AWAY:
            self._standing().walk_back()
            return
        anyway = {
            "refit.leave": lambda: self.leave(None),
            "refit.back": self.take_back,
            "refit.help": self.help,
            "refit.far": self.go_far,
            "refit.pause": self.pause,
            "refit.again": self.off_again,
        }
        step = self.step()
        if wish in anyway:
            anyway[wish]()
        elif step is None:
            self.bench.say("note", self.words("nothing is off: {refit.leave} goes back to the bench"))
        elif wish in ("refit.other", "refit.before"):
            self.go(step, 1 if wish == "refit.other" else -1)
        elif wish in ("refit.down", "refit.up"):
            self.walk(step, 1 if wish == "refit.down" else -1)
        elif wish == "refit.next":
            self.go_on(step)
        elif wish == "refit.book":
            self.book_in(step)
        elif wish == "refit.skip":
            self.skip(step)
        elif wish == "refit.card":
            self.open_card(step)
        elif wish == "refit.order":
            self.next_order()
        if not self._left:
            self.redraw()

    def help(self) -> None:
        """Show the keys."""
        from putback.tui.screens.help import HelpScreen

        self.bench.push_screen(HelpScreen(("refit",)))

    def take_back(self) -> None:
        """Take back the last thing done, and show the step it was about."""
        self._step = 0
        self.bench.take_back()

    def go_far(self) -> None:
        """Go to the view from afar, and back."""
        self._far_asked = not self.far

    def _standing(self) -> Standing:
        return next(screen for screen in self.app.screen_stack if isinstance(screen, Standing))

    def pause(self) -> None:
        """Stop the time, or go on after the walk-back."""
        self._standing().pause_or_go_on(self.record.open_session(self.bench.machine_id))

    def go(self, step: Step, by: int) -> None:
        """Show another step that can go on now, or, where none can, one that waits for something."""
        choices = self.ready() + [
            s for s in self.off() if short_of(self.record, s) or jobs_first(self.record, s)
        ]
        ids = [s.id for s in choices]
        if not ids:
            return
        at = ids.index(step.id) if step.id in ids else -by
        self._step = ids[(at + by) % len(ids)]
        number = self.record.get(Step, self._step).number
        others = self.words("{refit.other} and {refit.before} go through what can go on now")
        self.bench.say("note", f"step {number}; {others}")

    def tap_step(self, number: str) -> None:
        """Show a step of the plan."""
        step = self.record.step(self.bench.machine_id, int(number))
        if step is not None:
            self._step = step.id
            self.redraw()

    def walk(self, step: Step, by: int) -> None:
        """Show the step after or before in the plan, whether it can go on or not."""
        ids = [s.id for s in self.off()]
        at = ids.index(step.id) + by if step.id in ids else 0
        self._step = ids[max(0, min(at, len(ids) - 1))]
        walks = "{refit.down} and {refit.up} walk the plan; {refit.other} goes to what can go on now"
        self.bench.say("note", self.words(walks))

    def go_on(self, step: Step) -> None:
        """Confirm the next line of the card; when all are confirmed, put the step back."""
        going = going_back(self.record, step, self.wait_of(step))
        number, todo = step.number, going.todo
        if going.next == "waits" and jobs_first(self.record, step) and not short_of(self.record, step):
            self.job_first(step)
        elif going.next == "waits":
            rest = going.waits.removeprefix(step.name)
            itself = rest != going.waits and rest.startswith(" (") and rest.count("(") == 1
            told = f"is {rest.strip(' ()')}" if itself else f"waits for {going.waits}"
            self.bench.refuse(f"{step.name} {told}; {self.key_of('refit.book')} when it has arrived")
        elif going.next == "turn":
            if self.bench.do(c.Confirm(step=number, item=going.turn)) is not None:
                self.warned(going, (LIFTING.cause,))
        elif going.next == "look" and any(end.open for end in going.look):
            self.look(step)
        elif going.next not in (*HELD, "put") and todo is not None:
            self.bench.do(c.Confirm(step=number, item=todo.words))
        elif self.bench.do(c.PutBack(step=number)) is not None:
            self.warned(going, tuple(danger.cause for danger in going.dangers))
            self._step = 0
            if everything_home(self.record, self.bench.machine_id):
                still = len(still_open(self.record, self.bench.machine_id))
                told = f", {counted(still, 'thing')} still open" if still else ""
                self.bench.say("recorded", f"every step is back{told}; every bag is empty: nothing left over")

    def warned(self, going: Going, causes: tuple[str, ...]) -> None:
        """Note that the usual cautions for some causes were on the card: once in a session is enough."""
        session = self.record.open_session(self.bench.machine_id)
        said = {danger.cause for danger in going.dangers}
        self.bench.warned_back |= {(session.id if session else 0, cause) for cause in causes if cause in said}

    def dangers(self, going: Going) -> list[str]:
        """Return the usual cautions that stand on the card: those not said yet in this session, shortly."""
        session = self.record.open_session(self.bench.machine_id)
        number = session.id if session else 0
        still = [d for d in going.dangers if (number, d.cause) not in self.bench.warned_back]
        return told_back(still, (*going.step.cautions, *going.cautions))

    def take_bag(self, bag: Bag) -> bool:
        """A scanned bag proves itself: another machine's is refused, one not wanted is said to be so."""
        step = self.step()
        if bag.machine != self.bench.machine_id:
            owner = self.record.get(Machine, bag.machine).caption
            self.bench.refuse(f"Bag {bag.number} belongs to {owner}, not to this machine.")
            return True
        wanted = {f.place for f in to_fetch(self.record, step)} if step else set()
        if step is not None and f"bag {bag.number}" in wanted:
            self._proved.add((step.id, bag.number))
            self.bench.say("recorded", f"bag {bag.number} is the right one")
            self.redraw()
            return True
        self.bench.refuse(f"Bag {bag.number} is not wanted for this step; {', '.join(sorted(wanted)) or 'no bag'} is.")
        return True

    def open_card(self, step: Step) -> None:
        """Open the card of the step, to look into it or mend it."""
        from putback.tui.screens.card import TO_THE_BENCH
        from putback.tui.screens.step_card import StepScreen

        def came_back(result: str | None) -> None:
            if result == TO_THE_BENCH:
                self.leave(None)

        self.bench.push_screen(StepScreen(step.id), came_back)

    # -- questions ---------------------------------------------------------------------------------

    @work
    async def book_in(self, step: Step) -> None:
        """Book in what a step waits for; on a line about a one-use piece or a clip, ask about that."""
        going = going_back(self.record, step, self.wait_of(step))
        todo = going.todo
        if going.next == "new" and todo is not None:
            await self.ask_spent(step, todo.words)
        elif going.next == "clip" and todo is not None:
            await self.ask_clip(step, todo.words)
        else:
            await self.ask_waiting(step, self.wait_of(step))
            self._step = 0
        self.redraw()

    @work
    async def look(self, step: Step) -> None:
        """Ask about what is open behind a cover."""
        await self.ask_look(step)
        self.redraw()

    @work
    async def job_first(self, step: Step) -> None:
        """Ask about a job that stops a step; not tonight goes on as to any other step."""
        if await self.ask_job_first(step) == NOT_TONIGHT:
            self.go(step, 1)
        self.redraw()

    @work
    async def skip(self, step: Step) -> None:
        """Skip a step, or take it up again."""
        await self.ask_skip(step)
        self._step = 0
        self.redraw()

    @work
    async def off_again(self) -> None:
        """Take a step off again: what covers the one on the card first of all."""
        await self.ask_off_again(self.step())
        self._step = 0
        self.redraw()

    # -- drawing -----------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw plan and card, or the view from afar."""
        far = self.far
        self.set_class(far, "-far")
        step = self.step()
        going = going_back(self.record, step, self.wait_of(step)) if step is not None else None
        if far:
            self.query_one(FarGoingPane).show(self.far_data(going))
            return
        self.query_one(SaidLine).show(self.bench.said)
        self.point(self.query_one(SaidLine))
        self.query_one(KeysLine).show(tuple(self.bench.keymap.pair(f"refit.{name}") for name in _FIRST))
        plan, card = self.query_one(PlanPane), self.query_one(CardPane)
        plan.entitle(self.to_go())
        plan.show(tuple(self.rows(step)))
        card.entitle("going back")
        rows = CardRows(self.record, self.bench.glyphs, card.size.width, card.size.height, self.bench.keymap)
        if going is None:
            card.border_subtitle = ""
            card.show(tuple(rows.all_home(self.bench.machine_id)))
            return
        proved = frozenset(number for id, number in self._proved if id == going.step.id)
        dangers = self.dangers(going) if going.next not in HELD else []
        # Whose rules come first stands on the frame, so that it takes no row from the holes.
        card.border_subtitle = FIRST if dangers else ""
        words = [told.removesuffix(FIRST).rstrip() for told in dangers if told != FIRST]
        card.show(tuple(rows.card(going, proved, self.hint(going), words)))

    def rows(self, here: Step | None) -> list[PlanRow]:
        """Return the rows of the plan."""
        waiting = {w.step for w in self.waits()}
        ready = {s.id for s in self.ready()}
        found = []
        for step in self.off():
            state = "waits" if step.number in waiting else "next" if step.id in ready else "off"
            state = "skipped" if step.skipped else state
            found.append(PlanRow(state, step.number, at_refit(step), here is not None and step.id == here.id))
        return found

    def to_go(self) -> str:
        """Return how much is to go, for the plan's title."""
        off = self.off()
        if not off:
            return "nothing to go"
        skipped = sum(bool(step.skipped) for step in off)
        left = f"{skipped} skipped" if skipped else time_left(self.record, self.bench.machine_id).brief
        return f"{len(off)} to go, {left}"

    def hint(self, going: Going) -> str:
        """Return what to chase first, where the step on the card cannot go on."""
        first = chase(self.record, self.bench.machine_id) if going.next == "waits" else ""
        if not first:
            return ""
        return f"nothing else can go on; chase first: {first}" if not self.ready() else f"chase first: {first}"

    def far_data(self, going: Going | None) -> FarGoing:
        """Return what is shown from afar."""
        said = self.bench.said
        if going is None:
            home = everything_home(self.record, self.bench.machine_id)
            still = still_open(self.record, self.bench.machine_id)
            word = "nothing is left over" if home else "something is left over"
            word = f"still open: {'; '.join(still)}; {word}" if still else word
            key, label = self.bench.keymap.pair("refit.leave")
            return FarGoing("done", "Everything is back." if home else word, word, key=key, label=label)
        step, places = going.step, going.places
        sorts = {**dict.fromkeys(HELD, "waits"), "look": "finding", "put": "bag"}
        sort = sorts.get(going.next, "adjustment")
        line = going.line
        if going.next == "put":
            line = f"take up: {', '.join(places)}" if places else ""
            dangers = self.dangers(going)
            if dangers and dangers[0] != FIRST:
                sort, line = "caution", f"{line}; {dangers[0]}" if places[1:] else dangers[0]
        elif going.next == "look":
            still = [end.words for end in going.look if end.open]
            line = f"last look: {'; '.join(still) or 'nothing is open behind it'}"
        elif going.todo is not None and going.next == "confirm" and going.todo.sort == "caution":
            sort = "caution"
        if said.sort in LOUD:
            sort, line = said.sort, said.words
        command, label = FAR_ENTER[going.next]
        return FarGoing(
            where=places[0] if places else "turn" if going.turn else step.do,
            name=at_refit(step),
            number=f"step {step.number}; {self.to_go()}",
            face=step.face,
            holes=tuple(hole_views(self.record, step, refit=True)),
            sizes=tuple(size_views(self.record, step, refit=True)),
            sort=sort,
            line=line,
            beside=tuple(self.known(going, line)),
            more=f"more of this: {self.key_of('refit.card')}, its card",
            key=self.bench.keymap.shown(command),
            label=label,
        )


    def known(self, going: Going, line: str) -> Iterator[tuple[str, str]]:
        """Give what stands beside the holes from afar: what to beware of that `line` leaves out, and the tools."""
        step = going.step
        for caution in (*step.cautions, *(going.cautions if going.turn else ())):
            if caution not in line:
                yield "caution", caution
        tools = [*step.tools, *filter(None, (drivers_for(self.record, step),))]
        if tools:
            yield "note", ", ".join(tools)


_FIRST = ("next", "other", "book", "skip", "back", "help", "leave", "again", "far", "up", "down", "order", "card")
"""The keys in the order in which the foot shows as many as fit."""
