"""The card of a line of the jobs page: what it is, how it stands, and what can be said of it, by number."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import cached_property, partial

from msgspec.structs import replace
from textual import work
from textual.content import Content
from textual.screen import Screen

from putback.reports.jobs_page import JobLine, Key, job_key, job_lines, lines_of_machine
from putback.reports.sent import SentOut, SentThing, told_apart
from putback.reports.soaking import Bath
from putback.reports.to_get import GetLine
from putback.reports.todo import HeldUp, JobRow
from putback.trade import commands as c
from putback.trade.cautions.dangers import cautions_told, is_licensed
from putback.trade.checks.all_jobs import jobs_kept
from putback.trade.checks.ledger import reachable
from putback.trade.commands.getting import DRAWER, HERE, IN_THE_DRAWER, NOT_YET
from putback.trade.commands.sorting_lots import Lot
from putback.trade.commands.trips import home
from putback.trade.record.fastener import Thing
from putback.trade.record.job import DONE, IN_HAND, ORDERED, TO_DO, Job
from putback.trade.record.machine import Machine
from putback.trade.record.making import making_words, unsaid_of
from putback.trade.record.phrases import times
from putback.trade.record.spare import Spare
from putback.trade.record.step import Step
from putback.tui.cards.card import CardScreen, Link, Mend
from putback.tui.dialogs.getting import Getting
from putback.tui.dialogs.job_doing import JobDoing, lifting, work_of
from putback.tui.dialogs.making import Making
from putback.tui.dialogs.sending import Sending
from putback.tui.dialogs.sheets import SheetPrinting
from putback.tui.draw.palette import LOOK
from putback.tui.draw.text import wrapped

Act = tuple[str, Callable[[], Awaitable[None]]]
"""What can be said of a line, and what asks and says it."""


MOST_DONORS = 3
"""Donors that a card offers at once; the next ones come up as these are taken."""

_GET_WORDS = {
    ORDERED: "it is ordered",
    HERE: "it is here: it lies on the shelf",
    IN_THE_DRAWER: "one is in the drawer",
    NOT_YET: "it is to get after all",
}


class JobScreen(CardScreen):
    """One line of the jobs page, whether it is still on it or done since."""

    mended = "What is to be done with it?"
    gone = "This is no longer among what is left to do."

    def __init__(self, machine: int, key: Key) -> None:
        super().__init__()
        self._machine = machine
        self._key = key
        self._gets: frozenset[int] = frozenset()

    # -- what it is about ----------------------------------------------------------------------------

    @cached_property
    def doing(self) -> JobDoing:
        """What says how it stands."""
        return JobDoing(self.host)

    @cached_property
    def sending(self) -> Sending:
        """The questions about what is sent out."""
        return Sending(self.questions, self.doing)

    @cached_property
    def making(self) -> Making:
        """The questions about what is to be made."""
        return Making(self.questions)

    @cached_property
    def getting(self) -> Getting:
        """What is said of what has to be got."""
        return Getting(self.questions, self.doing)

    @property
    def line(self) -> JobLine | None:
        """The line; None where there is no such thing any more, or it is a job that is done."""
        if self._key[0] == "get":  # one list over all machines
            every = self.host.jobs_kept.all(self.record, now=self.host.workshop.now())
            line = next((line for line in job_lines(self.record, every) if line.key == self._key), None)
            return line if line is not None and self._is_the_same(line) else None
        machine = self.record.get(Machine, self._machine)
        found = self.host.jobs_kept.of(self.record, machine, now=self.host.workshop.now())
        return next((line for line in lines_of_machine(found) if line.key == self._key), None)

    def _is_the_same(self, line: JobLine) -> bool:
        """Tell whether a line of what to get is still about something for which the card was opened.

        One of a donor fills a gap here and leaves one like it there: that is another line, though it reads the same.
        """
        things = {one.thing for one in line.about.things} if isinstance(line.about, GetLine) else set[int]()
        self._gets = self._gets or frozenset(things)
        return not things or not self._gets.isdisjoint(things)

    @property
    def row(self) -> JobRow | None:
        """The job, however it stands; None where it is about something else."""
        line = self.line
        if line is not None:
            return line.about if isinstance(line.about, JobRow) else None
        kept = (one for one in jobs_kept(self.record, self._machine) if job_key(one) == self._key)
        return next((JobRow(one) for one in kept), None)

    def is_there(self) -> bool:
        return self.line is not None or self.row is not None

    def machine(self) -> int:
        line = self.line if self._key[0] == "get" else None
        return self._machine if line is None else line.machine

    @property
    def is_ours(self) -> bool:
        """Whether it can be changed here: a job can, on whichever machine it is."""
        return True

    def caption(self) -> str:
        row, line = self.row, self.line
        if row is not None:
            return f"job: {row.job.called}"
        if line is None:
            return ""
        return f"{line.group}: {line.about.title if isinstance(line.about, SentOut) else line.text}"

    def facts(self, width: int) -> list[Content]:
        row, line = self.row, self.line
        lines: list[Content] = []
        if row is not None:
            job = row.job
            lines += wrapped(f"now: {job.stands}", width, LOOK)
            lines += self.fact("note", f"of {row.at.where}{f', {job.at_hole}' if job.hole else ''}", width)
            lines += self.fact("note", f"when: {job.side or job.when}; how long: {job.takes or 'not known'}", width)
            lines += self._making(job, width)
            if row.stuck:
                lines += self.fact("asks", f"it waits for {row.stuck}", width)
            if row.frees:
                lines += self.fact("note", f"it frees {row.freed(' of the way back')}", width)
            words = job.what
        else:
            words = line.text if line is not None else ""
        if line is not None and isinstance(line.about, GetLine):
            for wanted in line.about.things:
                lines += self.fact("note", f"for {wanted.caption}, {wanted.where}", width)
            found = self.getting.with_ways(line.about)
            lines += self.fact("asks", f"ways: {'; '.join(found.ways)}", width)
        if line is not None and isinstance(line.about, Lot):
            for sent in line.about.sent:
                thing = self.record.get(Thing, sent.thing)
                step = self.record.get(Step, thing.step).number
                words = f"{times(sent.count, thing.called)}, step {step}: lay in {home(sent)}"
                lines += self.fact("note", words, width)
        if line is not None and isinstance(line.about, SentOut):
            for one in line.about.things:
                marks = f" ({one.marks})" if one.marks else ""
                lines += self.fact("note", f"{one.text}, step {one.step}{marks}{self._readings(one)}", width)
            left = line.about.due_text(self.host.workshop.now())
            lines += self.fact("asks", left, width) if left else []
        for caution in cautions_told([words]):
            lines += self.fact("caution", caution, width)
        return lines

    def _making(self, job: Job, width: int) -> list[Content]:
        """Return what is known of a thing to be made: each measure on a line of its own, as large as a card has it."""
        lines: list[Content] = []
        for one in job.measures:
            lines += self.fact("note", one.text, width)
        head = making_words((), job.material, job.drawing, job.count)
        return lines + (self.fact("note", head, width) if head else [])

    def _readings(self, one: SentThing) -> str:
        """Return what was measured of something as it came off, to look at it by when it is back."""
        thing = self.record.get(Thing, one.thing)
        step = self.record.get(Step, thing.step)
        size = "" if thing.size in one.text else thing.size
        read = ", ".join(filter(None, (size, *thing.readings.values(), *(a.text for a in step.adjust))))
        return f"; as it came off: {read}" if read else ""

    # -- what can be said ----------------------------------------------------------------------------

    def acts(self) -> list[Act]:
        """Return what can be said of it, in the order of its numbers."""
        row, line = self.row, self.line
        if row is not None:
            return self._acts_of_job(row)
        if line is not None and isinstance(line.about, Bath):
            return [("it is lifted out", self._lifted)]
        if line is not None and isinstance(line.about, SentOut):
            things = line.about.things
            backs: list[Act] = []
            for one in things:
                asks = partial(self.sending.ask_back, self._machine, one)
                backs.append((f"came back: {told_apart(self.record, one, things)}", asks))
            return backs + (self._all_back(line.about) if len(backs) > 1 else [])
        if line is not None and isinstance(line.about, Lot):
            all_home = c.SortLot(place=line.about.place)
            return [
                ("sort it by hand, thing by thing", partial(self.sending.ask_sorted, line.about)),
                ("it is sorted: each lies where it lay before", partial(self._do, all_home)),
            ]
        if line is not None and isinstance(line.about, GetLine):
            states = (ORDERED, HERE, IN_THE_DRAWER, *([NOT_YET] if line.about.state == ORDERED else []))
            acts: list[Act] = [(_GET_WORDS[state], partial(self.getting.stands, line.about, state)) for state in states]
            for number in line.about.spares:
                spare = self.record.get(Spare, number)
                acts.append(
                    (
                        f"from the spares: {spare.called}, {spare.left} left",
                        partial(self.getting.from_spares, line.about, spare),
                    )
                )
            for donor in self.getting.with_ways(line.about).donors[:MOST_DONORS]:
                acts.append(
                    (
                        f"from the donor: {donor.whole}",
                        partial(self.getting.from_donor, line.about, donor),
                    )
                )
            return acts
        return []

    def _all_back(self, trip: SentOut) -> list[Act]:
        """Return what can be said of a whole trip at once, where it was sent as one."""
        if not all(one.sent for one in trip.things):
            return []
        asks = partial(self.sending.ask_all_back, self._machine, trip)
        return [
            ("all of it came back, as sent", partial(asks, mixed=False)),
            ("all of it came back in one tin: mixed", partial(asks, mixed=True)),
        ]

    async def _do(self, command: c.Command) -> None:
        self.doing.do_on(self._machine, command)

    def _acts_of_job(self, row: JobRow) -> list[Act]:
        async def say(state: str) -> None:
            self.doing.stands(row.at, state)

        if row.job.do == "get" and row.job.open:

            async def drawer() -> None:
                self.doing.stands(row.at, DONE, DRAWER)

            ordered = [] if row.job.since else [(_GET_WORDS[ORDERED], lambda: say(IN_HAND))]
            return [*ordered, ("it is here", self._done), (_GET_WORDS[IN_THE_DRAWER], drawer)]
        states = {
            IN_HAND: ("it is in hand from now on", lambda: say(IN_HAND)),
            DONE: ("it is done", self._done),
            TO_DO: ("it is still to do", lambda: say(TO_DO)),
        }
        acts: list[Act] = [act for state, act in states.items() if state != row.job.state]
        if row.job.do == "send out" and row.job.open and self._machine == self.host.machine_id:
            acts.insert(0, ("send it out now", self._send))
        if row.job.do != "send out" and row.job.open and is_licensed(row.job.what):
            acts.append(("send it out: it belongs to licensed people", partial(self._licensed, row)))
        if row.job.do == "make":
            acts.append(("a measure of it", partial(self._made, self.making.ask_measure)))
            acts.append(("how many, of what, and the drawing", partial(self._made, self.making.ask_material)))
        return acts

    async def _made(self, asks: Callable[[Job, str], Awaitable[Job | None]]) -> None:
        """Ask something about a thing to be made, and note it."""
        row = self.row
        job = await asks(row.job, self.record.get(Machine, self._machine).unit) if row is not None else None
        if row is not None and job is not None:
            self.doing.do_on(self._machine, self._mended(row, job=job))

    async def _licensed(self, row: JobRow) -> None:
        """Make it a job to send out, and ask at once to whom where that can be said here."""
        if self.doing.do_on(
            self._machine, self._mended(row, job=replace(row.job, do="send out", **unsaid_of("send out")))
        ):
            self._key = (*self._key[:4], "send out", row.job.what)
            self.redraw()
            if self._machine == self.host.machine_id:
                await self._send()

    async def _send(self) -> None:
        """Send what the job is about, and more if there is more."""
        row = self.row
        step = row.at.step if row is not None else None
        parts = self.record.things_of(step) if step is not None else []
        await self.sending.ask_sent(tuple(t.id for t in parts if t.sort == "part" and reachable(self.record, t)))

    async def _lifted(self) -> None:
        line = self.line
        if line is not None and isinstance(line.about, Bath):
            self.doing.do_on(line.machine, lifting(line.about))

    async def _done(self) -> None:
        """Ask what came of it, and say that it is done."""
        row = self.row
        if row is None:
            return
        result = await self.questions.ask_line(
            "What was the result?", value=row.job.result, hint="brazed and filed; or nothing"
        )
        if result is not None:
            self.doing.stands(row.at, DONE, result)

    def links(self) -> list[Link]:
        """Return what can be said, and then the ways to other cards."""
        said = [Link(label, lambda: self) for label, _ in self.acts()]
        row, line = self.row, self.line
        ways: list[Link] = []
        step = row.at.step if row is not None else None
        if row is None and line is not None and isinstance(line.about, Bath | HeldUp):
            step = self.record.step(self._machine, line.about.step)
        if step is not None:
            number = step.id
            ways.append(Link(f"step {step.number}: {step.text}", lambda: self.host.card_of("step", number)))
        if row is not None and row.at.bag is not None:
            bag = row.at.bag
            ways.append(Link(f"bag {bag.number}", lambda: self.host.card_of("bag", bag.id)))
        return [*said, *ways]

    def go(self, index: int) -> None:
        """Say what has that number, or open the card."""
        acts = self.acts()
        before = sum(len(links) for _, links in self._pages[: self._page])
        here = len(self._pages[self._page][1]) if self._pages else 0
        if index < here and before + index < len(acts):
            self.say_it(acts[before + index][1])
        else:
            super().go(index)

    @work
    async def say_it(self, asks: Callable[[], Awaitable[None]]) -> None:
        """Ask what has to be asked, and say it; with nothing left of the line, the card is left, and the page below
        has the outcome."""
        await asks()
        if self.is_there():
            self.redraw()
        else:
            self.leave(None)

    # -- correcting ----------------------------------------------------------------------------------

    def mends_say(self) -> str:
        if self.row is not None:
            return "correct, print" if self.row.job.do == "make" else ""
        return "print" if self._prints(self.line) else ""

    def mends(self) -> list[Mend]:
        row, line = self.row, self.line
        if row is None:
            return self._prints(line)
        measures = row.job.measures
        make = partial(SheetPrinting(self.host).make, row.at)
        sheet = [Mend("print its sheet, to take to the lathe", make)] if row.job.do == "make" else []
        return [
            *sheet,
            Mend("what it is, or when it is needed", self._mend),
            *(Mend(one.text, partial(self._made, partial(self.making.ask_again, one))) for one in measures),
            Mend("take it out: it is not a job", self._out),
        ]

    def _prints(self, line: JobLine | None) -> list[Mend]:
        """Return what can be printed of a line that is no job."""
        if line is not None and isinstance(line.about, SentOut):
            return [Mend("print the list for its parcel", partial(SheetPrinting(self.host).parcel, line.about))]
        if line is not None and isinstance(line.about, GetLine):
            return [Mend("print the list of all that has to be got", SheetPrinting(self.host).to_get)]
        return []

    async def _mend(self) -> None:
        row = self.row
        job = await self.questions.ask_job(row.job, sides=row.at.step is not None) if row is not None else None
        if row is not None and job is not None and self.doing.do_on(self._machine, self._mended(row, job=job)):
            self._key = (*self._key[:4], job.do, job.what)

    async def _out(self) -> None:
        row = self.row
        if row is not None:
            self.doing.do_on(self._machine, self._mended(row, job=None))

    def _mended(self, row: JobRow, **job: object) -> c.MendJob:
        of = work_of(row.at)
        return c.MendJob(what=of.what, do=of.do, step=of.step, bag=of.bag, of_machine=of.of_machine, **job)  # type: ignore[arg-type]

    def take_back(self) -> None:
        """Take back the last thing done on its machine."""
        of_several = self._key[0] == "get"  # its list is over all machines: it is what was done last
        self.host.take_back(self.host.jobs_kept.said_on or self._machine if of_several else self._machine)

    def beside(self, step: int) -> Screen[str | None] | None:
        return None
