"""What a fastener that cannot be had any more can be replaced by today, and what must be changed for it."""

from __future__ import annotations

from functools import cache, lru_cache

from msgspec import Struct

from putback.sizing.drilling import tap_drill
from putback.sizing.evidence import Shape, shape_of, shapes
from putback.sizing.series import SERIES, series_named
from putback.sizing.threads import Thread

MODERN = frozenset(one.name for one in SERIES if one.today and not one.fitting)
"""Series that any shop sells today."""


class Replacement(Struct, frozen=True):
    """One way out."""

    thread: Thread
    """What to buy."""
    change: str
    """What has to be changed, as a sentence; empty when it goes straight in."""


@cache
def _modern() -> tuple[Shape, ...]:
    return tuple(
        s for s in shapes() if s.thread.series in MODERN and (s.thread.series != "ISO fine" or s.thread.choice == 1)
    )


@lru_cache(maxsize=256)
def replacements(thread: Thread, most: int = 3) -> tuple[Replacement, ...]:
    """Ways out for `thread`, the least change first.

    The same diameter, pitch and angle goes straight in; the same diameter and pitch at another flank angle goes
    in but bears only on part of the flanks; otherwise the hole is opened and tapped for the next larger size.
    Compared over the standard sizes in data/. How near counts as the same, how far up the next larger may lie, and the
    order of the ways are common practice, no source.
    """
    home = shape_of(thread.name)
    found: list[tuple[float, Replacement]] = []
    for other in _modern():
        if other.thread.name == thread.name:
            continue
        off = other.log_major - home.log_major
        pitch_off = abs(other.log_pitch - home.log_pitch)
        same_angle = abs(other.flank - home.flank) < 0.5
        if abs(off) < 0.002 and pitch_off < 0.001:
            if same_angle:
                found.append((0.0, Replacement(other.thread, "")))
            else:
                angles = f"{home.flank:g} against {other.flank:g} degrees"
                change = f"goes in, but the flanks are {angles}: for light loads, or with its own nut"
                found.append((0.5, Replacement(other.thread, change)))
        elif 0.004 < off < 0.25:
            drill = tap_drill(other.thread)
            change = f"drill {drill.name} and tap {other.thread.name}; open the clearance holes"
            found.append((1 + off + _far(other.thread, thread), Replacement(other.thread, change)))
    found.sort(key=lambda pair: pair[0])
    return tuple(r for _, r in found[:most])


def _far(other: Thread, thread: Thread) -> float:
    """A size of the machine's own system is preferred, then a coarse one."""
    inch = thread.family in ("us", "uk")
    return (0.0 if inch == (other.family == "us") else 0.15) + (0.02 if other.series in ("UNF", "ISO fine") else 0.0)


SOLD = 2
"""Sizes of today's series up to this `choice` are in the shops; scarcer ones have to be replaced, too."""


def in_the_shops(thread: Thread) -> bool:
    """Whether any shop sells what has a thread today."""
    return series_named(thread.series).today and thread.choice <= SOLD


def instead_of(thread: Thread, most: int = 2) -> tuple[Replacement, ...]:
    """What can be had today in place of a thread, the least change first; nothing for one that the shops have."""
    fitting = series_named(thread.series).fitting  # a microscope's or a conduit's has no screw to take its place
    return () if fitting or in_the_shops(thread) else replacements(thread, most)


def getting(thread: Thread) -> tuple[str, ...]:
    """How a thread is got or mended today, as short lines: what can be had in its place, and its own tap drill."""
    lines = [
        f"in its place today: {way.thread.name}, {way.change or 'the same diameter, pitch and angle'}"
        for way in instead_of(thread)
    ]
    drill = None if series_named(thread.series).tapers else tap_drill(thread)
    if drill is not None and drill.depth > LEAST_DEPTH:
        lines.append(f"tap drill {drill.name}")
    return tuple(lines)


LEAST_DEPTH = 0.4
"""Where the nearest drill of the rack leaves less of the thread than this, no drill is named: too thin a screw."""
