"""Which reading to take next: the one expected to part the candidates best, or the test that does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import exp

from putback.sizing.evidence import LEAF_FLAT, LEAF_SLOPE, TEN_SLOPPY, Shape
from putback.sizing.verdict import Ask, Reading

Rivals = Sequence[tuple[Shape, float]]
"""The candidates left and their probabilities, likeliest first."""

CONSIDERED = 5
"""Only the foremost candidates are weighed: the others hardly move the gain."""


def _crest(a: Shape, b: Shape) -> float:
    """How alike two threads look to a caliper over the crests: 1 for the same band, 0 for bands apart."""
    overlap = min(a.top, b.top) - max(a.low, b.low) + 0.02
    return max(0.0, min(1.0, overlap / min(a.top - a.low + 0.02, b.top - b.low + 0.02)))


def _leaf(a: Shape, b: Shape) -> float:
    off = abs(a.log_pitch - b.log_pitch) - LEAF_FLAT
    return 1.0 if off <= 0 else exp(-0.5 * (off / LEAF_SLOPE) ** 2)


def _ten(a: Shape, b: Shape) -> float:
    apart = abs(a.pitch - b.pitch)
    return TEN_SLOPPY * _leaf(a, b) + (1 - TEN_SLOPPY) * max(0.0, 1 - apart / 0.01)


def _flank(a: Shape, b: Shape) -> float:
    """A leaf held to the light: 55 against 60 degrees shows, 47.5 is plain, equal angles show nothing."""
    apart = abs(a.flank - b.flank)
    return 1.0 if apart < 1 else 0.15 if apart < 6 else 0.05


def _nut(a: Shape, b: Shape) -> float:
    """A known nut binds unless diameter and pitch agree; at nearly equal ones 55 and 60 degrees run on loosely."""
    if abs(a.log_pitch - b.log_pitch) < 0.004 and abs(a.log_major - b.log_major) < 0.006:
        return 1.0 if abs(a.flank - b.flank) < 1 else 0.5
    return 0.08


_COMMON = {"UNC": 0.9, "UNF": 0.85, "ISO coarse": 0.95, "BSW": 0.8, "BA": 0.85, "BSF": 0.7}
"""How likely a nut of the series, known to be right, is at hand (common practice, no source)."""

_TESTS: tuple[tuple[Reading, Callable[[Shape, Shape], float], float], ...] = (
    # what, how alike two threads look to it, how willingly it is done
    ("tpi", _leaf, 1.0),
    ("od", _crest, 1.0),
    ("ten-pitches", _ten, 0.9),
    ("flank-angle", _flank, 0.9),
    ("nut", _nut, 0.85),
)


def _gain(rivals: Rivals, alike: Callable[[Shape, Shape], float]) -> float:
    """Expected drop in the chance that two of the candidates are taken for one another."""
    total = 0.0
    for i, (a, p) in enumerate(rivals):
        for b, q in rivals[i + 1 :]:
            if a.group != b.group:
                total += p * q * (1 - alike(a, b))
    return total


_DIAMETER = Ask("od", "the diameter over the crests")


def next_reading(rivals: Rivals, *, crest: bool, leaf: bool, ten: bool, plate: bool) -> Ask | None:
    """The reading with the largest expected gain that was not taken yet; None when no test parts the candidates.

    `crest`, `leaf`, `ten`, `plate` say what was read already.
    """
    rivals = rivals[:CONSIDERED]
    if len(rivals) < 2:  # one name, but too little read to trust it
        return None if plate or (crest and (leaf or ten)) else Ask("tpi", "count the pitch") if crest else _DIAMETER
    taken = {"tpi": leaf or ten, "od": crest, "ten-pitches": ten}
    best: Ask | None = None
    most = 0.0
    for reading, alike, willing in _TESTS:
        if taken.get(reading):
            continue
        if reading == "nut":
            willing *= max(
                _COMMON.get(s.thread.series, 0.5) * (1 if s.thread.choice == 1 else 0.7) for s, _ in rivals[:3]
            )
        gain = _gain(rivals, alike) * willing
        if gain > most * 1.02 + 1e-6:
            most, best = gain, Ask(reading, _why(reading, rivals))
    return best


def _why(reading: Reading, rivals: Rivals) -> str:
    """A short question with the values that would decide it."""
    top = [s for s, _ in rivals[:3]]
    if reading == "tpi":
        if all(s.thread.tpi is None for s in top):
            values = _several(dict.fromkeys(f"{s.pitch:g}" for s in top))
            return f"the pitch: {values} mm?"
        values = _several(dict.fromkeys(_count(s) for s in top))
        return f"count the pitch: {values}?"
    if reading == "od":
        values = _several(dict.fromkeys(f"{s.top / 25.4:.3f}".lstrip("0") for s in top))
        return f"the diameter over the crests: {values} in?"
    if reading == "ten-pitches":
        values = _several(dict.fromkeys(f"{s.pitch * 10:.2f}" for s in top))
        return f"ten pitches by caliper: {values} mm? a leaf cannot tell them"
    if reading == "flank-angle":
        values = _several(dict.fromkeys(f"{s.flank:g}" for s in top))
        return f"flank angle against the light: {values} degrees?"
    return f"a nut known to be {top[0].thread.name} or {top[1].thread.name}"


def _count(shape: Shape) -> str:
    tpi = shape.thread.tpi
    return f"{float(tpi):g}" if tpi is not None else f"{25.4 / shape.pitch:.1f}"


def _several(values: dict[str, None]) -> str:
    names = list(values)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
