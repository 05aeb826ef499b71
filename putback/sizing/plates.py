"""How a screw goes into the holes of gauge plates: by diameter, pitch and flank angle over the turns that are tried.

A plate says which hole a screw went into, and that is not yet its name: a 1/4 BSW runs into a 1/4-20 hole, a 2BA some
turns into a #10-32. So each thread is tried in each hole by arithmetic, and the hole that was told is as likely as
the thread goes in there and not better into another at hand. In millimetres, as in `evidence`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache, lru_cache
from math import erf, exp, radians, sqrt, tan

from msgspec import Struct

from putback.sizing.evidence import PLATE_REACH, Shape, near_names, shape_of
from putback.sizing.gauge import Origin
from putback.sizing.instruments import PLATE_RIGHT, PLATE_SLIP, Way
from putback.sizing.series import SERIES

TURNS = 4
"""So many turns a screw is run in before its hole is believed (common practice, no source)."""

LEAN = 0.01
"""Room that flanks of another angle take up, mm on the effective diameter for each mm of pitch and each degree between
the angles: .0098 for unified, .0105 for Whitworth, .0091 for BA (handbook formula for the virtual effective diameter,
from memory)."""

GOES = 0.1
"""A thread that goes so well into a hole explains that it was told."""

LEAST = 0.01
"""Under this nobody takes it for a fit."""

ON_PLATES = frozenset(one.name for one in SERIES if one.on_plate)
"""Series that a bought plate has holes of (common practice, no source)."""


UNUSUAL = 0.3
"""How likely a plate has a hole of another series, beside one of those (common practice, no source)."""


class Fit(Struct, frozen=True):
    """How one thread does on one plate."""

    best: float
    """How well it goes into the hole it likes best: 1 as into its own."""
    sum: float
    """Sum over the plate's holes of the square of that."""


def room(screw: Shape, hole: Shape) -> float:
    """Room on the effective diameter, mm, between a middling screw and a hole of the plate; below 0 it binds.

    A wrong pitch closes it by its error over the turns times the cotangent of half the angle, a wrong angle by `LEAN`.
    """
    lead = abs(screw.pitch - hole.pitch) * TURNS / tan(radians(hole.flank / 2))
    lean = LEAN * hole.pitch * abs(screw.flank - hole.flank)
    across = _effective(hole) - _effective(screw) - lead - lean
    return min(across, hole.major - screw.major) + _own(hole)


def goes(screw: Shape, hole: Shape) -> float:
    """How well a screw goes into a hole: 1 as into its own; 0 where it binds, or shakes in it."""
    if abs(screw.log_major - hole.log_major) >= PLATE_REACH:
        return 0.0
    unlike, shake = 0.03 + 0.04 * hole.pitch, 0.035 + 0.055 * hole.pitch
    if room(screw, hole) < -4 * unlike:
        return 0.0
    enters = (1 + erf(room(screw, hole) / unlike / sqrt(2))) / (1 + erf(_own(hole) / unlike / sqrt(2)))
    # However its pitch jams it, it rocks: by the room on its flanks, and a little by that over its crests.
    flanks, crests = (max(0.0, off) for off in (_effective(hole) - _effective(screw), hole.major - screw.major))
    loose = sqrt(flanks * flanks + 0.16 * crests * crests) / shake
    return min(1.0, enters) * exp(-0.5 * loose * loose)


def _effective(shape: Shape) -> float:
    return shape.major - shape.thread.depth * shape.pitch


def _own(hole: Shape) -> float:
    """Room of a screw in a hole of its own thread, mm: half of what class 2 leaves (common practice, no source)."""
    return 0.03 + 0.06 * hole.pitch


@cache
def _on(screw: str, plate: str) -> Fit:
    """How the thread of that name does on one plate."""
    shape = shape_of(screw)
    found = [
        goes(shape, hole) for hole in near_names((screw,)) if hole.plate == plate and hole.thread.series in ON_PLATES
    ]
    return Fit(max(found, default=0.0), sum(w * w for w in found))


@cache
def _into(screw: str, hole: str) -> float:
    return goes(shape_of(screw), shape_of(hole))


ALL = frozenset({"us", "whitworth", "metric", "BA"})
"""The plates that are bought; taken to be there where nobody said which are."""

HOME: dict[Origin, frozenset[str]] = {
    "us": frozenset({"us"}),
    "uk": frozenset({"whitworth", "BA"}),
    "metric": frozenset({"metric"}),
    "unknown": ALL,
}
"""The plates that are tried first, by where a machine is from."""

CONTENT = 0.95
"""How often a screw that goes well into a hole of the plates tried first is tried on no other plate."""


def plate_chance(screw: Shape, names: tuple[str, ...], plates: frozenset[str], first: frozenset[str], by: Way) -> float:
    """Chance that this thread is told as a hole of one of those names.

    `plates` are those at hand, all of them where it is empty, and `first` those that are tried first on such a machine.
    """
    return _chances(names, plates or ALL, first, by).get(screw.thread.name, 0.0)


@lru_cache(maxsize=512)  # a size that is typed is asked for again at every key behind it
def _chances(names: tuple[str, ...], plates: frozenset[str], first: frozenset[str], by: Way) -> Mapping[str, float]:
    """The same of every thread of which it is more than nothing."""
    holes = [(shape_of(name), _has(name)) for name in names]
    slip = PLATE_SLIP[by] * max(has for _, has in holes)
    found: dict[str, float] = {}
    for screw in near_names(names):
        right, near = 0.0, False
        for hole, has in holes:
            if abs(screw.log_major - hole.log_major) < PLATE_REACH:
                near = near or screw.plate == hole.plate
                if by != "eye":
                    right += _chance_named(screw, hole, plates, first) * has
        if by == "eye":  # nothing was tried
            right = float(screw.thread.name in names)
        if right or near:
            found[screw.thread.name] = min(1.0, PLATE_RIGHT[by] * right) + (slip if near else 0.0)
    return found


def goes_into(screw: Shape, names: Collection[str]) -> bool:
    """Whether a thread goes into one of those holes well enough to be taken for it."""
    return any(_into(screw.thread.name, name) >= GOES for name in names)


def _has(name: str) -> float:
    return 1.0 if shape_of(name).thread.series in ON_PLATES else UNUSUAL


def _chance_named(screw: Shape, hole: Shape, plates: frozenset[str], first: frozenset[str]) -> float:
    """The plates of the machine's home are tried first, and what goes in there is seldom tried further."""
    into = _into(screw.thread.name, hole.thread.name)
    if into < LEAST:
        return 0.0
    if hole.thread.series not in ON_PLATES and screw.thread.name != hole.thread.name:
        # The plate has a hole out of the common, and a screw that has its own there too is seldom told as that.
        into *= sqrt(1 - CONTENT * max(_on(screw.thread.name, plate).best for plate in plates))
    plates |= {hole.plate}
    early = plates & first
    if hole.plate in early or not early:
        return _share(screw, hole, into, early or plates)
    at_home = max(_on(screw.thread.name, plate).best for plate in early)
    return (1 - CONTENT * at_home) * _share(screw, hole, into, plates - first)


def _share(screw: Shape, hole: Shape, into: float, plates: frozenset[str]) -> float:
    """It is taken if the best hole of these plates is good, and of two that are good the better one oftener."""
    fits = [_on(screw.thread.name, plate) for plate in plates]
    whole = sum(fit.sum for fit in fits)
    if hole.thread.series not in ON_PLATES:  # the plate has it, since it was told
        whole += into * into
    return max(into, *(fit.best for fit in fits)) * into * into / whole
