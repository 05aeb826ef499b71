"""Everything on the bench beside the taking-off loop: the numbered list behind `.`, and its letters."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace
from textual import work

from putback.errors import BadInput
from putback.reports.bags import bag_rows
from putback.sizing import Unfinished, read_measure
from putback.trade import commands as c
from putback.trade.fastener import DRIVES, HEADS, KINDS
from putback.trade.ledger import bench_check
from putback.trade.place import read_place
from putback.trade.step import Adjustment, Soak
from putback.tui.keys import keys_of
from putback.tui.palette import THEMES
from putback.tui.screens.prompts import Ask, Pick
from putback.tui.screens.standing import Standing

PLACES = (
    "shelf",
    "the bag in hand",
    "loose on the bench",
    "box ...",
    "kept with ...",
    "away: ...",
    "scrapped",
)
OTHER_DOINGS = ("let down", "drive out", "undo", "loosen", "mark", "measure", "turn", "soak")
SORTS = ("turns", "a mark", "a gap", "shims")


class Wishes(Standing):
    """Commands that ask something first."""

    def wish(self, id: str) -> None:
        """Do the command `id` of keys.KEYS."""
        getattr(self, f"wish_{id}")()

    @work
    async def more(self) -> None:
        """Show everything else as a numbered list."""
        keys = keys_of("bench")
        index = await self.bench.push_screen_wait(Pick("more", [f"{key.label}  ({key.shown})" for key in keys]))
        if index is not None:
            self.wish(keys[index].id)

    async def ask(self, caption: str, *, value: str = "", hint: str = "") -> str | None:
        """Ask for a line; None where it was left, or came out empty."""
        text = await self.bench.push_screen_wait(Ask(caption, value=value, hint=hint))
        return text.strip() or None if text is not None else None

    async def pick(self, caption: str, options: tuple[str, ...], *, here: str = "") -> str | None:
        """Ask for one of `options`."""
        at = options.index(here) if here in options else -1
        index = await self.bench.push_screen_wait(Pick(caption, options, here=at))
        return None if index is None else options[index]

    async def ask_number(self, caption: str, *, value: str = "") -> float | None:
        """Ask for a number from 0 up; None where it was left or is none."""
        text = await self.ask(caption, value=value)
        if text is None:
            return None
        try:
            found = read_measure(text, "mm")
        except BadInput as fault:
            self.bench.refuse(str(fault))
            return None
        if isinstance(found, Unfinished):
            self.bench.refuse(f"“{text}” is not finished.")
            return None
        return float(found.value)

    def in_step(self) -> bool:
        """Tell whether a part is coming off; say so where none is."""
        if self.step is None:
            self.bench.refuse("No part is coming off: begin one first.")
            return False
        return True

    # -- the part ----------------------------------------------------------------------------------

    @work
    async def wish_begin(self) -> None:
        name = await self.bench.push_screen_wait(Ask("What comes off next?", hint="a name, or nothing"))
        if name is not None:
            self.begin(name.strip())
            self.redraw()

    @work
    async def wish_name(self) -> None:
        step = self.step or self.record.last_step(self.bench.machine_id)
        if step is None:
            self.bench.refuse("There is no part to name yet.")
            return
        name = await self.ask(f"Step {step.number} is called", value=step.name)
        if name and name != step.name:
            self.bench.do(c.RenamePart(step=step.number, name=name))

    @work
    async def wish_kind(self) -> None:
        kind = await self.pick("What comes out of the hole?", KINDS, here=self.form.kind)
        if kind:
            self.form = replace(self.form, kind=kind, typed=("",) if self.form.hole else ())
            self.bench.say("note", f"{kind} from now on, in this part")

    @work
    async def wish_head(self) -> None:
        head = await self.pick("Head", HEADS, here=self.form.head)
        if head:
            self.form = replace(self.form, head=head)
            self.bench.say("note", f"head: {head}")

    @work
    async def wish_drive(self) -> None:
        drive = await self.pick("Drive", DRIVES, here=self.form.drive)
        if drive:
            self.form = replace(self.form, drive=drive)
            self.bench.say("note", f"drive: {drive}")

    def wish_lefthand(self) -> None:
        left = self.form.hand != "left"
        self.form = replace(self.form, hand="left" if left else "")
        self.bench.say("caution" if left else "note", "left-hand thread" if left else "right-hand thread")
        self.redraw()

    @work
    async def wish_empty(self) -> None:
        if not self.in_step():
            return
        hole = await self.ask("Which hole was empty?", hint="1 to 9, as 5 or 5a")
        if not hole:
            return
        note = await self.ask("What is in it?", hint="clean and bright, paint, a rust ring")
        self.bench.do(c.Enter(hole=hole, found="empty", note=note or ""))

    @work
    async def wish_loose(self) -> None:
        if not self.in_step():
            return
        name = await self.ask("Loose piece", hint="spring, ball 1/8, gasket")
        if not name:
            return
        count = await self.ask_number("How many?", value="1")
        if count is not None:
            if count != int(count):
                self.bench.refuse("Pieces are counted in whole numbers.")
                return
            self.bench.do(c.EnterPiece(name=name, count=int(count)))

    @work
    async def wish_note(self) -> None:
        await self._annotate("Note", lambda text: c.Annotate(step=self.said_of(), note=text))

    @work
    async def wish_caution(self) -> None:
        await self._annotate("Caution", lambda text: c.Annotate(step=self.said_of(), cautions=(text,)))

    async def _annotate(self, caption: str, made: Callable[[str], c.Annotate]) -> None:
        if not self.said_of():
            self.bench.refuse("There is no step yet that this could be said of.")
            return
        text = await self.ask(f"{caption}, step {self.said_of()}")
        if text:
            self.bench.do(made(text))

    def said_of(self) -> int:
        """Return the step that a note is about: the one being done, else the last."""
        step = self.record.last_step(self.bench.machine_id)
        return step.number if step else 0

    @work
    async def wish_adjust(self) -> None:
        number = self.said_of()
        if not number:
            self.bench.refuse("There is no step yet that a setting could belong to.")
            return
        setting = await self.ask_setting()
        if setting is not None:
            self.bench.do(c.Annotate(step=number, adjust=(setting,)))

    async def ask_setting(self, what: str = "") -> Adjustment | None:
        """Ask for a setting, as found and as it should be."""
        what = what or await self.ask("Which setting?", hint="end stop, spring, play") or ""
        if not what:
            return None
        sort = await self.pick(f"{what}: how is it known?", SORTS)
        if sort == "turns":
            turns = await self.ask_number("How many turns?")
            return None if turns is None else Adjustment(what=what, turns=turns)
        if sort == "a mark":
            mark = await self.ask("Which mark shows it?")
            return Adjustment(what=what, mark=mark) if mark else None
        if sort == "a gap":
            gap = await self.ask("The gap, as found")
            ought = await self.ask("As it should be", hint="nothing, where as found is right") if gap else None
            return Adjustment(what=what, gap=gap, should_be=ought or "") if gap else None
        if sort == "shims":
            shims = await self.ask("Shims, with commas", hint=".010 at 8, .005 at 3")
            if shims:
                return Adjustment(what=what, shims=tuple(s.strip() for s in shims.split(",") if s.strip()))
        return None

    def wish_anytime(self) -> None:
        self.bench.do(c.SetNeeds(step=self.said_of(), needs=())) if self.said_of() else self.in_step()
        self.redraw()

    @work
    async def wish_put(self) -> None:
        place = await self.pick("Where does the part go?", PLACES)
        if place is None:
            return
        step = self.step
        if place == "the bag in hand":
            if step is None or not step.bag:
                self.bench.refuse("There is no bag in hand yet.")
                return
            self.put = f"bag {step.bag}"
        elif place.endswith(" ..."):
            word = await self.ask(place)
            if not word:
                return
            try:
                self.put = read_place(place.removesuffix("...") + word)
            except BadInput as fault:
                self.bench.refuse(str(fault))
                return
        else:
            self.put = read_place(place)
        self.bench.say("note", f"the part goes to: {self.put}")

    @work
    async def wish_doing(self) -> None:
        do = await self.pick("What is done?", OTHER_DOINGS)
        if do is None:
            return
        if self.step is not None:
            self.bench.refuse(f"Step {self.step.number}, {self.step.name}, is not done yet.")
            return
        captions = {"turn": "What is turned?", "soak": "What soaks?", "mark": "What is marked?"}
        name = await self.ask(captions.get(do, "Which part?"), value="machine" if do == "turn" else "")
        if not name:
            return
        state = ""
        if do == "turn":
            state = await self.ask("How does it lie now?", hint="upright, on its left side") or ""
            if not state:
                return
        tag = next_tag(self) if do == "loosen" else ""
        if not self.begin(name, do=do, state=state, tag=tag):
            return
        if do in ("let down", "mark", "measure"):
            setting = await self.ask_setting(name)
            if setting is not None:
                self.bench.do(c.Annotate(adjust=(setting,)), quiet=True)
        if do == "soak":
            hours = await self.ask_number("For how many hours?")
            if hours:
                self.bench.do(c.Annotate(soak=Soak(name, hours)), quiet=True)
        if do in ("mark", "measure", "turn", "soak"):
            self.bench.do(c.Finish())
        elif tag:
            self.bench.say("asks", f"hang tag {tag} on {name}; then place and size of what is only loosened")
        self.redraw()

    @work
    async def loosened(self, command: c.Enter) -> None:
        """Ask how far a fastener was loosened, and record it."""
        turns = await self.ask_number("How many turns loose?", value="1")
        if turns is not None and self.bench.do(replace(command, turns=turns)) is not None:
            self.form = self.form.cleared()
        self.redraw()

    # -- bags and places ---------------------------------------------------------------------------

    def wish_closebag(self) -> None:
        step = self.step or self.record.last_step(self.bench.machine_id)
        if step is None or not step.bag:
            self.bench.refuse("There is no bag in hand.")
            return
        self.bench.do(c.CloseBag(number=step.bag))
        self.redraw()

    @work
    async def wish_bags(self) -> None:
        from putback.tui.screens.bag_card import BagScreen

        rows = bag_rows(self.record, self.bench.machine_id)
        if not rows:
            self.bench.refuse("There is no bag yet.")
            return
        rows.sort(key=lambda row: (row.state == "closed", -row.number))
        options = [f"bag {r.number}   {r.state}   {r.count} in it   {r.code}" for r in rows]
        index = await self.bench.push_screen_wait(Pick("bags", options))
        if index is not None:
            bag = self.record.bag(self.bench.machine_id, rows[index].number)
            if bag is not None:
                self.bench.push_screen(BagScreen(bag.id))

    @work
    async def wish_assembly(self) -> None:
        name = await self.ask(f"An assembly, inside {self.area_name}")
        if name:
            inside = "" if not self.area else self.area_name
            if self.bench.do(c.AddAssembly(name=name, inside=inside)) is not None:
                found = self.record.assembly_named(self.bench.machine_id, name)
                self.area = found.id if found else self.area

    # -- other screens -----------------------------------------------------------------------------

    def wish_pause(self) -> None:
        self.pause_or_go_on(self.record.open_session(self.bench.machine_id))
        self.redraw()

    def wish_refit(self) -> None:
        from putback.tui.screens.refit import RefitScreen

        step = self.step
        if step is not None:
            self.bench.refuse(f"{step.name} is still coming off: 0 when it is off, or - to take it back.")
            self.redraw()
            return
        self.bench.push_screen(RefitScreen())

    def wish_summary(self) -> None:
        from putback.tui.screens.summary import SummaryScreen

        self.bench.push_screen(SummaryScreen())

    def wish_help(self) -> None:
        from putback.tui.screens.help import HelpScreen

        place = "field" if self.form.hole else "part" if self.step is None else "place"
        self.bench.push_screen(HelpScreen((place, "bench")))

    def wish_look(self) -> None:
        names = [theme.name for theme in THEMES]
        at = names.index(self.bench.theme) if self.bench.theme in names else -1
        self.bench.theme = names[(at + 1) % len(names)]
        self.bench.say("note", f"look: {self.bench.theme}")

    @work
    async def wish_quit(self) -> None:
        loose = bench_check(self.record, self.bench.machine_id)
        if loose:
            names = ", ".join(held.thing.called for held in loose[:3])
            answer = await self.pick(f"Loose on the bench: {names}. Leave?", ("stay and bag it", "leave it so"))
            if answer != "leave it so":
                return
        self.bench.action_quit_bench()

    @work
    async def wish_machines(self) -> None:
        known = self.bench.workshop.machines()
        options = (*(m.caption for m in known), "a new machine")
        here = self.bench.machine.caption if self.bench.machine else ""
        index = await self.bench.push_screen_wait(
            Pick("Which machine?", options, here=options.index(here) if here in options else -1)
        )
        if index is None:
            return
        if index == len(known):
            await self.ask_new_machine()
        elif known[index].id != self.bench.machine_id:
            self.bench.change_machine(known[index].id)

    async def ask_new_machine(self) -> None:
        """Ask what it is, where its threads come from, and its serial; then it is on the bench."""
        name = await self.ask("What machine is it?", hint="a name of your own")
        if not name:
            return
        origins = {"US, inch": "us", "British": "uk", "metric": "metric", "not known": "unknown"}
        origin = await self.pick("Where do its threads come from?", tuple(origins))
        if origin is None:
            return
        serial = await self.ask("Its serial, ? before a doubtful digit", hint="nothing, where it has none")
        done = self.bench.do(c.NewMachine(name=name, origin=origins[origin], serial=serial or ""))
        if done is not None:
            self.bench.change_machine(self.bench.workshop.last_machine())


def next_tag(bench: Standing) -> str:
    """Return the next free letter for a hang-tag."""
    from putback.trade.step import Step

    used = {s.tag for s in bench.record.all(Step, bench.bench.machine_id) if s.tag and not s.back}
    return next((letter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if letter not in used), "Z")
