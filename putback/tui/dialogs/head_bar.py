"""The bar above everything, as the bench and the way back have it: machine, session, and the time of the segment."""

from __future__ import annotations

from collections.abc import Sequence

from putback.reports.soaking import Bath, soaks_due
from putback.trade.record.session import Session
from putback.tui.draw.latest import Latest
from putback.tui.host import Host
from putback.tui.widgets.panes import HeaderData


class HeadBar:
    """What the bar says."""

    def __init__(self, host: Host) -> None:
        self.host = host
        self._due: Latest[Sequence[Bath]] = Latest()

    def data(self, session: Session | None) -> HeaderData:
        """Return what the bar shows; `session` is the one that has not ended, None where there is none."""
        machine = self.host.machine
        now = self.host.workshop.now()
        gone = self.host.workshop.store.adrift
        return HeaderData(
            machine=machine.caption if machine else "no machine yet",
            session=session.number if session else 0,
            segment=len(session.segments) if session else 0,
            minutes=session.segment_minutes(now) if session else 0.0,
            target=session.target if session else 40.0,
            paused=session is None or session.paused,
            note="FOLDER GONE" if gone else "" if self.host.workshop.store.writable else "READ ONLY",
            due=due[0].short if not gone and (due := self.soaks_due()) else "",
        )

    def soaks_due(self) -> Sequence[Bath]:
        """Return the soaks of this machine that are due; they are looked for anew once a minute or a change."""
        now = self.host.workshop.now()
        mark = (self.host.workshop.store.number, self.host.machine_id, now[:16])
        machine = self.host.machine_id
        return self._due.of(mark, lambda: soaks_due(self.host.workshop.record, machine, now=now) if machine else [])
