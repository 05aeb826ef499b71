"""Questions over a screen: a line, a choice, a number, a place, a setting."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, TypeVar

from msgspec.structs import replace

from putback.errors import BadInput, PutbackError
from putback.trade import commands as c
from putback.trade.cautions.irreversible import cannot_be_undone, is_kept_as_found, with_reason
from putback.trade.commands import rules
from putback.trade.commands.thrown_away import photos_kept, question
from putback.trade.record.fastener import CAME_OUT, DRIVES, HEADS, SEIZED, Drive, Field, Head, Thing
from putback.trade.record.given_words import cautions_offered, notes_offered, unnamed_piece
from putback.trade.record.job import NOW, SIDES, SORTS, TAKES, WHENS, Job, usual_when
from putback.trade.record.making import unsaid_of
from putback.trade.record.phrases import quoted, whole_in
from putback.trade.record.place import read_place
from putback.trade.record.step import Adjustment, Soak
from putback.tui.dialogs import numbers
from putback.tui.dialogs.lists import (
    BARE,
    DRIVES_LISTED,
    FOUND_BY,
    HEADS_LISTED,
    IN_HAND,
    NOT_SAID,
    OWN_WORDS,
    PIECES,
    PLACES,
    PLACES_ASKED,
    TURNS,
    answers,
    line_of,
    place_line,
)
from putback.tui.dialogs.numbers import Of, number_in
from putback.tui.dialogs.prompts import AskLine, AskListed, Pick
from putback.tui.host import Host
from putback.workshop import Done

FREED_WITH = ("penetrant", "heat", "an impact driver", "drilled out", "a new slot sawn", "left alone: it stays")
"""With what seized ones are freed most (common practice, no source)."""

SENT = "what is off already: parts, whole bags"
NEXT_PART = "the next part that comes off"
"""What may be sent away between two parts."""

NO_REASON = "no reason: nothing recorded"
"""What is said where a question that wants a reason was left without one."""

NOT_KNOWN = "not known"
"""What is answered where nobody knows how long a job takes."""


W = TypeVar("W", bound=str)


class Questions:
    """Questions over the screen on top; each is awaited in a worker."""

    def __init__(self, host: Host) -> None:
        """`host` is the app that the screens stand in."""
        self.host = host

    async def ask(self, caption: str, *, value: str = "", hint: str = "", note: bool = False) -> str | None:
        """Ask for a line; None where it was left, or came out empty. A note may be long and have several lines."""
        return await self.ask_line(caption, value=value, hint=hint, note=note) or None

    async def ask_line(
        self,
        caption: str,
        *,
        value: str = "",
        hint: str = "",
        note: bool = False,
        reads: Callable[[str], object] | None = None,
    ) -> str | None:
        """Ask for a line that may be empty; None where it was left. A note may be long and have several lines.

        What `reads` raises BadInput for stays in the line.
        """
        text = await self.host.push_screen_wait(AskLine(caption, value=value, hint=hint, note=note, reads=reads))
        return None if text is None else text.strip()

    async def ask_phrase(self, caption: str, phrases: Sequence[str]) -> str | None:
        """Ask for a note, or by its figure for one of `phrases`; None where it was left, or came out empty.

        A figure alone is a phrase; with a blank before it, it is the note itself.
        """
        asked = AskListed(caption, phrases, hint="a number above, or your own words", note=True)
        text = await self.host.push_screen_wait(asked)
        by_figure = {str(number): phrase for number, phrase in enumerate(phrases, 1)}
        return by_figure.get(text, text.strip()) or None if text else None

    async def ask_note(self, caption: str, *, of_fastener: bool = False) -> str | None:
        """Ask for a note, typed or one of nine phrases; of a fastener, those last made of one stand first."""
        record, machine = self.host.workshop.record, self.host.machine_id
        return await self.ask_phrase(caption, notes_offered(record, machine, of_fastener=of_fastener))

    async def ask_caution(self, caption: str) -> str | None:
        """Ask for a caution, typed or one of nine phrases."""
        return await self.ask_phrase(caption, cautions_offered(self.host.workshop.record, self.host.machine_id))

    async def ask_piece(self) -> str | None:
        """Ask what came out loose; without a name it gets a number. None where it was left."""
        name = await self.ask_line("What came out loose?", hint="spring, gasket; with nothing it gets a number")
        return name if name is None else name or unnamed_piece(self.host.workshop.record, self.host.machine_id)

    async def ask_lines(self, captions: Sequence[str], of: Mapping[int, Of] | None = None) -> list[str] | None:
        """Ask for several lines in turn, each of which may be empty; None where one was left.

        `of` says which of them are numbers, and of what.
        """
        found = []
        for at, caption in enumerate(captions):
            reads = partial(number_in, of=of[at]) if of is not None and at in of else None
            text = await self.ask_line(caption, reads=reads)
            if text is None:
                return None
            found.append(text)
        return found

    async def pick(self, caption: str, options: tuple[W, ...], *, here: str = "") -> W | None:
        """Ask for one of `options`."""
        at = next((at for at, option in enumerate(options) if option == here), -1)
        index = await self.host.push_screen_wait(Pick(caption, options, here=at))
        return None if index is None else options[index]

    async def ask_number(self, caption: str, of: Of, *, value: str = "") -> float | None:
        """Ask for a number, which takes the place of `value`; None where it was left, or nothing was typed.

        What is not a number stays in the line, with the reason.
        """
        text = await self.ask_instead(caption, value, reads=partial(number_in, of=of))
        return number_in(text, of) if text else None

    async def ask_instead(
        self, caption: str, value: str, *, reads: Callable[[str], object] | None = None
    ) -> str | None:
        """Ask for a line that takes the place of `value` with its first key; None where it was left."""
        text = await self.host.push_screen_wait(AskLine(caption, value=value, replaced=True, reads=reads))
        return None if text is None else text.strip()

    async def ask_minutes(self, caption: str) -> tuple[float | None] | None:
        """Ask for the minutes that something took, given in a tuple, where nothing typed is None; None where left."""
        hint = "Enter alone: none"
        text = await self.ask_line(caption, hint=hint, reads=partial(number_in, of=numbers.MINUTES))
        return None if text is None else (number_in(text, numbers.MINUTES) if text else None,)

    async def ask_count(self, caption: str, *, value: str = "", of: Of = numbers.PIECES) -> int | None:
        """Ask for a whole number of pieces; None where it was left, or nothing was typed."""
        count = await self.ask_number(caption, of, value=value)
        return None if count is None else int(count)

    async def ask_came_out(self, thing: Thing) -> None:
        """Ask how a fastener came out, and say it; what was said already goes by its number."""
        said = "said: "
        options = tuple(f"{said}{word}" if word in thing.came_out else word for word in CAME_OUT)
        chosen = await self.pick(f"How did {thing.brief} of hole {thing.spot} come out?", options)
        if chosen is None:
            return
        word = CAME_OUT[options.index(chosen)]
        how = tuple(one for one in thing.came_out if one != word) if chosen != word else (*thing.came_out, word)
        freed: str | None = thing.freed if SEIZED in how else ""
        if word == SEIZED and word in how:
            asked = AskListed("Freed with what?", FREED_WITH, hint="a number above, your own words, or nothing")
            text = await self.host.push_screen_wait(asked)
            by_figure = {str(number): phrase for number, phrase in enumerate(FREED_WITH, 1)}
            freed = None if text is None else by_figure.get(text, text.strip())
        if freed is not None:
            self.host.do(c.CameOut(thing=thing.id, how=how, freed=freed))

    async def ask_job_of(self, step: int, hole: str = "") -> c.Annotate | c.SayJob | None:
        """Ask for a job of a step, 0 for the one being done, and give the command that notes it; None where left.

        What goes into a bath now is a soak, with its hours; what is only to go in one later stays a job.
        """
        asked = await self._ask_do(None)
        if asked is None:
            return None
        do, what = asked
        if do == "soak":
            text = await self._ask_hours()
            if text is None:
                return None
            if text:
                return c.Annotate(step=step, soak=Soak(what, number_in(text, numbers.HOURS)))
        job = await self._ask_rest(do, what, None, sides=True)
        return None if job is None else c.SayJob(step=step, job=replace(job, hole=hole))

    async def ask_job(self, old: Job | None = None, *, sides: bool = True) -> Job | None:
        """Ask for a job, or for what is so of an `old` one; None where it was left. Enter takes what is marked.

        With `sides` it may be work that exists only on the way back, as a job of a step can be.
        """
        asked = await self._ask_do(old)
        if asked is None:
            return None
        if old is None and not sides and asked[0] == "soak":
            text = await self._ask_hours()
            if text is None:
                return None
            if text:
                return Job(do="soak", what=asked[1], since=NOW, hours=number_in(text, numbers.HOURS))
        return await self._ask_rest(*asked, old, sides=sides)

    async def _ask_hours(self) -> str | None:
        """Ask for the hours of a soak that is in from now; empty where it is not in yet, None where it was left."""
        reads = partial(number_in, of=numbers.HOURS)
        return await self.ask_line("For how many hours, from now?", hint="Enter alone: it is not in yet", reads=reads)

    async def _ask_do(self, old: Job | None) -> tuple[str, str] | None:
        """Ask what sort of job it is, and about what; None where it was left."""
        do = await self.pick("What is left to do?", SORTS, here=old.do if old else "")
        what = await self.ask(f"{do.capitalize()} what?", value=old.what if old else "") if do else None
        return (do, what) if do and what else None

    async def _ask_rest(self, do: str, what: str, old: Job | None, *, sides: bool) -> Job | None:
        """Ask when a job must be done, how long it takes, and what else has to be known; None where it was left."""
        usual = (old.side or old.when) if old and old.do == do else usual_when(do)
        marked = self.host.keymap.shown("list.marked")
        times = WHENS if not sides else (*WHENS, *SIDES)
        when = await self.pick(f"When must it be done? {marked}: {usual}", times, here=usual)
        long = (old.takes if old else "") or NOT_KNOWN
        asks = f"How long does it take? {marked}: {long}"
        takes = await self.pick(asks, (*TAKES, NOT_KNOWN), here=long) if when else None
        if not (when and takes):
            return None
        if old is None or what != old.what:
            reason = await self.ask_reason(what)
            if reason is None:
                return None
            what = with_reason(what, reason) if reason else what
        side = when if when in SIDES else ""
        said: dict[str, Any] = {"do": do, "what": what, "when": "" if side else when, "side": side}
        said["takes"] = "" if takes == NOT_KNOWN else takes
        said |= unsaid_of(do)
        return Job(**said) if old is None else replace(old, **said)

    async def ask_why(self, asked: str, hint: str = "a reason; left without one, nothing is recorded") -> str | None:
        """Ask for the reason of what is not done without one; None where it was left so, which is said."""
        reason = await self.ask(asked, hint=hint)
        if reason is None:
            self.host.say("note", NO_REASON)
        return reason

    async def ask_reason(self, words: str) -> str | None:
        """Ask why something is done that cannot be undone, on a machine that is kept as found.

        Empty where nothing has to be asked; None where it was left, so that nothing is recorded.
        """
        machine = self.host.machine
        act = cannot_be_undone(words) if machine is not None and is_kept_as_found(machine.intent) else ""
        if not act:
            return ""
        asked = f"{act}: it cannot be undone, and this machine is kept as found. Why is it done?"
        return await self.ask_why(asked)

    async def do_asked(self, command: c.Command, *, machine: int = 0, quiet: bool = False) -> Done | None:
        """Do a command; where it throws away an original of a machine kept as found, ask first why.

        The photos that show it are named with the reason. None where it was left, or refused.
        """
        record, number = self.host.workshop.record, machine or self.host.machine_id
        try:
            change = rules.apply(record, number, command, at=self.host.workshop.now())
        except PutbackError:
            change = None  # the host says what is wrong with it
        asked = question(record, change) if change is not None else ""
        if asked and change is not None:
            reason = await self.ask_why(asked)
            if not reason:
                return None
            photos = photos_kept(record, change)
            command = replace(command, because=f"{reason} (photo {', '.join(photos[:3])})" if photos else reason)
        return self.host.do(command, quiet=quiet, machine=machine)

    async def ask_said(self, field: Field, here: str | None = None) -> str | None:
        """Ask for a field of a fastener, `here` being what stands in it where it is said right.

        None where it was left; empty where nothing is to stand in it.
        """
        lines, nothing = answers(field), field.usual or field.unsaid
        if not lines:
            return await self.ask_line(field.question, value=here or "", hint=field.hint)
        if field.words and here is not None:
            lines = (*lines, nothing)
        picked = await self.pick(field.question, lines, here=here or nothing if here is not None else "")
        if picked == OWN_WORDS:
            return await self.ask(field.question, hint=field.hint)
        return "" if picked == nothing else picked

    async def ask_head(self, here: str) -> Head | None:
        """Ask for a head, empty where it is not said; None where it was left."""
        head = await self.pick("Which head?", HEADS_LISTED, here=here or NOT_SAID)
        return None if head is None else next((one for one in HEADS if one == head), "")

    async def ask_drive(self, here: str, caption: str = "What turns it?") -> Drive | None:
        """Ask what turns a fastener, empty where it is not said; None where it was left."""
        drive = await self.pick(caption, DRIVES_LISTED, here=here or NOT_SAID)
        return None if drive is None else next((one for one in DRIVES if one == drive), "")

    async def ask_place(self, caption: str, hand: int, here: str = "", *, sends: bool = False) -> str | None:
        """Ask where a part goes; None where it was left or refused.

        `hand` is the bag in hand, `here` the place that holds until now: its line is marked. With `sends`, what is
        off already may be sent out instead: then SENT.
        """
        place = await self.pick(caption, PLACES, here=place_line(here, hand))
        if place is None:
            return None
        if place == PIECES:
            return ""
        if sends and place.startswith("away") and await self.pick("What is sent away?", (SENT, NEXT_PART)) != NEXT_PART:
            return SENT
        if place == IN_HAND:
            if not hand:
                self.host.refuse("There is no bag in hand yet.")
            return f"bag {hand}" if hand else None
        return await self.place_named(place)

    async def place_named(self, place: str) -> str | None:
        """Return a place of the list, asking for the further word that it needs; None where it was left or refused."""
        caption, hint = PLACES_ASKED.get(place, ("", ""))
        word = await self.ask(caption, hint=hint) if caption else ""
        if word is None:
            return None
        try:
            return read_place(place.removesuffix("...") + word)
        except BadInput as fault:
            self.host.refuse(str(fault))
            return None

    async def ask_setting(self, what: str = "") -> Adjustment | None:
        """Ask for a setting, as found and as it should be; None where it was left."""
        what = what or await self.ask("Which setting?", hint="end stop, spring, play") or ""
        return await self.ask_found(Adjustment(what=what)) if what else None

    async def ask_found(self, setting: Adjustment, *, over: bool = False) -> Adjustment | None:
        """Ask for a setting as found: its sort, or at once the measure itself. None where it was left.

        With `over`, nothing at all ends it, and the setting stays as it is.
        """
        caption = f"{setting.text}: what else?" if setting.found else f"{setting.what}: how is it, as found?"
        asked = AskListed(caption, FOUND_BY, hint="a number above, or the measure itself", reads=found_in)
        answer = await self.host.push_screen_wait(asked)
        if answer is None or not answer.strip():
            return setting if over and answer is not None else None
        line = line_of(answer)
        if line < 0:
            if TURNS.fullmatch(answer.strip()) is None:
                return replace(setting, measure=answer.strip())
            return replace(setting, turns=number_in(answer, numbers.TURNS))
        sort = FOUND_BY[line]
        if sort == "turns":
            count = await self.ask_number("How many turns?", numbers.TURNS)
            return None if count is None else replace(setting, turns=count)
        asks = {
            "a mark": ("Which mark shows it?", ""),
            "a gap": ("How wide is the gap, as found?", ""),
            "shims": ("Which shims, with commas?", ".010 at 8, .005 at 3"),
            "a measure": ("What is the measure, as found?", "42 mm hook to hook"),
        }
        text = await self.ask(asks[sort][0], hint=asks[sort][1])
        if not text:
            return None
        if sort == "shims":
            return replace(setting, shims=tuple(s.strip() for s in text.split(",") if s.strip()))
        if sort == "a gap" and not over:
            ought = await self.ask("How should it be?", hint="Enter alone: as found is right")
            return replace(setting, gap=text, should_be=ought or "")
        return replace(setting, **{sort.removeprefix("a "): text})


def found_in(answer: str) -> None:
    """Read a setting as found: a line of the list, a measure or turns. Raises BadInput where a number is of nothing."""
    if TURNS.fullmatch(answer.strip()) is not None:
        number_in(answer, numbers.TURNS)
    elif line_of(answer) < 0 and BARE.fullmatch(answer.strip()) is not None:
        raise BadInput(f"{quoted(answer.strip())} of what? With its unit, as 12 mm; for turns 1 alone, then how many.")


def bag_of(text: str) -> int:
    """Return the number of a bag as typed, 0 for nothing. Raises BadInput for anything else."""
    word = text.strip().casefold().removeprefix("bag").strip()
    number = whole_in(word or "0")
    if number is None:
        raise BadInput(f"“{text.strip()}” is not the number of a bag.")
    return number
