"""What else is known of a machine: country, decade and trade, and how far each shifts what its threads may be.

Standards have dates and trades had habits. The factors are common practice, no source; the dates are those of the
standards: A.S.M.E. machine screws 1907, unified 1948, BA and Whitworth in Britain until unified and ISO came, DIN
instead of Loewenherz about 1925, JIS to ISO 1968 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from msgspec import Struct

from putback.errors import Unreadable
from putback.sizing.gauge import Origin

TRADES = ("typewriter or calculator", "clock", "sewing machine", "camera", "radio", "cycle", "electrical")
"""Trades whose threads are known; any other shifts nothing."""

_COUNTRIES: dict[str, str] = {
    "jp": "japan", "de": "germany", "deutschland": "germany", "austria": "germany", "britain": "uk",
    "great britain": "uk", "england": "uk", "scotland": "uk", "gb": "uk", "united kingdom": "uk", "usa": "us",
    "united states": "us", "america": "us", "u.s.": "us", "u.s.a.": "us", "u.k.": "uk", "ch": "switzerland",
}  # fmt: skip
"""Other words for countries that shift something."""

EARLIEST, LATEST = 1750, 2099
"""Years that a decade may lie in."""


class Background(Struct, frozen=True):
    """Country, year and trade of a machine, as far as known."""

    country: str = ""
    """us, uk, germany, japan, switzerland, or any other word."""
    year: int | None = None
    """The middle of the decade, or the year."""
    trade: str = ""
    """One of TRADES, or nothing."""


def background(country: str | None, decade: str | None, trade: str | None) -> Background:
    """The same from what was typed. Raises Unreadable for a decade or a trade that is none."""
    where = " ".join((country or "").casefold().split()).removeprefix("the ")
    return Background(_COUNTRIES.get(where, where), read_year(decade or ""), read_trade(trade or ""))


def read_year(text: str) -> int | None:
    """The year meant by `1923`, `1920s`, `about 1925`, or of `before 1925` one before it; None for nothing.

    Raises Unreadable where no year stands in it.
    """
    plain = " ".join(text.casefold().split())
    if not plain:
        return None
    found = re.fullmatch(r"(about|around|circa|c\.?|before|after)? ?([12][0-9]{3})('?s)?", plain)
    year = int(found[2]) if found else 0
    if found is None or not EARLIEST <= year <= LATEST:
        raise Unreadable(f"decade: '{text.strip()[:20]}' is not one; type it as 1920s, 1923 or before 1925.")
    shift = {"before": -1, "after": 1}.get(found[1] or "", 0)
    return year + shift + (5 if found[3] and year % 10 == 0 else 0)


def read_trade(text: str) -> str:
    """The trade of that name or beginning; nothing for nothing. Raises Unreadable with the list for another."""
    plain = " ".join(text.casefold().split())
    if not plain:
        return ""
    for trade in TRADES:
        if trade.startswith(plain) or any(word.startswith(plain) for word in trade.split(" or ")):
            return trade
    raise Unreadable(f"trade: '{text.strip()[:20]}' is none of {', '.join(TRADES)}.")


def origin_by(origin: Origin, known: Background) -> Origin:
    """Whose threads a machine has: as it was said, else by its country."""
    if origin != "unknown" or not known.country:
        return origin
    return {"us": "us", "uk": "uk"}.get(known.country, "metric")  # type: ignore[return-value]


@cache
def shifts(known: Background) -> Mapping[str, float]:
    """How many times likelier each series is by what is known; a series that is not named is as likely as ever."""
    found: dict[str, float] = {}
    for more in (_by_date(known.country, known.year), _BY_TRADE.get(known.trade, {})):
        for series, factor in more.items():
            found[series] = found.get(series, 1.0) * factor
    return found


def home_only(known: Background) -> bool:
    """Whether a hole of a foreign plate is never believed alone: on an old Japanese machine, of three standards."""
    return known.country == "japan" and (known.year is None or known.year < 1968)


_BY_TRADE: dict[str, dict[str, float]] = {
    "typewriter or calculator": {"NS": 2.0, "Loewenherz": 2.0},
    "clock": {"BA": 1.5, "Thury": 4.0, "ISO small": 3.0, "NS": 1.5},
    "sewing machine": {"sixty-fourths": 100.0, "NS": 1.5},
    "camera": {"ISO small": 3.0, "old metric": 2.0, "metric special": 3.0, "UNM": 2.0},
    "radio": {"BA": 2.0, "BSW": 0.5, "BSB": 2.0},
    "cycle": {"CEI": 10.0},
    "electrical": {"BA": 2.0, "BSB": 2.0},
}


def _by_date(country: str, year: int | None) -> dict[str, float]:
    if country == "japan" and (year is None or year < 1968):
        return {"old metric": 8.0, "BSW": 8.0, "BSF": 1.5}
    if country == "germany":
        if year is not None and year < 1925:
            return {"Loewenherz": 40.0, "BSW": 4.0}
        return {} if year is None else {"Loewenherz": 0.3}
    if country == "switzerland" and (year is None or year < 1950):
        return {"Thury": 8.0}
    if year is None:
        return {}
    if country == "uk":
        if year < 1950:
            return {"UNC": 0.3, "UNF": 0.3, "UNEF": 0.3, "ISO coarse": 0.3, "ISO fine": 0.3}
        return (
            {"UNC": 3.0, "UNF": 4.0} if year < 1968 else {"UNC": 3.0, "UNF": 4.0, "ISO coarse": 12.0, "ISO fine": 4.0}
        )
    if country == "us":
        if year < 1907:
            return {"NS": 4.0, "sixty-fourths": 4.0, "UNEF": 0.3, "ISO coarse": 0.2, "ISO fine": 0.2}
        return {"NS": 1.5, "ISO coarse": 0.4, "ISO fine": 0.4} if year < 1948 else {"NS": 0.3, "UNEF": 1.5}
    return {}
