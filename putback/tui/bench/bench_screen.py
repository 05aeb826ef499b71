"""The bench: tree, coming-off form and bags on one screen, driven by single keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from time import monotonic
from typing import Any

from msgspec.structs import replace
from textual import work
from textual.app import ComposeResult
from textual.timer import Timer

from putback.sizing.kinds import kind_named
from putback.trade import commands as c
from putback.trade.checks.oddities import odd_now
from putback.trade.commands import MendFastener
from putback.trade.record.fastener import FIELDS, READINGS, Thing, spot
from putback.trade.record.holes import face_of, faces_with_holes, place_of, spots_in, spots_named
from putback.trade.record.phrases import counted
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import expected, known_holes, left_behind
from putback.trade.refit.lower_first import lower_first
from putback.trade.refit.twin_holes import odd_about
from putback.trade.sizes.just_like import like_text, measured, one_before, same_again
from putback.tui.bench.at_once import AtOnce
from putback.tui.bench.odd_words import meaning_of
from putback.tui.bench.showing import Showing
from putback.tui.draw.views import MessageData, taken_holes
from putback.tui.form import entry
from putback.tui.form.form_pane import FormPane
from putback.tui.form.typed_readings import as_fields
from putback.tui.form.typed_size import fault_in
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.own_strokes import NEW, SAME
from putback.tui.widgets.far_pane import FarPane
from putback.tui.widgets.panes import BagPane, Header, KeysLine, MessageLine, TreePane
from putback.tui.widgets.shown import Panes, Shown

BESIDE = 0.01
"""Seconds after a key's paint from which on tree and bags are drawn: the line that was typed at comes first."""

BOUNCE = 0.5
"""Seconds after a part came off in which the same key once more is a bounce; common practice, no source."""

AWAY = 600.0
"""Seconds without a key after which the next one opens the walk-back (common practice, no source)."""


class BenchScreen(Showing):
    """The three panes."""

    BLANK = True  # all of it is panes
    _pressing = False
    _erased = False
    _reminded = (0, "")
    """The step, and its face, of which it was said that the lower screws come first."""
    _offered = False
    """Whether it was asked if this copy should write now that the other has closed."""
    _beside: Timer | None = None

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
        self.carry_over()
        self.choose_view()
        self.redraw()
        self.set_interval(1.0, self.tick)
        self.call_after_refresh(self.welcome)

    def on_resize(self) -> None:
        self.choose_view()
        self.redraw()

    def on_screen_resume(self) -> None:
        self._key_at = monotonic()
        if self.is_mounted:
            self.let_go()
            self.came_to_go_inside()
            self.choose_view()
            self.redraw()

    # -- coming to the bench -----------------------------------------------------------------------

    def welcome(self) -> None:
        """Ask three questions where there is no machine yet."""
        app = self.host
        if app.machine is None:
            self.new_machine()
        elif not app.workshop.store.writable:
            app.say("asks", app.message.words or "This workshop can only be read.")

    # -- keys --------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """In a field, or before a part is begun or in it and at the bench as well."""
        return ("field",) if self.form.hole else ("part" if self.step is None else "place", "bench")

    def press(self, key: str) -> None:
        """Take one key, and draw once what came of it."""
        self._pressing = True
        try:
            self.take_key(key)
        finally:
            self._pressing = False
        if not (self.is_attached and self.is_mounted):
            return
        self.redraw_hand()
        panes: Iterable[Shown[Any]] = self.query(FarPane) if self.far else self._panes
        if self.on_top and (changed := [pane for pane in panes if pane.changed]):
            self.at_once.paint(changed)
        if self._beside is None and self._stand != self.stand:
            self._beside = self.set_timer(BESIDE, self.catch_up)

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
        away, self._key_at = monotonic() - self._key_at, monotonic()
        if self.host.message.sort == "refused":  # that was of the key before
            self.host.message = MessageData("note", "")
        if self.ran_on(key):
            return
        if self.host.machine is None:
            command_id = command_for(key, "bench")
            if command_id in ("machines", "help", "look", "quit"):
                self.run_command(command_id)
            else:
                self.new_machine()
            return
        if self.came_back() or self.asks_about_the_night():
            return
        if away > AWAY:
            self.was_away(away / 60)
            return
        if key == "tab":
            self.run_command("far")
            return
        session = self.record.open_session(self.host.machine_id)
        if key == " " and not self.form.hole:
            self.pause_or_go_on(session)
            return
        step = self.step
        if self.form.hole and command_for(key, "field") == "help.field":
            self.command_help()
            return
        if not self.form.hole:
            command_id = command_for(key, "bench")
            if command_id:
                self.run_command(command_id)
                return
        if step is None:
            self.press_before_part(key)
        else:
            self.press_in_step(step, key)

    def ran_on(self, key: str) -> bool:
        """Tell whether a key that erased what was typed would now, in the same run, take back what is recorded.

        It says so once instead; the next one does it.
        """
        erases = key in ("-", "backspace")
        ran_on = self._erased and erases and not self.form.hole
        self._erased = erases and not ran_on and (self._erased or (bool(self.form.hole) and bool(self.form.text)))
        if ran_on:
            text = "nothing typed is left; once more {back.place} takes back what is recorded"
            self.host.say("asks", self.words(text))
        return ran_on

    def tap_place(self, place: str) -> None:
        """Choose a place of the hole map; one chosen by mistake gives way while nothing is typed for it."""
        if self.form.hole and any(text.strip() for text in self.form.typed):
            self.host.refuse(self.words("Finish this hole first, or let go of it with {leave.field}."))
            return
        if self.step is not None:
            self.form = replace(self.form, hole="", typed=())
            self.press(place)

    def tap_bag(self, number: str) -> None:
        """Open a bag's card."""
        bag = self.record.bag(self.host.machine_id, int(number))
        if bag is not None:
            self.host.push_screen(self.host.screen_named("bag", bag.id))

    def tap_part(self, part: str) -> None:
        """Open a part's card."""
        self.host.push_screen(self.host.screen_named("part", int(part)))

    def press_before_part(self, key: str) -> None:
        """A key while no part is begun."""
        if key in entry.PLACES:
            if self.begin(""):
                self.form = self.form.choose(key)
                self.host.own.begun()
                step = self.step
                if step is not None:
                    self.form = self.offered(step, ())
                    self._reminded = (0, "")  # one that was taken back had the same number
                    self.remind(step, [])
        elif key == "enter":
            self.run_command("begin")
        elif key == "/":
            self.choose_face()
        elif key == "*":
            self.next_bag()
        elif key in ("-", "backspace"):
            self.take_back()
        elif key == ".":
            self.more()
        elif key == "0":
            if self.host.seconds() - self._off_at > BOUNCE:
                self.run_command("jobs")
        elif key == "+":
            self.inside_or_out()

    def press_in_step(self, step: Step, key: str) -> None:
        """A key while a part is coming off."""
        taken = self.taken(step)
        if not self.host.workshop.store.writable and not self.form.hole and key in (*entry.PLACES, "+", "0", "enter"):
            self.host.refuse("READ ONLY: another copy has this workshop open, and nothing typed here is kept.")
            return
        if key == "enter" and (fault := self.fault()):
            self.host.refuse(fault)
            return
        form, act = entry.press(self.form, key, taken=taken, suggested=self.likely(step, taken).hole)
        chosen = form.hole and form.hole != self.form.hole
        agreed = form.like and not self.form.like
        self.form = form
        if agreed:
            self.agree(step)
        if chosen and key != "enter":  # held down, it would go on for ever taking over what it offers
            self.form = self.offered(step, taken)
        if chosen:
            self.host.own.begun()
            self.remind(step, taken)
        else:
            self.host.own.pressed()
        acts: dict[str, Callable[[], object]] = {
            "record": lambda: self.enter(step),
            "same": lambda: self.same(step, act.hole),
            "off": lambda: self.part_off(step),
            "take back": self.take_back,
            "bag": lambda: self.host.do(c.TakeBag()),
            "face": self.choose_face,
            "more": self.more,
            "refused": lambda: self.host.refuse(self.words(act.why)),
        }
        if act.do:
            acts[act.do]()

    def fault(self) -> str:
        """Return why what is typed in the field can be no size, or nothing."""
        machine, form = self.host.machine, self.form
        if machine is None or not form.text.strip() or entry.ends_in_dash(form.text):
            return ""
        return fault_in(form, self.record, machine)

    # -- the loop ----------------------------------------------------------------------------------

    def like_in(self, step: Step, hole: str) -> Thing | None:
        """Return the fastener of a hole that was taken to be like another, and may be measured after all."""
        at = spot(hole, self.faced(step).own_face(self.face_in_hand(step)))
        there = [thing for thing in self.record.things_of(step) if thing.spot == at and not thing.replaces]
        like = len(there) == 1 and there[0].name == self.form.kind and measured(self.record, there[0]) is not None
        return there[0] if like else None

    def offered(self, step: Step, taken: Sequence[str]) -> entry.Form:
        """Return the form with a hole just chosen, and what stands in its fields.

        What was only taken to be like another stands there to be said right field by field. In a new hole it is
        offered what the one before had.
        """
        form, machine = self.form, self.host.machine
        like = self.like_in(step, form.hole)
        before = one_before(self.record, step, form.kind) if form.hole not in taken else None
        thing = like or before
        if thing is None or machine is None:
            return replace(form, stands={}, offers={})
        typed = as_fields(thing.readings, form.kind, machine)
        found = {name: text for name, text in typed.items() if text and name in form.fields}
        if like is not None:
            return replace(form, stands=found, offers={})
        return replace(form, stands={}, offers=found if form.fields[0] in found else {})

    def agree(self, step: Step) -> None:
        """Say what comes after the size of the one before was taken over; its hand is taken over with it."""
        before = one_before(self.record, step, self.form.kind)
        if before is not None and "hand" not in self.form.extra:
            self.form = replace(self.form, hand=before.hand)
        name = entry.FIELD_WORDS.get(self.form.field, self.form.field)
        text = f"its {name}, if it is measured; {{enter}} alone: same again, not measured itself"
        self.host.say("note", self.words(text))

    def enter(self, step: Step) -> None:
        """Record the fastener in the form; one that was taken to be like another is measured now."""
        command = self.command()
        like = self.like_in(step, command.hole)
        if like is not None:
            measured_now = MendFastener(thing=like.id, readings=dict(command.readings))
            if self.host.do(measured_now) is not None:
                self.form = self.form.cleared()
            return
        if step.do == "loosen":
            self.loosened(command)
            return
        if self.host.do(command) is not None:
            self.form = self.form.cleared()
            self.host.own.recorded(NEW)
            self.look_twice(step.number)

    def same(self, step: Step, hole: str) -> None:
        """Record another just like the last."""
        last = self.host.workshop.last_fastener(self.host.machine_id)
        if last is None:
            self.host.refuse("There is no fastener yet that the next could be like.")
            return
        kind = self.form.extra.get("kind", last.name)
        like = one_before(self.record, step, kind)
        if like is None:
            self.host.refuse(f"The last was a {last.name}; of the first {kind} say place and size.")
            return
        read = next((entry.FIELD_WORDS.get(name, name) for name in self.form.extra if name in READINGS), "")
        if read:
            self.host.refuse(f"The {read} of this one was read: type its size, too, or another place for the next.")
            return
        command = self.just_like(like, hole)
        if self.host.do(command) is not None:
            self.host.own.recorded(SAME)
            self.tell_run(step.id)
            self.form = replace(
                self.form.cleared().with_kind(like.name), head=command.head or "", drive=command.drive or ""
            )

    def tell_run(self, number: int) -> None:
        """Say all of a run of fasteners just like the one before, where there is more than one."""
        run, message = same_again(self.record, self.record.get(Step, number)), self.host.message
        if len(run) > 1 and message.sort == "recorded":
            holes = spots_named([thing.spot for thing in run])
            text = f"same again: {holes} ({counted(len(run), run[-1].name)})"
            named_anew = message.words.partition("; ")[2]
            self.host.say("recorded", "; ".join(filter(None, (text, named_anew))), f"hole {run[-1].spot}")

    def just_like(self, like: Thing, hole: str) -> c.Enter:
        """Return another fastener like that one as a command, with what was said of it meanwhile."""
        extra: Mapping[str, Any] = self.form.extra
        return c.Enter(
            hole=hole,
            face=self.hole_face,
            kind=like.name,
            like=True,
            **{
                field.name: extra.get(field.name, getattr(like, field.name) if field.carried else "")
                for field in FIELDS
            },
        )

    def part_off(self, step: Step) -> None:
        """End the step; its part comes off."""
        faced, spots = self.faced(step), taken_holes(self.record, step)
        faces = faces_with_holes(self.record, faced)
        left = [
            spot(hole, face if len(faces) > 1 else faced.own_face(face))
            for face in faces
            for hole in left_behind(known_holes(self.record, faced, face), spots_in(faced, face, spots))
        ]
        if self.host.do(c.Finish(put=self.goes_to, minutes=self.took)) is not None:
            self._off_at = self.host.seconds()
            self.form = self.form.cleared().with_kind("screw")
            self.took = None
            self.put = None  # it was said for that part alone
            self.tick()
            self.look_back(step.number, left)

    def look_back(self, number: int, left: list[str]) -> None:
        """Say what is odd about the step just done, while it is cheap to mend; `left` are holes that may be missed."""
        step = self.record.step(self.host.machine_id, number)
        odd = odd_now(self.record, step) if step is not None else []
        if odd:
            self.host.say("asks", f"{self.host.message.words}. {odd[0]}", "this")
        elif left:
            named = [f"{place_of(at)} on the {face_of(at)} face" if face_of(at) else at for at in left]
            text = f"hole {named[0]} was left"
            if len(named) > 1:
                text = f"holes {', '.join(named[:-1])} and {named[-1]} were left"
            self.host.say("asks", f"{self.host.message.words}; {text}", "this")

    def stacks(self, step: Step, hole: str) -> bool:
        """Return whether what is typed goes with what a hole has: of another kind, and no second screw."""
        at = spot(hole, self.faced(step).own_face(self.face_in_hand(step)))
        there = [thing for thing in self.record.things_of(step) if thing.spot == at and not thing.replaces]
        alone = kind_named(self.form.kind).alone
        return bool(there) and not any(t.found or t.name == self.form.kind or (t.alone and alone) for t in there)

    def remind(self, step: Step, taken: list[str]) -> None:
        """Say that a hole has one already, or, once a face, to take the lower screws of a hanging panel first."""
        hole = self.form.hole
        like = self.like_in(step, hole)
        if like is not None:
            words = [entry.FIELD_WORDS.get(name, name) for name in self.form.fields]
            fields = ", then its ".join("size" if name == "gauge" else name for name in words[:2])
            measure = f"hole {hole} is {like_text(self.record, like, step)}: {{enter}} on its {fields}"
            self.host.say("asks", self.words(measure))
        elif hole in taken and self.stacks(step, hole):
            self.host.say("note", f"hole {hole}: a {self.form.kind} with what came out there")
        elif hole in taken:
            another = "hole {hole} has one already: {blank} before the size for another beside it"
            self.host.say("asks", self.words(another.replace("{hole}", hole)))
        elif len(hole) > 1:
            self.host.say("note", f"hole {hole}, beside the one in {hole[:1]}")
        face, known = self.face_in_hand(step), expected(self.known(step), taken)
        if self._reminded != (step.id, face):
            text = lower_first(self.record, self.faced(step), hole, known, face)
            if text:
                self._reminded = (step.id, face)
                self.host.say("caution", text)

    def look_twice(self, number: int) -> None:
        """Ask about the one that is unlike its neighbours, while it is still in the hand."""
        step, machine = self.record.step(self.host.machine_id, number), self.host.machine
        if step is None or machine is None:
            return
        question = odd_about(self.record, machine, step, self.record.things_of(step)[-1])
        pin = self.record.things_of(step)[-1]
        if not question and pin.name == "taper pin" and not pin.small_end:
            question = self.words("At which face does its small end show? {further}: the pin just out.")
        if question:
            self.host.say("asks", f"recorded. {question}", "this")
        elif meaning := meaning_of(pin, self.host.words_told):
            self.host.say("recorded", f"{self.host.message.words}. {meaning}", "this")

    # -- the time ----------------------------------------------------------------------------------

    def tick(self) -> None:
        """Repaint the time; ring once at the target, or once the part is off."""
        self.host.look_after_the_folder()
        woke = self.host.woke()
        if woke:
            self._key_at = monotonic() - AWAY - 1  # the next key finds a person who comes back
        if self.host.followed() or woke:
            self.redraw()
        if not self._offered and self.on_top and self.host.workshop.store.writer_left():
            self._offered = True
            self.offer_to_write()
        session = self.record.open_session(self.host.machine_id) if self.host.machine_id else None
        self.query_one(Header).show(self.header(session))
        if session is None or session.paused:
            return
        over = session.segment_minutes(self.host.workshop.now()) >= session.target
        mark = (session.id, len(session.segments))
        if not over or self._rung == mark:
            return
        step = self.step
        if step is None:
            self._rung = mark
            text = "the segment is over and nothing is half done: {pause} for the break"
            self.host.say("asks", self.words(text))
        elif not self.host.message.words.startswith("the segment is over"):
            self.host.say("asks", f"the segment is over; the bell waits until {step.name} is off", rings="")

    @work
    async def offer_to_write(self) -> None:
        """Ask whether this copy, which only read, should write now that the other has closed."""
        lines = ("write here from now on", "go on reading only")
        if await self.questions.pick("The other copy has closed this workshop. What now?", lines) == lines[0]:
            self.host.write_here()

    @work
    async def new_machine(self) -> None:
        """Ask the three questions that put a machine on the bench."""
        await self.ask_new_machine()
