"""Tap drill and clearance hole of a thread."""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from putback.sizing.reference_tables import rows
from putback.sizing.threads import Thread
from putback.sizing.units import MM_PER_INCH

FULL = Fraction(3, 4)
"""A tapped hole with three quarters of the thread's depth holds as well as a full one and is easier cut."""


class Drill(Struct, frozen=True):
    """One drill of the rack."""

    name: str
    """#29, F, 13/64, 4.2 mm."""
    mm: Fraction
    """Its diameter."""
    depth: float = 0.0
    """For a tap drill, the share of the full thread that it leaves, 0 to 1."""


def _metric_steps() -> list[Fraction]:
    """Metric drills as sold: 0.05 mm to 3, 0.1 to 14, 0.25 to 32, 0.5 to 50 (ISO 235, from memory)."""
    steps = [Fraction(n, 20) for n in range(6, 61)]
    steps += [Fraction(n, 10) for n in range(31, 141)]
    steps += [Fraction(n, 4) for n in range(57, 129)]
    steps += [Fraction(n, 2) for n in range(65, 101)]
    return steps


@cache
def rack(system: Literal["in", "mm"]) -> tuple[Drill, ...]:
    """Every drill of one system, thinnest first."""
    if system == "mm":
        return tuple(Drill(f"{float(mm):g} mm", mm) for mm in _metric_steps())
    made = [Drill(r["drill"], Fraction(r["inch"]) * MM_PER_INCH) for r in rows("drills.csv")]
    made += [  # the table ends at 3/4; above it drills go by 64ths to 1 in and by 32nds to 1 1/2
        Drill(_inches(Fraction(n, 64)), Fraction(n, 64) * MM_PER_INCH) for n in (*range(49, 65), *range(66, 97, 2))
    ]
    return tuple(sorted(made, key=lambda d: d.mm))


def _inches(value: Fraction) -> str:
    whole, part = divmod(value, 1)
    return " ".join(str(x) for x in (whole, part) if x)


def double_depth(thread: Thread) -> float:
    """Twice the thread's depth, in pitches."""
    return 2 * thread.depth


def tap_drill(thread: Thread, system: Literal["in", "mm"] | None = None) -> Drill:
    """The drill nearest to D - 0.75 x twice the depth; from the thread's own system unless told otherwise."""
    major, cut = float(thread.major), double_depth(thread) * float(thread.pitch)
    wanted = Fraction(major - float(FULL) * cut)
    drills = rack(system or thread.native)
    at = bisect_left([d.mm for d in drills], wanted)
    best = min(drills[max(0, at - 1) : at + 1], key=lambda d: abs(d.mm - wanted))
    return Drill(best.name, best.mm, (major - float(best.mm)) / cut)


def clearance(thread: Thread, fit: Literal["close", "normal", "loose"] = "normal") -> Drill | None:
    """The clearance hole (ISO 273, ASME B18.2.8; BA: crest + 5 %), or None where no table has the size."""
    for row in rows("clearance.csv"):
        if row["fit"] == fit and row["size"] == thread.size:
            mm = Fraction(row["inch"]) * MM_PER_INCH
            return Drill(row["drill"] or f"{float(mm):.2f} mm", mm)
    return None
