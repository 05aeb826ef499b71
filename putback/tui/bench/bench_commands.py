"""Everything on the bench beside the taking-off loop: the numbered list behind `.`, and its letters."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

from msgspec.structs import replace
from textual import work

from putback.errors import BadInput
from putback.labels.bag_facts import to_print_anew
from putback.reports.bags import bag_rows
from putback.trade import commands as c
from putback.trade.checks.hang_tags import free_tag
from putback.trade.checks.ledger import bench_check
from putback.trade.commands import NameLengths
from putback.trade.record.default_place import usual_place
from putback.trade.record.fastener import KINDS
from putback.trade.record.holes import read_spot
from putback.trade.record.place import going
from putback.trade.record.step import Soak
from putback.trade.refit.way_back import steps_off
from putback.tui.bench.hold_questions import HoldQuestions
from putback.tui.bench.machine_questions import MachineQuestions
from putback.tui.dialogs.job_doing import JobDoing
from putback.tui.dialogs.lists import IN_HAND, NOT_SAID, PLACES
from putback.tui.dialogs.numbers import HOURS, TURNS
from putback.tui.dialogs.prompts import Pick
from putback.tui.dialogs.questions import SENT
from putback.tui.dialogs.sending import Sending
from putback.tui.dialogs.size_screen import correct_last_size
from putback.tui.dialogs.trouble_questions import TroubleQuestions
from putback.tui.draw.palette import THEMES
from putback.tui.keyboard.keys import GROUPS

OTHER_ACTIONS = ("let down", "drive out", "undo", "loosen", "mark", "measure", "turn", "soak")


class BenchCommands(HoldQuestions, MachineQuestions):
    """Commands that ask something first."""

    def run_command(self, id: str) -> None:
        """Do the command `id` of keys.KEYS."""
        getattr(self, f"command_{id}")()

    @work
    async def more(self) -> None:
        """Show everything else as a numbered list."""
        keys = [self.host.keymap.key(id) for _, ids in GROUPS for id in ids]
        held = self.held() if self.step is None else []
        labels = {"hold": "take up again"} if held else {}
        options = [f"{labels.get(key.id, key.label):<14}{key.shown}" for key in keys]
        pages = [(title, len(ids)) for title, ids in GROUPS]
        index = await self.host.push_screen_wait(Pick("What do you want to do?", options, pages=pages))
        if index is not None:
            self.run_command(keys[index].id)

    # -- the part ----------------------------------------------------------------------------------

    @work
    async def command_begin(self) -> None:
        """Ask for the name of the next part and begin it; with none it gets a number."""
        name = await self.ask_next()
        if name is not None:
            self.begin(name)
            self.redraw()

    @work
    async def command_name(self) -> None:
        """Ask for another name of the part in hand, else of the last one."""
        step = self.step or self.record.last_step(self.host.machine_id)
        if step is None:
            self.host.refuse("There is no part to name yet.")
            return
        asks = f"What is step {step.number} called?"
        # A name that the program made gives way to the first letter.
        made = re.fullmatch(r"part \d+", step.name) is not None
        name = await (self.questions.ask_instead if made else self.questions.ask)(asks, value=step.name)
        if name and name != step.name:
            self.host.do(c.RenamePart(step=step.number, name=name))

    @work
    async def command_kind(self) -> None:
        """Ask what comes out of the holes of this part from now on."""
        kind = await self.questions.pick("What comes out of the hole?", KINDS, here=self.form.kind)
        if kind:
            self.form = replace(self.form.with_kind(kind), typed=("",) if self.form.hole else ()).saying(kind=kind)
            self.host.say("note", f"{kind} from now on, in this part")

    @work
    async def command_head(self) -> None:
        """Ask for the head of the next ones, and then what turns them."""
        head = await self.questions.ask_head(self.form.head)
        if head is None:
            return
        self.form = self.form.with_head(head).saying(head=head)
        self.host.say("note", f"head: {head or NOT_SAID}")
        await self._drive(f"{head or 'Head not said'}. What turns it?")

    @work
    async def command_drive(self) -> None:
        """Ask what turns the next ones."""
        await self._drive("What turns it?")

    async def _drive(self, caption: str) -> None:
        """Ask what turns the next ones; left, it stays as it is."""
        drive = await self.questions.ask_drive(self.form.drive, caption)
        if drive is not None:
            self.form = replace(self.form, drive=drive).saying(drive=drive)
            text = self.host.message.words if self.host.message.words.startswith("head: ") else ""
            self.host.say("note", ", ".join(filter(None, (text, f"drive: {drive or NOT_SAID}"))))

    def command_lefthand(self) -> None:
        """Turn the hand of the next thread over, to left or back to right."""
        left = self.form.hand != "left"
        self.form = replace(self.form, hand="left" if left else "").saying(hand="left" if left else "")
        self.host.say("caution" if left else "note", "left-hand thread" if left else "right-hand thread")
        self.redraw()

    @work
    async def command_empty(self) -> None:
        """Ask which hole was found empty and what is in it, and record it."""
        if not self.in_step():
            return
        text = await self.questions.ask("Which hole was empty?", hint="1 to 9, as 5 or 5a; on another face: 3 right")
        if not text:
            return
        try:
            hole, face = read_spot(text)
        except BadInput as fault:
            self.host.refuse(str(fault))
            return
        note = await self.questions.ask("What is in it?", hint="clean and bright, paint, a rust ring")
        self.host.do(c.Enter(hole=hole, face=face or self.hole_face, found="empty", note=note or ""))

    @work
    async def command_loose(self) -> None:
        """Ask what came out loose, how many and where to, and record it."""
        if not self.in_step():
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
        step = self.step
        bag = f"{IN_HAND}, bag {step.bag}" if step is not None and step.bag else "a new bag"
        asks = f"Where does {name} go? {self.host.keymap.shown('list.marked')}: {bag}"
        places = tuple(bag if place == IN_HAND else place for place in PLACES[:-1])
        place = await self.questions.pick(asks, places, here=bag)
        if place is None or place == bag:
            return None if place is None else ""
        return await self.questions.place_named(place)

    @work
    async def command_resize(self) -> None:
        """Ask for another size of a fastener of the step in hand, else of the last one with sizes read."""
        machine = self.host.machine_id
        step = self.step or self.record.last_step(machine)
        while step is not None and not any(thing.readings for thing in self.record.things_of(step)):
            step = self.record.step(machine, step.number - 1)
        if step is None:
            self.host.refuse("No size was read yet.")
            return
        await correct_last_size(self.questions, self.record, step)
        self.redraw()

    @work
    async def command_note(self) -> None:
        """Ask for a note: on the step in hand; between parts on the one just done, or on the machine."""
        await self._noted(
            "What is to be noted",
            self.questions.ask_note,
            lambda step, text: c.Annotate(step=step, note=text) if step else c.SayOfMachine(note=text),
        )

    @work
    async def command_caution(self) -> None:
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
        number = self.step_noted()
        whose = f" at step {number}" if self.step is not None else "" if number else " about the machine"
        text = await ask(f"{caption}{whose}?")
        if text:
            self.host.do(made(await self.what_of(), text))

    @work
    async def command_adjust(self) -> None:
        """Ask for a setting: of the step in hand; between parts of the one just done, or of the machine, as found."""
        setting = await self.questions.ask_setting()
        if setting is not None:
            number = await self.what_of()
            said = c.Annotate(step=number, adjust=(setting,)) if number else c.SayOfMachine(adjust=setting)
            self.host.do(said)

    def command_anytime(self) -> None:
        """Record that the step in hand, else the last one, needs no step before it."""
        self.host.do(c.SetNeeds(step=self.step_noted(), needs=())) if self.step_noted() else self.in_step()
        self.redraw()

    @work
    async def command_put(self) -> None:
        """Ask where the part in hand, else the next one, goes."""
        hand = self.step.bag if self.step is not None else 0
        place = await self.questions.ask_place("Where does the part go?", hand, self.goes_to, sends=self.step is None)
        if place == SENT:
            await Sending(self.questions, JobDoing(self.host)).ask_sent()
        elif place is not None:
            self._put(place)

    def _put(self, place: str) -> None:
        """Let the part in hand go to `place`, or the next one, and say so."""
        self.let_go_to(place)
        name = "the next part" if self.step is None else self.step.name
        usual = usual_place(self.record, self.host.machine_id)
        later = f"; later ones {going(usual)}" if self.put is not None else ""
        self.host.say("note", f"{name}: {going(place)}{later}" if place else f"{name} is its pieces{later}")
        self.redraw()

    @work
    async def command_doing(self) -> None:
        """Ask for another sort of step than taking off, and for what belongs to it."""
        do = await self.questions.pick("What is done?", OTHER_ACTIONS)
        if do is None:
            return
        if self.step is not None:
            self.host.refuse(f"Step {self.step.number}, {self.step.name}, is not done yet.")
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
        if not self.begin(name, do=do, state=state, tag=tag):
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
            self.host.do(c.Finish(minutes=self.took))
            self.took = None
        elif tag:
            self.host.say("asks", f"hang tag {tag} on {name}; then place and size of what is only loosened")
        self.redraw()

    @work
    async def loosened(self, command: c.Enter) -> None:
        """Ask how far a fastener was loosened, and record it."""
        turns = await self.questions.ask_number("How many turns loose?", TURNS, value="1")
        if turns is not None and self.host.do(replace(command, turns=turns)) is not None:
            self.form = self.form.cleared()
        self.redraw()

    # -- bags and places ---------------------------------------------------------------------------

    def command_closebag(self) -> None:
        """Close the bag of the step in hand, else of the last one."""
        step = self.step or self.record.last_step(self.host.machine_id)
        if step is None or not step.bag:
            self.host.refuse("There is no bag in hand.")
            return
        self.host.do(c.CloseBag(number=step.bag))
        self.redraw()

    @work
    async def command_bags(self) -> None:
        """List the bags, open ones first, and show the card of the one chosen."""
        rows = bag_rows(self.record, self.host.machine_id)
        if not rows:
            self.host.refuse("There is no bag yet.")
            return
        rows.sort(key=lambda row: (row.state == "closed", -row.number))
        options = [f"bag {r.number}   {r.state}   {r.count} in it   {r.code}" for r in rows]
        machine = self.host.machine
        options.append("print the labels that are new or say something else by now")
        index = await self.host.push_screen_wait(Pick("Which bag?", options))
        if index == len(rows) and machine is not None:
            if anew := to_print_anew(self.record, machine):
                await self.questions.print_labels(list(anew))
            else:
                self.host.refuse("Every label is printed, and says what it said then.")
        elif index is not None:
            bag = self.record.bag(self.host.machine_id, rows[index].number)
            if bag is not None:
                self.host.push_screen(self.host.screen_named("bag", bag.id))

    @work
    async def command_trouble(self) -> None:
        """Ask what went wrong with a screw of the step in hand, else of the last one that is off."""
        machine = self.host.machine_id
        off = steps_off(self.record, machine)  # what is back has its screws in it
        await TroubleQuestions(self.questions).ask_trouble(
            self.step or (off[0] if off else self.record.last_step(machine))
        )
        self.redraw()

    # -- other screens -----------------------------------------------------------------------------

    def command_pause(self) -> None:
        """Begin the break of the session, or end it."""
        self.pause_or_go_on(self.record.open_session(self.host.machine_id))
        self.redraw()

    def command_refit(self) -> None:
        """Go to the way back; refused while a part is coming off."""
        step = self.step
        if step is not None:
            ways = self.words("{off} when it is off, or {back.place} to take it back")
            self.host.refuse(f"{step.name} is still coming off: {ways}.")
            self.redraw()
            return
        self.host.push_screen(self.host.screen_named("refit"))

    def command_summary(self) -> None:
        """Show the summary."""
        self.host.push_screen(self.host.screen_named("summary"))

    @work
    async def command_came_out(self) -> None:
        """Ask how the fastener that came out last came out."""
        last = self.record.last_taken_out(self.host.machine_id)
        if last is None:
            self.host.refuse("Nothing has come out yet.")
            return
        await self.questions.ask_came_out(last)
        self.redraw()

    def command_jobs(self) -> None:
        """Show the jobs of all machines."""
        self.host.push_screen(self.host.screen_named("jobs"))

    def command_find(self) -> None:
        """Show the page to find things by their words."""
        self.host.push_screen(self.host.screen_named("find"))

    def command_help(self) -> None:
        """Show the keys of the place that the form is at."""
        place = "field" if self.form.hole else "part" if self.step is None else "place"
        self.show_keys(place, "bench")

    def command_again(self) -> None:
        """Do again what was taken back last."""
        self.bring_again()

    def command_lengths(self) -> None:
        """Name all screws of the machine by its own lengths, where that is certain."""
        self.host.do(NameLengths())

    def command_clock(self) -> None:
        """Show the code that a camera's clock is measured by."""
        self.host.push_screen(self.host.screen_named("clock code"))

    def command_look(self) -> None:
        """Go to the next look of the screen."""
        names = [theme.name for theme in THEMES]
        at = names.index(self.host.theme) if self.host.theme in names else -1
        self.host.theme = names[(at + 1) % len(names)]
        self.host.say("note", f"look: {self.host.theme}")

    @work
    async def command_quit(self) -> None:
        """Leave the program; something loose on the bench is asked about first."""
        loose = bench_check(self.record, self.host.machine_id)
        if loose:
            names = ", ".join(held.thing.called for held in loose[:3])
            answer = await self.questions.pick(
                f"Loose on the bench: {names}. Leave?", ("stay and bag it", "leave it so")
            )
            if answer != "leave it so":
                return
        self.host.action_quit_bench()
