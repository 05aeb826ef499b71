"""The one door to pint: how many millimetres a unit of length is, exactly.

Inch, millimetre and thousandth of an inch are answered without it, so that live typing never waits for
pint to load; a test holds them against pint. Everything else a person may write goes through pint, whose
registry is made on first use.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Literal

from putback.errors import Unreadable

if TYPE_CHECKING:
    from pint import UnitRegistry

Unit = Literal["in", "mm"]
"""A machine's unit."""

MM_PER_INCH = Fraction(254, 10)
"""Exact by definition (ISO 80000-3)."""

_OWN: dict[str, Fraction] = {
    "mm": Fraction(1),
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "''": MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
    "thousandth": MM_PER_INCH / 1000,
    "thousandths": MM_PER_INCH / 1000,
    "mil": MM_PER_INCH / 1000,  # to pint a mil is an angle
    "mils": MM_PER_INCH / 1000,
}

_BEGUN = frozenset(
    {"m", "i", "t", "th", "tho", "mi", "c", "inc"}
    | {"thousandths"[:n] for n in range(5, 11)}
    | {"f", "foo", "fee", "y", "u", "µ"}
    | {"b", "by", "e", "ey", "r", "ru", "rul"}  # by eye and by rule, which instruments.py reads, begin so
)
"""Beginnings of a unit that is still being typed. A bare m is one: 11.2m is on its way to 11.2mm."""


def unit_begun(name: str) -> bool:
    """True when `name` is not yet a unit but may become one with the next letter."""
    return name.lower() in _BEGUN and name.lower() not in _OWN


def unit_size(name: str) -> Fraction:
    """Millimetres in one `name`, exact. Raises Unreadable when it is not a unit of length."""
    own = _OWN.get(name.lower())
    return own if own is not None else _asked_of_pint(name.lower())


def in_unit(mm: Fraction, unit: Unit) -> Fraction:
    """`mm` millimetres told in inches or millimetres, exact."""
    return mm / MM_PER_INCH if unit == "in" else mm


@cache
def _registry() -> UnitRegistry[Fraction]:
    import pint  # a fifth of a second: only when somebody types centimetres

    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def _asked_of_pint(name: str) -> Fraction:
    import pint  # as above

    registry = _registry()
    try:
        size = registry.Quantity(Fraction(1), registry.parse_units(name)).to("millimeter").magnitude
    except (pint.errors.PintError, ValueError) as fault:
        raise Unreadable(f"'{name}' is not a unit of length; use in, mm or thou.") from fault
    return Fraction(size)
