"""How old a bag is and which photos show its work, in a few words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from putback.dates import day
from putback.reports.bags import bag_card
from putback.trade.record.bag import Bag
from putback.trade.record.photo import WHENS, Photo
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record


def bag_story(record: Record, bag: Bag, now: str) -> str:
    """Return when a bag was begun and closed, as seen from the stamp `now`, and how many photos its steps have."""
    steps = (record.step(bag.machine, number) for number in bag_card(record, bag).steps)
    photos = sum(len(record.photos_of(step)) for step in steps if step is not None)
    texts = [f"{word} {ago(stamp, now)}" for word, stamp in (("begun", bag.opened), ("closed", bag.closed)) if stamp]
    return ", ".join([*texts, *([counted(photos, "photo")] if photos else [])])


LONG_AGO = 140
"""Days after which a day is said by its date."""


def ago(stamp: str, now: str) -> str:
    """Return how long before `now` a stamp was, in days, or in weeks from a fortnight on; the day where it is long."""
    days = (datetime.fromisoformat(now) - datetime.fromisoformat(stamp)).days
    if days < 1:
        return "today" if days == 0 else "later than now"
    if days >= LONG_AGO:
        return f"on {day(stamp)}"
    return f"{counted(days, 'day')} ago" if days < 14 else f"{days // 7} weeks ago"


def photos_text(photos: Sequence[Photo]) -> str:
    """Return how many photos there are and where in the step they fall; empty where there is none."""
    if not photos:
        return ""
    falls = Counter(photo.falls for photo in photos)
    words = [*WHENS, *(f"{when}, at refit" for when in WHENS)]
    parts = [f"{falls[word]} {word.replace(',', '')}" for word in words if falls[word]]
    doubtful = sum(photo.doubt for photo in photos)
    parts += [f"{doubtful} in doubt"] if doubtful else []
    return counted(len(photos), "photo") + (f": {', '.join(parts)}" if parts else "")
