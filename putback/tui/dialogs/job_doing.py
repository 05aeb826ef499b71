"""Saying that a line of the jobs page is done, in hand, come back, ordered or here: the page and its cards share it."""

from __future__ import annotations

from msgspec.structs import replace

from putback.reports.jobs_page import JobLine
from putback.reports.sent import SentOut
from putback.reports.soaking import Bath
from putback.trade import commands as c
from putback.trade.checks.all_jobs import JobAt
from putback.trade.record.job import DONE
from putback.tui.host import Host


class JobDoing:
    """What can be said of a line of the jobs page."""

    def __init__(self, host: Host) -> None:
        """`host` is the app that the page stands in."""
        self.host = host

    def do_on(self, machine: int, command: c.Command) -> bool:
        """Do a command on a machine, whether it is on the bench or not; tell whether it was done."""
        done = self.host.do(command, machine=machine) is not None
        if done:
            self.host.jobs_kept.said_on = machine
        return done

    def is_done(self, line: JobLine) -> None:
        """Say that what a line is about is done; what has to be asked about first has its card opened instead."""
        if line.at is not None:
            self.stands(line.at, DONE)
        elif isinstance(line.about, Bath):
            self.do_on(line.machine, lifting(line.about))
        elif isinstance(line.about, SentOut):
            self.open_line(line)
        else:
            self.open_line(line)

    def open_line(self, line: JobLine) -> None:
        """Open the card of a line."""
        self.host.push_screen(self.host.screen_named("job", line.machine, line.key))

    def stands(self, one: JobAt, state: str, result: str = "") -> None:
        """Say how a job stands."""
        self.do_on(one.machine, replace(work_of(one), state=state, result=result))


def lifting(bath: Bath, minutes: float | None = None) -> c.Command:
    """Return the command that says that a soak is lifted out; `minutes` are those hands on, where they were said."""
    return work_of(bath.at) if bath.at is not None else c.EndSoak(step=bath.step, minutes=minutes)


def work_of(one: JobAt) -> c.WorkOn:
    """Return the command that says how a job stands, as done."""
    step = one.step.number if one.step is not None else 0
    bag = one.bag.number if one.bag is not None else 0
    of_machine = one.step is None and one.bag is None
    return c.WorkOn(what=one.job.what, do=one.job.do, state=DONE, step=step, bag=bag, of_machine=of_machine)
