"""Sending things out and taking them in again, asked on the pad: who gets what, what for, until when."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from functools import partial

from msgspec.structs import replace

from putback.errors import BadInput
from putback.reports.sent import SentOut, SentThing
from putback.trade import commands as c
from putback.trade.checks.ledger import reachable
from putback.trade.commands.sorting_lots import Lot
from putback.trade.commands.trips import checked_due, home
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.phrases import times
from putback.trade.record.place import MISSING, in_bag, read_place
from putback.trade.record.step import Step
from putback.trade.record.trip import AS_SENT, HOW_BACK, NOT_THERE, UNITS
from putback.tui.dialogs.job_doing import JobDoing
from putback.tui.dialogs.numbers import COUNT
from putback.tui.dialogs.questions import Questions

GOES = "it goes: "
"""How the line of something marked begins."""

AS_IT_WENT = "it is as it went"
"""Said of a unit that came back with nothing new about it."""

ELSEWHERE = "another place"
"""The last line of where something of a lot goes."""

SENDS = "send what is marked"

MIXED = "as sent, in one tin with others: mixed"
"""Said where things out of several bags come back in one tin."""


def due_from(text: str, today: date) -> str:
    """Return the day that was typed: a number of days from today, or a date. Raises BadInput for anything else."""
    word = text.strip()
    if re.fullmatch(r"\d{1,4}", word):
        return (today + timedelta(days=int(word))).isoformat()
    return checked_due(word)


class Sending:
    """The questions about what is sent out."""

    def __init__(self, questions: Questions, doing: JobDoing) -> None:
        """`doing` says on the jobs page that something came back."""
        self.host = questions.host
        self.questions = questions
        self.doing = doing

    async def ask_sent(self, marked: tuple[int, ...] = ()) -> None:
        """Ask to whom what is sent, and send it; `marked` are things that go, if nothing else is said."""
        was = self.host.jobs_kept.unsent
        to = await self.questions.ask("To whom is it sent?", value=was[0], hint="plater, machinist")
        if to != was[0]:
            was = ("", "", "")
        what = await self.questions.ask_line("What for?", value=was[1], hint="nickel; or nothing") if to else None
        hint = "a number of days, or a day as 2025-11-20; or nothing"
        reads = partial(due_from, today=datetime.fromisoformat(self.host.workshop.now()).date())
        due = (
            await self.questions.ask_line("Due in how many days?", value=was[2], hint=hint, reads=reads)
            if what is not None
            else None
        )
        if not to or what is None or due is None:
            return
        day = reads(due)
        found = await self._marked(to, set(marked))
        if found is None:
            self.host.jobs_kept.unsent = (to, what, due)
            self.host.say("note", f"nothing is sent to {to} yet; what you said stands there when you send again")
        else:
            self.host.jobs_kept.unsent = ("", "", "")
            things, bags = found
            self.host.do(c.SendOut(to=to, what=what, due=day, things=things, bags=bags))

    async def _marked(self, to: str, things: set[int]) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
        """Ask which parts and which bags go, until the last line is chosen; None where it was left.

        Each line keeps its number; the one that sends stands behind them all, and is the one that Enter takes.
        """
        record, machine, bags = self.host.workshop.record, self.host.machine_id, set[int]()
        lines: list[tuple[str, str, int]] = []
        for thing in record.all(Thing, machine):
            if thing.sort != "fastener" and reachable(record, thing):
                step = record.get(Step, thing.step)
                count = sum(reachable(record, thing).values())
                lines.append((f"{times(count, thing.called)}, step {step.number}", "thing", thing.id))
        for bag in record.all(Bag, machine):
            if total := record.total(machine, in_bag(bag.number)):
                lines.append((f"bag {bag.number} with all {total} in it", "bag", bag.number))
        lines.sort(key=lambda line: (line[1] != "thing", -line[2]))  # what came off last is sent most often
        going = {"thing": things, "bag": bags}
        lines.sort(key=lambda line: line[2] not in going[line[1]])
        if not lines:
            self.host.refuse("Nothing is off that could be sent.")
            return None
        while True:
            options = [f"{GOES if number in going[sort] else ''}{label}" for label, sort, number in lines]
            asked = (*options, SENDS) if things or bags else tuple(options)
            chosen = await self.questions.pick(f"What goes to {to}? Each by its number.", asked, here=SENDS)
            if chosen is None:
                return None
            if chosen == SENDS:
                return tuple(sorted(things)), tuple(sorted(bags))
            _, sort, number = lines[options.index(chosen)]
            going[sort] ^= {number}

    async def ask_back(self, machine: int, one: SentThing) -> None:
        """Ask how something that was sent came back, and say it."""
        options: tuple[str, ...] = (*HOW_BACK, MIXED)
        how = await self.questions.pick(f"How did {one.text} come back?", options)
        if how is None:
            return
        note: str | None = ""
        if how not in (AS_SENT, NOT_THERE, MIXED):
            note = await self.questions.ask(f"What is {how}?", hint="plated, .0003 a side; chipped at the rim")
        put: str | None = ""
        if note is not None and how != NOT_THERE:
            usual = "a box of its own" if how == MIXED else one.source or "the shelf"
            hint = f"Enter alone: {usual}; or bag 3, shelf, box B"
            put = await self.questions.ask_line("Where does it lie now?", hint=hint)
        if note is None or put is None:
            return
        unit = await self._ask_unit(one) if how not in (NOT_THERE, MIXED) else ""
        if unit is None:
            return
        mixed = how == MIXED
        as_said = AS_SENT if mixed else HOW_BACK[options.index(how)]
        back = c.CameBack(sent=one.sent, thing=one.thing, note=note, put=put, mixed=mixed, how=as_said, unit=unit)
        self.doing.do_on(machine, back)

    async def _ask_unit(self, one: SentThing) -> str | None:
        """Ask what is so of a unit that is back; empty where it is as it was, or is not one. None where it was left."""
        record = self.host.workshop.record
        thing = record.get(Thing, one.thing)
        step = record.get(Step, thing.step)
        if thing.sort != "part" or not step.part or not step.whole:
            return ""
        said = await self.questions.pick(f"{thing.called} is a unit: what is so now?", (AS_IT_WENT, *UNITS))
        return "" if said == AS_IT_WENT else said

    async def ask_all_back(self, machine: int, trip: SentOut, *, mixed: bool) -> None:
        """Say that all of a trip is back as sent; of a mixed lot it is asked where it lies."""
        put: str | None = ""
        if mixed:
            put = await self.questions.ask_line(
                "Where does the tin lie?", hint="Enter alone: a box of its own; or box B, shelf"
            )
        if put is not None:
            self.doing.do_on(machine, c.AllBack(to=trip.to, at=trip.since, put=put, mixed=mixed))

    async def ask_sorted(self, lot: Lot) -> None:
        """Ask of each thing of a lot where it lies now, until all of them are said; then it is written down."""
        record, rows = self.host.workshop.record, list[c.Sorted]()
        for number, (count, source) in _in_lot(lot).items():
            thing, left = record.get(Thing, number), count
            step = record.get(Step, thing.step).number
            while left:
                what = f"{times(left, thing.called)}, step {step}"
                options = (source, MISSING, ELSEWHERE)
                put = await self.questions.pick(f"{what}: where do they go?", options, here=source)
                if put == ELSEWHERE:
                    put = await self.questions.ask_line("Which place?", hint="bag 3, box B, shelf", reads=read_place)
                if not put:
                    return
                many: int | None = left
                if left > 1:
                    of = replace(COUNT, check=partial(_at_most, left))
                    many = await self.questions.ask_count(
                        f"How many of the {left} go to {put}?", value=str(left), of=of
                    )
                if many is None:
                    return
                rows.append(c.Sorted(thing=number, count=many, put=put))
                left -= many
        self.doing.do_on(lot.machine, c.SortLot(place=lot.place, rows=tuple(rows)))


def _in_lot(lot: Lot) -> dict[int, tuple[int, str]]:
    """Return each thing of a lot with how many of it there are, and where it lay before."""
    found: dict[int, tuple[int, str]] = {}
    for sent in lot.sent:
        found[sent.thing] = (found.get(sent.thing, (0, ""))[0] + sent.count, home(sent))
    return found


def _at_most(most: int, count: float) -> None:
    if not 1 <= count <= most:
        raise BadInput(f"From 1 to {most} of them can go there.")
