"""The kinds of fasteners: what is said of each stands here in one row, for bench, record, session files and sizes."""

from __future__ import annotations

from functools import cache

from msgspec import Struct


class Kind(Struct, frozen=True, kw_only=True):
    """One kind of fastener."""

    name: str
    """What a person calls it."""
    asks: tuple[str, ...]
    """What the form asks of it, in order, by the names of `readings.Readings`; all but the first may stay empty."""
    threaded: bool = False
    """Whether it has a thread to name."""
    alone: bool = False
    """Whether a hole holds only one of it; whatever else there is in a hole is stacked with it."""
    stocked: bool = False
    """Whether it was sold by length; the others keep theirs as measured."""
    told: tuple[str, ...] = ()
    """The order in which its measures are told in a size, where that is not the usual one."""
    over_all: bool = False
    """Whether its length is measured over all, whatever its head."""


_SCREW = ("gauge", "length")

KIND_ROWS: tuple[Kind, ...] = (
    Kind(name="screw", asks=_SCREW, threaded=True, alone=True, stocked=True),
    Kind(name="nut", asks=("gauge",), threaded=True),
    Kind(name="washer", asks=("od", "thick")),
    Kind(name="bolt", asks=_SCREW, threaded=True, alone=True, stocked=True),
    Kind(name="set screw", asks=_SCREW, threaded=True, alone=True, stocked=True, over_all=True),
    Kind(name="shoulder screw", asks=(*_SCREW, "shoulder"), threaded=True, alone=True, stocked=True),
    Kind(name="taper pin", asks=("od", "length"), alone=True, stocked=True, over_all=True),
    Kind(name="split pin", asks=("od", "length"), stocked=True, over_all=True),
    Kind(name="retaining ring", asks=("od", "thick")),
    Kind(name="straight pin", asks=("od", "length"), alone=True, stocked=True, over_all=True),
    Kind(name="spring clip", asks=("wire",)),
    Kind(name="rivet", asks=("od", "length"), alone=True, stocked=True),
    Kind(name="stud", asks=_SCREW, threaded=True, alone=True, stocked=True, over_all=True),
    Kind(name="key", asks=("width", "length"), over_all=True),
    Kind(name="gib key", asks=("width", "length"), over_all=True),
    Kind(name="shim", asks=("thick", "od")),
    Kind(name="spacer", asks=("od", "length"), over_all=True),
    Kind(name="wood screw", asks=("od", "length"), alone=True, stocked=True),
    Kind(name="tapping screw", asks=("od", "length"), alone=True, stocked=True),
    Kind(name="spring", asks=("wire", "od", "coils"), told=("wire", "od")),
    Kind(name="ball", asks=("od",)),
    Kind(name="ball bearing", asks=("bore", "od", "width"), told=("bore", "od", "width")),
    Kind(name="woodruff key", asks=("width", "od"), told=("width", "od")),
    Kind(name="o-ring", asks=("bore", "thick"), told=("bore", "thick")),
    Kind(name="belt", asks=("width", "thick", "od"), told=("width", "thick", "od")),
    Kind(name="chain", asks=("pitch", "width"), told=("width",)),
)
"""Every kind: the nine met most first, as every list has them (common practice, no source)."""

KINDS = tuple(kind.name for kind in KIND_ROWS)
"""Their names, in that order."""

THREADED = frozenset(kind.name for kind in KIND_ROWS if kind.threaded)
"""Kinds that have a thread to name."""

ALONE = frozenset(kind.name for kind in KIND_ROWS if kind.alone)
"""Kinds of which a hole holds one."""

STOCKED_LENGTH = frozenset(kind.name for kind in KIND_ROWS if kind.stocked)
"""Kinds that were sold by length."""

OVER_ALL = frozenset(kind.name for kind in KIND_ROWS if kind.over_all)
"""Kinds measured over all."""


@cache
def kind_named(name: str) -> Kind:
    """The kind of that name. Raises KeyError for another."""
    return {kind.name: kind for kind in KIND_ROWS}[name]


_OTHER_SIDE = {
    "left": "right", "right": "left", "front": "back", "back": "front", "top": "bottom", "bottom": "top",
}  # fmt: skip


def driving(side: str) -> str:
    """Which way a taper pin leaves, from the side its small end is on: `strike the small end (front); ...`."""
    side = side.strip().lower()
    leaves = _OTHER_SIDE.get(side, "large end")
    return f"strike the small end ({side}); it leaves at the {leaves}"


def driving_in(side: str) -> str:
    """Which way a taper pin goes in again: `goes in from the back, small end first, towards the front`."""
    side = side.strip().lower()
    enters = _OTHER_SIDE.get(side)
    return f"goes in from the {enters}, small end first, towards the {side}" if enters else f"small end towards {side}"
