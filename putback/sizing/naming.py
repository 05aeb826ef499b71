"""Readings of one thread -> probabilities -> a verdict on its name."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from math import log

from msgspec import Struct

from putback.sizing import evidence
from putback.sizing.evidence import Shape
from putback.sizing.instruments import PITCH, TOOLS, Tool, Way, at_hand
from putback.sizing.next_reading import next_reading
from putback.sizing.plates import ALL, goes_into, plate_chance
from putback.sizing.priors import Weights
from putback.sizing.tried import BY_MISTAKE, SEEN, Mate, angles_alike, mate_explains, mate_fits, unknown_flank
from putback.sizing.units import Unit
from putback.sizing.verdict import LIKELY, SURE, Candidate, NextReading, Reading, Verdict, Word

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
    pitch: float | None = None
    """The pitch, however it was counted or measured."""
    plate_by: Way = "plate"
    """How the name was taken: off the plate, or by eye."""
    crest_by: Way = "caliper"
    """How the crest was measured."""
    pitch_by: Way = "leaf"
    """How the pitch was taken."""
    best_of: float = 0.0
    """Share of such leaves that merely fitted best of their set; 0 where it was taken otherwise."""
    flank: float | None = None
    """Included angle of the flanks, degrees, held to the light."""
    mate: Mate | None = None
    """A nut of known size that was tried on it."""
    plates: frozenset[str] = frozenset()
    """The gauge plates at hand, as `Shape.plate` has them; none where nobody said which."""
    first: frozenset[str] = ALL
    """Those of them that are tried first on such a machine."""
    metric_length: float = 1.0
    """How much better the length fits a metric thread than an inch one, within `lengths.TILT`."""

    @property
    def empty(self) -> bool:
        """Nothing was read at all."""
        return not self.names and self.crest is None and self.pitch is None and not self.by_mate

    @property
    def kinds(self) -> int:
        """How many different things were read that name a size: plate, crest, pitch, a mate that runs on it."""
        return bool(self.names) + (self.crest is not None) + (self.pitch is not None) + self.by_mate

    @property
    def by_mate(self) -> bool:
        """Whether a mate ran on it."""
        return self.mate is not None and self.mate.runs

    @property
    def tried(self) -> tuple[Reading, ...]:
        """The tests that were made."""
        flank: tuple[Reading, ...] = () if self.flank is None else ("flank-angle",)
        return flank if self.mate is None else (*flank, "nut")


class ThreadShare(Struct, frozen=True):
    """One candidate with its share of the probability."""

    shape: Shape
    """The thread; of several that no gauge tells apart the likeliest."""
    probability: float
    """Its own and its like's."""
    also: tuple[str, ...]
    """Its like."""


def _plate(shape: Shape, seen: Evidence) -> float:
    return plate_chance(shape, seen.names, seen.plates, seen.first, seen.plate_by) if seen.names else 1.0


def _pitch(shape: Shape, seen: Evidence) -> float:
    if seen.pitch is None:
        return 1.0
    if seen.pitch_by == "ten":
        return evidence.ten_kernel(shape, seen.pitch)
    if seen.pitch_by == "leaf":
        return evidence.leaf_kernel(shape, seen.pitch, seen.best_of)
    return evidence.pitch_kernel(log(seen.pitch) - shape.log_pitch, seen.pitch_by)


def _crest(shape: Shape, seen: Evidence) -> float:
    return 1.0 if seen.crest is None else evidence.crest_density(shape, seen.crest, seen.crest_by)


def _tried(shape: Shape, seen: Evidence) -> float:
    flank = 1.0 if seen.flank is None else angles_alike(seen.flank, shape.flank)
    return flank if seen.mate is None else flank * mate_fits(shape, seen.mate)


def _likelihood(shape: Shape, seen: Evidence) -> float:
    value = _plate(shape, seen)
    value = value and value * _pitch(shape, seen)
    if value and seen.tried:
        value *= _tried(shape, seen)
    return value * _crest(shape, seen) if value > 1e-12 else 0.0


def _unknown(seen: Evidence, weights: Weights) -> float:
    """Prior times likelihood of a thread that is in no table."""
    value = evidence.NONE
    if seen.names:  # it is taken for a hole of the plate as often as the hole is used
        value *= sum(weights.of(evidence.shape_of(name).thread) for name in seen.names)
    if seen.crest is not None:
        value /= seen.crest * evidence.NONE_CREST
    if seen.pitch is not None:
        leaf = seen.pitch_by in ("leaf", "ten")
        norm = evidence.leaf_norm(seen.pitch, seen.best_of) if leaf else PITCH[seen.pitch_by].norm
        value *= norm / evidence.NONE_PITCH
    if seen.flank is not None:
        value *= unknown_flank(seen.flank)
    if seen.mate is not None:
        value *= BY_MISTAKE if seen.mate.runs else 1 - BY_MISTAKE
    return value


def _field(seen: Evidence) -> Iterable[Shape]:
    """The threads worth looking at."""
    if seen.crest is not None:
        return evidence.near_diameter(seen.crest, seen.crest_by)
    if seen.names:
        return evidence.near_names(seen.names)
    if seen.pitch is None and seen.mate is not None and seen.mate.runs:
        return evidence.near_names(seen.mate.names)
    return () if seen.pitch is None else evidence.near_pitch(seen.pitch, seen.pitch_by)


def posterior(seen: Evidence, weights: Weights) -> tuple[list[ThreadShare], float]:
    """The candidates, likeliest first, and the probability of none of them."""
    groups: dict[int, list[tuple[float, Shape]]] = {}
    total = none = _unknown(seen, weights)
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
        standings.append(ThreadShare(members[0][1], share, tuple(s.thread.name for _, s in members[1:])))
    standings.sort(key=lambda s: -s.probability)
    return standings, none / total


def explains(shape: Shape, seen: Evidence, *, worn: bool = True) -> bool:
    """True when every reading lies within what this thread allows, wear included or not."""
    return (
        (not seen.names or seen.plate_by == "eye" or goes_into(shape, seen.names))
        and (seen.crest is None or evidence.crest_explains(shape, seen.crest, worn=worn, by=seen.crest_by))
        and (seen.pitch is None or evidence.pitch_explains(shape, seen.pitch, seen.pitch_by, seen.best_of))
        and (seen.flank is None or angles_alike(seen.flank, shape.flank) == SEEN)
        and (seen.mate is None or mate_explains(shape, seen.mate))
    )


ODDS = 50
"""A candidate that explains the readings forbids *sure* unless the first is so many times likelier."""


def _rivals(standings: Sequence[ThreadShare], seen: Evidence) -> list[ThreadShare]:
    """Candidates behind the first that explain the readings too, within odds that matter.

    Counted along a rule, neighbours within one turn do at any odds: a count that is one off looks like any other.
    """
    least = standings[0].probability / ODDS if standings and seen.pitch_by != "rule" else 0.0
    return [s for s in standings[1:] if s.probability >= least and explains(s.shape, seen)]


def _word(
    standings: Sequence[ThreadShare], none: float, seen: Evidence, rivals: Sequence[ThreadShare], weights: Weights
) -> Word:
    if not standings or none >= 0.5:
        return "none"
    best = standings[0]
    if best.probability < LIKELY:
        return "either"
    if best.probability < SURE or not (seen.kinds >= 2 or _by_plate(best.shape, seen, weights)):
        return "likely"
    return "sure" if explains(best.shape, seen) and not rivals else "likely"


def _by_plate(best: Shape, seen: Evidence, weights: Weights) -> bool:
    """Whether a plate alone can make it sure: one that was tried, and a thread at home on such a machine.

    American and metric machines have few of others' screws, and what they have is weighed. On a British one, an old
    Japanese one or one from nobody knows where a hole of another family only looks right.
    """
    return bool(seen.names) and seen.plate_by == "plate" and best.thread.family in weights.home


def measure_text(mm: float, unit: Unit) -> str:
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
        return f"{measure_text(seen.crest - shape.top, unit)} over"
    return f"worn by {measure_text(shape.bottom - seen.crest, unit)}"


def _behind(best: Shape, other: Shape, seen: Evidence, weights: Weights) -> str:
    """What counts most against the runner-up."""
    named = "the plate says otherwise" if seen.plate_by == "plate" else "it was named otherwise"
    counts = (
        (_plate(best, seen) / max(_plate(other, seen), 1e-9), named),
        (_pitch(best, seen) / max(_pitch(other, seen), 1e-9), "the pitch fits it less"),
        (_crest(best, seen) / max(_crest(other, seen), 1e-9), "the crest fits it less"),
        (_tried(best, seen) / max(_tried(other, seen), 1e-9), "what was tried on it says otherwise"),
        (weights.of(best.thread) / weights.of(other.thread), "it is rarer on such a machine"),
    )
    most, why = max(counts)
    return why if most > 1.3 else "no reading so far tells them apart"


def name_thread(seen: Evidence, weights: Weights, unit: Unit, have: Collection[Tool] = TOOLS) -> Verdict | None:
    """The verdict on a thread's name, or None when nothing of it was read. `unit` is for the words only.

    What is asked next can be taken with the instruments in `have`.
    """
    if seen.empty:
        return None
    standings, none = posterior(seen, weights)
    rivals = _rivals(standings, seen)
    word = _word(standings, none, seen, rivals, weights)
    kept = [s for s in standings if s.probability >= LEAST or s in rivals[:2]][:SHOWN]
    candidates = tuple(
        Candidate(
            s.shape.thread.name,
            s.probability,
            s.also,
            how_it_fits(s.shape, seen, unit),
            _behind(kept[0].shape, s.shape, seen, weights) if place == 1 else "",
        )
        for place, s in enumerate(kept)
    )
    if word == "none":
        return Verdict(word, candidates, _again(seen, have), "these readings fit no thread together")
    if word == "sure":
        return Verdict(word, candidates)
    ask = next_reading(
        [(s.shape, s.probability) for s in kept],
        crest=None if seen.crest is None else seen.crest_by,
        pitch=None if seen.pitch is None else seen.pitch_by,
        plate=seen.plate_by if seen.names else None,
        tried=seen.tried,
        have=have,
    )
    return Verdict(word, candidates, ask)


def _again(seen: Evidence, have: Collection[Tool]) -> NextReading:
    """What to read once more when nothing fits: the plate is misread oftenest, then the pitch, then the caliper."""
    counted = at_hand("pitch gauge", have) or "rule" in have
    if seen.names and seen.kinds > 1:
        return NextReading("gauge", "the readings contradict one another: the plate again, then the caliper")
    if seen.pitch is not None and seen.crest is not None and seen.pitch_by in ("leaf", "ten") and counted:
        return NextReading("tpi", "no thread of this diameter has that pitch: count it again")
    if seen.crest is not None and seen.pitch is None and counted:
        return NextReading("tpi", "no thread has this diameter: count the pitch, then the diameter again")
    if seen.crest is not None and "caliper" in have:
        return NextReading("od", "no thread fits both: the diameter again, by caliper")
    if counted:
        return NextReading("tpi", "no thread fits: count the pitch again")
    return NextReading("nut", "no thread fits: try the nuts or screws of the machine itself on it")
