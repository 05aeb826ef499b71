"""Writes the sheets as PDF: `make.pdf`, `parcels.pdf`, `to-get.pdf`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from putback.errors import BadInput
from putback.labels.paper import PAPERS, Grid
from putback.labels.printing import write_pages
from putback.photos.thumbnails import Thumbnails
from putback.reports.sent import SentOut
from putback.reports.to_get import GetLine
from putback.sheets.parcels import parcel_sheet
from putback.sheets.ticked import ticked_pages
from putback.sheets.to_get import get_sheet
from putback.sheets.to_make import ToMake, make_page
from putback.trade.record.record import Record


def paper_of(on: Grid) -> str:
    """Return the paper for whole pages where labels are printed on `on`: A4 where that is a roll."""
    return on.paper if on.paper in PAPERS else "A4"


def write_make(things: Sequence[ToMake], out: Path, *, paper: str = "A4", day: str = "") -> Path:
    """Write a page for each thing to be made. Raises BadInput where there is none, DiskTrouble as the disk does."""
    if not things:
        raise BadInput("Nothing is to be made.")
    return write_pages("make", [make_page(one, paper, day) for one in things], out, paper)


def write_parcels(
    record: Record, trips: Sequence[SentOut], out: Path, photos: Thumbnails, *, paper: str = "A4", day: str = ""
) -> Path:
    """Write the list of each trip on pages of its own. Raises BadInput where nothing is sent out."""
    if not trips:
        raise BadInput("Nothing is sent out.")
    pages = [page for trip in trips for page in ticked_pages(parcel_sheet(record, trip, photos), paper, day)]
    return write_pages("parcels", pages, out, paper)


def write_to_get(lines: Sequence[GetLine], out: Path, *, paper: str = "A4", day: str = "", of: str = "") -> Path:
    """Write the list of what to get. Raises BadInput where nothing has to be got."""
    if not lines:
        raise BadInput("Nothing has to be got.")
    return write_pages("to-get", ticked_pages(get_sheet(lines, of=of), paper, day), out, paper)
