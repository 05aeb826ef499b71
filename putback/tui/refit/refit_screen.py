"""Refit: the plan on the left, one step as a card on the right, everything confirmed before it is back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from textual.app import ComposeResult

from putback.reports.plan import everything_home
from putback.trade import commands as c
from putback.trade.cautions.dangers import LIFTING
from putback.trade.checks.open_jobs import still_open
from putback.trade.record.bag import Bag
from putback.trade.record.photo import Photo, in_order
from putback.trade.record.phrases import counted
from putback.trade.record.place import LOOSE
from putback.trade.record.step import Step
from putback.tui.dialogs.break_keys import BreakKeys
from putback.tui.dialogs.far_switch import FarSwitch
from putback.tui.dialogs.head_bar import HeadBar
from putback.tui.dialogs.keyed import KeyedScreen, Question, Taps
from putback.tui.dialogs.photo_beside import GAP, PhotoBeside
from putback.tui.dialogs.questions import Questions
from putback.tui.dialogs.sheet import TO_THE_BENCH
from putback.tui.dialogs.trouble_questions import TroubleQuestions
from putback.tui.keyboard.keys import command_for
from putback.tui.refit.card_pages import CardPages
from putback.tui.refit.looking_back import LookingBack
from putback.tui.refit.order_search import OrderSearch
from putback.tui.refit.refit_questions import NOT_TONIGHT, RefitQuestions
from putback.tui.refit.standing import Standing
from putback.tui.refit.step_pages import HELD
from putback.tui.widgets.panes import Header, KeysLine, MessageLine
from putback.tui.widgets.picture import PictureView
from putback.tui.widgets.refit_panes import CardPane, FarGoingPane, PlanPane
from putback.tui.widgets.shown import Panes, Shown

LEAST_WITH_PHOTO = 100
"""Columns of the card from which a photo of the step stands beside what is said of it."""


class RefitScreen(PhotoBeside, KeyedScreen[None]):
    """One step at a time, strict reverse first."""

    def __init__(self) -> None:
        super().__init__()
        host = self.host
        self.way = Standing(host)
        self.card = CardPages(self.way)
        self.breaks = BreakKeys(host, self)
        self.head_bar = HeadBar(host)
        self.switch = FarSwitch(host)
        self._questions = Questions(host)
        self._trouble = TroubleQuestions(self._questions)
        self._asks = RefitQuestions(self._questions, self._trouble, partial(self.leave, None))
        self._looking_back = LookingBack(self._questions)
        self._search = OrderSearch(self, self.way, self.redraw)
        self._anywhere: Mapping[str, Callable[[], object]] = {
            "refit.leave": lambda: self.leave(None),
            "refit.back": self.take_back,
            "refit.help": lambda: self.show_keys("refit"),
            "refit.far": lambda: self.switch.turn(not self.far),
            "refit.pause": self.breaks.pause_or_go_on,
            "refit.again": lambda: self.ask(self._off_again, afresh=True),
            "refit.trouble": lambda: self.ask(self._what_trouble),
        }
        """What the keys do, whether a step is on the card or the end."""
        self._at_a_step: Mapping[str, Callable[[Step], object]] = {
            "refit.other": lambda step: self.way.go(step, 1),
            "refit.before": lambda step: self.way.go(step, -1),
            "refit.down": lambda step: self.way.walk(step, 1),
            "refit.up": lambda step: self.way.walk(step, -1),
            "refit.next": self.go_on,
            "refit.book": lambda step: self.ask(partial(self._book_in, step)),
            "refit.skip": lambda step: self.ask(partial(self._asks.ask_skip, step), afresh=True),
            "refit.card": self.open_card,
            "refit.order": lambda _: self._search.begin(self.way.next_order()),
            "refit.photos": self.open_photos,
            "refit.note": lambda step: self.ask(partial(self._take_note, step)),
            "refit.page": lambda _: self.card.turn(1),
            "refit.pagebefore": lambda _: self.card.turn(-1),
        }
        """What they do with the step on the card."""

    def compose(self) -> ComposeResult:
        yield Header(id="header")
        with Panes(id="panes"):
            yield PlanPane(id="plan")
            yield CardPane(id="card")
            yield PictureView()
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
        self.query_one(Header).show(self.head_bar.data(self.breaks.session))

    def on_resize(self) -> None:
        self.call_after_refresh(self.redraw)

    def on_sized(self) -> None:
        """Lay out the pages anew: a pane that was not seen, or another view, has a size of its own only now."""
        if self.is_mounted:
            self.redraw()

    def on_screen_resume(self) -> None:
        self.breaks.here()
        if self.is_mounted:
            self.redraw()

    @property
    def far(self) -> bool:
        """Whether the view is the one from afar: asked for, or where plan and card do not fit."""
        return self.switch.on

    # -- keys --------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """At refit."""
        return ("refit",)

    def press(self, key: str) -> None:
        """Take one key."""
        away = self.breaks.here()
        if self.breaks.found_away(away, lambda _: self.breaks.walk_back()):
            return
        command_id, step = command_for(key, "refit"), self.way.step()
        if command_id in self._anywhere:
            self._anywhere[command_id]()
        elif step is None:
            self._at_the_end(command_id)
        elif command_id in self._at_a_step:
            self._at_a_step[command_id](step)
        if not self._left:
            self.redraw()

    def _at_the_end(self, command_id: str | None) -> None:
        """Turn the pages that tell the end; any other key says where to go from here."""
        turns = {"refit.next": 1, "refit.page": 1, "refit.other": 1, "refit.pagebefore": -1, "refit.before": -1}
        if command_id == "refit.book" and self.way.record.held_steps(self.host.machine_id):
            self.ask(self._asks.ask_held)
        elif command_id == "refit.next" and self.card.at == 0 and self.way.asks_at_the_end():
            self.ask(self._look_back)
        elif not self.card.turned(turns.get(command_id or "", 0)):
            self.host.say("note", self.words("nothing is off: {refit.leave} goes back to the bench"))

    def take_back(self) -> None:
        """Take back the last thing done, and show the step it was about."""
        self.way.chosen = 0
        self.host.take_back()

    @property
    def taps(self) -> Taps:
        return {"step": self.tap_step}

    def tap_step(self, number: str) -> None:
        """Show a step of the plan."""
        step = self.way.record.step(self.host.machine_id, int(number))
        if step is not None:
            self.way.chosen = step.id
            self.redraw()

    def go_on(self, step: Step) -> None:
        """Confirm the marked line, or turn the page; when all is shown and confirmed, put the step back."""
        if self.card.too_quick(step):
            return
        account = self.way.account(step)
        todo = account.todo
        if self.card.reads_on(account):
            return
        if account.next == "waits":
            rest = account.why.removeprefix(f"waits for {step.name}")
            itself = rest != account.why and rest.startswith(" (") and rest.count("(") == 1
            text = f"is {rest.strip(' ()')}" if itself else account.why
            key = self.key_of("refit.book")
            self.host.refuse(f"{step.name} {text}; {key} when it has arrived, or to go on without a screw or a piece")
        elif account.next == "job":
            self.ask(partial(self._job_first, step))
        elif account.next == "look" and account.of("open"):
            self.ask(partial(self._asks.ask_look, step))
        elif account.next == "new" and todo is not None:
            self.ask(partial(self._new_one_in, step, todo.item))
        elif account.next not in (*HELD, "put") and todo is not None:
            if self.host.do(c.Confirm(step=step.number, item=todo.item)) is not None:
                if account.next == "turn":
                    self.way.warned(account, (LIFTING.cause,))
                self.card.follow(self.way.account(step))
        elif self.host.do(c.PutBack(step=step.number)) is not None:
            self.way.warned(account, tuple(block.cause for block in account.of("usual", "rules") if block.cause))
            self.way.chosen = 0
            record, machine = self.way.record, self.host.machine_id
            if everything_home(record, machine):
                still = len(still_open(record, machine))
                text = f", {counted(still, 'thing')} still open" if still else ""
                self.host.say("recorded", f"every step is back{text}; every bag is empty: nothing left over")

    def bag_scanned(self, bag: Bag) -> bool:
        """A scanned bag proves itself."""
        if self.way.prove(bag):
            self.redraw()
        return True

    def open_card(self, step: Step) -> None:
        """Open the card of the step, to look into it or mend it."""

        def came_back(result: str | None) -> None:
            if result == TO_THE_BENCH:
                self.leave(None)

        self.host.push_screen(self.host.screen_named("step", step.id), came_back)

    def open_photos(self, step: Step) -> None:
        """Show the photos of the step, large."""
        photos = in_order(self.way.record.photos_of(step))
        if photos:
            self.host.push_screen(self.host.screen_named("photos", [photo.id for photo in photos]))
        else:
            self.host.refuse(f"There is no photo of step {step.number}.")

    # -- questions ---------------------------------------------------------------------------------

    def ask(self, question: Question, *, afresh: bool = False) -> None:
        """Have something asked; with `afresh` the first step that can go on is shown behind it."""
        self.begin_asking(partial(self._asked, question, afresh))

    async def _asked(self, question: Question, afresh: bool) -> None:
        await question()
        if afresh:
            self.way.chosen = 0
        if not self._left:
            self.redraw()

    async def _take_note(self, step: Step) -> None:
        """Take a line about the step, which is said again wherever it is."""
        text = await self._questions.ask_note(f"What is to be noted of step {step.number}, {step.name}?")
        if text:
            self.host.do(c.Annotate(step=step.number, note=text))

    async def _new_one_in(self, step: Step, item: str) -> None:
        """Say that a new one is at hand for what goes in only once; of a machine kept as found it is asked why."""
        if await self._questions.do_asked(c.Confirm(step=step.number, item=item)) is not None:
            self.card.follow(self.way.account(step))

    async def _book_in(self, step: Step) -> None:
        """Book in what a step waits for; on a line about a one-use piece, a clip or a setting, ask about that."""
        account = self.way.account(step)
        todo = account.todo
        if account.next == "new" and todo is not None:
            await self._asks.ask_spent(step, todo.item)
        elif account.next == "clip" and todo is not None:
            await self._asks.ask_clip(step, todo.item)
        elif account.next == "setting" and todo is not None:
            await self._looking_back.ask_as_set(next(a for a in step.adjust if a.text == todo.item), step)
        else:
            await self._asks.ask_waiting(step, self.way.wait_of(step))
            self.way.chosen = 0

    async def _look_back(self) -> None:
        """Ask what is asked at the end of the way back, then go on to the last page."""
        await self._looking_back.ask_at_the_end()
        if not self.way.asks_at_the_end():
            self.card.turned(1)

    async def _job_first(self, step: Step) -> None:
        """Ask about a job that stops a step; not tonight goes on as to any other step."""
        if await self._asks.ask_job_first(step) == NOT_TONIGHT:
            self.way.go(step, 1)
            self.host.say("note", f"step {step.number} stays as it is; nothing was recorded")

    async def _off_again(self) -> None:
        """Take a step off again: what covers the one on the card first of all."""
        await self._asks.ask_off_again(self.way.step())

    async def _what_trouble(self) -> None:
        """Ask what is wrong with a screw of the step on the card; with all back, of the last one."""
        step = self.way.step() or self.way.record.last_step(self.host.machine_id)
        await self._trouble.ask_trouble(step, put=LOOSE, back=True)

    # -- drawing -----------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw plan and card, or the view from afar."""
        far = self.far
        self.set_class(far, "-far")
        step = self.way.step()
        account = self.way.account(step) if step is not None else None
        self.card.come_to(step)
        if far:
            large = self.query_one(FarGoingPane)
            large.show(self.card.from_afar(account, large.size.width - 2, large.size.height))
            return
        self.tick()
        line = self.query_one(MessageLine)
        line.show(self.host.message)
        self.point(line)
        plan, pane, machine = self.query_one(PlanPane), self.query_one(CardPane), self.host.machine
        plan.entitle(self.way.to_go())
        plan.show(tuple(self.way.rows(step)))
        width, height = max(20, pane.size.width), max(8, pane.size.height)
        beside = self.photo_width(width) if step is not None and width >= LEAST_WITH_PHOTO else 0
        if account is not None:
            drawn = self.card.near(account, width - beside, height)
        elif machine is not None:
            drawn = self.card.end(machine, width, height)
        else:
            return
        self.query_one(KeysLine).show(drawn.keys)
        pane.entitle(drawn.title)
        pane.border_subtitle = drawn.subtitle
        pane.show(drawn.rows)
        left, top = pane.content_region.offset - self.query_one(Panes).region.offset
        self.place_photo(left + width - beside + GAP, top, beside - GAP, height)

    def photos(self) -> list[Photo]:
        """The photos of the step on the card, in their order."""
        step = self.way.step()
        return in_order(self.way.record.photos_of(step)) if step is not None else []
