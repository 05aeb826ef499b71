"""The jobs page: what can be done now, what soaks, what is sent out, what is to get, what is stuck."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from textual import work
from textual.content import Content

from putback.reports.jobs_page import Group, JobLine, first_of_all, job_lines
from putback.reports.to_get import GetLine
from putback.trade import commands as c
from putback.trade.record.fastener import KINDS
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.named import steps_named
from putback.trade.record.step import Soak
from putback.tui.dialogs.job_doing import JobDoing
from putback.tui.dialogs.numbers import SPARES
from putback.tui.dialogs.sheet import TO_THE_BENCH, CardFrame
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.latest import Latest
from putback.tui.draw.palette import KEY
from putback.tui.draw.text import plain, rows_needed, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped

NEW_JOB, NEW_SPARES = "a job of the machine on the bench", "spares of the workshop"
"""What can be noted from the page."""

OF_MACHINE = "the machine, and none of its parts"
"""The last line of the list of what a job is of."""

OTHER = "something else"
"""The last line of the kinds of spares."""

LINES = 9
"""Lines on a page: as many as there are number keys."""

MOST_ROWS = 3
"""Rows that a line has on the page; the rest of it stands on its card."""


class _Page(Struct, frozen=True):
    """One page: a group, or a part of one."""

    group: Group
    lines: tuple[JobLine, ...]


class JobsScreen(CardFrame):
    """The jobs of all machines."""

    def __init__(self) -> None:
        super().__init__()
        self._at = 0
        self._pages: list[_Page] = []
        self._lines: Latest[tuple[list[JobLine], str]] = Latest()
        self._tall: Latest[list[int]] = Latest()
        self._laid: Latest[list[_Page]] = Latest()
        self._saying_done = False

    def on_mount(self) -> None:
        self.host.jobs_kept.said_on = 0
        super().on_mount()

    # -- drawing -------------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw the page."""
        width = inner_width(self.app.size.width)
        now = self.host.workshop.now()
        stand = (self.host.workshop.store.number, now[:16])  # the hours that something soaks go on by the minute
        lines, first = self._lines.of(stand, lambda: self._gathered(now))
        answer = self._answer(width)
        foot = feet(self._keys(), width)
        head = wrapped(self.voiced(first), width, "$pb-verdigris") if first else []
        room = max(3, inner_height(self.app.size.height) - 1 - len(answer) - len(foot))
        laid = (*stand, self.host.machine_id, width)
        tall = self._tall.of(laid, lambda: self._rows_of(lines, width))
        self._pages = self._laid.of((*laid, room, len(head)), lambda: self._laid_out(lines, tall, room, len(head)))
        self._at = max(0, min(self._at, len(self._pages) - 1))
        shown = [Content(""), *wrapped("Nothing is left to do.", width)] if not lines else []
        title = "jobs"
        if self._pages:
            page = self._pages[self._at]
            of = f", page {self._at + 1} of {len(self._pages)}" if len(self._pages) > 1 else ""
            count = sum(line.group == page.group for line in lines)
            title = f"jobs: {page.group} ({count}){of}"
            for number, line in enumerate(page.lines, 1):
                shown += self._row(number, line, width)
        rows = [plain(self.voiced(title), width, "bold $pb-text"), *([] if self._at else head), *shown]
        rows += [Content("")] * (inner_height(self.app.size.height) - len(rows) - len(answer) - len(foot))
        self._draw(Content("\n").join([*rows, *answer, *foot]))
        self.place_photo(0, 0, 0, 0)

    def _gathered(self, now: str) -> tuple[list[JobLine], str]:
        """Return the lines of all machines, and which job frees most."""
        found = self.host.jobs_kept.all(self.record, now=now)
        known = self.host.jobs_kept.lines(self.record, now=now)
        return job_lines(self.record, found, known), first_of_all(found)

    def _laid_out(self, lines: list[JobLine], tall: list[int], room: int, head: int) -> list[_Page]:
        """Return the pages: no group shares one with another, and none has more than nine lines.

        `tall` are the rows that each line needs; the first page has `head` rows less for them.
        """
        pages: list[_Page] = []
        rows, held = 0, list[JobLine]()
        for line, needed in zip(lines, tall, strict=True):
            full = rows + needed > room - (0 if pages else head) or len(held) == LINES
            if held and (held[0].group != line.group or full):
                pages.append(_Page(held[0].group, tuple(held)))
                rows, held = 0, []
            rows, held = rows + needed, [*held, line]
        return [*pages, _Page(held[0].group, tuple(held))] if held else pages

    def _rows_of(self, lines: list[JobLine], width: int) -> list[int]:
        """Return how many rows each line needs."""
        captions = {machine.id: machine.caption for machine in self.record.all(Machine)}
        spoken, words = self.voiced, self.host.glyphs.words
        told = (self._told(line, captions) for line in lines)
        return [min(MOST_ROWS, rows_needed(spoken(text) if words else text, width - 4)) for text in told]

    def _told(self, line: JobLine, captions: Mapping[int, str]) -> str:
        """Return a line's words; where it is not of the machine on the bench, with its machine.

        Of what has to be got the card names the machines.
        """
        if line.machine == self.host.machine_id or isinstance(line.about, GetLine):
            return line.text
        return f"{line.text}  [{captions[line.machine]}]"

    def _row(self, number: int, line: JobLine, width: int) -> list[Content]:
        """Return a line on as many rows as it needs, up to three; another machine than that on the bench is named.

        Of what has to be got the card says for which machines. What is longer than three rows ends with a sign for
        it: its card says all of it.
        """
        of = {line.machine: self.record.get(Machine, line.machine).caption}
        lines = [row.plain for row in wrapped(self.voiced(self._told(line, of)), width - 4)]
        lines[MOST_ROWS - 1 :] = [" ".join(lines[MOST_ROWS - 1 :])] if len(lines) >= MOST_ROWS else []
        ascii_only = self.host.glyphs.ascii
        first, *more = (plain(row, width - 4, "$pb-text", ascii_only=ascii_only) for row in lines)
        rows = [Content.assemble((f" {number} ", KEY), first)]
        rows += [Content.assemble("   ", row) for row in more]
        return [tapped(row.pad_right(max(0, width - row.cell_length)), "press", number) for row in rows]

    def _keys(self) -> list[tuple[str, str]]:
        pair = self.host.keymap.pair
        if self._saying_done:
            return [("1-9", "is done: which?"), pair("jobs.leave", "none")]
        keys = [pair("jobs.go"), pair("jobs.done")]
        if len(self._pages) > 1:
            keys.append(pair("jobs.next"))
        return [*keys, pair("jobs.new"), pair("jobs.back"), pair("jobs.leave"), pair("jobs.help")]

    # -- keys ----------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """On the jobs page."""
        return ("jobs",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "jobs")
        saying, self._saying_done = self._saying_done, False
        if command_id == "jobs.go":
            self._chosen(int(key) - 1, done=saying)
        elif command_id == "jobs.done":
            self._saying_done = not saying
        elif command_id in ("jobs.next", "jobs.before") and self._pages:
            self._at = (self._at + (1 if command_id == "jobs.next" else -1)) % len(self._pages)
        elif command_id == "jobs.new":
            self.note_one()
        elif command_id == "jobs.back":
            self.host.take_back(self.host.jobs_kept.said_on)
        elif command_id == "jobs.help":
            self.show_keys("jobs")
        elif command_id == "jobs.bench":
            self.leave(TO_THE_BENCH)
            return
        elif command_id == "jobs.leave" and not saying:
            self.leave(None)
            return
        self.redraw()

    def _chosen(self, index: int, *, done: bool) -> None:
        """Open the card of a line, or say that what it is about is done."""
        lines = self._pages[self._at].lines if self._pages else ()
        if index >= len(lines):
            self.host.ring("refused")
        elif not done:
            self.open_card(self.host.screen_named("job", lines[index].machine, lines[index].key))
        else:
            JobDoing(self.host).is_done(lines[index])

    @work
    async def note_one(self) -> None:
        """Ask for a job of the machine on the bench, or for spares."""
        chosen = await self.questions.pick("What do you want to add?", (NEW_JOB, NEW_SPARES))
        if chosen == NEW_SPARES:
            await self._note_spares()
        job = None if chosen != NEW_JOB else await self.questions.ask_job(sides=False)
        if job is not None:
            await self._note_job(job)
        self.redraw()

    async def _note_job(self, job: Job) -> None:
        """Note a job; one whose words name a part that is off may be of its step: then the way back asks for it."""
        found = {
            f"step {step.number}, {step.name}": step.number
            for step in steps_named(self.host.workshop.record, self.host.machine_id, job.what)
        }
        of = await self.questions.pick("What is it of?", (*found, OF_MACHINE)) if found else OF_MACHINE
        if of is None:
            return
        step = found.get(of, 0)
        if step and job.do == "soak" and job.hours:
            self.host.do(c.Annotate(step=step, soak=Soak(job.what, job.hours)))
        else:
            self.host.do(c.SayJob(step=step, of_machine=not step, job=job))

    async def _note_spares(self) -> None:
        """Ask for spares: of which kind and size, how many, where from and where they lie."""
        kind = await self.questions.pick("Spares of what?", (*KINDS, OTHER))
        size = await self.questions.ask("Which size?", hint="#8-32 UNC x 3/8; or what it is") if kind else None
        count = await self.questions.ask_count("How many?", value="1", of=SPARES) if size else None
        words = (
            await self.questions.ask_lines(("Where are they from?", "Where do they lie?"))
            if count is not None
            else None
        )
        if kind and size and count is not None and words is not None:
            origin, place = words
            kind = "" if kind == OTHER else kind
            self.host.do(c.AddSpare(size=size, kind=kind, count=count, origin=origin, place=place))
