"""What prints a label: its dots, and how small a module it may be given. Measures in millimetres."""

from dataclasses import dataclass

from putback.errors import BadInput
from putback.labels import qr

INCH = 25.4
DOTS = 300
"""Dots to the inch where nothing is said."""
LEAST_MODULE = 0.33
"""The least module in millimetres where nothing is said."""


@dataclass(frozen=True, slots=True)
class PrinterProfile:
    """What prints the label."""

    dpi: int = DOTS
    """Dots to the inch. A module is a whole number of dots."""
    least_module: float = LEAST_MODULE
    """The smallest module that is still printed and read well."""
    least_level: qr.Level = qr.Level.M
    """The lowest error correction for a square with a summary."""
    inches: bool = False
    """Whether the rule along the foot is in sixteenths of an inch."""

    def __post_init__(self) -> None:
        if not 72 <= self.dpi <= 4800:
            raise BadInput(f"no printer has {self.dpi} dots to the inch; 203, 300 and 600 are common")
        if not 0.05 <= self.least_module <= 10:
            raise BadInput(
                f"a module of {self.least_module:g} mm is not possible; it is from 0.05 to 10 mm, and 0.33 is usual"
            )

    @property
    def dot(self) -> float:
        """Side of a dot."""
        return INCH / self.dpi

    @property
    def least_dots(self) -> int:
        """Dots a module needs so as not to be under the least module."""
        return max(1, -int(-(self.least_module / self.dot - 1e-6) // 1))

    def max_version(self, side: float) -> int:
        """The largest version whose square and quiet zone fit into `side`; 0 when none does."""
        return qr.version_within(int(side / self.dot + 1e-6) // self.least_dots)

    def on_dot(self, measure: float) -> float:
        """The nearest whole number of dots."""
        return round(measure / self.dot) * self.dot

    def module(self, square: qr.Square, side: float, most: float = 10.0) -> float:
        """The largest whole number of dots for a module so that the square fits `side`."""
        dots = int(side / self.dot + 1e-6) // square.full_side
        return max(self.least_dots, min(dots, int(most / self.dot))) * self.dot
