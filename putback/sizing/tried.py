"""What was tried on a thread where no measure parts it from others: its flanks held to the light, a mate run on.

From here on it is probability, as in `evidence`. How often each is mistaken is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import cache

from msgspec import Struct

from putback.errors import Unreadable
from putback.sizing.evidence import Shape, shape_of, shapes
from putback.sizing.gauge import FLATTEST, STEEPEST, Origin, read_gauge
from putback.sizing.reading import Unfinished, tidy
from putback.sizing.units import Unit

SEEN, TAKEN_FOR, FAR_OFF = 1.0, 0.15, 0.05
"""A leaf held to the light shows the thread's own angle; how often one of 55 degrees is taken for one of 60, or the
other way; and one of 47.5 for either."""

RUNS, LOOSELY, BY_MISTAKE = 1.0, 0.5, 0.08
"""A mate known to be right runs on freely; on threads of nearly its size, with flanks of another angle, loosely; and
on others it only seems to."""

BINDS = 0.04
"""How often it does not run on although it is the right one: dirt, a bruised crest."""


class Mate(Struct, frozen=True):
    """A nut (or screw) known to be of one size, tried on the thread."""

    names: tuple[str, ...]
    """What it may be."""
    runs: bool = True
    """Whether it ran on freely."""


def read_flank(text: str) -> Fraction | Unfinished:
    """The included angle of the flanks, degrees: `60`, `55`, `47.5`.

    Raises Unreadable for what is no such angle.
    """
    plain = re.sub(r" ?(?:degrees|deg|\N{DEGREE SIGN})$", "", tidy(text).lower()).replace(",", ".")
    if re.fullmatch(r"[4-6]", plain):
        return Unfinished(text, "the angle of its flanks, as 60, 55 or 47.5")
    angle = Fraction(plain.rstrip(".")) if re.fullmatch(r"[0-9]{2}(?:\.[0-9]*)?", plain) else Fraction(0)
    if not FLATTEST <= angle <= STEEPEST:
        raise Unreadable(f"flank: '{text.strip()[:20]}' is not an angle of a thread's flanks; type 60, 55 or 47.5.")
    return angle


def read_mate(text: str, origin: Origin, unit: Unit) -> Mate | Unfinished:
    """A nut of known size that ran on: `1/4 bsw`; or that did not: `not 1/4 20`.

    Raises Unreadable where it does not say a size by name.
    """
    plain = text.strip()
    refused = re.match(r"(?:not?|binds)\b *", plain, re.I)
    size = plain[refused.end() :] if refused else plain
    if not size:
        return Unfinished(text, "the nut's size, as 1/4 bsw")
    meant = read_gauge(size, origin, unit, what="nut")
    if isinstance(meant, Unfinished):
        return meant
    if not meant.names:
        raise Unreadable(f"nut: '{size[:20]}' is a measure; type the size it is known to be, as 1/4 bsw.")
    return Mate(meant.names, runs=refused is None)


def angles_alike(one: float, other: float) -> float:
    """How often flanks of `one` degrees are taken for flanks of `other`, held to the light."""
    apart = abs(one - other)
    return SEEN if apart < 1 else TAKEN_FOR if apart < 6 else FAR_OFF


def sizes_alike(one: Shape, other: Shape) -> float:
    """How often a nut of one size runs on a thread of the other."""
    if abs(one.log_pitch - other.log_pitch) < 0.004 and abs(one.log_major - other.log_major) < 0.006:
        return RUNS if abs(one.flank - other.flank) < 1 else LOOSELY
    return BY_MISTAKE


def mate_fits(shape: Shape, mate: Mate) -> float:
    """Chance of what the mate did, on this thread; the size it was likeliest to fit counts."""
    runs = max(sizes_alike(shape, shape_of(name)) for name in mate.names)
    return runs if mate.runs else max(BINDS, 1 - runs)


def mate_explains(shape: Shape, mate: Mate) -> bool:
    """Whether what the mate did does not speak against this thread."""
    fits = mate_fits(shape, mate)
    return fits >= LOOSELY if mate.runs else fits > BINDS


def unknown_flank(angle: float) -> float:
    """Chance that a thread in no table shows this angle: its flanks are as likely of each angle that is made."""
    made = _made()
    return sum(angles_alike(angle, flank) for flank in made) / len(made)


@cache
def _made() -> Sequence[float]:
    return tuple({shape.flank for shape in shapes()})
