"""Refit: the plan on the left, one step as a card on the right, everything confirmed before it is back."""

from __future__ import annotations

from functools import cached_property, partial
from time import monotonic

from msgspec.structs import replace
from textual import work
from textual.app import ComposeResult
from textual.content import Content

from putback.reports.account import Account, WayBack
from putback.reports.account.made import at_refit
from putback.reports.going_back import next_step, ready
from putback.reports.plan import everything_home, to_fetch
from putback.reports.planning import ORDERS, refit_plan
from putback.trade import commands as c
from putback.trade.cautions.dangers import FIRST, LIFTING
from putback.trade.checks.ledger import short_of
from putback.trade.checks.open_jobs import jobs_first, still_open
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.photo import in_order
from putback.trade.record.phrases import counted
from putback.trade.record.place import LOOSE
from putback.trade.record.step import Step
from putback.trade.refit.pace import time_left
from putback.trade.refit.way_back import Waits, chase, steps_off, what_waits
from putback.tui.dialogs.head_bar import HeadBar
from putback.tui.dialogs.keyed import KeyedScreen
from putback.tui.dialogs.questions import Questions
from putback.tui.dialogs.sheet import TO_THE_BENCH
from putback.tui.dialogs.trouble_questions import TroubleQuestions
from putback.tui.draw.account import Page
from putback.tui.draw.latest import Latest
from putback.tui.draw.signs import signed
from putback.tui.draw.text import plain
from putback.tui.keyboard.keys import command_for
from putback.tui.refit.looking_back import LookingBack, still_asks
from putback.tui.refit.refit_questions import NOT_TONIGHT, RefitQuestions
from putback.tui.refit.step_pages import HELD, StepPages, pressed_words
from putback.tui.widgets.panes import Header, KeysLine, MessageLine
from putback.tui.widgets.refit_panes import CardPane, FarGoing, FarGoingPane, PlanPane, PlanRow, far_head
from putback.tui.widgets.shown import Panes, Shown

AWAY = 600.0
"""Seconds without a key after which the next one opens the walk-back (common practice, no source)."""

SMALL = (70, 20)
"""Columns and rows below which plan and card do not fit side by side."""

LEAST_BESIDE_TALL = 4
"""Rows for what is said of a step, below which the tall figures give way."""

LOUD = ("refused", "asks", "caution")
"""What has to be said even from afar."""

TOO_QUICK = 0.5
"""Seconds for which a step has to have been on the screen before a key can confirm anything of it."""


THE_END = -1
"""What is shown where every step is back, in the place of a step's number."""


class RefitScreen(HeadBar, KeyedScreen[None]):
    """One step at a time, strict reverse first."""

    def __init__(self) -> None:
        super().__init__()
        self._step = 0
        self._asked = "reverse"
        self._order: tuple[int, ...] = ()
        self._waits: Latest[list[Waits]] = Latest()
        self._proved: set[tuple[int, int]] = set()
        self._key_at = monotonic()
        self._far_asked: bool | None = None
        self._account: Latest[Account] = Latest()
        self._page = 0
        self._pages: list[Page] = []
        self._seen: tuple[int, float] = (0, 0.0)
        """The step that is on the screen, and since when."""

    def compose(self) -> ComposeResult:
        yield Header(id="header")
        with Panes(id="panes"):
            yield PlanPane(id="plan")
            yield CardPane(id="card")
        yield FarGoingPane(id="far")
        yield MessageLine(id="said")
        yield KeysLine(id="keys")

    def on_mount(self) -> None:
        self.query_one(MessageLine).back_key = self.key_of("refit.back")
        for pane in self.query(Shown):
            pane.glyphs = self.host.glyphs
        self.host.say("note", "the way back: what came off last goes on first")
        self.redraw()
        self.set_interval(1.0, self.tick)

    def tick(self) -> None:
        """Repaint the time."""
        self.query_one(Header).show(self.header(self.session_on))

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
        if self.host.glyphs.words:
            return False
        return small if self._far_asked is None else self._far_asked

    @cached_property
    def questions(self) -> Questions:
        """The questions that can be put over it."""
        return Questions(self.host)

    @cached_property
    def trouble_questions(self) -> TroubleQuestions:
        """Those about a screw."""
        return TroubleQuestions(self.questions)

    @cached_property
    def asks(self) -> RefitQuestions:
        """Those about a step."""
        return RefitQuestions(self.questions, self.trouble_questions, partial(self.leave, None))

    @cached_property
    def looking_back(self) -> LookingBack:
        """Those about settings as set, and at the end."""
        return LookingBack(self.questions)

    # -- where the plan stands ---------------------------------------------------------------------

    def off(self) -> list[Step]:
        """Return the steps that are done and not back, in the order of the plan; skipped ones last."""
        steps = steps_off(self.record, self.host.machine_id)
        place = {number: index for index, number in enumerate(self._order)}
        ordered = sorted(steps, key=lambda step: place.get(step.number, -1)) if place else steps
        return sorted(ordered, key=lambda step: bool(step.skipped))

    def next_order(self) -> None:
        """Plan again, for the next of the orders there are."""
        names = list(ORDERS)
        self._asked = names[(names.index(self._asked) + 1) % len(names)]
        plan = refit_plan(self.record, self.host.machine_id, self._asked)
        self._order = plan.order
        self._step = 0
        self.host.say("note", plan.text)

    def ready(self) -> list[Step]:
        """Return the steps that can go on now, in the order of the plan."""
        return ready(self.record, self.off(), self.waits())

    def waits(self) -> list[Waits]:
        """Return what cannot go back yet; asked for many times a key, and changed only by a change."""
        machine = self.host.machine_id
        return self._waits.of((self.host.workshop.store.number, machine), lambda: what_waits(self.record, machine))

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
        command_id = command_for(key, "refit")
        if self.came_back() or self.asks_about_the_night():
            return
        if away > AWAY:
            self.walk_back()
            return
        anyway = {
            "refit.leave": lambda: self.leave(None),
            "refit.back": self.take_back,
            "refit.help": self.help,
            "refit.far": self.go_far,
            "refit.pause": self.pause,
            "refit.again": self.off_again,
            "refit.trouble": self.trouble,
        }
        step = self.step()
        if command_id in anyway:
            anyway[command_id]()
        elif step is None:
            self._at_the_end(command_id)
        elif command_id in ("refit.other", "refit.before"):
            self.go(step, 1 if command_id == "refit.other" else -1)
        elif command_id in ("refit.down", "refit.up"):
            self.walk(step, 1 if command_id == "refit.down" else -1)
        elif command_id == "refit.next":
            self.go_on(step)
        elif command_id == "refit.book":
            self.book_in(step)
        elif command_id == "refit.skip":
            self.skip(step)
        elif command_id == "refit.card":
            self.open_card(step)
        elif command_id == "refit.order":
            self.next_order()
        elif command_id == "refit.photos":
            self.open_photos(step)
        elif command_id == "refit.note":
            self.take_note(step)
        elif command_id in ("refit.page", "refit.pagebefore"):
            self._page = max(0, self._page + (1 if command_id == "refit.page" else -1))
        if not self._left:
            self.redraw()

    def _at_the_end(self, command_id: str | None) -> None:
        """Turn the pages that tell the end; any other key says where to go from here."""
        turns = {"refit.next": 1, "refit.page": 1, "refit.other": 1, "refit.pagebefore": -1, "refit.before": -1}
        if command_id == "refit.book" and self.record.held_steps(self.host.machine_id):
            self.what_is_held()
            return
        if command_id == "refit.next" and self._page == 0 and self._asks_at_the_end():
            self.look_back()
            return
        page = self._page + turns.get(command_id or "", 0)
        if page != self._page and 0 <= page < len(self._pages):
            self._page = page
        else:
            self.host.say("note", self.words("nothing is off: {refit.leave} goes back to the bench"))

    def help(self) -> None:
        """Show the keys."""
        self.show_keys("refit")

    def take_back(self) -> None:
        """Take back the last thing done, and show the step it was about."""
        self._step = 0
        self.host.take_back()

    def go_far(self) -> None:
        """Go to the view from afar, and back."""
        self._far_asked = not self.far

    def pause(self) -> None:
        """Stop the time, or go on after the walk-back."""
        self.pause_or_go_on(self.record.open_session(self.host.machine_id))

    def go(self, step: Step, by: int) -> None:
        """Show another step that can go on now, or, where none can, one that waits for something."""
        choices = self.ready() + [s for s in self.off() if short_of(self.record, s) or jobs_first(self.record, s)]
        ids = [s.id for s in choices]
        if not ids:
            return
        at = ids.index(step.id) if step.id in ids else -by
        self._step = ids[(at + by) % len(ids)]
        number = self.record.get(Step, self._step).number
        others = self.words("{refit.other} and {refit.before} go through what can go on now")
        self.host.say("note", f"step {number}; {others}")

    def tap_step(self, number: str) -> None:
        """Show a step of the plan."""
        step = self.record.step(self.host.machine_id, int(number))
        if step is not None:
            self._step = step.id
            self.redraw()

    def walk(self, step: Step, by: int) -> None:
        """Show the step after or before in the plan, whether it can go on or not."""
        ids = [s.id for s in self.off()]
        at = ids.index(step.id) + by if step.id in ids else 0
        self._step = ids[max(0, min(at, len(ids) - 1))]
        walks = "{refit.down} and {refit.up} walk the plan; {refit.other} goes to what can go on now"
        self.host.say("note", self.words(walks))

    def go_on(self, step: Step) -> None:
        """Confirm the marked line, or turn the page; when all is shown and confirmed, put the step back."""
        if self.too_quick(step):
            return
        account = self.account(step)
        todo = account.todo
        if self.reads_on(account):
            self._page = min(self._page, len(self._pages) - 1) + 1
            return
        if account.next == "waits":
            rest = account.why.removeprefix(f"waits for {step.name}")
            itself = rest != account.why and rest.startswith(" (") and rest.count("(") == 1
            text = f"is {rest.strip(' ()')}" if itself else account.why
            key = self.key_of("refit.book")
            self.host.refuse(f"{step.name} {text}; {key} when it has arrived, or to go on without a screw or a piece")
        elif account.next == "job":
            self.job_first(step)
        elif account.next == "look" and account.of("open"):
            self.look(step)
        elif account.next not in (*HELD, "put") and todo is not None:
            if self.host.do(c.Confirm(step=step.number, item=todo.item)) is not None:
                if account.next == "turn":
                    self.warned(account, (LIFTING.cause,))
                self._follow(step)
        elif self.host.do(c.PutBack(step=step.number)) is not None:
            self.warned(account, tuple(block.cause for block in account.of("usual", "rules") if block.cause))
            self._step = 0
            if everything_home(self.record, self.host.machine_id):
                still = len(still_open(self.record, self.host.machine_id))
                text = f", {counted(still, 'thing')} still open" if still else ""
                self.host.say("recorded", f"every step is back{text}; every bag is empty: nothing left over")

    def too_quick(self, step: Step) -> bool:
        """Tell whether a step has been on the screen for so short a time that no eye has read it; then say so."""
        shown, since = self._seen
        if shown == step.id and self.host.seconds() - since >= TOO_QUICK:
            return False
        if shown != step.id:
            self._seen = (step.id, self.host.seconds())
        self.host.say("note", f"too quick: step {step.number} is now shown")
        return True

    def _follow(self, step: Step) -> None:
        """Turn the page where nothing on this one is still asked for, so that the page follows the mark."""
        account = self.account(step)
        page = min(self._page, len(self._pages) - 1)
        open_here = {block.item for block in account.asked if not block.done} & self._pages[page].items
        if not open_here and page + 1 < len(self._pages):
            self._page = page + 1

    def account(self, step: Step) -> Account:
        """Return the account of a step as things stand; asked for many times a key, and changed only by a change."""
        way = (self.record, self.host.machine_id)
        stand = (self.host.workshop.store.number, step.id)
        return self._account.of(stand, lambda: WayBack(*way, self.waits()).account(step))

    def warned(self, account: Account, causes: tuple[str, ...]) -> None:
        """Note that the usual cautions for some causes were on the card: once in a session is enough."""
        session = self.record.open_session(self.host.machine_id)
        shown_causes = {block.cause for block in account.of("usual", "rules")}
        self.host.warned_back |= {(session.id if session else 0, cause) for cause in causes if cause in shown_causes}

    def hushed(self) -> frozenset[str]:
        """Return the causes whose usual cautions were shown in this session already."""
        session = self.record.open_session(self.host.machine_id)
        number = session.id if session else 0
        return frozenset(cause for id, cause in self.host.warned_back if id == number)

    def bag_scanned(self, bag: Bag) -> bool:
        """A scanned bag proves itself: another machine's is refused, one not wanted is said to be so."""
        step = self.step()
        if bag.machine != self.host.machine_id:
            owner = self.record.get(Machine, bag.machine).caption
            self.host.refuse(f"Bag {bag.number} belongs to {owner}, not to this machine.")
            return True
        wanted = {f.place for f in to_fetch(self.record, step)} if step else set()
        if step is not None and f"bag {bag.number}" in wanted:
            self._proved.add((step.id, bag.number))
            self.host.say("recorded", f"bag {bag.number} is the right one")
            self.redraw()
            return True
        self.host.refuse(f"Bag {bag.number} is not wanted for this step; {', '.join(sorted(wanted)) or 'no bag'} is.")
        return True

    def open_card(self, step: Step) -> None:
        """Open the card of the step, to look into it or mend it."""

        def came_back(result: str | None) -> None:
            if result == TO_THE_BENCH:
                self.leave(None)

        self.host.push_screen(self.host.screen_named("step", step.id), came_back)

    def open_photos(self, step: Step) -> None:
        """Show the photos of the step, large."""
        photos = in_order(self.record.photos_of(step))
        if photos:
            self.host.push_screen(self.host.screen_named("photos", [photo.id for photo in photos]))
        else:
            self.host.refuse(f"There is no photo of step {step.number}.")

    # -- questions ---------------------------------------------------------------------------------

    @work
    async def take_note(self, step: Step) -> None:
        """Take a line about the step, which is said again wherever it is."""
        text = await self.questions.ask_note(f"What is to be noted of step {step.number}, {step.name}?")
        if text:
            self.host.do(c.Annotate(step=step.number, note=text))
        self.redraw()

    @work
    async def book_in(self, step: Step) -> None:
        """Book in what a step waits for; on a line about a one-use piece, a clip or a setting, ask about that."""
        account = self.account(step)
        todo = account.todo
        if account.next == "new" and todo is not None:
            await self.asks.ask_spent(step, todo.item)
        elif account.next == "clip" and todo is not None:
            await self.asks.ask_clip(step, todo.item)
        elif account.next == "setting" and todo is not None:
            await self.looking_back.ask_as_set(next(a for a in step.adjust if a.text == todo.item), step)
        else:
            await self.asks.ask_waiting(step, self.wait_of(step))
            self._step = 0
        if not self._left:
            self.redraw()

    def _asks_at_the_end(self) -> bool:
        """Tell whether the end has something to ask before its last page: once all is back, and once."""
        machine = self.host.machine
        if machine is None or self.off() or self.record.last_step(machine.id) is None:
            return False
        return still_asks(machine)

    @work
    async def look_back(self) -> None:
        """Ask what is asked at the end of the way back, then go on to the last page."""
        await self.looking_back.ask_at_the_end()
        if not self._left:
            if not self._asks_at_the_end():
                self._page = min(self._page + 1, len(self._pages) - 1)
            self.redraw()

    @work
    async def what_is_held(self) -> None:
        """Ask what becomes of a part on hold, once everything else is back."""
        await self.asks.ask_held()
        if not self._left:
            self.redraw()

    @work
    async def look(self, step: Step) -> None:
        """Ask about what is open behind a cover."""
        await self.asks.ask_look(step)
        self.redraw()

    @work
    async def job_first(self, step: Step) -> None:
        """Ask about a job that stops a step; not tonight goes on as to any other step."""
        if await self.asks.ask_job_first(step) == NOT_TONIGHT:
            self.go(step, 1)
            self.host.say("note", f"step {step.number} stays as it is; nothing was recorded")
        self.redraw()

    @work
    async def skip(self, step: Step) -> None:
        """Skip a step, or take it up again."""
        await self.asks.ask_skip(step)
        self._step = 0
        self.redraw()

    @work
    async def off_again(self) -> None:
        """Take a step off again: what covers the one on the card first of all."""
        await self.asks.ask_off_again(self.step())
        self._step = 0
        self.redraw()

    @work
    async def trouble(self) -> None:
        """Ask what is wrong with a screw of the step on the card; with all back, of the last one."""
        await self.trouble_questions.ask_trouble(
            self.step() or self.record.last_step(self.host.machine_id), put=LOOSE, back=True
        )
        self.redraw()

    # -- drawing -----------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw plan and card, or the view from afar."""
        far = self.far
        self.set_class(far, "-far")
        step = self.step()
        account = self.account(step) if step is not None else None
        number = step.id if step is not None else THE_END
        if self._seen[0] != number:
            self._seen, self._page = (number, self.host.seconds()), 0
        if far:
            large = self.query_one(FarGoingPane)
            large.show(self.far_data(account, large.size.width - 2, large.size.height))
            return
        self.tick()
        self.query_one(MessageLine).show(self.host.message)
        self.point(self.query_one(MessageLine))
        keys = [self.host.keymap.key(f"refit.{name}") for name in _FIRST]
        self.query_one(KeysLine).show(tuple(keys))
        plan, pane = self.query_one(PlanPane), self.query_one(CardPane)
        plan.entitle(self.to_go())
        plan.show(tuple(self.rows(step)))
        width, height = max(20, pane.size.width), max(8, pane.size.height)
        card = StepPages(self.record, self.host.glyphs, self.host.keymap)
        if account is None:
            pane.border_subtitle = ""
            self._show_end(card, pane, width, height)
            return
        head = card.head(account, width)
        self._pages = card.pages(
            account,
            width,
            height - len(head) - 1,
            hushed=self.hushed(),
            scanned=self.scanned(account),
            before=tuple(self.hint_rows(account, width)),
        )
        page = self._pages[self._at_page(account)]
        answers = card.answers(account, self._page, self._pages)
        says = dict(answers)
        self.query_one(KeysLine).show(tuple(replace(key, label=says.get(key.id, key.label)) for key in keys))
        many = len(self._pages) > 1
        pane.entitle(f"going back, page {self._page + 1} of {len(self._pages)}" if many else "going back")
        # Whose rules come first stands on the frame too, where a usual caution is on the page.
        pane.border_subtitle = FIRST if page.sorts & {"usual", "rules"} and not self.host.glyphs.words else ""
        foot = plain(self.words(pressed_words(answers)), width, "bold $pb-verdigris")
        gap = [] if self.host.glyphs.words else [Content("")] * (height - len(head) - len(page.rows) - 1)
        pane.show((*head, *page.rows, *gap, foot))

    def _show_end(self, card: StepPages, pane: CardPane, width: int, height: int) -> None:
        """Draw what is said at the end, with the machine's last page behind it."""
        machine = self.host.machine
        if machine is None:
            return
        self._pages = card.end(machine, width, height - 1, now=self.host.workshop.now())
        self._page = min(self._page, len(self._pages) - 1)
        last = self._page + 1 == len(self._pages)
        names: list[str] = [
            *(["next"] * (not last)),
            *(["book"] * bool(self.record.held_steps(machine.id))),
            "back",
            "help",
            "leave",
        ]
        keys = [self.host.keymap.key(f"refit.{name}") for name in names]  # what does nothing here is not named
        asks = self._page == 0 and self._asks_at_the_end()
        names = ["next", *names] if asks and last else names
        said = {"refit.next": "look back" if asks else "read on"}
        self.query_one(KeysLine).show(tuple(replace(key, label=said.get(key.id, key.label)) for key in keys))
        pane.entitle(f"the end, page {self._page + 1} of {len(self._pages)}")
        foot = self.words("{refit.leave} back to the bench" if last else "{refit.next} read on")
        if asks:
            foot = self.words("{refit.next} what would you do differently?")
        rows = self._pages[self._page].rows
        gap = [] if self.host.glyphs.words else [Content("")] * (height - len(rows) - 1)
        pane.show((*rows, *gap, plain(foot, width, "bold $pb-verdigris")))

    def reads_on(self, account: Account) -> bool:
        """Tell whether the key that goes on turns the page: nothing on it is asked for, and another follows."""
        todo, page = account.todo, min(self._page, len(self._pages) - 1)
        asked = todo is not None and account.next not in HELD and todo.item in self._pages[page].items
        return not asked and page + 1 < len(self._pages)

    def _at_page(self, account: Account) -> int:
        """Return the page that is shown: never behind the marked line, where that was gone back to."""
        self._page = min(self._page, len(self._pages) - 1)
        todo = account.todo
        if todo is not None and account.next not in HELD:
            asked = next((i for i, page in enumerate(self._pages) if todo.item in page.items), self._page)
            self._page = min(self._page, asked)
        return self._page

    def scanned(self, account: Account) -> frozenset[str]:
        """Return the places that a scan proved for a step."""
        return frozenset(f"bag {number}" for id, number in self._proved if id == account.step.id)

    def hint_rows(self, account: Account, width: int) -> list[Content]:
        """Return what to chase first, where the step on the card cannot go on."""
        hint = self.hint(account)
        return signed("note", hint, width, self.host.glyphs, "$pb-muted") if hint else []

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
        left = f"{skipped} skipped" if skipped else time_left(self.record, self.host.machine_id).brief
        return f"{len(off)} to go, {left}"

    def hint(self, account: Account) -> str:
        """Return what to chase first, where the step on the card cannot go on."""
        first = chase(self.record, self.host.machine_id) if account.next == "waits" else ""
        if not first:
            return ""
        return f"nothing else can go on; chase first: {first}" if not self.ready() else f"chase first: {first}"

    def far_data(self, account: Account | None, width: int, height: int) -> FarGoing:
        """Return what is shown from afar, on as many pages as it needs."""
        message, glyphs = self.host.message, self.host.glyphs
        width, height = max(20, width), max(8, height)
        if account is None:
            home = everything_home(self.record, self.host.machine_id)
            still = still_open(self.record, self.host.machine_id)
            word = "nothing is left over" if home else "something is left over"
            word = f"still open: {'; '.join(still)}; {word}" if still else word
            head = far_head("done", "Everything is back." if home else word, word, width, glyphs)
            asks = ((self.host.keymap.shown("refit.next"), "look back"),) if self._asks_at_the_end() else ()
            return FarGoing(tuple(head), (*asks, self.host.keymap.pair("refit.leave")))
        step, places = account.step, account.places
        where = places[0] if places else "turn" if account.next == "turn" else step.do
        number = f"step {step.number}{f', {account.faces}' if account.faces else ''}; {self.to_go()}"
        loud = (
            [f"bold $pb-{'brass' if message.sort == 'asks' else 'rust'}", message.words] if message.sort in LOUD else []
        )
        now = signed(message.sort, loud[1], width, glyphs, loud[0]) if loud else []
        first = far_head(where, account.heading, number, width, glyphs)
        later = far_head("", account.heading, number, width, glyphs)
        card = StepPages(self.record, glyphs, self.host.keymap)
        # The tall figures of the first page stand in the place of rows that every later page has.
        tall = tuple([*first[: len(first) - len(later)], *now])
        room = height - len(later) - 1
        before = tall if room - len(tall) >= LEAST_BESIDE_TALL else tuple(now)
        self._pages = card.pages(
            account, width, room, hushed=self.hushed(), scanned=self.scanned(account), before=before
        )
        at = self._at_page(account)
        head = later
        rows = [*head, *self._pages[at].rows]
        if before and at == 0:
            rows = [*before, *head, *self._pages[0].rows[len(before) :]]
        more = f"page {at + 1} of {len(self._pages)}" if len(self._pages) > 1 else ""
        answers = card.answers(account, at, self._pages)
        return FarGoing(tuple(rows), tuple((self.host.keymap.shown(id), label) for id, label in answers), more)


_FIRST = (
    "next", "other", "book", "skip", "back", "help", "leave", "note", "photos", "trouble", "again", "far", "up", "down",
    "order", "card",
)  # fmt: skip
"""The keys in the order in which the foot shows as many as fit."""
