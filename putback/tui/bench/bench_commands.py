"""What is done on the bench besides taking off: bags, other pages, the way back, the look, leaving."""

from __future__ import annotations

from putback.labels.bag_facts import to_print_anew
from putback.reports.bags import bag_rows
from putback.trade import commands as c
from putback.trade.checks.ledger import bench_check
from putback.trade.commands import NameLengths
from putback.trade.refit.way_back import steps_off
from putback.tui.bench.hand import Hand
from putback.tui.bench.table import Bench, Commands
from putback.tui.dialogs.break_keys import BreakKeys
from putback.tui.dialogs.label_printing import print_labels
from putback.tui.dialogs.prompts import Pick
from putback.tui.dialogs.questions import Questions
from putback.tui.dialogs.trouble_questions import TroubleQuestions
from putback.tui.draw.palette import THEMES
from putback.tui.keyboard.bench_keys import GROUPS


class BenchCommands:
    """The commands of the bench."""

    def __init__(self, hand: Hand, questions: Questions, breaks: BreakKeys, screen: Bench) -> None:
        self.host = hand.host
        self.record = hand.record
        self.hand = hand
        self.questions = questions
        self.trouble_questions = TroubleQuestions(questions)
        self.breaks = breaks
        self.screen = screen
        self.commands: Commands = {
            "more": self.more,
            "closebag": self.closebag,
            "bags": self.bags,
            "trouble": self.trouble,
            "pause": self.pause,
            "refit": self.refit,
            "summary": self.summary,
            "came_out": self.came_out,
            "jobs": self.jobs,
            "find": self.find,
            "help": self.help,
            "again": self.again,
            "lengths": self.lengths,
            "clock": self.clock,
            "look": self.look,
            "quit": self.quit,
        }

    async def more(self) -> None:
        """Show everything else as a numbered list."""
        keys = [self.host.keymap.key(id) for _, ids in GROUPS for id in ids]
        held = self.record.held_steps(self.host.machine_id) if self.hand.step is None else []
        labels = {"hold": "take up again"} if held else {}
        options = [f"{labels.get(key.id, key.label):<14}{key.shown}" for key in keys]
        pages = [(title, len(ids)) for title, ids in GROUPS]
        # Before the first part nothing comes out: what can be said is of the machine.
        first = "" if self.record.last_step(self.host.machine_id) else "the part"
        letters = {letter: at for at, key in enumerate(keys) for letter in key.keys}
        asked = Pick("What do you want to do?", options, pages=pages, first=first, letters=letters)
        index = await self.host.push_screen_wait(asked)
        if index is not None:
            self.screen.run_command(keys[index].id)

    def closebag(self) -> None:
        """Close the bag of the step in hand, else of the last one."""
        step = self.hand.step_or_last()
        if step is None or not step.bag:
            self.host.refuse("There is no bag in hand.")
            return
        self.host.do(c.CloseBag(number=step.bag))
        self.screen.redraw()

    async def bags(self) -> None:
        """List the bags, open ones first, and show the card of the one chosen."""
        rows = bag_rows(self.record, self.host.machine_id)
        if not rows:
            self.host.refuse("There is no bag yet.")
            return
        rows.sort(key=lambda row: (row.state == "closed", -row.number))
        number, state, count = (max(len(str(getattr(r, of))) for r in rows) for of in ("number", "state", "count"))
        options = [f"bag {r.number:<{number}}   {r.state:<{state}}   {r.count:>{count}} in it   {r.code}" for r in rows]
        machine = self.host.machine
        options.append("print the labels that are new or say something else by now")
        index = await self.host.push_screen_wait(Pick("Which bag?", options))
        if index == len(rows) and machine is not None:
            if anew := to_print_anew(self.record, machine):
                print_labels(self.host, list(anew))
            else:
                self.host.refuse("Every label is printed, and nothing on it has changed since.")
        elif index is not None:
            bag = self.record.bag(self.host.machine_id, rows[index].number)
            if bag is not None:
                self.host.push_screen(self.host.screen_named("bag", bag.id))

    async def trouble(self) -> None:
        """Ask what went wrong with a screw of the step in hand, else of the last one that is off."""
        machine = self.host.machine_id
        off = steps_off(self.record, machine)  # what is back has its screws in it
        await self.trouble_questions.ask_trouble(self.hand.step or (off[0] if off else self.record.last_step(machine)))
        self.screen.redraw()

    def pause(self) -> None:
        """Begin the break of the session, or end it."""
        self.breaks.pause_or_go_on()
        self.screen.redraw()

    def refit(self) -> None:
        """Go to the way back; refused while a part is coming off."""
        step = self.hand.step
        if step is not None:
            ways = self.host.keymap.words("{off} when it is off, or {back.place} to take it back")
            self.host.refuse(f"{step.name} is still coming off: {ways}.")
            self.screen.redraw()
            return
        self.host.push_screen(self.host.screen_named("refit"))

    def summary(self) -> None:
        """Show the summary."""
        self.host.push_screen(self.host.screen_named("summary"))

    async def came_out(self) -> None:
        """Ask how the fastener that came out last came out."""
        last = self.record.last_taken_out(self.host.machine_id)
        if last is None:
            self.host.refuse("Nothing has come out yet.")
            return
        await self.questions.ask_came_out(last)
        self.screen.redraw()

    def jobs(self) -> None:
        """Show the jobs of all machines."""
        self.host.push_screen(self.host.screen_named("jobs"))

    def find(self) -> None:
        """Show the page to find things by their words."""
        self.host.push_screen(self.host.screen_named("find"))

    def help(self) -> None:
        """Show the keys of the place that the form is at."""
        place = "field" if self.hand.form.hole else "part" if self.hand.step is None else "place"
        self.host.push_screen(self.host.screen_named("keys", (place, "bench")))

    def again(self) -> None:
        """Do again what was taken back last."""
        self.hand.bring_again()

    def lengths(self) -> None:
        """Name all screws of the machine by its own lengths, where that is certain."""
        self.host.do(NameLengths())

    def clock(self) -> None:
        """Show the code that a camera's clock is measured by."""
        self.host.push_screen(self.host.screen_named("clock code"))

    def look(self) -> None:
        """Go to the next look of the screen."""
        names = [theme.name for theme in THEMES]
        at = names.index(self.host.theme) if self.host.theme in names else -1
        self.host.theme = names[(at + 1) % len(names)]
        self.host.say("note", f"look: {self.host.theme}")

    async def quit(self) -> None:
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
