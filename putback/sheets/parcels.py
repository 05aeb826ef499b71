"""The list that goes in a parcel: each thing of a trip with its photo, its marks and how many."""

from __future__ import annotations

from collections.abc import Sequence

from putback.dates import day
from putback.photos.thumbnails import Thumbnails
from putback.reports.sent import SentOut, SentThing
from putback.sheets.photos_shown import photo_file, photo_named
from putback.sheets.ticked import Sheet, Ticked, ticked
from putback.sheets.writing import Printed
from putback.trade.record.fastener import Thing
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def parcels(record: Record, trips: Sequence[SentOut], photos: Thumbnails | None = None) -> Printed:
    """Return the list of each trip."""
    return ticked("parcels", "Nothing is sent out.", [parcel_sheet(record, trip, photos) for trip in trips])


def parcel_sheet(record: Record, trip: SentOut, photos: Thumbnails | None = None) -> Sheet:
    """Return the list of one trip."""
    days = [f"sent {day(trip.since)}"] if trip.since else []
    days += [f"due {trip.due}"] if trip.due else []
    return Sheet(
        title=f"To {trip.to}" + (f": {trip.what}" if trip.what else ""),
        under=(f"from {trip.machine}", *([", ".join(days)] if days else []), *trip.cautions),
        lines=tuple(_line(record, one, photos) for one in trip.things),
        foot=f"{counted(sum(one.count for one in trip.things), 'thing')} in all",
    )


def _line(record: Record, one: SentThing, photos: Thumbnails | None) -> Ticked:
    thing = record.get(Thing, one.thing)
    photo = photo_named(record, thing.machine, record.get(Step, thing.step), "")
    notes = (one.marks, f"step {one.step}", thing.note)
    return Ticked(str(one.count), one.what, tuple(filter(None, notes)), photo_file(photo, photos))
