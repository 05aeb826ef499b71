"""The taking-off loop: from the place of a hole to the fastener recorded, and to the part that is off."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from msgspec.structs import replace

from putback.sizing.kinds import kind_named
from putback.sizing.odd import WHICH
from putback.trade import commands as c
from putback.trade.checks.oddities import odd_now
from putback.trade.commands import MendFastener
from putback.trade.record.fastener import FIELDS, READINGS, Thing, spot
from putback.trade.record.holes import spots_named
from putback.trade.record.phrases import counted
from putback.trade.record.step import Step
from putback.trade.refit.hole_pattern import expected, holes_left, left_words
from putback.trade.refit.lower_first import lower_first
from putback.trade.refit.twin_holes import odd_about
from putback.trade.sizes.just_like import like_text, measured, one_before, same_again
from putback.tui.bench.hand import Hand
from putback.tui.bench.next_hole import NextHole
from putback.tui.bench.odd_words import meaning_of
from putback.tui.bench.table import Bench
from putback.tui.dialogs.numbers import TURNS
from putback.tui.dialogs.questions import Questions
from putback.tui.form import entry
from putback.tui.form.typed_readings import as_fields
from putback.tui.form.typed_size import entered, fault_in
from putback.tui.keyboard.own_strokes import NEW, SAME

BOUNCE = 0.5
"""Seconds after a part came off in which the same key once more is a bounce; common practice, no source."""


class Loop:
    """What the keys of the number pad do."""

    def __init__(self, hand: Hand, holes: NextHole, questions: Questions, screen: Bench) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.holes = holes
        self.questions = questions
        self.screen = screen
        self._off_at = float("-inf")
        self._reminded = (0, "")
        """The step, and its face, of which it was said that the lower screws come first."""

    def command(self) -> c.Enter:
        """Return the form as a command."""
        return replace(entered(self.hand.form, self.host.machine), face=self.hand.facing.of_next_hole)

    def press(self, key: str) -> None:
        """Take one key of the loop."""
        step = self.hand.step
        if step is None:
            self.press_before_part(key)
        else:
            self.press_in_step(step, key)

    def press_before_part(self, key: str) -> None:
        """A key while no part is begun."""
        if key in entry.PLACES:
            if self.hand.begin(""):
                self.hand.form = self.hand.form.choose(key)
                self.host.own.begun()
                step = self.hand.step
                if step is not None:
                    self.hand.form = self.offered(step, ())
                    self._reminded = (0, "")  # one that was taken back had the same number
                    self.remind(step, [])
        elif key == "enter":
            self.screen.run_command("begin")
        elif key == "/":
            self.hand.facing.choose(None, self.screen.redraw)
        elif key == "*":
            self.hand.next_bag()
        elif key in ("-", "backspace"):
            self.hand.take_back()
        elif key == ".":
            self.screen.run_command("more")
        elif key == "0":
            if self.host.seconds() - self._off_at > BOUNCE:
                self.screen.run_command("jobs")
        elif key == "+":
            self.hand.inside.in_or_out()

    def press_in_step(self, step: Step, key: str) -> None:
        """A key while a part is coming off."""
        taken, writable = self.holes.taken(step), self.host.workshop.store.writable
        if not writable and not self.hand.form.hole and key in (*entry.PLACES, "+", "0", "enter"):
            self.host.refuse("READ ONLY: another copy has this workshop open, and nothing typed here is kept.")
            return
        if key == "enter" and (fault := self.fault()):
            self.host.refuse(fault)
            return
        form, act = entry.press(self.hand.form, key, taken=taken, suggested=self.holes.likely(step, taken).hole)
        chosen = form.hole and form.hole != self.hand.form.hole
        agreed = form.like and not self.hand.form.like
        self.hand.form = form
        if agreed:
            self.agree(step)
        if chosen and key != "enter":  # held down, it would go on for ever taking over what it offers
            self.hand.form = self.offered(step, taken)
        if chosen:
            self.host.own.begun()
            self.remind(step, taken)
        else:
            self.host.own.pressed()
        acts: dict[str, Callable[[], object]] = {
            "record": lambda: self.enter(step),
            "same": lambda: self.same(step, act.hole),
            "off": lambda: self.part_off(step),
            "take back": self.hand.take_back,
            "bag": lambda: self.host.do(c.TakeBag()),
            "face": partial(self.hand.facing.choose, step, self.screen.redraw),
            "more": partial(self.screen.run_command, "more"),
            "refused": lambda: self.host.refuse(self.host.keymap.words(act.why)),
        }
        if act.do:
            acts[act.do]()

    def fault(self) -> str:
        """Return why what is typed in the field can be no size, or nothing."""
        machine, form = self.host.machine, self.hand.form
        if machine is None or not form.text.strip() or entry.ends_in_dash(form.text):
            return ""
        return fault_in(form, self.record, machine)

    # -- the loop ----------------------------------------------------------------------------------

    def like_in(self, step: Step, hole: str) -> Thing | None:
        """Return the fastener of a hole that was taken to be like another, and may be measured after all."""
        at = spot(hole, self.hand.facing.faced(step).own_face(self.hand.facing.in_hand(step)))
        there = [thing for thing in self.record.things_of(step) if thing.spot == at and not thing.replaces]
        like = len(there) == 1 and there[0].name == self.hand.form.kind and measured(self.record, there[0]) is not None
        return there[0] if like else None

    def offered(self, step: Step, taken: Sequence[str]) -> entry.Form:
        """Return the form with a hole just chosen, and what stands in its fields.

        What was only taken to be like another stands there to be said right field by field. In a new hole it is
        offered what the one before had.
        """
        form, machine = self.hand.form, self.host.machine
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
        before = one_before(self.record, step, self.hand.form.kind)
        if before is not None and "hand" not in self.hand.form.extra:
            self.hand.form = replace(self.hand.form, hand=before.hand)
        name = entry.FIELD_WORDS.get(self.hand.form.field, self.hand.form.field)
        text = f"its {name}, if it is measured; {{enter}} alone: same again, not measured itself"
        self.host.say("note", self.host.keymap.words(text))

    def enter(self, step: Step) -> None:
        """Record the fastener in the form; one that was taken to be like another is measured now."""
        command = self.command()
        like = self.like_in(step, command.hole)
        if like is not None:
            measured_now = MendFastener(thing=like.id, readings=dict(command.readings))
            if self.host.do(measured_now) is not None:
                self.hand.form = self.hand.form.cleared()
            return
        if step.do == "loosen":
            self.screen.begin_asking(partial(self.loosened, command))
            return
        if self.host.do(command) is not None:
            self.hand.form = self.hand.form.cleared()
            self.host.own.recorded(NEW)
            self.look_twice(step.number)

    async def loosened(self, command: c.Enter) -> None:
        """Ask how far a fastener was loosened, and record it."""
        turns = await self.questions.ask_number("How many turns loose?", TURNS, value="1")
        if turns is not None and self.host.do(replace(command, turns=turns)) is not None:
            self.hand.form = self.hand.form.cleared()
        self.screen.redraw()

    def same(self, step: Step, hole: str) -> None:
        """Record another just like the last."""
        last = self.record.last_taken_out(self.host.machine_id)
        if last is None:
            self.host.refuse("There is no fastener yet that the next could be like.")
            return
        kind = self.hand.form.extra.get("kind", last.name)
        like = one_before(self.record, step, kind)
        if like is None:
            self.host.refuse(f"The last was a {last.name}; of the first {kind} say place and size.")
            return
        read = next((entry.FIELD_WORDS.get(name, name) for name in self.hand.form.extra if name in READINGS), "")
        if read:
            self.host.refuse(f"The {read} of this one was read: type its size, too, or another place for the next.")
            return
        command = self.just_like(like, hole)
        if self.host.do(command) is not None:
            self.host.own.recorded(SAME)
            self.tell_run(step.id)
            form = self.hand.form.cleared().with_kind(like.name)
            self.hand.form = replace(form, head=command.head or "", drive=command.drive or "")

    def tell_run(self, number: int) -> None:
        """Say all of a run of fasteners just like the one before, where there is more than one."""
        step, message = self.record.get(Step, number), self.host.message
        run = same_again(self.record, step)
        if len(run) > 1 and message.sort == "recorded":
            holes = spots_named([thing.spot for thing in run], own=step.face)
            text = f"same again: {holes} ({counted(len(run), run[-1].name)})"
            named_anew = message.words.partition("; ")[2]
            self.host.say("recorded", "; ".join(filter(None, (text, named_anew))), f"hole {run[-1].spot}")

    def just_like(self, like: Thing, hole: str) -> c.Enter:
        """Return another fastener like that one as a command, with what was said of it meanwhile."""
        extra: Mapping[str, Any] = self.hand.form.extra
        return c.Enter(
            hole=hole,
            face=self.hand.facing.of_next_hole,
            kind=like.name,
            like=True,
            **{
                field.name: extra.get(field.name, getattr(like, field.name) if field.carried else "")
                for field in FIELDS
            },
        )

    def part_off(self, step: Step) -> None:
        """End the step; its part comes off."""
        left = holes_left(self.record, self.hand.facing.faced(step))
        if self.host.do(self._finished()) is not None:
            self._off_at = self.host.seconds()
            self.hand.form = self.hand.form.cleared().with_kind("screw")
            self.hand.took = None
            self.hand.put, self.hand.because = None, ""  # it was said for that part alone
            self.screen.tick()
            self.look_back(step.number, left)

    def _finished(self) -> c.Finish:
        """Return the end of the step in hand, with where its part goes."""
        return c.Finish(put=self.hand.goes_to, minutes=self.hand.took, because=self.hand.because)

    def look_back(self, number: int, left: list[str]) -> None:
        """Say what is odd about the step just done, while it is cheap to mend; `left` are holes that may be missed."""
        step = self.record.step(self.host.machine_id, number)
        odd = odd_now(self.record, step) if step is not None else []
        if odd:
            self.host.say("asks", f"{self.host.message.words}. {odd[0]}", "this")
        elif left:
            self.host.say("asks", f"{self.host.message.words}; {left_words(left)}", "this")

    def stacks(self, step: Step, hole: str) -> bool:
        """Return whether what is typed goes with what a hole has: of another kind, and no second screw."""
        at = spot(hole, self.hand.facing.faced(step).own_face(self.hand.facing.in_hand(step)))
        there = [thing for thing in self.record.things_of(step) if thing.spot == at and not thing.replaces]
        alone = kind_named(self.hand.form.kind).alone
        return bool(there) and not any(t.found or t.name == self.hand.form.kind or (t.alone and alone) for t in there)

    def remind(self, step: Step, taken: list[str]) -> None:
        """Say that a hole has one already, or, once a face, to take the lower screws of a hanging panel first."""
        hole = self.hand.form.hole
        like = self.like_in(step, hole)
        if like is not None:
            words = [entry.FIELD_WORDS.get(name, name) for name in self.hand.form.fields]
            fields = ", then its ".join("size" if name == "gauge" else name for name in words[:2])
            measure = f"hole {hole} is {like_text(self.record, like, step)}: {{enter}} on its {fields}"
            self.host.say("asks", self.host.keymap.words(measure))
        elif hole in taken and self.stacks(step, hole):
            self.host.say("note", f"hole {hole}: a {self.hand.form.kind} with what came out there")
        elif hole in taken:
            another = "hole {hole} has one already: {blank} before the size for another beside it"
            self.host.say("asks", self.host.keymap.words(another.replace("{hole}", hole)))
        elif len(hole) > 1:
            self.host.say("note", f"hole {hole}, beside the one in {hole[:1]}")
        face, known = self.hand.facing.in_hand(step), expected(self.holes.known(step), taken)
        if self._reminded != (step.id, face):
            text = lower_first(self.record, self.hand.facing.faced(step), hole, known, face)
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
            question = self.host.keymap.words("At which face does its small end show? {further}: the pin just out.")
        if question and question.endswith(WHICH):
            question = self.host.keymap.words(f"{question[:-1]} ({{further}}: of the one just out)?")
        if question:
            self.host.say("asks", f"recorded. {question}", "this")
        elif meaning := meaning_of(pin, self.host.words_told):
            self.host.say("recorded", f"{self.host.message.words}. {meaning}", "this")
