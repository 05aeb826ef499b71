"""What is said of the part that comes off, or comes next: its name, its kinds and heads, its pieces, where it goes."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.cautions.irreversible import is_kept_as_found
from putback.trade.checks.hang_tags import free_tag
from putback.trade.record.default_place import usual_place
from putback.trade.record.fastener import KINDS
from putback.trade.record.holes import read_spot
from putback.trade.record.place import SCRAPPED, going
from putback.trade.record.step import Doing, Soak
from putback.tui.bench.hand import Hand
from putback.tui.bench.hold_questions import HoldQuestions
from putback.tui.bench.of_what import OfWhat
from putback.tui.bench.table import Commands
from putback.tui.dialogs.keyed import Asker
from putback.tui.dialogs.lists import IN_HAND, NOT_SAID, PLACES
from putback.tui.dialogs.numbers import HOURS
from putback.tui.dialogs.questions import SENT
from putback.tui.dialogs.sending import Sending
from putback.tui.dialogs.size_screen import correct_last_size

OTHER_ACTIONS: tuple[Doing, ...] = ("let down", "drive out", "undo", "loosen", "mark", "measure", "turn", "soak")


class PartCommands:
    """The commands of a part."""

    def __init__(self, hand: Hand, of: OfWhat, held: HoldQuestions, sending: Sending, screen: Asker) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.of = of
        self.questions = of.questions
        self.held = held
        self.sending = sending
        self.screen = screen
        self.commands: Commands = {
            "begin": self.begin,
            "name": self.name,
            "kind": self.kind,
            "head": self.head,
            "drive": self.drive,
            "lefthand": self.lefthand,
            "empty": self.empty,
            "loose": self.loose,
            "resize": self.resize,
            "note": self.note,
            "caution": self.caution,
            "adjust": self.adjust,
            "anytime": self.anytime,
            "put": self.put,
            "doing": self.doing,
        }

    async def begin(self) -> None:
        """Ask for the name of the next part and begin it; with none it gets a number."""
        name = await self.held.ask_next()
        if name is not None:
            self.hand.begin(name)
            self.screen.redraw()

    async def name(self) -> None:
        """Ask for another name of the part in hand, else of the last one."""
        step = self.hand.step_or_last()
        if step is None:
            self.host.refuse("There is no part to name yet.")
            return
        asks = f"What is step {step.number} called?"
        # A name that the program made gives way to the first letter.
        made = re.fullmatch(r"part \d+", step.name) is not None
        name = await (self.questions.ask_instead if made else self.questions.ask)(asks, value=step.name)
        if name and name != step.name:
            self.host.do(c.RenamePart(step=step.number, name=name))

    async def kind(self) -> None:
        """Ask what comes out of the holes of this part from now on."""
        kind = await self.questions.pick("What comes out of the hole?", KINDS, here=self.hand.form.kind)
        if kind:
            form = self.hand.form
            self.hand.form = replace(form.with_kind(kind), typed=("",) if form.hole else ()).saying(kind=kind)
            self.host.say("note", f"{kind} from now on, in this part")

    async def head(self) -> None:
        """Ask for the head of the next ones, and then what turns them."""
        head = await self.questions.ask_head(self.hand.form.head)
        if head is None:
            return
        self.hand.form = self.hand.form.with_head(head).saying(head=head)
        self.host.say("note", f"head: {head or NOT_SAID}")
        await self._drive(f"{head or 'Head not said'}. What turns it?")

    async def drive(self) -> None:
        """Ask what turns the next ones."""
        await self._drive("What turns it?")

    async def _drive(self, caption: str) -> None:
        """Ask what turns the next ones; left, it stays as it is."""
        drive = await self.questions.ask_drive(self.hand.form.drive, caption)
        if drive is not None:
            self.hand.form = replace(self.hand.form, drive=drive).saying(drive=drive)
            text = self.host.message.words if self.host.message.words.startswith("head: ") else ""
            self.host.say("note", ", ".join(filter(None, (text, f"drive: {drive or NOT_SAID}"))))

    def lefthand(self) -> None:
        """Turn the hand of the next thread over, to left or back to right."""
        left = self.hand.form.hand != "left"
        self.hand.form = replace(self.hand.form, hand="left" if left else "").saying(hand="left" if left else "")
        self.host.say("caution" if left else "note", "left-hand thread" if left else "right-hand thread")
        self.screen.redraw()

    async def empty(self) -> None:
        """Ask which hole was found empty and what is in it, and record it."""
        if not self.of.in_step():
            return
        hint = "1 to 9, as 5 or 5a; on another face: 3 right"
        text = await self.questions.ask_line("Which hole was empty?", hint=hint, reads=read_spot)
        if not text:
            return
        hole, face = read_spot(text)
        note = await self.questions.ask("What is in it?", hint="clean and bright, paint, a rust ring")
        self.host.do(c.Enter(hole=hole, face=face or self.hand.facing.of_next_hole, found="empty", note=note or ""))

    async def loose(self) -> None:
        """Ask what came out loose, how many and where to, and record it."""
        if not self.of.in_step():
            return
        name = await self.questions.ask_piece()
        if not name:
            return
        count = await self.questions.ask_count("How many?", value="1")
        put = await self.ask_piece_place(name) if count is not None else None
        if count is not None and put is not None:
            self.host.do(c.EnterPiece(name=name, count=count, put=put))

    async def ask_piece_place(self, name: str) -> str | None:
        """Ask where a loose piece goes: empty for the bag in hand, the first choice; None where it was left."""
        step = self.hand.step
        bag = f"{IN_HAND}, bag {step.bag}" if step is not None and step.bag else "a new bag"
        asks = f"Where does {name} go? {self.host.keymap.shown('list.marked')}: {bag}"
        places = tuple(bag if place == IN_HAND else place for place in PLACES[:-1])
        place = await self.questions.pick(asks, places, here=bag)
        if place is None or place == bag:
            return None if place is None else ""
        return await self.questions.place_named(place)

    async def resize(self) -> None:
        """Ask for another size of a fastener of the step in hand, else of the last one with sizes read."""
        machine = self.host.machine_id
        step = self.hand.step_or_last()
        while step is not None and not any(thing.readings for thing in self.record.things_of(step)):
            step = self.record.step(machine, step.number - 1)
        if step is None:
            self.host.refuse("No size was read yet.")
            return
        await correct_last_size(self.questions, self.record, step)
        self.screen.redraw()

    async def note(self) -> None:
        """Ask for a note: on the step in hand; between parts on the one just done, or on the machine."""
        await self._noted(
            "What is to be noted",
            self.questions.ask_note,
            lambda step, text: c.Annotate(step=step, note=text) if step else c.SayOfMachine(note=text),
        )

    async def caution(self) -> None:
        """Ask for a caution: of the step in hand; between parts of the one just done, or of the machine."""
        await self._noted(
            "What is the caution",
            self.questions.ask_caution,
            lambda step, text: c.Annotate(step=step, cautions=(text,)) if step else c.SayOfMachine(caution=text),
        )

    async def _noted(
        self, caption: str, ask: Callable[[str], Awaitable[str | None]], made: Callable[[int, str], c.Command]
    ) -> None:
        # The words first, and whose they are behind them: a person types on behind the key.
        number = self.of.step_noted()
        whose = f" at step {number}" if self.hand.step is not None else "" if number else " about the machine"
        text = await ask(f"{caption}{whose}?")
        if text:
            self.host.do(made(await self.of.what_of(), text))

    async def adjust(self) -> None:
        """Ask for a setting: of the step in hand; between parts of the one just done, or of the machine, as found."""
        setting = await self.questions.ask_setting()
        if setting is not None:
            number = await self.of.what_of()
            said = c.Annotate(step=number, adjust=(setting,)) if number else c.SayOfMachine(adjust=setting)
            self.host.do(said)

    def anytime(self) -> None:
        """Record that the step in hand, else the last one, needs no step before it."""
        self.host.do(c.SetNeeds(step=self.of.step_noted(), needs=())) if self.of.step_noted() else self.of.in_step()
        self.screen.redraw()

    async def put(self) -> None:
        """Ask where the part in hand, else the next one, goes."""
        step, asks = self.hand.step, "Where does the part go?"
        bag = step.bag if step is not None else 0
        place = await self.questions.ask_place(asks, bag, self.hand.goes_to, sends=step is None)
        if place == SENT:
            await self.sending.ask_sent()
        elif place is not None:
            reason = await self._why_scrapped(place)
            if reason is not None:
                self._goes(place)
                self.hand.because = reason

    async def _why_scrapped(self, place: str) -> str | None:
        """Ask why a part is thrown away, where the machine is kept as found; None where that was left."""
        machine = self.host.machine
        if place != SCRAPPED or machine is None or not is_kept_as_found(machine.intent):
            return ""
        name = "the next part" if self.hand.step is None else self.hand.step.name
        asked = f"{name}: thrown away it cannot be had back, and this machine is kept as found. Why?"
        return await self.questions.ask_why(asked, hint="a reason; else it goes where it would")

    def _goes(self, place: str) -> None:
        """Let the part in hand go to `place`, or the next one, and say so."""
        self.hand.let_go_to(place)
        name = "the next part" if self.hand.step is None else self.hand.step.name
        usual = usual_place(self.record, self.host.machine_id)
        later = f"; later ones {going(usual)}" if self.hand.put is not None else ""
        self.host.say("note", f"{name}: {going(place)}{later}" if place else f"{name} is its pieces{later}")
        self.screen.redraw()

    async def doing(self) -> None:
        """Ask for another sort of step than taking off, and for what belongs to it."""
        do = await self.questions.pick("What is done?", OTHER_ACTIONS)
        if do is None:
            return
        if self.hand.step is not None:
            self.host.refuse(f"Step {self.hand.step.number}, {self.hand.step.name}, is not done yet.")
            return
        captions = {"turn": "What is turned?", "soak": "What soaks?", "mark": "What is marked?"}
        name = await self.questions.ask(captions.get(do, "Which part?"), value="machine" if do == "turn" else "")
        if not name:
            return
        state = ""
        if do == "turn":
            state = await self.questions.ask("How does it lie now?", hint="upright, on its left side") or ""
            if not state:
                return
        tag = (free_tag(self.record, self.host.machine_id) or "Z") if do == "loosen" else ""
        if not self.hand.begin(name, do=do, state=state, tag=tag):
            return
        if do in ("let down", "mark", "measure"):
            setting = await self.questions.ask_setting(name)
            if setting is not None:
                self.host.do(c.Annotate(adjust=(setting,)), quiet=True)
        if do == "soak":
            hours = await self.questions.ask_number("For how many hours?", HOURS)
            if hours is not None:
                self.host.do(c.Annotate(soak=Soak(name, hours)), quiet=True)
        if do in ("mark", "measure", "turn", "soak"):
            self.host.do(c.Finish(minutes=self.hand.took))
            self.hand.took = None
        elif tag:
            self.host.say("asks", f"hang tag {tag} on {name}; then place and size of what is only loosened")
        self.screen.redraw()
