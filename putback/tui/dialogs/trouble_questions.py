"""Trouble with a screw, as questions: what is wrong, in which hole, and of which size the other one is."""

from __future__ import annotations

from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.checks.ledger import holdings
from putback.trade.commands.named_size import sized
from putback.trade.commands.trouble import TROUBLES, What
from putback.trade.record.fastener import KINDS, LEFT_OVER, THREADED, Thing
from putback.trade.record.holes import by_face, face_of, place_of
from putback.trade.record.place import FITTED, MISSING, SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import going_in, left_overs
from putback.trade.refit.belonging import homes_of
from putback.tui.dialogs.hole_pick import HolePick
from putback.tui.dialogs.questions import Questions
from putback.tui.dialogs.size_ask import SizeAsk
from putback.tui.form import entry

NO_FACE = "the face that was not said"

NEW_ONE = "another one: say its size"
NOWHERE = "in none of these: it is left over"
THROWN = "nowhere, it is thrown away: scrapped"

ASKED = {
    "lost": "Which hole had the one that is lost?",
    "broken": "Which hole had the one that is broken?",
    "thread gone": "Which hole has no thread any more?",
    "another goes in": "Which hole gets another one?",
    "goes in another hole": "Which hole had the one that goes elsewhere?",
}
"""What is asked over the map, by the trouble."""

NONE = {
    "lost": "it has no screw that could be lost",
    "broken": "it has no screw that could be broken",
    "thread gone": "no hole of it is known",
    "another goes in": "no hole of it waits for another",
    "goes in another hole": "it does not have two holes between which a screw could change",
}
"""Why there is no hole to choose, by the trouble."""


class TroubleQuestions:
    """Questions about a screw that is in trouble; each is awaited in a worker."""

    def __init__(self, questions: Questions) -> None:
        self.host = questions.host
        self.record = self.host.workshop.record
        self.questions = questions

    async def ask_trouble(self, step: Step | None, *, put: str = "", back: bool = False) -> None:
        """Ask what is wrong with a screw of a step, and write it down.

        `put` is where what is found, or goes in, lies; empty leaves that to the rule. `back`: on the way back.
        """
        if step is None:
            self.host.refuse("Nothing has come off yet: there is no screw that could be in trouble.")
            return
        what = await self.questions.pick(f"Step {step.number}, {step.name}: what is wrong with a screw?", TROUBLES)
        if what == "found again":
            await self._found_again(step, put)
        elif what == "left over":
            await self._left_over(step, put)
        elif what is not None:
            await self._about(step, what, put, back)

    async def _about(self, step: Step, what: What, put: str, back: bool) -> None:
        """Ask in which hole, and what more is to be said."""
        # A thread belongs to the hole: on the map of the way back, too, it is not that of what goes in there.
        goes = back and what != "thread gone"
        thing = await self._which(step, ASKED[what], _in_question(self.record, step, what), goes, NONE[what])
        if thing is None:
            return
        command = c.Trouble(what=what, thing=thing.id, kind=thing.name, put=put)
        if what == "another goes in":
            await self.ask_another(thing, put)
            return
        if what == "goes in another hole":
            others = [t for t in going_in(self.record, step) if t.goes_in != thing.goes_in]
            asked = f"{thing.brief} of hole {thing.spot}: which hole does it go in?"
            into = await self._which(step, asked, others, back, NONE[what])
            if into is None:
                return
            command = replace(command, into=into.goes_in)
        await self.questions.do_asked(command)

    async def ask_another(self, thing: Thing, put: str = "") -> None:
        """Ask for the size of what goes in in the place of a fastener; it lies at `put`, empty: where the rule says."""
        form = entry.Form(kind=thing.name, head=thing.head, drive=thing.drive, hole=thing.hole)
        new = await self.host.push_screen_wait(
            SizeAsk(f"Hole {thing.goes_in}: which size goes in?", form, like=None if thing.found else thing)
        )
        if new is not None:
            command = c.Trouble(what="another goes in", thing=thing.id, kind=thing.name, put=put)
            command = replace(command, readings=new.readings, head=new.head, drive=new.drive)
            await self.questions.do_asked(command)

    async def _which(self, step: Step, asked: str, things: list[Thing], back: bool, none: str) -> Thing | None:
        """Ask for one of some fasteners by its hole; of one alone nothing is asked."""
        if not things:
            if step.back:
                none = "it is back, and what holds it is in its holes; take it off again first"
            self.host.refuse(f"Step {step.number}, {step.name}: {none}.")
            return None
        if len(things) == 1:
            return things[0]
        spots = {thing.id: thing.goes_in if back else thing.spot for thing in things}
        faces = [face or step.face for face in by_face(spots.values())]
        face: str | None = faces[0]
        if len(faces) > 1:
            named = {face or NO_FACE: face for face in faces}
            answer = await self.questions.pick(f"{asked} On which face?", tuple(named))
            face = None if answer is None else named[answer]
        if face is None:
            return None
        on_it = [thing for thing in things if face_of(spots[thing.id]) == step.own_face(face)]
        if len(on_it) == 1:
            return on_it[0]
        holes = [place_of(spots[thing.id]) for thing in on_it]
        place = await self.host.push_screen_wait(HolePick(asked, step, holes, face, back=back))
        here = [thing for thing, hole in zip(on_it, holes, strict=True) if place and hole[0] == place]
        if len(here) < 2:
            return here[0] if here else None
        options = tuple(f"hole {spots[t.id]}: {_thing_text(t)}" for t in here)
        answer = await self.questions.pick(asked, tuple(dict.fromkeys(options)))
        return None if answer is None else here[options.index(answer)]

    async def _found_again(self, step: Step, put: str) -> None:
        """Ask which of what is missing is found; the step's own come first."""
        lost = [held.thing for held in holdings(self.record, step.machine, MISSING) if held.thing.sort == "fastener"]
        lost.sort(key=lambda thing: thing.step != step.id)
        if not lost:
            self.host.refuse("No screw of this machine is missing.")
            return
        options = []
        for thing in lost:
            off = self.record.get(Step, thing.step)
            options.append(f"step {off.number}, {off.name}, hole {thing.spot}: {thing.brief}")
        answer = await self.questions.pick("Which one is found?", tuple(options)) if len(lost) > 1 else options[0]
        if answer is not None:
            thing = lost[options.index(answer)]
            self.host.do(c.Trouble(what="found again", thing=thing.id, kind=thing.name, put=put))

    async def _left_over(self, step: Step, put: str) -> None:
        """Ask for the size of one without a hole, or which it is of those noted, and where it belongs."""
        known = left_overs(self.record, step.machine)
        lone, new = None, c.Enter(hole="")
        if known:
            options = tuple(f"{t.called}, {', '.join(self.record.standing(t.id))}" for t in known)
            answer = await self.questions.pick("Which one is it?", (*dict.fromkeys(options), NEW_ONE))
            if answer is None:
                return
            lone = known[options.index(answer)] if answer != NEW_ONE else None
        if lone is None:
            kind = await self.questions.pick("What is left over?", KINDS, here="screw")
            if kind is None:
                return
            new = await self.host.push_screen_wait(
                SizeAsk(f"The {kind} that is left over: which size is it?", entry.Form(kind=kind))
            )
            if new is None:
                return
        await self._home(step, lone, new, put)

    async def _home(self, step: Step, lone: Thing | None, new: c.Enter, put: str) -> None:
        """Ask in which hole one belongs that is left over, the likeliest first."""
        machine = step.machine
        if lone is None:
            named = sized(self.record, machine, new)
            like = Thing(
                id=0,
                machine=machine,
                step=step.id,
                sort=LEFT_OVER,
                name=named.kind,
                size=named.size,
                thread=named.thread,
                length=named.length,
            )
        else:
            like = lone
        homes = {home.text: home for home in homes_of(self.record, machine, like)}
        command = c.Trouble(
            what="left over",
            thing=lone.id if lone else 0,
            step=step.number,
            kind=like.name,
            readings=new.readings,
            put=put,
        )
        text: str | None = NOWHERE
        if homes or lone is not None:
            end = (NOWHERE,) if lone is None else (THROWN,)
            text = await self.questions.pick(f"{like.brief}: where does it belong?", (*homes, *end))
        if text is None:
            return
        if text == THROWN and lone is not None:
            place, count = next(iter(self.record.standing(lone.id).items()))
            self.host.do(c.Carry(thing=lone.id, count=count, source=place, target=SCRAPPED, note="left over"))
        elif text == NOWHERE:
            self.host.do(command)
        else:
            home = homes[text]
            await self.questions.do_asked(
                replace(command, step=home.step.number, hole=home.thing.hole, face=home.thing.face)
            )


def _in_question(record: Record, step: Step, what: str) -> list[Thing]:
    """Return the fasteners of a step of which that can be said."""
    things = going_in(record, step)

    def place(thing: Thing) -> str:
        return next(iter(record.standing(thing.id)), "")

    loose = step.do == "loosen" and not step.back
    out = [t for t in things if place(t) != FITTED or loose]
    if what == "lost":
        return [t for t in out if not t.found and place(t) not in (MISSING, SCRAPPED)]
    if what == "broken":
        return [t for t in out if not t.found and place(t) != MISSING and "broken" not in t.trouble]
    if what == "thread gone":
        return [t for t in things if (t.found or t.name in THREADED) and "thread gone" not in t.trouble]
    if what == "goes in another hole":
        holes = {t.goes_in for t in things}
        return [t for t in out if not t.found and len(holes) > 1]
    return out


def _thing_text(thing: Thing) -> str:
    return "found empty" if thing.found else thing.called
