"""How a day is written, as the person's settings say. Stamps, in files and in JSON, are of ISO 8601 whatever is set."""

from __future__ import annotations

from datetime import date, datetime

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

FORMS = ("2025-03-07", "7 Mar 2025", "Mar 7, 2025", "7.3.2025", "07/03/2025", "03/07/2025")
"""The forms there are, each as it writes the seventh of March 2025."""

_MONTH_FIRST = (FORMS[2], FORMS[5])

_form = FORMS[0]


def write_days_as(form: str) -> None:
    """Let days be written in one of FORMS from now on; in the first where that is none of them."""
    global _form
    _form = form if form in FORMS else FORMS[0]


def day(stamp: str | date) -> str:
    """Return the day of a stamp with its year; a stamp that cannot be read is given as it stands, up to its time."""
    try:
        found = stamp if isinstance(stamp, date) else datetime.fromisoformat(stamp)
    except ValueError:
        return str(stamp)[:10]
    month = MONTHS[found.month - 1]
    return {
        FORMS[1]: f"{found.day} {month} {found.year}",
        FORMS[2]: f"{month} {found.day}, {found.year}",
        FORMS[3]: f"{found.day}.{found.month}.{found.year}",
        FORMS[4]: f"{found.day:02}/{found.month:02}/{found.year}",
        FORMS[5]: f"{found.month:02}/{found.day:02}/{found.year}",
    }.get(_form, f"{found.year:04}-{found.month:02}-{found.day:02}")


def day_in_words(stamp: str) -> str:
    """Return the day of a stamp without its year: `7 Mar`; a stamp that cannot be read is given as it stands."""
    try:
        found = datetime.fromisoformat(stamp)
    except ValueError:
        return stamp
    month = MONTHS[found.month - 1]
    return f"{month} {found.day}" if _form in _MONTH_FIRST else f"{found.day} {month}"


def day_and_time(stamp: str) -> str:
    """Return a stamp to the minute, as its own clock had it; an empty one is `now`."""
    return f"{day(stamp)} {stamp[11:16]}" if stamp else "now"


def from_to(start: str, end: str) -> str:
    """Return a stretch of time, its day told once where both ends have one: `2025-03-07 18:40 to 19:51`."""
    same = bool(end) and start[:10] == end[:10]
    return f"{day_and_time(start)} to {end[11:16] if same else day_and_time(end)}"
