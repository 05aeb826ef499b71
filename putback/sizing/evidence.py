"""What each reading says about each thread: likelihoods of caliper, leaf, ten pitches and gauge plate.

The true crest lies in the band of the thread's class, all of it equally likely, or a little under it when worn;
the caliper adds its own error. A leaf cannot tell pitches within 2.5 %. All in millimetres, as floats: from
here on it is probability, not arithmetic on sizes.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from functools import cache
from math import exp, log, log1p

from msgspec import Struct

from putback.sizing.threads import Thread, all_threads

CALIPER = 0.007
"""Scale of the caliper's error, mm: 19 readings of 20 lie within 0.001 in. Its tails are logistic, not normal:
a bad reading is commoner than the bell curve has it (common practice, no source)."""

WORN = 0.12
"""Share of old crests that are worn or bruised below their band (common practice, no source)."""

LEAF_FLAT, LEAF_SLOPE = 0.012, 0.009
"""A leaf fits as well as another within 1.2 %, and is told apart more and more surely beyond: at 2.5 % one in
three still is not."""

LEAF_NORM = 2 * (LEAF_FLAT + LEAF_SLOPE * 1.2533)
"""Integral of the leaf's kernel over the logarithm of the pitch."""

TEN, TEN_SLOPPY = 0.005, 0.35
"""Ten pitches by caliper: error of one pitch in mm, the caliper over ten and the last figure written; and the
share of such readings that are no better than a leaf, taken over too few threads or worn crests (common
practice, no source)."""

PLATE = 0.96
"""Share of gauge-plate readings that name the right hole (common practice, no source)."""

PLATE_SLIP = 0.004
"""Chance that one particular neighbour, within a tenth of the diameter, is read in its place."""

PLATE_REACH = 0.10
"""How far, in the logarithm of the diameter, a neighbour's hole may lie."""

NONE = 0.02
"""Share of threads that are in no table: home-made, damaged, of another maker's own standard."""

NONE_CREST = 3.9
"""Range of an unknown thread's crest diameter: the logarithm of 25.4 mm to 0.5 mm."""

NONE_PITCH = LEAF_NORM / 2.3
"""Chance that an unknown thread has the pitch read, beside a thread that has it: pitches 8 to 80 to the inch."""

FAR = 12 * CALIPER
"""Beyond this from its limits a thread need not be looked at: odds under one in a hundred thousand."""


_PLATES: dict[str, str] = {
    **dict.fromkeys(("UNC", "UNF", "UNEF", "NS", "UN"), "us"),
    **dict.fromkeys(("BSW", "BSF", "CEI", "ME", "BSB"), "whitworth"),
    **dict.fromkeys(("ISO coarse", "ISO fine", "metric special", "old metric"), "metric"),
}
"""Series that share a gauge plate; the others have one to themselves."""


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


def _group_of(thread: Thread) -> tuple[object, ...]:
    if thread.series == "Thury":  # differs from BA by less than 0.05 mm in diameter and 0.01 mm in pitch
        return ("BA", thread.name.removeprefix("Thury "))
    if thread.series == "BA":
        return ("BA", thread.name.removesuffix("BA"))
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
        plate=_PLATES.get(thread.series, thread.series),
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
def shape_of(name: str) -> Shape:
    """The shape of one thread, by name."""
    return next(s for s in shapes() if s.thread.name == name)


_DEEPEST = 1.1
"""No band with its wear reaches further than this many mm below the basic diameter (at 6 to the inch)."""


def near_diameter(crest: float) -> Iterable[Shape]:
    """Threads whose crest may measure `crest` mm."""
    majors = _majors()
    found = shapes()[bisect_left(majors, crest - FAR) : bisect_right(majors, crest + _DEEPEST)]
    return [s for s in found if s.low - s.wear - FAR < crest < s.top + FAR]


def near_pitch(pitch: float) -> Iterable[Shape]:
    """Threads whose pitch may be read as `pitch` mm."""
    keys, ordered = _by_pitch()
    at = log(pitch)
    return ordered[bisect_left(keys, at - 0.05) : bisect_right(keys, at + 0.05)]


def near_names(names: Iterable[str]) -> Iterable[Shape]:
    """The threads of those names and their neighbours on the same gauge plate."""
    found: dict[str, Shape] = {}
    majors = _majors()
    named = [shape_of(name) for name in names]
    plates = {s.plate for s in named}
    for one in named:
        reach = exp(PLATE_REACH)
        for s in shapes()[bisect_left(majors, one.major / reach) : bisect_right(majors, one.major * reach)]:
            if s.plate in plates:
                found[s.thread.name] = s
    return found.values()


def slipped(shape: Shape, names: Sequence[str]) -> bool:
    """True when that thread's hole on the plate may be taken for one of those named."""
    return any(
        abs(shape.log_major - other.log_major) < PLATE_REACH and shape.plate == other.plate
        for other in map(shape_of, names)
    )


def _below(z: float) -> float:
    """Logistic distribution function."""
    if z > 36:
        return 1.0
    return 1 / (1 + exp(-z)) if z > -36 else 0.0


def crest_density(shape: Shape, crest: float) -> float:
    """Density, per mm, of reading `crest` mm over the crests of that thread with a caliper."""
    total = 0.0
    for low, high, density in shape.bands:
        total += density * (_below((crest - low) / CALIPER) - _below((crest - high) / CALIPER))
    into = (crest - shape.low + shape.wear) / CALIPER
    above = _below((crest - shape.low) / CALIPER)
    if into > -36 and above < 1:
        deep = CALIPER * (into if into > 36 else log1p(exp(into)))
        total += WORN * 2 / (shape.wear * shape.wear) * deep * (1 - above)
    return total


def leaf_kernel(log_ratio: float) -> float:
    """How well a leaf fits a pitch that differs by this logarithm: 1 for fitting."""
    off = abs(log_ratio) - LEAF_FLAT
    return 1.0 if off <= 0 else exp(-0.5 * (off / LEAF_SLOPE) ** 2)


def ten_kernel(shape: Shape, pitch: float) -> float:
    """The same for a pitch in mm measured over ten, on the scale of the leaf's kernel."""
    z = (pitch - shape.pitch) / TEN
    sharp = LEAF_NORM * pitch / (TEN * 2.5066) * exp(-0.5 * z * z) if abs(z) < 12 else 0.0
    return (1 - TEN_SLOPPY) * sharp + TEN_SLOPPY * leaf_kernel(log(pitch) - shape.log_pitch)


def crest_explains(shape: Shape, crest: float, *, worn: bool) -> bool:
    """True when the reading lies within the thread's limits and the caliper's 0.03 mm; `worn`: or its wear."""
    return shape.bottom - (shape.wear if worn else 0.0) - 0.03 <= crest <= shape.top + 0.03


def pitch_explains(shape: Shape, pitch: float, *, ten: bool) -> bool:
    """True when a leaf (2.5 %), or ten pitches (0.05 mm over ten, read and written), cannot exclude the thread."""
    if ten:
        return abs(pitch - shape.pitch) <= 0.005
    return abs(log(pitch) - shape.log_pitch) <= 0.0252
