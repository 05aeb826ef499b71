"""A setting as found, as it should be and as set: what the difference comes to, and whether it has to be asked about.

A quantity is read from words as they are typed at the bench. What cannot be compared, as a mark or "tight", is not
asked about. How far is far is common practice, no source: a quarter of a turn; of a length a tenth, and at least what a
feeler leaf and a hand come to; of any other measure a tenth. Where a range was said, its ends are meant.
"""

from __future__ import annotations

import re
from fractions import Fraction

from msgspec import Struct

from putback.errors import Unreadable
from putback.sizing.reading import Measure, read_measure
from putback.sizing.units import Unit, in_unit
from putback.trade.record.step import Adjustment

FAR_TURNS = Fraction(1, 4)
"""Turns by which a setting may differ unasked."""

FAR_PART = Fraction(1, 10)
"""The part of any other measure by which it may."""

LEAST_MM = Fraction(1, 20)
"""Millimetres by which a length may in any case: about .002 in."""

_TURNS = "turns"
_LENGTH = "mm"
_TURN_WORDS = frozenset({"x", "t", "turn", "turns"})
_AMOUNT = re.compile(r"(?P<whole>\d+[ -]+)?(?P<top>\d+)/(?P<bottom>[1-9]\d*)|(?P<plain>\d+(?:[.,]\d+)?|[.,]\d+)")
_TO = re.compile(r"\s+to\s+|\s*\u2013\s*|\s+-\s+")
_BY = re.compile(r"\s*(?:±|\+/-|\+-)\s*")


class Quantity(Struct, frozen=True):
    """An amount of something that can be compared."""

    amount: Fraction
    """How much, in `of`."""
    of: str
    """What it is counted in: turns, mm, or the word that stands behind it."""


class Difference(Struct, frozen=True):
    """How far a setting is from what it was to be."""

    words: str
    """It in words: `0.5 turns more`."""
    far: bool
    """Whether it has to be asked about."""


def wanted(setting: Adjustment) -> str:
    """Return what a setting is to come to: what it should be, else as it was found; empty where neither is known."""
    return setting.should_be or setting.found


def asked_words(setting: Adjustment) -> str:
    """Return the question for a setting as set."""
    to = f", to be {setting.should_be}" if setting.should_be else ""
    found = f", found {setting.found}" if setting.found else ""
    return f"{setting.what}{found}{to}: how is it set now?"


def quantity(text: str, unit: Unit, of: str = "") -> Quantity | None:
    """Return the quantity that `text` tells of, or None; a bare number is counted in `of`."""
    words = " ".join(text.split())
    found = _AMOUNT.match(words)
    if found is None:
        return None
    rest = words[found.end() :].strip()
    if rest.casefold() in _TURN_WORDS or (not rest and of == _TURNS):
        return Quantity(_number(found), _TURNS)
    if not rest and of not in ("", _LENGTH):
        return Quantity(_number(found), of)
    length = _length(words, unit, bare=bool(rest) or of == _LENGTH)
    if length is not None:
        return Quantity(length, _LENGTH)
    return Quantity(_number(found), rest.casefold()) if rest else None


def _number(found: re.Match[str]) -> Fraction:
    if found["plain"]:
        return Fraction(found["plain"].replace(",", "."))
    return Fraction(int((found["whole"] or "0").strip(" -"))) + Fraction(int(found["top"]), int(found["bottom"]))


def _length(words: str, unit: Unit, *, bare: bool) -> Fraction | None:
    """Return the millimetres of the longest beginning of `words` that is a length; with its unit where words follow."""
    parts = words.split(" ")
    for count in range(len(parts), 0, -1):
        text = " ".join(parts[:count])
        if not any(letter.isalpha() or letter in "\"'" for letter in text) and not (bare and count == len(parts)):
            continue
        try:
            read = read_measure(text, unit)
        except Unreadable:
            continue
        if isinstance(read, Measure):
            return read.mm
    return None


def range_wanted(setting: Adjustment, unit: Unit) -> tuple[Quantity, Quantity] | None:
    """Return the least and the most that a setting is to come to, the same twice where it is one value."""
    if not setting.should_be:
        if setting.turns is not None:
            at = Quantity(Fraction(str(setting.turns)), _TURNS)
            return at, at
        one = quantity(setting.gap or setting.measure, unit, _LENGTH)
        return (one, one) if one is not None else None
    of = _TURNS if setting.turns is not None else _LENGTH
    ends = _TO.split(setting.should_be, maxsplit=1)
    if len(ends) == 2:
        low, high = _both(ends, unit, of)
        return (low, high) if low and high and low.of == high.of and low.amount <= high.amount else None
    around = _BY.split(setting.should_be, maxsplit=1)
    if len(around) == 1:
        one = quantity(setting.should_be, unit, of)
        return (one, one) if one is not None else None
    one, by = _both(around, unit, of)
    if one is None or by is None or by.of != one.of:
        return None
    return Quantity(one.amount - by.amount, one.of), Quantity(one.amount + by.amount, one.of)


def _both(texts: list[str], unit: Unit, of: str) -> tuple[Quantity | None, Quantity | None]:
    """Return two quantities of which the first may have its unit behind the second: `.280 to .285 in`."""
    second = quantity(texts[1], unit, of)
    tail = re.sub(r"^[\d.,/ ]+", "", texts[1].strip())
    first = texts[0] if any(map(str.isalpha, texts[0])) else f"{texts[0]} {tail}"
    return quantity(first, unit, second.of if second else of), second


def difference(setting: Adjustment, reading: str, unit: Unit) -> Difference | None:
    """Return how far `reading` is from what a setting is to come to; None where that cannot be said."""
    ends = range_wanted(setting, unit)
    if ends is None:
        return None
    low, high = ends
    read = quantity(reading, unit, low.of)
    if read is None or read.of != low.of:
        return None
    if low.amount <= read.amount <= high.amount:
        return Difference("within what it should be" if low != high else "as it was to be", False)
    more = read.amount > high.amount
    by = read.amount - high.amount if more else low.amount - read.amount
    told_in: Unit = "mm" if "mm" in reading else "in" if "in" in reading or '"' in reading else unit
    words = f"{_told(by, low.of, told_in)} {'more' if more else 'less'}"
    return Difference(words, low != high or by > _allowed(low))


def _allowed(one: Quantity) -> Fraction:
    if one.of == _TURNS:
        return FAR_TURNS
    return max(one.amount * FAR_PART, LEAST_MM) if one.of == _LENGTH else one.amount * FAR_PART


def _told(amount: Fraction, of: str, unit: Unit) -> str:
    if of == _LENGTH:
        text = f"{round(float(in_unit(amount, unit)), 4 if unit == 'in' else 3):g}"
        return f"{text.removeprefix('0') if unit == 'in' else text} {unit}"
    return f"{float(amount):.4g} {'turn' if of == _TURNS and amount == 1 else of}"


def as_set_words(setting: Adjustment, unit: Unit) -> str:
    """Return a setting as set in words: `as set: 3 turns, 0.5 turns more (the stop is new)`; empty while not said."""
    if not setting.as_set:
        return ""
    off = difference(setting, setting.as_set, unit)
    why = f" ({setting.why_so})" if setting.why_so else ""
    return f"as set: {setting.as_set}{f', {off.words}' if off is not None else ''}{why}"
