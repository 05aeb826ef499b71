"""The bench: tree, coming-off form and bags on one screen, driven by single keys."""

from __future__ import annotations

from collections.abc import Iterable
from inspect import iscoroutinefunction
from typing import Any

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.timer import Timer

from putback.reports.bags import bag_rows
from putback.trade.checks.ledger import bench_check
from putback.trade.record.step import Step
from putback.tui.bench.at_once import AtOnce
from putback.tui.bench.bench_commands import BenchCommands
from putback.tui.bench.facing import Facing
from putback.tui.bench.far_view import FarView
from putback.tui.bench.hand import Hand
from putback.tui.bench.hold_questions import HoldQuestions
from putback.tui.bench.inside import Inside
from putback.tui.bench.inside_questions import InsideQuestions
from putback.tui.bench.loop import Loop
from putback.tui.bench.machine_questions import MachineQuestions
from putback.tui.bench.next_hole import NextHole
from putback.tui.bench.of_what import OfWhat
from putback.tui.bench.part_commands import PartCommands
from putback.tui.bench.rarer_fields import RarerFields
from putback.tui.bench.showing import WELCOME, Showing
from putback.tui.bench.table import Commands
from putback.tui.dialogs.break_keys import BreakKeys
from putback.tui.dialogs.far_switch import FarSwitch
from putback.tui.dialogs.head_bar import HeadBar
from putback.tui.dialogs.job_doing import JobDoing
from putback.tui.dialogs.keyed import KeyedScreen, Taps
from putback.tui.dialogs.questions import Questions
from putback.tui.dialogs.sending import Sending
from putback.tui.draw.views import MessageData, tree_rows
from putback.tui.form.form_pane import FormData, FormPane
from putback.tui.keyboard.keys import command_for
from putback.tui.widgets.far_pane import FarPane
from putback.tui.widgets.panes import BagPane, BagsData, Header, KeysLine, MessageLine, TreePane
from putback.tui.widgets.shown import Panes, Shown

BESIDE = 0.01
"""Seconds after a key's paint from which on tree and bags are drawn: the line that was typed at comes first."""


class BenchScreen(KeyedScreen[None]):
    """The three panes, and the parts of the bench that they show."""

    BLANK = True  # all of it is panes
    _pressing = False
    _erased = False
    _rung = (0, 0)
    """The session and the segment of it whose end was rung for."""
    _offered = False
    """Whether it was asked if this copy should write now that the other has closed."""
    _beside: Timer | None = None
    _stand = (-1, 0, 0)
    _tree = (0, "", 0, -1)
    _far = False

    def __init__(self) -> None:
        super().__init__()
        host, questions = self.host, Questions(self.host)
        self.hand = Hand(host, Facing(host), Inside(host))
        self.breaks = BreakKeys(host, self)
        self.head_bar = HeadBar(host)
        self.switch = FarSwitch(host)
        holes, held = NextHole(self.hand.facing), HoldQuestions(self.hand, questions, self)
        self.loop = Loop(self.hand, holes, questions, self)
        self.showing = Showing(self.hand, holes, held)
        self.from_afar = FarView(self.hand)
        self.machines = MachineQuestions(questions)
        of = OfWhat(self.hand, questions)
        sending = Sending(questions, JobDoing(host))
        self.commands: Commands = {
            **PartCommands(self.hand, of, held, sending, self).commands,
            **RarerFields(self.hand, of, self).commands,
            **InsideQuestions(self.hand, questions, self).commands,
            **held.commands,
            **self.machines.commands,
            **BenchCommands(self.hand, questions, self.breaks, self).commands,
            "far": self.turn_view,
        }
        """What every key of the table does that works anywhere on the bench, and the list of all."""
        self._questions = questions

    def compose(self) -> ComposeResult:
        yield Header(id="header")
        with Panes(id="panes"):
            yield TreePane(id="tree")
            yield FormPane(id="form")
            yield BagPane(id="bags")
        yield MessageLine(id="said")
        yield KeysLine(id="keys")

    def on_mount(self) -> None:
        self.at_once = AtOnce(self)
        self._panes = list(self.query(Shown))
        for pane in self._panes:
            pane.glyphs = self.host.glyphs
        message_line = self.query_one(MessageLine)
        message_line.back_key, message_line.place_keys = self.key_of("back.place"), self.key_of("place")
        self.query_one(TreePane).border_title = "machine"
        self.query_one(BagPane).border_title = "bags"
        self.hand.carry_over()
        self.choose_view()
        self.redraw()
        self.set_interval(1.0, self.tick)
        self.call_after_refresh(self.welcome)

    def on_resize(self) -> None:
        self.choose_view()
        self.redraw()

    def on_screen_resume(self) -> None:
        self.breaks.here()
        if self.is_mounted:
            self.hand.let_go()
            self.hand.inside.as_left(self.hand.step)
            self.choose_view()
            self.redraw()

    def welcome(self) -> None:
        """Ask three questions where there is no machine yet."""
        if self.host.machine is None:
            self.begin_asking(self.machines.ask_new_machine)
        elif not self.host.workshop.store.writable:
            self.host.say("asks", self.host.message.words or "This workshop can only be read.")

    # -- keys --------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """In a field, or before a part is begun or in it and at the bench as well."""
        return ("field",) if self.hand.form.hole else ("part" if self.hand.step is None else "place", "bench")

    @property
    def step_coming_off(self) -> Step | None:
        return self.hand.step

    def press(self, key: str) -> None:
        """Take one key, and draw once what came of it."""
        self._pressing = True
        form, message = self.hand.form, self.host.message
        try:
            self.take_key(key)
        finally:
            self._pressing = False
        self._outlived(message, (form.hole, form.field if form.hole else ""))
        if not (self.is_attached and self.is_mounted):
            return
        self.redraw_hand()
        panes: Iterable[Shown[Any]] = self.query(FarPane) if self.far else self._panes
        if self.on_top and (changed := [pane for pane in panes if pane.changed]):
            self.at_once.paint(changed)
        if self._beside is None and self._stand != self.stand:
            self._beside = self.set_timer(BESIDE, self.catch_up)

    def _outlived(self, message: MessageData, at: tuple[str, str]) -> None:
        """Drop what was said of a field that was left: a word about it with the field, a question with the hole."""
        hole, field = at
        form = self.hand.form
        if message is not self.host.message:
            return
        of_field = message.sort == "note" and bool(hole)
        of_hole = message.sort == "asks" and (bool(hole) or message.doubts)
        moved = form.hole != hole
        if (of_hole and moved) or (of_field and (moved or form.field != field)):
            self.host.message = MessageData("note", "")

    @property
    def behind(self) -> bool:
        """Whether tree and bags are still to follow the last key."""
        return self._beside is not None

    def catch_up(self) -> None:
        """Draw tree and bags where they are still to follow."""
        if self._beside is not None:
            self._beside.stop()
            self._beside = None
            self.redraw_beside()

    def take_key(self, key: str) -> None:
        """Do what a key means."""
        away = self.breaks.here()
        if self.host.message.sort == "refused":  # that was of the key before
            self.host.message = MessageData("note", "")
        if self.ran_on(key):
            return
        command_id = command_for(key, "bench")
        if self.host.machine is None:
            if command_id in ("machines", "help", "look", "quit"):
                self.run_command(command_id)
            else:
                self.begin_asking(self.machines.ask_new_machine)
            return
        if self.breaks.found_away(away, self.breaks.was_away):
            return
        if key == "tab":
            self.run_command("far")
        elif self.hand.form.hole and command_for(key, "field") == "help.field":
            self.run_command("help")
        elif command_id and not self.hand.form.hole:
            self.run_command(command_id)
        else:
            self.loop.press(key)

    def run_command(self, id: str) -> None:
        """Do a command of the table of keys."""
        does = self.commands[id]
        if iscoroutinefunction(does):
            self.begin_asking(does)
        else:
            does()

    def ran_on(self, key: str) -> bool:
        """Tell whether a key that erased what was typed would now, in the same run, take back what is recorded.

        It says so once instead; the next one does it.
        """
        erases, form = key in ("-", "backspace"), self.hand.form
        ran_on = self._erased and erases and not form.hole
        self._erased = erases and not ran_on and (self._erased or (bool(form.hole) and bool(form.text)))
        if ran_on:
            text = "nothing typed is left; once more {back.place} takes back what is recorded"
            self.host.say("asks", self.words(text))
        return ran_on

    @property
    def taps(self) -> Taps:
        return {"place": self.tap_place, "bag": self.tap_bag, "part": self.tap_part}

    def tap_place(self, place: str) -> None:
        """Choose a place of the hole map; one chosen by mistake gives way while nothing is typed for it."""
        if self.hand.form.hole and any(text.strip() for text in self.hand.form.typed):
            self.host.refuse(self.words("Finish this hole first, or let go of it with {leave.field}."))
            return
        if self.hand.step is not None:
            self.hand.form = replace(self.hand.form, hole="", typed=())
            self.press(place)

    def tap_bag(self, number: str) -> None:
        """Open a bag's card."""
        bag = self.host.workshop.record.bag(self.host.machine_id, int(number))
        if bag is not None:
            self.host.push_screen(self.host.screen_named("bag", bag.id))

    def tap_part(self, part: str) -> None:
        """Open a part's card."""
        self.host.push_screen(self.host.screen_named("part", int(part)))

    # -- the views ---------------------------------------------------------------------------------

    @property
    def far(self) -> bool:
        return self._far

    def turn_view(self) -> None:
        """Go to the view from afar, and back."""
        if self.host.glyphs.words:
            self.host.refuse("With words alone there is no view from afar.")
            return
        self.switch.turn(not self.far)
        self.choose_view()

    def choose_view(self) -> None:
        """Show what was asked for; without a machine nothing has a size yet, and what an empty bench says has room."""
        far = self.switch.on and self.host.machine is not None
        if far == self._far:
            return
        self._far = far
        if far and not self.query(FarPane):
            pane = FarPane(id="far")
            pane.glyphs = self.host.glyphs
            self.mount(pane, before=0)
        self.set_class(far, "-far")
        self.call_after_refresh(self.redraw)

    def redraw(self) -> None:
        """Draw what is."""
        if not self._pressing:
            self.redraw_hand()
            self.redraw_beside()

    def redraw_hand(self) -> None:
        """Draw all but tree and bags."""
        showing, here = self.showing, self.host.machine is not None
        data = showing.form_data(self.hand.step) if here else None
        if self.far:
            for far in self.query(FarPane):
                far.show(self.from_afar.data(data, self.from_afar.next_key()))
            return
        self.query_one(Header).show(self.head_bar.data(self.breaks.session))
        line, form = self.query_one(MessageLine), self.query_one(FormPane)
        line.show(showing.message_now())
        self.query_one(KeysLine).show(tuple(showing.keys_now()))
        form.entitle(showing.form_title())
        form.show(data or FormData(title="An empty bench", under="", face="", quiet=WELCOME))
        if data is not None:
            typing = bool(self.hand.form.hole)
            self.point(form if typing else line, 3 + bool(data.goes) if typing else 0)

    @property
    def stand(self) -> tuple[int, int, int]:
        """What tree and bags depend on; typing changes neither."""
        step = self.hand.step
        return (self.host.workshop.store.number, self.host.machine_id, step.area if step else self.hand.inside.area)

    def redraw_beside(self) -> None:
        """Draw tree and bags, where they may have changed."""
        machine, stand, record = self.host.machine, self.stand, self.host.workshop.record
        if machine is None or self.far or stand == self._stand:
            return
        self._stand = stand
        tree = (machine.id, machine.name, stand[2], record.tree_changes(machine.id))
        if tree != self._tree:  # of thousands of parts the rows take longer than a key may
            self._tree = tree
            self.query_one(TreePane).show(tuple(tree_rows(record, machine, stand[2])))
        rows = bag_rows(record, machine.id)
        loose = sum(held.count for held in bench_check(record, machine.id))
        step = self.hand.step
        self.query_one(BagPane).show(BagsData(tuple(rows), step.bag if step else 0, loose))

    # -- the time ----------------------------------------------------------------------------------

    def tick(self) -> None:
        """Repaint the time; ring once at the target, or once the part is off."""
        host = self.host
        host.sitting.look_after_the_folder()
        woke = host.sitting.woke()
        if woke:
            self.breaks.slept()
        if host.sitting.followed() or woke:
            self.redraw()
        if not self._offered and self.on_top and host.workshop.store.writer_left():
            self._offered = True
            self.begin_asking(self.offer_to_write)
        session = self.breaks.session
        self.query_one(Header).show(self.head_bar.data(session))
        if session is None or session.paused:
            return
        over = session.segment_minutes(host.workshop.now()) >= session.target
        mark = (session.id, len(session.segments))
        if not over or self._rung == mark:
            return
        step = self.hand.step
        if step is None:
            self._rung = mark
            text = "the segment is over and nothing is half done: {pause} for the break"
            host.say("asks", self.words(text))
        elif not host.message.words.startswith("the segment is over"):
            host.say("asks", f"the segment is over; the bell waits until {step.name} is off", rings="")

    async def offer_to_write(self) -> None:
        """Ask whether this copy, which only read, should write now that the other has closed."""
        lines = ("write here from now on", "go on reading only")
        asks = "The other copy has closed this workshop. What now?"
        if await self._questions.pick(asks, lines) == lines[0]:
            self.host.write_here()
