"""Saying how it stands with what has to be got: ordered, here, in the drawer, out of the spares, from a donor."""

from __future__ import annotations

from putback.reports.to_get import GetLine, get_lines
from putback.trade import commands as c
from putback.trade.commands.donors import Donor
from putback.trade.commands.getting import HERE
from putback.trade.record.spare import Spare
from putback.tui.dialogs.job_doing import JobDoing
from putback.tui.dialogs.questions import Questions


class Getting:
    """What can be said of a line of the list of what to get."""

    def __init__(self, questions: Questions, doing: JobDoing) -> None:
        """`questions` asks, `doing` writes down what was said."""
        self.questions = questions
        self.doing = doing
        self._ways: tuple[int, GetLine] | None = None

    def with_ways(self, line: GetLine) -> GetLine:
        """Return a line with what can be done about it; all machines are looked through once for each change."""
        workshop = self.doing.host.workshop
        if self._ways is None or self._ways[0] != workshop.store.number:
            (found,) = get_lines(workshop.record, line.things)
            self._ways = workshop.store.number, found
        return self._ways[1]

    async def stands(self, line: GetLine, state: str) -> None:
        """Say how it stands with everything of a line."""
        for one in line.things:
            count = one.count if state == HERE else 1
            await self._do(one.machine, c.Getting(thing=one.thing, state=state, what=one.called, count=count))

    async def from_spares(self, line: GetLine, spare: Spare) -> None:
        """Let spares go in, as far as they reach."""
        for one in line.things[: spare.left]:
            await self._do(one.machine, c.TakeSpare(spare=spare.id, thing=one.thing, put="shelf"))

    async def from_donor(self, line: GetLine, donor: Donor) -> None:
        """Let one of another machine go in; where that is kept as found, it is asked why."""
        reason: str | None = ""
        if donor.kept:
            asked = f"{donor.machine.caption} is kept as found: why is its {donor.thing.called} taken?"
            reason = await self.questions.ask_why(asked)
        if reason is not None:
            one = line.things[0]
            self.doing.do_on(one.machine, c.FromDonor(thing=one.thing, donor=donor.thing.id, reason=reason))

    async def _do(self, machine: int, command: c.Command) -> None:
        """Do a command on a machine; where that throws an original away that is kept as found, it is asked why."""
        if await self.questions.do_asked(command, machine=machine) is not None:
            self.doing.host.jobs_kept.said_on = machine
