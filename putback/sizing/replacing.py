"""What a fastener that cannot be had any more can be replaced by today, and what must be changed for it."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from putback.sizing.drilling import tap_drill
from putback.sizing.evidence import Shape, shape_of, shapes
from putback.sizing.series import SERIES
from putback.sizing.threads import Thread

MODERN = frozenset(one.name for one in SERIES if one.today)
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


def replacements(thread: Thread, most: int = 3) -> tuple[Replacement, ...]:
    """Ways out for `thread`, the least change first.

    The same diameter, pitch and angle goes straight in; the same diameter and pitch at another flank angle goes
    in but bears only on part of the flanks; otherwise the hole is opened and tapped for the next larger size.
    Compared over the standard sizes in data/ (limits as in limits.py); the last step is common practice.
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
