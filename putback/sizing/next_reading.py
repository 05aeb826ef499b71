"""Which reading to take next: the one expected to part the candidates best, or the test that does."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from math import exp

from msgspec import Struct

from putback.sizing.evidence import TEN_SLOPPY, Shape
from putback.sizing.instruments import CREST, PITCH, TOOLS, Tool, Way, at_hand, plates_at_hand
from putback.sizing.series import series_named
from putback.sizing.tried import angles_alike, sizes_alike
from putback.sizing.verdict import NextReading, Reading

Rivals = Sequence[tuple[Shape, float]]
"""The candidates left and their probabilities, likeliest first."""

CONSIDERED = 5
"""Only the foremost candidates are weighed: the others hardly move the gain."""


Alike = Callable[[Shape, Shape], float]
"""How alike two threads look to a reading: 1 for the same, 0 for plainly apart."""


def _crest(way: Way) -> Alike:
    """How alike two threads look over the crests: by how far their bands lie apart, in the instrument's errors."""

    def alike(a: Shape, b: Shape) -> float:
        slack = 2.7 * CREST[way].scale(a.top)
        overlap = min(a.top, b.top) - max(a.low, b.low) + slack
        return max(0.0, min(1.0, overlap / min(a.top - a.low + slack, b.top - b.low + slack)))

    return alike


def _count(way: Way) -> Alike:
    """How alike their pitches look, to a leaf or counted along a rule."""
    law = PITCH[way]

    def alike(a: Shape, b: Shape) -> float:
        off = abs(a.log_pitch - b.log_pitch) - law.flat
        return 1.0 if off <= 0 else exp(-0.5 * (off / law.slope) ** 2)

    return alike


_leaf = _count("leaf")


def _ten(a: Shape, b: Shape) -> float:
    apart = abs(a.pitch - b.pitch)
    return TEN_SLOPPY * _leaf(a, b) + (1 - TEN_SLOPPY) * max(0.0, 1 - apart / 0.01)


def _flank(a: Shape, b: Shape) -> float:
    return angles_alike(a.flank, b.flank)


class Test(Struct, frozen=True):
    """One reading that may be taken next, or one test that may be made."""

    reading: Reading
    """Which."""
    needs: Tool | None
    """The instrument; None where none is needed: a mate of the machine, a thread held to the light."""
    way: Way | None
    """How it is then taken."""
    alike: Alike
    """How alike two threads look to it."""
    willing: float
    """How willingly it is done."""


TESTS = (
    Test("tpi", "pitch gauge", "leaf", _leaf, 1.0),
    Test("tpi", "rule", "rule", _count("rule"), 0.9),
    Test("od", "caliper", "caliper", _crest("caliper"), 1.0),
    Test("od", "rule", "rule", _crest("rule"), 0.7),
    Test("ten-pitches", "caliper", "ten", _ten, 0.9),
    Test("flank-angle", None, None, _flank, 0.9),
    Test("nut", None, None, sizes_alike, 0.85),
    Test("gauge", "gauge plate", "plate", sizes_alike, 0.5),
)
"""What can be read or tried next; the willingness is common practice, no source."""

BETTER: dict[Way, int] = {"eye": 0, "rule": 1, "leaf": 2, "caliper": 2, "ten": 3, "plate": 2}
"""A reading is asked for again only by an instrument of a higher rank than it was taken with."""


def _gain(rivals: Rivals, alike: Callable[[Shape, Shape], float]) -> float:
    """Expected drop in the chance that two of the candidates are taken for one another."""
    total = 0.0
    for i, (a, p) in enumerate(rivals):
        for b, q in rivals[i + 1 :]:
            if a.group != b.group:
                total += p * q * (1 - alike(a, b))
    return total


def next_reading(
    rivals: Rivals,
    *,
    crest: Way | None = None,
    pitch: Way | None = None,
    plate: Way | None = None,
    tried: Collection[Reading] = (),
    have: Collection[Tool] = TOOLS,
) -> NextReading | None:
    """The reading with the largest expected gain among those not taken yet, or taken by a poorer instrument.

    `crest`, `pitch` and `plate` say how each was read already, None for not at all; `tried` are the tests that were
    made, which are not asked for again; `have` are the instruments at hand. Where no reading parts the candidates,
    the test that does: the flank angle, a nut. None when no test parts them.
    """
    taken: dict[Reading, Way | None] = {"tpi": pitch, "od": crest, "ten-pitches": pitch, "gauge": plate}
    rivals = rivals[:CONSIDERED]
    if len(rivals) < 2:  # one name, but too little read to trust it
        return _one_more(taken, plate, have)
    ends = _both_ends(*(shape for shape, _ in rivals[:2]))
    if ends and "caliper" in have and crest != "rule":
        return NextReading("od", ends)
    best: NextReading | None = None
    most = 0.0
    for test in TESTS:
        if test.reading in tried or not _would_tell(test, taken.get(test.reading), rivals, have):
            continue
        gain = _gain(rivals, test.alike) * _willing(test, rivals, crest, have)
        if gain > most * 1.02 + 1e-6:
            most, best = gain, NextReading(test.reading, _why(test, rivals))
    return best


def _would_tell(test: Test, way: Way | None, rivals: Rivals, have: Collection[Tool]) -> bool:
    """Whether there is an instrument for a test, and a better one than that of the reading there is."""
    if test.needs is not None and not at_hand(test.needs, have):
        return False
    if test.reading == "gauge":
        plates = plates_at_hand(have)
        if plates and not any(s.plate in plates for s, _ in rivals[:2]):
            return False
    return way is None or test.way is None or BETTER[test.way] > BETTER[way]


def _willing(test: Test, rivals: Rivals, crest: Way | None, have: Collection[Tool]) -> float:
    """How willingly a test is made with what is at hand, for these threads (common practice, no source)."""
    willing = test.willing
    if test.reading == "flank-angle" and not ("flank gauge" in have or at_hand("pitch gauge", have)):
        willing *= 0.7  # a screw of known thread laid against it in the light
    if test.reading == "nut" and "nuts" not in have:
        willing *= 0.5  # then the machine's own mate
    if test.reading in ("nut", "gauge"):
        willing *= max(series_named(s.thread.series).nut * (1 if s.thread.choice == 1 else 0.7) for s, _ in rivals[:3])
    if test.reading in ("nut", "flank-angle") and crest is None and "caliper" in have:
        willing *= 0.6  # what is measured comes before what is tried
    return willing


def _both_ends(a: Shape, b: Shape) -> str:
    """What tells a pipe thread that tapers from a straight one of its count; nothing for other pairs."""
    tapers, straight = (a, b) if series_named(a.thread.series).tapers else (b, a)
    if not series_named(tapers.thread.series).tapers or series_named(straight.thread.series).tapers:
        return ""
    if abs(tapers.log_pitch - straight.log_pitch) > PITCH["leaf"].flat:
        return ""
    pair = f"{tapers.thread.name} is 1 in 16 thicker towards the head, {straight.thread.name} is not"
    return f"the diameter at both ends of the thread: {pair}"


def _one_more(taken: dict[Reading, Way | None], plate: Way | None, have: Collection[Tool]) -> NextReading | None:
    """What to read beside a single candidate: the half that is missing, by what there is."""
    if plate == "plate" or (taken["od"] and taken["tpi"]):
        return None
    if taken["od"] is not None:
        if at_hand("pitch gauge", have) or "rule" in have:
            return NextReading("tpi", "count the pitch")
    elif "caliper" in have or "rule" in have:
        return NextReading("od", "the diameter over the crests")
    return NextReading("nut", "a nut or screw of that size, known to be right")


def _why(test: Test, rivals: Rivals) -> str:
    """A short question with the values that would decide it."""
    reading, by = test.reading, "" if test.way != "rule" else " by rule"
    top = [s for s, _ in rivals[:3]]
    if reading == "tpi":
        if all(s.thread.tpi is None for s in top):
            values = _several(dict.fromkeys(f"{s.pitch:g}" for s in top))
            return f"the pitch{by}: {values} mm?"
        values = _several(dict.fromkeys(_counted(s) for s in top))
        return f"count the pitch{by}: {values}?"
    if reading == "od":
        values = _several(dict.fromkeys(f"{s.top / 25.4:.3f}".lstrip("0") for s in top))
        return f"the diameter over the crests{by}: {values} in?"
    if reading == "ten-pitches":
        values = _several(dict.fromkeys(f"{s.pitch * 10:.2f}" for s in top))
        return f"ten pitches by caliper: {values} mm? a leaf cannot tell them apart"
    if reading == "flank-angle":
        values = _several(dict.fromkeys(f"{s.flank:g}" for s in top))
        return f"flanks against the light: {values} degrees?"
    if reading == "gauge":
        return f"the gauge plate: {_several(dict.fromkeys(s.thread.name for s in top))}?"
    return f"a nut known to be {top[0].thread.name} or {top[1].thread.name}"


def _counted(shape: Shape) -> str:
    tpi = shape.thread.tpi
    return f"{float(tpi):g}" if tpi is not None else f"{25.4 / shape.pitch:.1f}"


def _several(values: dict[str, None]) -> str:
    names = list(values)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
