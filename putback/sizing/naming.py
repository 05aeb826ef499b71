"""Readings of one thread -> probabilities -> a verdict on its name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import log

from msgspec import Struct

from putback.sizing import evidence
from putback.sizing.asking import next_reading
from putback.sizing.evidence import Shape
from putback.sizing.priors import Weights
from putback.sizing.units import Unit
from putback.sizing.verdict import LIKELY, SURE, Ask, Candidate, Verdict, Word

SHOWN = 8
"""At most so many candidates are named."""

LEAST = 0.002
"""Candidates under this probability are not named, unless they are the only ones."""


class Evidence(Struct, frozen=True):
    """What was read of one thread, in millimetres."""

    names: tuple[str, ...] = ()
    """What the plate says; empty when it was not asked."""
    crest: float | None = None
    """Caliper over the crests."""
    leaf: float | None = None
    """Pitch by leaf or by counting to the inch."""
    ten: float | None = None
    """Pitch by caliper over ten."""
    metric_length: float = 1.0
    """How much better the length fits a metric thread than an inch one, within `lengths.TILT`."""

    @property
    def empty(self) -> bool:
        """Nothing was read at all."""
        return not self.names and self.crest is None and self.leaf is None and self.ten is None

    @property
    def kinds(self) -> int:
        """How many different things were read: plate, crest, pitch."""
        return bool(self.names) + (self.crest is not None) + (self.leaf is not None or self.ten is not None)


class Standing(Struct, frozen=True):
    """One candidate with its share of the probability."""

    shape: Shape
    """The thread; of several that no gauge tells apart the likeliest."""
    probability: float
    """Its own and its like's."""
    also: tuple[str, ...]
    """Its like."""


def _likelihood(shape: Shape, seen: Evidence) -> float:
    value = 1.0
    if seen.names:
        if shape.thread.name in seen.names:
            value = evidence.PLATE
        else:
            home = evidence.shape_of(seen.names[0]).log_major
            value = evidence.PLATE_SLIP if abs(shape.log_major - home) < evidence.PLATE_REACH else 0.0
    if value and seen.leaf is not None:
        value *= evidence.leaf_kernel(log(seen.leaf) - shape.log_pitch)
    if value and seen.ten is not None:
        value *= evidence.ten_kernel(shape, seen.ten)
    if value > 1e-12 and seen.crest is not None:
        value *= evidence.crest_density(shape, seen.crest)
    return value


def _unknown(seen: Evidence) -> float:
    """Prior times likelihood of a thread that is in no table."""
    value = evidence.NONE
    if seen.names:
        value *= evidence.NONE_PLATE
    if seen.crest is not None:
        value /= seen.crest * evidence.NONE_CREST
    for pitch in (seen.leaf, seen.ten):
        if pitch is not None:
            value *= evidence.NONE_PITCH
    return value


def _field(seen: Evidence) -> Iterable[Shape]:
    """The threads worth looking at."""
    if seen.crest is not None:
        return evidence.near_diameter(seen.crest)
    if seen.names:
        return evidence.near_names(seen.names)
    pitch = seen.leaf if seen.leaf is not None else seen.ten
    return () if pitch is None else evidence.near_pitch(pitch)


def posterior(seen: Evidence, weights: Weights) -> tuple[list[Standing], float]:
    """The candidates, likeliest first, and the probability of none of them."""
    groups: dict[int, list[tuple[float, Shape]]] = {}
    total = none = _unknown(seen)
    for shape in _field(seen):
        value = _likelihood(shape, seen)
        if value > 0:
            value *= weights.of(shape.thread)
            if shape.thread.family == "metric":
                value *= seen.metric_length
            total += value
            groups.setdefault(shape.group, []).append((value, shape))
    standings = []
    for members in groups.values():
        members.sort(key=lambda m: -m[0])
        share = sum(value for value, _ in members) / total
        standings.append(Standing(members[0][1], share, tuple(s.thread.name for _, s in members[1:])))
    standings.sort(key=lambda s: -s.probability)
    return standings, none / total


def explains(shape: Shape, seen: Evidence) -> bool:
    """True when every reading lies within what this thread allows."""
    return (
        (not seen.names or shape.thread.name in seen.names)
        and (seen.crest is None or evidence.crest_explains(shape, seen.crest))
        and (seen.leaf is None or evidence.pitch_explains(shape, seen.leaf, ten=False))
        and (seen.ten is None or evidence.pitch_explains(shape, seen.ten, ten=True))
    )


def _word(standings: Sequence[Standing], none: float, seen: Evidence) -> Word:
    if not standings or none >= 0.5:
        return "none"
    best = standings[0]
    if best.probability < LIKELY:
        return "either"
    if best.probability < SURE or not (seen.names or seen.kinds == 2):
        return "likely"
    rivals = sum(explains(s.shape, seen) for s in standings[1:] if s.shape.group != best.shape.group)
    return "sure" if explains(best.shape, seen) and not rivals else "likely"


def told(mm: float, unit: Unit) -> str:
    """A small difference in the machine's unit: .0006 in, 0.02 mm."""
    return f"{mm / 25.4:.4f} in".lstrip("0") if unit == "in" else f"{mm:.2f} mm"


def how_it_fits(shape: Shape, seen: Evidence, unit: Unit) -> str:
    """Where the crest reading lies to the thread's limits, in words."""
    if seen.crest is None:
        return ""
    for band, (low, high, _) in zip(shape.thread.bands, shape.bands, strict=True):
        if low <= seen.crest <= high:
            return f"within {band.name}"
    if seen.crest > shape.top:
        return f"{told(seen.crest - shape.top, unit)} over"
    return f"worn by {told(shape.bottom - seen.crest, unit)}"


def name_thread(seen: Evidence, weights: Weights, unit: Unit) -> Verdict | None:
    """The verdict on a thread's name, or None when nothing of it was read. `unit` is for the words only."""
    if seen.empty:
        return None
    standings, none = posterior(seen, weights)
    word = _word(standings, none, seen)
    kept = [s for s in standings[:SHOWN] if s.probability >= LEAST]
    candidates = tuple(
        Candidate(s.shape.thread.name, s.probability, s.also, how_it_fits(s.shape, seen, unit)) for s in kept
    )
    if word == "none":
        return Verdict(word, candidates, _again(seen), "these readings fit no thread together")
    if word == "sure":
        return Verdict(word, candidates)
    ask = next_reading(
        [(s.shape, s.probability) for s in kept],
        crest=seen.crest is not None,
        leaf=seen.leaf is not None,
        ten=seen.ten is not None,
        plate=bool(seen.names),
    )
    return Verdict(word, candidates, ask)


def _again(seen: Evidence) -> Ask:
    """What to read once more when nothing fits: the plate is misread oftenest, then the pitch, then the caliper."""
    if seen.names and seen.kinds > 1:
        return Ask("gauge", "the readings contradict one another: the plate again, then the caliper")
    if seen.leaf is not None or seen.ten is not None:
        return Ask("tpi", "no thread of this diameter has that pitch: count it again")
    return Ask("tpi", "no thread has this diameter: count the pitch, then the diameter again")
