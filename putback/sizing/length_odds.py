"""What a group of lengths may be: how well a stocked length explains it, and how well one of the machine's own.

`docs/sizing.md` tells the model; its constants are ours, set by hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from math import erf, exp, pi, sqrt
from typing import NamedTuple

from msgspec import Struct

from putback.sizing.instruments import Way
from putback.sizing.lengths import LISTS, stocked
from putback.sizing.units import MM_PER_INCH

INCH = float(MM_PER_INCH)


class Spread(Struct, frozen=True):
    """How readings of one length scatter, mm."""

    batch: float
    """The screws of one batch among themselves."""
    caliper: float
    """A caliper or a depth rod."""
    rule: float
    """A steel rule."""
    seat: float
    """A rod seats on burr, plating or fillet: it reads so much long."""
    least: float
    """Hands cannot tell apart two lengths that are nearer than this."""
    moved: float
    """A house length's middle that moved by this has another name."""


SPREADS = {
    "inch": Spread(0.002 * INCH, 0.003 * INCH, 0.010 * INCH, 0.003 * INCH, 0.012 * INCH, 0.003 * INCH),
    "metric": Spread(0.04, 0.06, 0.25, 0.05, 0.3, 0.08),
}
"""Bench habit (common practice, no source), by the system of the thread."""

BY_EYE = 0.06
"""A length by eye is off by this part of it."""

NEAR, WIDE = 0.8, 0.2
"""Screws are made near one end of their tolerance; some lie anywhere in it."""

GRID, ANYWHERE = 0.35, 0.65
"""House lengths on a fine grid of 32nds or half millimetres, and those anywhere."""

REACH = 2 * INCH
"""House lengths are spread over so much, mm."""


class SeenLength(Struct, frozen=True):
    """One length as it was read."""

    key: int
    """The caller's number for it."""
    long: float
    """mm."""
    by: Way = "caliper"
    """How it was taken."""
    times: int = 1
    """So often; a screw read twice is one length."""
    where: int = 0
    """The part and face it came off, as the caller's number; 0 where that is not known."""
    low: float = 0.0
    """The shortest it was read, where that was more than once."""
    high: float = 0.0
    """The longest."""
    more: tuple[int, ...] = ()
    """Others entered as just like it and not read themselves: they count, and prove nothing."""

    @property
    def span(self) -> tuple[float, float]:
        """The shortest and the longest it was read."""
        return self.low or self.long, self.high or self.long


class LengthGroup(Struct, frozen=True):
    """Readings of one length."""

    seen: tuple[SeenLength, ...]
    """They, in the order they came."""
    weight: float
    """Sum of what each is worth, 1/mm²."""
    middle: float
    """Their weighed mean, mm."""
    count: int
    """How many fasteners it has, those with them that were not read themselves."""
    span: tuple[float, float]
    """The shortest and the longest reading."""

    @property
    def loose(self) -> float:
        """Variance of the middle, mm²."""
        return 1 / self.weight


class Family(Struct, frozen=True):
    """What is to be known of a thread's lengths beside its readings."""

    which: str
    """The list of stocked lengths, of LISTS."""
    pitch: float = 0.0
    """The thread's pitch, mm; 0 where it is not known."""

    @property
    def system(self) -> str:
        """inch or metric."""
        return LISTS[self.which][0]

    @property
    def spread(self) -> Spread:
        """How its readings scatter."""
        return _spread(self.which)

    @property
    def apart(self) -> float:
        """Lengths further apart than this bottom or foul in one another's holes, mm."""
        return max(self.spread.least, self.pitch / 2)


@cache
def _spread(which: str) -> Spread:
    return SPREADS[LISTS[which][0]]


class Odds(NamedTuple):
    """What a group may be."""

    listed: tuple[tuple[str, float], ...]
    """Stocked lengths with their probabilities, likeliest first."""
    house: float
    """Probability of a length that is not stocked."""


def gathered(family: Family, readings: Iterable[SeenLength]) -> LengthGroup:
    """Return a group of readings."""
    seen = tuple(readings)
    weights = [1 / variance_of(family, one) for one in seen]
    total = sum(weights)
    middle = sum(w * one.long for w, one in zip(weights, seen, strict=True)) / total
    spans = [one.span for one in seen]
    span = min(low for low, _ in spans), max(high for _, high in spans)
    return LengthGroup(seen, total, middle, sum(1 + len(one.more) for one in seen), span)


def variance_of(family: Family, seen: SeenLength) -> float:
    """How far one reading may lie from its group's true middle, squared."""
    spread = _spread(family.which)
    tool = spread.caliper if seen.by == "caliper" else spread.rule if seen.by == "rule" else BY_EYE * seen.long
    return spread.batch**2 + tool**2 / seen.times


def odds(family: Family, group: LengthGroup, share: float) -> Odds:
    """Return what a group may be, where `share` of the machine's lengths are of the house."""
    listed, house = _evidence(family, group.middle, group.loose)
    shares = {name: (1 - share) * score for name, score in listed.items()}
    house *= share
    whole = sum(shares.values()) + house
    best = sorted(((name, score / whole) for name, score in shares.items()), key=lambda pair: -pair[1])
    return Odds(tuple(pair for pair in best if pair[1] > 0.002), house / whole)


def house_chance(family: Family, group: LengthGroup, share: float) -> float:
    """Return P(house) of a group."""
    listed, house = explained(family, group.middle, group.loose)
    return share * house / ((1 - share) * listed + share * house)


@lru_cache(maxsize=4096)
def explained(family: Family, middle: float, loose: float) -> tuple[float, float]:
    """Return how well all stocked lengths together explain a group, and how well one of the house does."""
    listed, house = _evidence(family, middle, loose)
    return sum(listed.values()), house


@lru_cache(maxsize=4096)
def _evidence(family: Family, middle: float, loose: float) -> tuple[Mapping[str, float], float]:
    """Return how well each stocked length explains a group, and how well one of the house does; by the mm."""
    per = INCH if family.system == "inch" else 1.0
    spread, reach = family.spread, 8 * sqrt(loose)
    total = _total_weight(family.which)
    found = {}
    for name, low, high, nominal, weight in _bounds(family.which):
        if not low - reach - spread.seat <= middle <= high + spread.seat + reach:
            continue
        if family.system == "inch":
            tolerance = high - low
            centre, width = nominal - 0.2 * tolerance, 0.2 * tolerance
        else:
            tolerance = high - nominal
            centre, width = nominal - 0.1 * tolerance, 0.35 * tolerance
        top = high + spread.seat
        both = width**2 + loose
        mean, deviation = (centre * loose + middle * width**2) / both, sqrt(width**2 * loose / both)
        cut = _phi((top - mean) / deviation) - _phi((low - mean) / deviation)
        whole = _phi((top - centre) / width) - _phi((low - centre) / width)
        near = bell(middle - centre, both) * cut / whole
        root = sqrt(loose)
        wide = (_phi((high - middle) / root) - _phi((low - middle) / root)) / (high - low)
        found[name] = weight / total * (NEAR * near + WIDE * wide)
    grid = _grid(family.which)
    off, scatter = (0.002 * per, 0.004 * per) if family.system == "inch" else (0.0, 0.1)
    fine = sum(bell(middle - q + off, scatter**2 + loose) for q in grid if abs(middle - q) < reach + INCH / 32)
    fine /= len(grid)
    return found, GRID * fine + ANYWHERE / REACH


@cache
def _bounds(which: str) -> tuple[tuple[str, float, float, float, float], ...]:
    """The stocked lengths of a list as name, shortest, longest, nominal and weight."""
    return tuple((s.name, float(s.low), float(s.high), float(s.nominal), s.weight) for s in stocked(which))


@cache
def _total_weight(which: str) -> float:
    return sum(item.weight for item in stocked(which) if item.nominal <= REACH + 1)


@cache
def _grid(which: str) -> tuple[float, ...]:
    """The 32nds of an inch, or half millimetres, to REACH that are not stocked, mm."""
    step = INCH / 32 if LISTS[which][0] == "inch" else 0.5
    listed = [float(item.nominal) for item in stocked(which)]
    every = [step * n for n in range(1, round(REACH / step) + 1)]
    return tuple(q for q in every if not any(abs(q - nominal) < step / 4 for nominal in listed))


def _phi(x: float) -> float:
    return (1 + erf(x / sqrt(2))) / 2


def bell(off: float, variance: float) -> float:
    """Return the bell curve's density so far off its middle."""
    return exp(-off * off / variance / 2) / sqrt(2 * pi * variance)
