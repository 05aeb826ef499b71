"""Printing the sheets between sessions: what is to be made, a parcel's list, what has to be got."""

from __future__ import annotations

from typing import TYPE_CHECKING

from putback.dates import day
from putback.errors import PutbackError
from putback.photos.thumbnails import Thumbnails
from putback.reports.sent import SentOut
from putback.reports.to_get import get_lines
from putback.reports.wanted import noted_to_get
from putback.trade.checks.all_jobs import JobAt
from putback.tui.host import Host

if TYPE_CHECKING:
    from putback.sheets.writing import Printed


class SheetPrinting:
    """Writes sheets into the workshop's folder `out`, and says where they are."""

    def __init__(self, host: Host) -> None:
        """`host` is the app."""
        self.host = host

    async def make(self, one: JobAt) -> None:
        """Write the sheet of one thing to be made."""
        # The PDF library, only where something is printed.
        from putback.sheets.to_make import made_of, to_be_made

        folder = self.host.workshop.store.folder
        photos = Thumbnails(folder) if folder is not None else None
        facts = to_be_made(self.host.workshop.record, one, photos)
        self._write(made_of([facts]))

    async def parcel(self, trip: SentOut) -> None:
        """Write the list that goes in a parcel."""
        from putback.sheets.parcels import parcels  # the same

        folder = self.host.workshop.store.folder
        photos = Thumbnails(folder) if folder is not None else None
        self._write(parcels(self.host.workshop.record, [trip], photos))

    async def to_get(self) -> None:
        """Write the list of what to get for all machines."""
        from putback.sheets.to_get import to_get  # the same

        record, now = self.host.workshop.record, self.host.workshop.now()
        every = self.host.jobs_kept.all(record, now=now)
        wanted = [one for found in every for one in (*found.wanted, *noted_to_get(record, found.number))]
        lines = get_lines(record, wanted)
        self._write(to_get(lines))

    def _write(self, sheet: Printed) -> None:
        from putback.labels.sheets import as_set  # the same
        from putback.sheets.writing import paper_of, write_sheet  # the same

        folder = self.host.workshop.store.folder
        if folder is None:
            self.host.refuse("This workshop has no folder to print into.")
            return
        try:
            paper = paper_of(as_set(self.host.settings.labels)[0])
            path = write_sheet(sheet, folder / "out", paper=paper, day=day(self.host.workshop.now()))
        except PutbackError as fault:
            self.host.refuse(str(fault))
        else:
            self.host.say("note", f"made the sheet: print {path}")
