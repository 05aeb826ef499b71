"""The bench: tree, coming-off form and bags on one screen, driven by single keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from time import monotonic
from typing import Any

from msgspec.structs import replace
from textual import work
from textual.app import ComposeResult
from textual.timer import Timer

from putback.errors import PutbackError
from putback.reports.bags import bag_rows
from putback.reports.todo import Bath, soaks_due
from putback.reports.walking import walk_steps
from putback.sizing import Readings, driving
from putback.sizing.alike import sized as compared
from putback.sizing.drivers import slot_sentence, tool_for
from putback.sizing.instruments import TOOLS, checked_tools
from putback.sizing.steel_rule import scale
from putback.sizing.threads import thread_named
from putback.trade import commands as c
from putback.trade.checks import odd_now
from putback.trade.fastener import Thing
from putback.trade.ledger import bench_check
from putback.trade.lying import hangs
from putback.trade.machine import Part
from putback.trade.matching import neighbour, odd_question
from putback.trade.pattern import known_holes, likely_hole
from putback.trade.place import out_of_reach
from putback.trade.session import Session
from putback.trade.sized import answer_for, readings_of
from putback.trade.step import Step
from putback.tui import entry
from putback.tui.at_once import AtOnce
from putback.tui.keys import Key, command_for
from putback.tui.own_strokes import NEW, SAME
from putback.tui.screens.far_view import FarView
from putback.tui.views import hole_views, size_views, taken_holes, tree_rows
from putback.tui.widgets.far_pane import FarPane
from putback.tui.widgets.form_pane import FieldView, FormData, FormPane, RuleView
from putback.tui.widgets.panes import (
    BagPane,
    BagsData,
    Header,
    HeaderData,
    KeysLine,
    SaidData,
    SaidLine,
    TreePane,
)
from putback.tui.widgets.shown import Panes, Shown

WELCOME = (
    "",
    "Three short questions, and a machine",
    "stands here. Enter alone answers each;",
    "all can be put right later.",
)
"""What an empty bench says."""

BESIDE = 0.01
"""Seconds after a key's paint from which on tree and bags are drawn: the line that was typed at comes first."""

AWAY = 600.0
"""Seconds without a key after which the next one opens the walk-back (common practice, no source)."""


class BenchScreen(FarView):
    """The three panes."""

    BLANK = True  # all of it is panes
    _pressing = False
    _erased = False
    _stand = (-1, 0, 0)
    _soaked = (-1, 0, "")
    _due: Sequence[Bath] = ()
    _last: tuple[tuple[int, int], SaidData] | None = None
    _known: tuple[int, tuple[str, ...]] = (0, ())
    _beside: Timer | None = None

    def compose(self) -> ComposeResult:
        yield Header(id="header")
        with Panes(id="panes"):
            yield TreePane(id="tree")
            yield FormPane(id="form")
            yield BagPane(id="bags")
        yield SaidLine(id="said")
        yield KeysLine(id="keys")

    def on_mount(self) -> None:
        self.at_once = AtOnce(self)
        self._panes = list(self.query(Shown))
        for pane in self._panes:
            pane.glyphs = self.bench.glyphs
        self.query_one(SaidLine).back_key = self.key_of("back.place")
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
            self.redraw()

    # -- coming to the bench -----------------------------------------------------------------------

    def welcome(self) -> None:
        """Ask three questions where there is no machine yet."""
        app = self.bench
        if app.machine is None:
            self.new_machine()
        elif not app.workshop.store.writable:
            app.say("asks", app.said.words or "This workshop can only be read.")

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
            self.foresee()

    def take_key(self, key: str) -> None:
        """Do what a key means."""
        away, self._key_at = monotonic() - self._key_at, monotonic()
        if self.ran_on(key):
            return
        if self.bench.machine is None:
            wish = command_for(key, "bench")
            if wish in ("machines", "help", "look", "quit"):
                self.wish(wish)
            else:
                self.new_machine()
            return
        if away > AWAY:
            self.was_away(away / 60)
            return
        if key == "tab":
            self.wish("far")
            return
        session = self.record.open_session(self.bench.machine_id)
        if key == " " and not self.form.hole:
            self.pause_or_go_on(session)
            return
        step = self.step
        if not self.form.hole:
            wish = command_for(key, "bench")
            if wish:
                self.wish(wish)
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
            told = "nothing typed is left; once more {back.place} takes back what is recorded"
            self.bench.say("asks", self.words(told))
        return ran_on

    def tap_place(self, place: str) -> None:
        """Choose a place of the hole map; one chosen by mistake gives way while nothing is typed for it."""
        if self.form.hole and any(text.strip() for text in self.form.typed):
            self.bench.refuse(self.words("Finish this hole first, or let go of it with {leave.field}."))
            return
        if self.step is not None:
            self.form = replace(self.form, hole="", typed=())
            self.press(place)

    def tap_bag(self, number: str) -> None:
        """Open a bag's card."""
        from putback.tui.screens.bag_card import BagScreen

        bag = self.record.bag(self.bench.machine_id, int(number))
        if bag is not None:
            self.bench.push_screen(BagScreen(bag.id))

    def tap_part(self, part: str) -> None:
        """Open a part's card."""
        from putback.tui.screens.part_card import PartScreen

        self.bench.push_screen(PartScreen(int(part)))

    def press_before_part(self, key: str) -> None:
        """A key while no part is begun."""
        if key in entry.PLACES:
            if self.begin(""):
                self.form = self.form.choose(key)
                self.bench.own.begun()
        elif key == "enter":
            self.wish("begin")
        elif key == "/":
            self.next_face()
        elif key == "*":
            self.next_area()
        elif key in ("-", "backspace"):
            self.take_back()
        elif key == ".":
            self.more()
        elif key == "0":
            self.bench.refuse(self.words("Nothing is coming off: begin a part first, with a place or {begin}."))
        elif key == "+":
            first = "Begin a part first, with a place or {begin}; {same} is another just like the last."
            self.bench.refuse(self.words(first))

    def likely(self, step: Step, taken: Sequence[str]) -> str:
        """Return the hole that comes next; what is known of the pattern is looked up once a step."""
        if self._known[0] != step.id:
            self._known = (step.id, known_holes(self.record, step))
        return likely_hole(self.record, step, taken, self._known[1])

    def press_in_step(self, step: Step, key: str) -> None:
        """A key while a part is coming off."""
        taken = taken_holes(self.record, step)
        form, act = entry.press(self.form, key, taken=taken, suggested=self.likely(step, taken))
        chosen = form.hole and form.hole != self.form.hole
        self.form = form
        if chosen:
            self.bench.own.begun()
            self.remind(step, taken)
        else:
            self.bench.own.pressed()
        acts: dict[str, Callable[[], object]] = {
            "record": lambda: self.enter(step),
            "same": lambda: self.same(step, act.hole),
            "off": lambda: self.part_off(step),
            "take back": self.take_back,
            "bag": lambda: self.bench.do(c.TakeBag()),
            "face": self.next_face,
            "more": self.more,
            "refused": lambda: self.bench.refuse(self.words(act.why)),
        }
        if act.do:
            acts[act.do]()

    # -- the loop ----------------------------------------------------------------------------------

    def enter(self, step: Step) -> None:
        """Record the fastener in the form."""
        command = self.command()
        if step.do == "loosen":
            self.loosened(command)
            return
        if self.bench.do(command) is not None:
            self.form = self.form.cleared()
            self.bench.own.recorded(NEW)
            self.look_twice(step.number)

    def command(self) -> c.Enter:
        """Return the form as a command."""
        f, machine = self.form, self.bench.machine
        return c.Enter(
            hole=f.hole, kind=f.kind, readings=entry.as_read(f.readings, machine) if machine else f.readings,
            head=f.head, drive=f.drive, hand=f.hand, small_end=f.extra.get("small_end", ""),
            should_be=f.extra.get("should_be", ""), note=f.extra.get("note", ""),
        )  # fmt: skip

    def same(self, step: Step, hole: str) -> None:
        """Record another just like the last."""
        like = self.bench.workshop.last_fastener(self.bench.machine_id)
        if like is None:
            self.bench.refuse("There is no fastener yet that the next could be like.")
            return
        kind = self.form.extra.get("kind", like.name)
        if kind != like.name:
            self.bench.refuse(f"The last was a {like.name}; of the first {kind} say place and size.")
            return
        command = self.just_like(like, hole)
        if self.bench.do(command) is not None:
            self.bench.own.recorded(SAME)
            self.form = replace(self.form.cleared().with_kind(like.name), head=command.head, drive=command.drive)

    def just_like(self, like: Thing, hole: str) -> c.Enter:
        """Return another fastener like that one as a command, with what was said of it meanwhile."""
        said = self.form.extra
        command = c.Enter(
            hole=hole, kind=like.name, readings=like.readings, head=said.get("head", like.head),
            drive=said.get("drive", like.drive), hand=said.get("hand", like.hand), small_end=like.small_end,
            turns=like.turns, should_be=like.should_be, note=said.get("note", ""),
        )  # fmt: skip
        if not like.readings:
            # Named from its readings again, what the machine has shown meanwhile counts; without any, as it was.
            command = replace(
                command, size=like.size, thread=like.thread, length=like.length, verdict=like.verdict
            )
        return command

    def foresee(self) -> None:
        """Name another just like the last while nothing is pressed: the name is at hand when that is the next key."""
        machine = self.bench.machine
        like = self.bench.workshop.last_fastener(machine.id) if machine is not None else None
        if machine is not None and like is not None and like.readings and self.step is not None:
            answer_for(self.record, machine, self.just_like(like, like.hole))

    def part_off(self, step: Step) -> None:
        """End the step; its part comes off."""
        put = self.put if step.do == "take off" else self.put_other
        if self.bench.do(c.Finish(put=put, minutes=self.took)) is not None:
            self.form = self.form.cleared().with_kind("screw")
            self.took = None
            self.put = "shelf" if not self.put or out_of_reach(self.put) else self.put  # never the next one, too
            self.tick()
            self.look_back(step.number)

    def look_back(self, number: int) -> None:
        """Say what is odd about the step just done, while it is cheap to mend."""
        step = self.record.step(self.bench.machine_id, number)
        odd = odd_now(self.record, step) if step is not None else []
        if odd:
            self.bench.say("asks", f"{self.bench.said.words}. {odd[0]}", "this")

    def remind(self, step: Step, taken: list[str]) -> None:
        """Say to take the lower screws of a hanging panel first; common practice, no source."""
        machine = self.bench.machine
        if not taken and self.form.hole[0] in "789" and machine is not None and hangs(step.face, machine.lies):
            self.bench.say("caution", "if this hangs: the lower screws first, so that the upper ones hold it")

    def look_twice(self, number: int) -> None:
        """Ask about the one that is unlike its neighbours, while it is still in the hand."""
        step, machine = self.record.step(self.bench.machine_id, number), self.bench.machine
        if step is None or machine is None:
            return
        question = odd_question(self.record, machine, step, self.record.things_of(step)[-1])
        pin = self.record.things_of(step)[-1]
        if not question and pin.name == "taper pin" and not pin.small_end:
            question = self.words("At which face does its small end show? {further}: the pin just out.")
        if question:
            self.bench.say("asks", f"recorded. {question}", "this")

    # -- drawing -----------------------------------------------------------------------------------

    def tick(self) -> None:
        """Repaint the time; ring once at the target, or once the part is off."""
        woke = self.bench.woke()
        if woke:
            self._key_at = monotonic() - AWAY - 1  # the next key finds a person who comes back
        if self.bench.followed() or woke:
            self.redraw()
        session = self.record.open_session(self.bench.machine_id) if self.bench.machine_id else None
        self.query_one(Header).show(self.header(session))
        if session is None or session.paused:
            return
        over = session.segment_minutes(self.bench.workshop.now()) >= session.target
        mark = (session.id, len(session.segments))
        if not over or self._rung == mark:
            return
        step = self.step
        if step is None:
            self._rung = mark
            told = "the segment is over and nothing is half done: {pause} for the break"
            self.bench.say("asks", self.words(told))
        elif not self.bench.said.words.startswith("the segment is over"):
            self.bench.say("asks", f"the segment is over; the bell waits until {step.name} is off", rings="")

    def header(self, session: Session | None) -> HeaderData:
        """Return what the header shows."""
        machine = self.bench.machine
        now = self.bench.workshop.now()
        return HeaderData(
            machine=machine.caption if machine else "no machine yet",
            session=session.number if session else 0,
            segment=len(session.segments) if session else 0,
            minutes=session.segment_minutes(now) if session else 0.0,
            target=session.target if session else 40.0,
            paused=session is None or session.paused,
            note="" if self.bench.workshop.store.writable else "READ ONLY",
            due=due[0].short if (due := self.soaks_due()) else "",
        )

    def soaks_due(self) -> Sequence[Bath]:
        """Return the soaks of this machine that are due; they are looked for anew once a minute or a change."""
        now = self.bench.workshop.now()
        mark = (self.bench.workshop.store.number, self.bench.machine_id, now[:16])
        if mark != self._soaked:
            self._soaked = mark
            self._due = soaks_due(self.record, self.bench.machine_id, now=now) if self.bench.machine_id else []
        return self._due

    def redraw(self) -> None:
        """Draw what is."""
        if not self._pressing:
            self.redraw_hand()
            self.redraw_beside()

    def redraw_hand(self) -> None:
        """Draw all but tree and bags."""
        app = self.bench
        machine = app.machine
        if self.far:
            self.redraw_far()
            return
        session = self.record.open_session(app.machine_id) if app.machine_id else None
        self.query_one(Header).show(self.header(session))
        self.query_one(SaidLine).show(self.said_now())
        self.query_one(KeysLine).show(tuple((key.shown, key.label) for key in self.keys_now()))
        form = self.query_one(FormPane)
        form.entitle(self.form_title())
        if machine is None:
            form.show(FormData(title="An empty bench", under="", face="", quiet=WELCOME))
            return
        data = self.form_data(self.step)
        form.show(data)
        self.point(form if self.form.hole else self.query_one(SaidLine), 3 + bool(data.goes) if self.form.hole else 0)

    @property
    def stand(self) -> tuple[int, int, int]:
        """What tree and bags depend on; typing changes neither."""
        step = self.step
        return (self.bench.workshop.store.number, self.bench.machine_id, step.area if step else self.area)

    def redraw_beside(self) -> None:
        """Draw tree and bags, where they may have changed."""
        machine, stand = self.bench.machine, self.stand
        if machine is None or self.far or stand == self._stand:
            return
        self._stand = stand
        self.query_one(TreePane).show(tuple(tree_rows(self.record, machine, stand[2])))
        rows = bag_rows(self.record, machine.id)
        loose = sum(held.count for held in bench_check(self.record, machine.id))
        step = self.step
        self.query_one(BagPane).show(BagsData(tuple(rows), step.bag if step else 0, loose))

    def redraw_far(self) -> None:
        """Draw the view from afar."""
        for pane in self.query(FarPane):
            pane.show(self.far_data(self.form_data(self.step) if self.bench.machine else None, self.next_key()))

    def form_title(self) -> str:
        """Return the title of the middle pane."""
        step = self.step
        return "coming off" if step is None or step.do == "take off" else step.do

    def said_now(self) -> SaidData:
        """Return what the line under the panes says: always with what would be taken back."""
        said = self.bench.said
        if not said.words:
            return self.last_said()
        if said.back:
            return said
        return replace(said, back=self.last_said().words.removeprefix("last: "))

    def last_said(self) -> SaidData:
        """Return what to say before anything was done."""
        stand = (self.bench.workshop.store.number, self.bench.machine_id)
        if self._last is None or self._last[0] != stand:  # it is read from the logbook: not on every key
            last = self.bench.workshop.last_done(self.bench.machine_id) if self.bench.machine_id else None
            said = SaidData("note", f"last: {last.change.said}" if last else "", "that" if last else "")
            self._last = (stand, said)
        return self._last[1]

    def keys_now(self) -> list[Key]:
        """Return the keys that matter now."""
        if self.bench.machine is None:
            keymap = self.bench.keymap
            asked = [replace(k, label="begin") for k in keymap.keys_of("part") if k.id == "begin"]
            return [*asked, *(k for k in keymap.keys_of("bench") if k.id in ("help", "quit"))]
        if self.form.hole:
            found = self.bench.keymap.keys_of("field")
            rough = bool(self.form.text or self.form.typed[1:])
            return [replace(k, label="rough") if k.id == "same.field" and rough else k for k in found]
        place = "part" if self.step is None else "place"
        wanted = {"anytime", "closebag", "pause", "help"} if place == "place" else {"refit", "summary", "pause", "help"}
        keymap = self.bench.keymap
        return [*keymap.keys_of(place), *(k for k in keymap.keys_of("bench") if k.id in wanted)]

    def form_data(self, step: Step | None) -> FormData:
        """Return what the coming-off pane shows."""
        if step is None:
            return self.before_part()
        form = self.form
        taken = taken_holes(self.record, step)
        likely = self.likely(step, taken)
        area = self.record.get(Part, step.area).name if step.area else ""
        bag = f"bag {step.bag}" if step.bag else "a new bag"
        off = f"part to {self.put}" if step.do == "take off" else "part stays"
        if step.do == "take off" and not self.put:
            off = "the part is its pieces"
        elif step.do != "take off" and self.put_other:
            off = f"part to {self.put_other}"
        under = f"step {step.number}" + (f", inside {area}" if area else "")
        typed = dict(zip(form.fields, form.typed, strict=False))
        fields = [
            FieldView(entry.field_word(name, typed.get(name, "")), typed.get(name, ""), name == form.field)
            for i, name in enumerate(form.fields)
            if form.hole and i < max(2, len(form.typed))
        ]
        if form.hole:
            fields.insert(0, FieldView("hole", form.hole, False))
        style = ", ".join(filter(None, (form.hand and f"{form.hand}-hand", form.kind, form.head, form.drive)))
        data = FormData(
            title=step.name, under=under, goes=f"screws into {bag}, {off}", face=step.face,
            holes=tuple(hole_views(self.record, step, now=form.hole, suggested=likely, known=self._known[1])),
            keys=self.bench.keymap.places,
            sizes=tuple(size_views(self.record, step)), cursor=form.hole or likely or None,
            fields=tuple(fields), style=style,
        )  # fmt: skip
        return self.snapped(data) if form.readings else data

    def snapped(self, data: FormData) -> FormData:
        """Return the data with the size as the readings so far name it."""
        machine = self.bench.machine
        if machine is None:
            return data
        command = self.command()
        readings: Readings = readings_of(machine, command)
        try:
            have = self.bench.settings.instruments.have
            answer = answer_for(self.record, machine, command, TOOLS if have is None else checked_tools(have))
        except PutbackError as fault:
            return replace(data, ask=str(fault))
        half = "length" if self.form.field == "length" and answer.length is not None else "thread"
        verdict = getattr(answer, half) or answer.standard
        rule = None
        if verdict is not None:
            ruled = scale(verdict, readings)
            marks = tuple((m.label, m.low, m.high, m.nominal, m.is_best) for m in ruled.marks)
            rule = RuleView(marks, ruled.pointer, ruled.unit, half == "length" and ruled.unit == "in")
        asked = None if verdict is None or answer.problem else verdict.ask
        ask = answer.problem or (asked.why if asked is not None else "")
        if asked is not None and asked.reading == "flank-angle" and self.form.field == "gauge":
            ask += self.bench.keymap.words(" Type it behind: {blank} 55")
        word = "" if answer.problem else answer.verdict
        style = data.style
        named = thread_named(answer.thread.best.name) if answer.thread and answer.thread.best else None
        shaped = readings.head or readings.drive
        if named is not None and word in ("sure", "likely") and answer.read.slot is None and shaped:
            tool = tool_for(named, readings.head or "", readings.drive or "")
            style = f"{tool}, {style}" if tool else style
        ways = entry.ways_told(command.readings)
        style = f"{ways}, {style}" if ways else style
        near = slot_sentence(answer.read)
        if readings.kind == "taper pin":
            near = driving(readings.small_end) if readings.small_end else "at which face does the small end show? X"
        elif half == "length" and not ask and not near:
            near = neighbour(self.record, machine, compared(0, readings, answer))
        return replace(data, verdict=word, size=answer.size, rule=rule, ask=ask, near=near, style=style)

    def before_part(self) -> FormData:
        """Return what the pane shows while no part is begun."""
        shown = self.bench.keymap.shown
        lines = [
            "",
            f"face   {self.face}",
            f"inside {self.area_name if self.area else 'the machine'}",
            "",
            f"{shown('begin.place')}\tfirst screw there",
            f"{shown('begin')}\tbegin, name it",
            "",
        ]
        session = self.record.open_session(self.bench.machine_id)
        resting = session is not None and session.paused
        last = [step for step in walk_steps(self.record, self.bench.machine_id, 6) if not step.is_open][:5]
        if last:
            lines[-1:] = [
                f"{shown('refit')}\tthe way back",
                f"{shown('pause')}\t{'go on' if resting else 'a break'}",
                f"{shown('summary')}\tthe summary",
                "",
            ]
            lines.append("last")
            lines += [f"{step.number:>4}   {f'{step.name} is back' if step.back else step.told}" for step in last]
        title = "A break" if resting else "What comes off next?"
        return FormData(title=title, under="", face=self.face, quiet=tuple(lines))

    @work
    async def new_machine(self) -> None:
        """Ask the three questions that put a machine on the bench."""
        await self.ask_new_machine()
