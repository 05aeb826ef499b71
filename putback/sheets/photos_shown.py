"""Which photo stands on a sheet."""

from __future__ import annotations

from pathlib import Path

from putback.errors import PutbackError
from putback.photos.thumbnails import Thumbnails
from putback.trade.record.photo import Photo, in_order
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def photo_named(record: Record, machine: int, step: Step | None, name: str) -> Photo | None:
    """Return the photo of that name, of the step or else of the machine; without such a name the step's first."""
    of_step = in_order(record.photos_of(step)) if step is not None else []
    wanted = name.strip().casefold()
    if wanted:
        every = (*of_step, *record.all(Photo, machine))
        found = next((one for one in every if wanted in (one.name.casefold(), one.file.casefold())), None)
        if found is not None:
            return found
    return of_step[0] if of_step else None


def photo_file(photo: Photo | None, photos: Thumbnails | None) -> Path | None:
    """Return the small copy of a photo; None where there is none, or its picture is not to be had."""
    if photo is None or photos is None:
        return None
    try:
        return photos.path(photo.file)
    except PutbackError:  # a picture that is gone or damaged leaves its place empty; the words stand
        return None
