"""A measure to be made, with what it may be over and under: `12.5 +-.05`, `1/4 -.002`, `.250 +.000 -.001`.

Each of its numbers is read by `reading`, as everything is that a person types.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import Unreadable
from putback.sizing.reading import Measure, Unfinished, read_measure, tidy
from putback.sizing.units import Unit, in_unit

FEWEST, MOST = 2, 5
"""Decimals that a limit is written with: no fewer in either unit, and no more."""

HOW = "type 12.5 +-.05, 1/4 -.002 or .250 +.000 -.001"

MOST_INCHES, LEAST_MM = 5, 1
"""A bare figure of so many inches and more, or of less than so many millimetres, is asked about."""

_NOMINAL = re.compile(r"(?:(?:[0-9]+(?: +| *- *))?[0-9]+ */ *[0-9]+|[0-9]*[.,]?[0-9]+) *(?P<unit>[a-zµ\"']+\.?)?", re.I)
_BY = re.compile(
    r" *(?P<sign>\+/-|\+ ?-|[+-]) *(?P<by>[0-9]*[.,]?[0-9]+(?: */ *[0-9]+)?) *(?P<unit>[a-zµ\"']+\.?)?", re.I
)
_THOUSANDTHS = re.compile(r"(?<![0-9.,])([0-9]{3})(?![0-9.,])")
_NOTHING = re.compile(r"0*[.,]?0+")
_SPREADS = ("mm", "in", "inch", '"')
"""Units that are those of the whole where they stand behind its last number."""


class Toleranced(Struct, frozen=True):
    """One measure with its limits."""

    nominal: Measure
    """What it is to be."""
    text: str
    """As typed, its spaces put right."""
    over: Fraction | None = None
    """The most that it may be over, mm; below 0 where it has to be under. None where no limit was said."""
    under: Fraction | None = None
    """The most that it may be under, as what is added to it, mm."""
    has_unit: bool = False
    """Whether its unit was said."""

    @property
    def unit(self) -> Unit:
        """What it is told in."""
        return self.nominal.unit

    @property
    def called(self) -> str:
        """It as it is written down: with its unit, thousandths of an inch with their point: `.250 +.000 -.001 in`."""
        if self.has_unit:
            return self.text
        text = self.text if self.unit == "mm" or "/" in self.text else _THOUSANDTHS.sub(r".\1", self.text)
        found = _NOMINAL.match(text)
        at = len(text) if found is None or not re.search(r"[a-z\"']", text, re.I) else len(found[0].rstrip())
        return f"{text[:at]} {self.unit}{text[at:]}"

    @property
    def may_be_other_unit(self) -> bool:
        """Whether no unit was said and it is so large in inches, or so small in millimetres, that the other is likely.

        The bounds are common practice, no source.
        """
        if self.has_unit:
            return False
        return self.nominal.mm < LEAST_MM if self.unit == "mm" else in_unit(self.nominal.mm, "in") >= MOST_INCHES

    @property
    def limits(self) -> str:
        """The least and the most that it may be, in its own unit: `.249 to .250 in`; empty where no limit was said."""
        if not self.ends:
            return ""
        places = max(FEWEST, *map(_decimals, self.ends))
        return " to ".join(_figures(end, places, self.unit) for end in self.ends) + f" {self.unit}"

    @property
    def ends(self) -> tuple[Fraction, ...]:
        """The least and the most that it may be, in its own unit; nothing where no limit was said."""
        if self.over is None or self.under is None:
            return ()
        return tuple(in_unit(self.nominal.mm + by, self.unit) for by in (self.under, self.over))


def read_toleranced(text: str, unit: Unit) -> Toleranced:
    """Read a measure to be made on a machine whose unit is `unit`.

    On the pad `*` stands for the space. Raises Unreadable, with one sentence, for what is not one, or cannot be made.
    """
    plain = tidy(text.replace("*", " ").replace("±", "+-"))
    found = _NOMINAL.match(plain)
    rest = plain[found.end() :] if found is not None else ""
    if found is None or not rest.lstrip().startswith(("+", "-")):
        return Toleranced(_measured(plain, unit), plain, has_unit=bool(re.search(r"[a-z\"']", plain, re.I)))
    tail = re.fullmatch(rf"(?:{_BY.pattern})(?:{_BY.pattern.replace('?P<', '?P<second_')})?", rest, re.I)
    if tail is None:
        raise Unreadable(f"'{plain}' is not a measure with its limits; {HOW}.")
    said = tail["second_unit"] or tail["unit"] or ""
    given = f" {said}" if not found["unit"] and said.casefold().rstrip(".") in _SPREADS else ""
    nominal = _measured(found[0].strip() + given, unit)
    first = _by(tail["by"], tail["unit"], nominal)
    if len(tail["sign"]) > 1:
        if tail["second_by"]:
            raise Unreadable(f"'{plain}' says its limits twice; {HOW}.")
        ends = [-first, first]
    else:
        ends = [first if tail["sign"] == "+" else -first, Fraction(0)]
        if tail["second_by"]:
            if len(tail["second_sign"]) > 1:
                raise Unreadable(f"'{plain}' says its limits twice; {HOW}.")
            second = _by(tail["second_by"], tail["second_unit"], nominal)
            ends[1] = second if tail["second_sign"] == "+" else -second
    under, over = min(ends), max(ends)
    if nominal.mm + under <= 0:
        raise Unreadable(f"'{plain}' may be nothing at all: what it may be under is more than it is.")
    return Toleranced(replace(nominal, text=plain), plain, over, under, bool(found["unit"] or given))


def _measured(text: str, unit: Unit) -> Measure:
    read = read_measure(text, unit)
    if isinstance(read, Unfinished):
        raise Unreadable(f"'{text}' is not a whole measure: {read.hint}.")
    return read


def _by(text: str, unit: str | None, nominal: Measure) -> Fraction:
    """Return by how much it may be over or under, mm; a bare number is in the unit of the measure."""
    if _NOTHING.fullmatch(text):
        return Fraction(0)
    return _measured(f"{text} {unit}" if unit else text, nominal.unit).mm


def _decimals(value: Fraction) -> int:
    """Return how many decimals it takes to write a value, at most MOST."""
    return next((places for places in range(MOST) if (value * 10**places).denominator == 1), MOST)


def _figures(value: Fraction, places: int, unit: Unit) -> str:
    """Return a limit in figures; inches as they are written at a bench, without the nought before the point."""
    text = str(round(Decimal(value.numerator) / Decimal(value.denominator), places))
    return text.removeprefix("0") if unit == "in" else text
