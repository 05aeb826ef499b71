"""What is to be made: the measures that it is turned, filed or cut to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from msgspec import Struct

from putback.sizing.toleranced import Toleranced, read_toleranced
from putback.sizing.units import Unit

MEASURED = (
    "diameter", "length", "bore", "over the flats", "thickness", "width", "depth", "radius", "hole to hole",
)  # fmt: skip
"""What a measure is most often of, in the order of the list (common practice, no source)."""

MOST_PIECES = 1_000
"""How many pieces of one thing are made at most."""

UNMADE: dict[str, Any] = {"measures": (), "material": "", "drawing": "", "count": 1}
"""The fields of a job of which nothing is made, as they are then."""


def unsaid_of(sort: str) -> dict[str, Any]:
    """Return the fields of a job that no job of that sort has, as they are then: what was another sort loses them."""
    return (UNMADE if sort != "make" else {}) | ({"hours": 0.0} if sort != "soak" else {})


class Dimension(Struct, frozen=True):
    """One measure of a thing to be made."""

    of: str
    """What it is of, in words: diameter, over the flats, length."""
    measure: str
    """The measure with its unit and what it may be over and under: `.250 +.000 -.001 in`."""

    @property
    def read(self) -> Toleranced:
        """The measure as figures. Raises Unreadable where it is none."""
        return read_toleranced(self.measure, "mm")

    @property
    def text(self) -> str:
        """It in a line: `diameter .250 +.000 -.001 in (.249 to .250 in)`."""
        limits = self.read.limits
        return f"{self.of} {self.measure}" + (f" ({limits})" if limits else "")


def checked_dimension(dimension: Dimension, unit: str) -> Dimension:
    """Return a measure as it is kept: with its unit, which is that of the machine where none was said.

    Raises BadInput where it is none.
    """
    of = " ".join(dimension.of.split()) or MEASURED[0]
    return Dimension(of, read_toleranced(dimension.measure, cast(Unit, unit)).called)


def making_words(measures: Iterable[Dimension], material: str, drawing: str, count: int) -> str:
    """Return what is known of a thing to be made, in words: `2, of silver steel; diameter 6 -.01 mm; drawing: pin.jpg`.

    Empty where nothing is.
    """
    many = f"{count} pieces" if count > 1 else ""
    head = ", ".join(filter(None, (many, f"of {material}" if material else "")))
    return "; ".join(filter(None, (head, *(one.text for one in measures), f"drawing: {drawing}" if drawing else "")))
