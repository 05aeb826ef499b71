"""What each reading says about each thread: likelihoods of caliper, leaf, ten pitches and gauge plate.

The true crest lies in the band of the thread's class, all of it equally likely, or a little under it when worn;
the caliper adds its own error. A leaf cannot tell pitches within 2.5 %. All in millimetres, as floats: from
here on it is probability, not arithmetic on sizes.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from functools import cache, lru_cache
from math import exp, log, sqrt

from msgspec import Struct

from putback.sizing.instruments import CREST, PITCH, Way, leaf_cell
from putback.sizing.series import SERIES, series_named
from putback.sizing.threads import Thread, all_threads

WORN = 0.10
"""Share of old crests that are worn or bruised below their band (common practice, no source)."""

LEAF_NORM = PITCH["leaf"].norm
"""Integral of the leaf's kernel over the logarithm of the pitch."""

TEN, TEN_SLOPPY = 0.005, 0.35
"""Ten pitches by caliper: error of one pitch in mm, the caliper over ten and the last figure written; and the
share of such readings that are no better than a leaf, taken over too few threads or worn crests (common
practice, no source)."""

PLATE_REACH = 0.10
"""How far, in the logarithm of the diameter, a neighbour's hole may lie."""

NONE = 0.02
"""Share of threads that are in no table: home-made, damaged, of another maker's own standard."""

NONE_CREST = 3.9
"""Range of an unknown thread's crest diameter: the logarithm of 25.4 mm to 0.5 mm; watch sizes below are rarer."""

NONE_PITCH = 2.3
"""Range of an unknown thread's pitch: the logarithm of 80 to the inch against 8."""

FAR = 0.25
"""Beyond this many mm from its limits a thread need not be looked at, by caliper: none of these comes first."""

FAR_SCALES = 12
"""And beyond so many scales of a rule's or the eye's error."""


class Shape(Struct, frozen=True):
    """A thread as floats, ready for the likelihoods."""

    thread: Thread
    """Itself."""
    group: int
    """Threads that no gauge tells apart share this number."""
    major: float
    """Basic crest diameter, mm."""
    pitch: float
    """Pitch, mm."""
    log_pitch: float
    """Its logarithm."""
    log_major: float
    """Logarithm of the basic diameter."""
    flank: float
    """Included angle, degrees."""
    bands: tuple[tuple[float, float, float], ...]
    """Low, high and density of each class, mm."""
    low: float
    """The lower end of its commonest class: wear begins here."""
    wear: float
    """How far under that a worn crest may lie."""
    plate: str
    """The gauge plate it has a hole in."""
    bottom: float
    """The smallest crest of any class."""
    top: float
    """The largest crest of any class."""


_LIKED = frozenset(one.like for one in SERIES if one.like)
"""Series that others are told as."""


def _group_of(thread: Thread) -> tuple[object, ...]:
    series = series_named(thread.series)
    if series.like or thread.series in _LIKED:  # Thury differs from BA by less than 0.05 mm and 0.01 mm of pitch
        return (series.like or thread.series, re.sub(r"[^0-9]", "", thread.size))
    return (thread.major, thread.pitch, thread.flank)


def _shape(thread: Thread, group: int) -> Shape:
    bands = tuple((float(b.low), float(b.high), (1 - WORN) * b.share / float(b.high - b.low)) for b in thread.bands)
    major, pitch = float(thread.major), float(thread.pitch)
    return Shape(
        thread=thread,
        group=group,
        major=major,
        pitch=pitch,
        log_pitch=log(pitch),
        log_major=log(major),
        flank=float(thread.flank),
        bands=bands,
        low=bands[0][0],
        wear=float(thread.wear),
        plate=series_named(thread.series).plate or thread.series,
        bottom=min(b[0] for b in bands),
        top=max(b[1] for b in bands),
    )


@cache
def shapes() -> tuple[Shape, ...]:
    """Every thread, by basic diameter."""
    groups: dict[tuple[object, ...], int] = {}
    made = [_shape(t, groups.setdefault(_group_of(t), len(groups))) for t in all_threads()]
    return tuple(sorted(made, key=lambda s: s.major))


@cache
def _majors() -> list[float]:
    return [s.major for s in shapes()]


@cache
def _by_pitch() -> tuple[list[float], tuple[Shape, ...]]:
    ordered = sorted(shapes(), key=lambda s: s.log_pitch)
    return [s.log_pitch for s in ordered], tuple(ordered)


@cache
def _by_name() -> dict[str, Shape]:
    return {s.thread.name: s for s in shapes()}


def shape_of(name: str) -> Shape:
    """The shape of one thread, by name."""
    return _by_name()[name]


_DEEPEST = 1.1
"""No band with its wear reaches further than this many mm below the basic diameter (at 6 to the inch)."""


def near_diameter(crest: float, by: Way = "caliper") -> Iterable[Shape]:
    """Threads whose crest may measure `crest` mm."""
    majors = _majors()
    far = max(FAR, FAR_SCALES * CREST[by].scale(crest))
    found = shapes()[bisect_left(majors, crest - far) : bisect_right(majors, crest + far + _DEEPEST)]
    return [s for s in found if s.low - s.wear - far < crest < s.top + far]


def near_pitch(pitch: float, by: Way = "leaf") -> Iterable[Shape]:
    """Threads whose pitch may be read as `pitch` mm."""
    keys, ordered = _by_pitch()
    at, reach = log(pitch), 3 * PITCH["leaf" if by == "ten" else by].reach
    return ordered[bisect_left(keys, at - reach) : bisect_right(keys, at + reach)]


def near_names(names: Iterable[str]) -> Iterable[Shape]:
    """The threads of those names and their neighbours in diameter, on whatever plate."""
    found: dict[str, Shape] = {}
    majors = _majors()
    for one in map(shape_of, names):
        reach = exp(PLATE_REACH)
        for s in shapes()[bisect_left(majors, one.major / reach) : bisect_right(majors, one.major * reach)]:
            found[s.thread.name] = s
    return found.values()


def crest_density(shape: Shape, crest: float, by: Way = "caliper") -> float:
    """Density, per mm, of reading `crest` mm over the crests of that thread.

    Student's law of two degrees of freedom, F(u) = 1/2 + u / 2 sqrt(2 s^2 + u^2), has the integral
    K(u) = u/2 + sqrt(2 s^2 + u^2)/2. A class is the difference of two F; the wear, whose density falls linearly
    to nothing, is 2/w^2 (K(a + w) - K(a)) - 2/w F(a), with a the reading's distance above where wear begins.
    """
    scale = CREST[by].scale(crest)
    spread = 2 * scale * scale
    total = 0.0
    for low, high, density in shape.bands:
        up, down = crest - low, crest - high
        total += density * (up / sqrt(spread + up * up) - down / sqrt(spread + down * down))
    above, wear = crest - shape.low, shape.wear
    into = above + wear
    root = sqrt(spread + above * above)
    worn = (sqrt(spread + into * into) - root) / wear - above / root
    return total / 2 + max(0.0, WORN * worn / wear)


def pitch_kernel(log_ratio: float, by: Way = "leaf") -> float:
    """How well a leaf, a rule or the eye takes a pitch for one that differs by this logarithm: 1 for fitting."""
    law = PITCH[by]
    off = abs(log_ratio)
    slip = law.slips * exp(-0.5 * (off / law.reach) ** 2) if off < 6 * law.reach else 0.0
    off -= law.flat
    return slip + (1 - law.slips) * (1.0 if off <= 0 else exp(-0.5 * (off / law.slope) ** 2))


def leaf_kernel(shape: Shape, pitch: float, best_of: float) -> float:
    """The same for a leaf of `pitch` mm, `best_of` being the share of them that merely fitted best of their set."""
    log_pitch, low, high = _leaf(pitch)
    off = abs(log_pitch - shape.log_pitch)
    fits = pitch_kernel(off) if off < _LEAF_FAR else 0.0
    return (1 - best_of) * fits + (best_of if low <= shape.pitch <= high else 0.0)


_LEAF_FAR = 6 * PITCH["leaf"].reach
"""Beyond this a leaf is not even taken by mistake."""


@lru_cache(maxsize=512)
def _leaf(pitch: float) -> tuple[float, float, float]:
    """The logarithm of a leaf's pitch, and from which to which pitch it fits best of its set."""
    return log(pitch), *leaf_cell(pitch)


def leaf_norm(pitch: float, best_of: float) -> float:
    """Integral of that over the logarithm of the pitch."""
    if not best_of:
        return LEAF_NORM
    low, high = leaf_cell(pitch)
    return (1 - best_of) * LEAF_NORM + best_of * log(high / low)


def ten_kernel(shape: Shape, pitch: float) -> float:
    """The same for a pitch in mm measured over ten, on the scale of the leaf's kernel."""
    z = (pitch - shape.pitch) / TEN
    sharp = LEAF_NORM * pitch / (TEN * 2.5066) * exp(-0.5 * z * z) if abs(z) < 12 else 0.0
    return (1 - TEN_SLOPPY) * sharp + TEN_SLOPPY * pitch_kernel(log(pitch) - shape.log_pitch)


def crest_explains(shape: Shape, crest: float, *, worn: bool, by: Way = "caliper") -> bool:
    """True when the reading lies within the thread's limits and 19 in 20 of the errors; `worn`: or its wear."""
    slack = max(0.03, 4.3 * CREST[by].scale(crest))
    return shape.bottom - (shape.wear if worn else 0.0) - slack <= crest <= shape.top + slack


A_TURN = 2.01
"""Threads to the inch that one turn more or less makes on half an inch, what most screws have."""

BY_SET = 0.1
"""From this share on a leaf that merely fits best of its set explains a thread."""


def pitch_explains(shape: Shape, pitch: float, by: Way, best_of: float = 0.0) -> bool:
    """True when a leaf (2.5 %), or ten pitches (0.05 mm over ten, read and written), cannot exclude the thread.

    Nor a leaf of a sparse set that fits it best of all there, nor a count along a rule that is one turn off.
    """
    if by == "ten":
        return abs(pitch - shape.pitch) <= 0.005
    if by == "leaf" and best_of >= BY_SET:
        low, high = leaf_cell(pitch)
        if low <= shape.pitch <= high:
            return True
    if by == "rule" and abs(25.4 / pitch - 25.4 / shape.pitch) <= A_TURN:
        return True
    law = PITCH[by]
    return abs(log(pitch) - shape.log_pitch) <= law.flat + 1.467 * law.slope
