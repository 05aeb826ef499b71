"""The 54 worked examples and every confusable pair: what comes out, how sure, and what is asked next."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from putback.sizing import Answer, Origin, Prior, Readings, Verdict, snap
from putback.sizing.evidence import shape_of
from putback.sizing.naming import ODDS
from putback.sizing.threads import all_threads, thread_named
from tests.sizing.reference_tables import rows


def example(row: dict[str, str]) -> Answer:
    given_ = {k: row[k] for k in ("gauge", "od", "tpi", "pitch", "length") if row[k]}
    prior = Prior.empty()
    if row["seen"]:
        times, _, name = row["seen"].partition("x")
        prior = prior.with_seen(name, int(times))
    return snap(
        replace(
            Readings(), origin=row["origin"], unit=row["unit"] or "in", pitch_by=row["pitch_by"] or "leaf", **given_
        ),
        prior,
    )


def half_of(answer: Answer, row: dict[str, str]) -> Verdict:
    half = answer.length if row["length"] else answer.thread
    assert half is not None
    return half


def named(half: Verdict) -> set[str]:
    return {name for c in half.candidates for name in (c.name, *c.also)}


EXAMPLES = rows("worked_examples.csv")
IDS = [
    f"{r['number']}: {' '.join(r[k] for k in ('gauge', 'od', 'tpi', 'pitch', 'length', 'origin') if r[k])}"
    for r in EXAMPLES
]


@pytest.mark.parametrize("row", EXAMPLES, ids=IDS)
def test_worked_examples(row: dict[str, str]) -> None:
    half = half_of(example(row), row)
    assert half.word in row["verdicts"].split()
    expected = [n.strip() for n in row["names"].split(";") if n.strip()]
    assert set(expected) <= named(half)
    if expected and half.word in ("sure", "likely"):
        assert half.candidates[0].name == expected[0]
    if expected and half.word == "either":
        assert half.candidates[0].name in expected
    if row["ask"] and half.word != "sure":
        assert half.ask is not None and half.ask.reading == row["ask"]


def test_all_54_examples_are_here() -> None:
    assert {int(r["number"]) for r in EXAMPLES} == set(range(1, 55))


def test_the_prior_rises_but_a_diameter_alone_is_never_sure() -> None:
    """Example 53: #10-24 and #10-32 start even, and nine #10-24 lift it well above."""
    fresh = snap(Readings(od=".1865", origin="us")).thread
    seen = snap(Readings(od=".1865", origin="us"), Prior.empty().with_seen("#10-24 UNC", 9)).thread
    assert fresh is not None and seen is not None
    before = {c.name: c.probability for c in fresh.candidates}
    after = {c.name: c.probability for c in seen.candidates}
    assert 1 / 1.3 < before["#10-24 UNC"] / before["#10-32 UNF"] < 1.3
    assert after["#10-24 UNC"] > 4 * after["#10-32 UNF"] and seen.word == "likely"


# Pairs of tests/reference/confusions that share pitch and diameter but not the flank angle.
FLANK = [
    ("1/4-20 UNC", "1/4 BSW"), ("5/16-18 UNC", "5/16 BSW"), ("3/8-16 UNC", "3/8 BSW"), ("7/16-14 UNC", "7/16 BSW"),
    ("9/16-12 UNC", "9/16 BSW"), ("5/8-11 UNC", "5/8 BSW"), ("3/4-10 UNC", "3/4 BSW"), ("7/8-9 UNC", "7/8 BSW"),
    ("1-8 UNC", "1 BSW"), ("1/2-12 NS", "1/2 BSW"), ("#5-40 UNC", "1/8 BSW"), ("5/32-32 NS", "5/32 BSW"),
    ("3/16-24 NS", "3/16 BSW"), ("1/2-20 UNF", "1/2-20 CEI"), ("1/4 BSF", "1/4-26 CEI"), ("9/32 BSF", "9/32-26 CEI"),
    ("3/16 BSF", "3/16-32 CEI"), ("5/16-26 CEI", "5/16-26 BSB"), ("3/8-26 CEI", "3/8-26 BSB"),
    ("7/16-26 CEI", "7/16-26 BSB"), ("1/2-26 CEI", "1/2-26 BSB"), ("5/8-26 CEI", "5/8-26 BSB"),
    ("3/4-26 CEI", "3/4-26 BSB"), ("1/8 BSW", "1/8-40 CEI"), ("5/32 BSW", "5/32-32 CEI"), ("M6x1", "0BA"),
    ("6BA", "#4-48 UNF"), ("M3x0.5", "Loewenherz 3x0.5"), ("M3.5x0.6", "Loewenherz 3.5x0.6"),
    ("M4x0.7", "Loewenherz 4x0.7"), ("M4.5x0.75", "Loewenherz 4.5x0.75"), ("M5x0.8", "Loewenherz 5x0.8"),
    ("M6x1", "Loewenherz 6x1"), ("M5.5x0.9", "Loewenherz 5.5x0.9"), ("M2.3x0.4", "Loewenherz 2.3x0.4"),
    ("M2.6x0.45", "Loewenherz 2.6x0.45"), ("10BA", "Loewenherz 1.7x0.35"), ("M1.7x0.35", "10BA"),
]  # fmt: skip

# Pairs whose bands and pitches overlap to a gauge, at one flank angle or nearly: nut, or ten pitches.
NEAR = [
    ("#10-24 UNC", "3/16-24 NS"), ("#12-32 UNEF", "7/32-32 NS"), ("#12-24 UNC", "7/32-24 NS"),
    ("1/4-20 UNC", "#14-20 NS"), ("1/4-24 NS", "#14-24 NS"), ("M8x1", "5/16-26 CEI"), ("2BA", "3/16 BSF"),
    ("#10-32 UNF", "3/16-32 NS"), ("#10-32 UNF", "3/16 BSF"),
]  # fmt: skip

# Pairs that one more reading does part: what each looks like to caliper and leaf is enough.
APART = [
    ("1/2-13 UNC", "1/2 BSW"), ("M3.5x0.6", "#6-40 UNF"), ("M3.5x0.6", "4BA"), ("M3x0.5", "5BA"),
    ("M3x0.5", "#4-48 UNF"),
    ("M2x0.4", "9BA"), ("M2x0.4", "#1-64 UNC"), ("M14x2", "9/16-12 UNC"), ("M10x1.25", "3/8 BSF"),
    ("M12x1.5", "1/2 BSF"),
    ("M6x0.75", "1/4-32 UNEF"), ("M5x0.8", "2BA"), ("M4x0.7", "#8-36 UNF"), ("#8-32 UNC", "#9-32 NS"),
    ("#6-32 UNC", "#6-36 NS"), ("#6-36 NS", "#6-40 UNF"), ("#4-36 NS", "#4-40 UNC"), ("#4-40 UNC", "#4-48 UNF"),
    ("#12-32 UNEF", "#12-28 UNF"), ("#12-28 UNF", "#12-24 UNC"), ("#9-24 NS", "#10-24 UNC"), ("1/4 BSW", "1/4 BSF"),
    ("M1.6x0.35", "M1.7x0.35"), ("M6x1", "1/4-26 CEI"),
]  # fmt: skip


def middle(a: str, b: str) -> float:
    """The middle of the crest diameters that both threads may have, mm."""
    one, two = shape_of(a), shape_of(b)
    low, high = max(one.low - one.wear / 4, two.low - two.wear / 4), min(one.top, two.top)
    assert low < high, "these two do not overlap"
    return (low + high) / 2


def read(crest: float, name: str, origin: Origin, by: str = "leaf", flank: str | None = None) -> Verdict:
    pitch = f"{shape_of(name).pitch:.6f}mm"
    answer = snap(Readings(od=f"{crest:.4f}mm", pitch=pitch, origin=origin, pitch_by=by, flank=flank))  # type: ignore[arg-type]
    assert answer.thread is not None
    return answer.thread


@pytest.mark.parametrize(("a", "b"), FLANK, ids=[" / ".join(p) for p in FLANK])
def test_pairs_that_only_the_flank_angle_tells(a: str, b: str) -> None:
    half = read(middle(a, b), a, "unknown")
    assert half.word != "sure" and {a, b} <= named(half)
    by_name = {n: c for c in half.candidates for n in (c.name, *c.also)}
    assert by_name[a] is not by_name[b]
    first, second = (shape_of(c.name).flank for c in half.candidates[:2])
    tests = ("flank-angle", "ten-pitches") if first != second else ("flank-angle", "ten-pitches", "nut")
    assert half.ask is not None and half.ask.reading in tests
    for truth, other in ((a, b), (b, a)):
        tried = read(middle(a, b), a, "unknown", flank=f"{shape_of(truth).flank:g}")
        now = {n: c for c in tried.candidates for n in (c.name, *c.also)}
        rest = now[other].probability if other in now else 0.0
        before = by_name[truth].probability / by_name[other].probability
        assert rest == 0 or now[truth].probability / rest > 6 * before, "its flanks speak for it"
        assert tried.ask is None or tried.ask.reading != "flank-angle"


@pytest.mark.parametrize(("a", "b"), NEAR, ids=[" / ".join(p) for p in NEAR])
def test_pairs_that_a_leaf_and_a_caliper_cannot_part(a: str, b: str) -> None:
    half = read(middle(a, b), a, "unknown")
    assert half.word != "sure" and {a, b} <= named(half)
    assert half.ask is not None and half.ask.reading in ("nut", "ten-pitches", "flank-angle")


@pytest.mark.parametrize(("a", "b"), APART, ids=[" / ".join(p) for p in APART])
@pytest.mark.parametrize("turned", [False, True], ids=["first", "second"])
def test_pairs_that_a_reading_parts(a: str, b: str, turned: bool) -> None:
    truth, other = (b, a) if turned else (a, b)
    shape = shape_of(truth)
    half = read((shape.low + shape.bands[0][1]) / 2, truth, "unknown")
    shares = {n: c.probability for c in half.candidates for n in (c.name, *c.also)}
    assert shares.get(other, 0.0) < min(0.1, shares[truth])


def test_the_same_thread_under_two_names_is_one_candidate() -> None:
    """1/4 BSF is 1/4-26 brass and 1/8 BSW is 1/8-40 ME: equal diameter, pitch and flank angle."""
    for a, b in (
        ("1/4 BSF", "1/4-26 BSB"),
        ("1/8 BSW", "1/8-40 ME"),
        ("5/32-32 NS", "5/32-32 CEI"),
        ("2BA", "Thury 2"),
    ):
        half = read(middle(a, b), a, "uk")
        holder = next(c for c in half.candidates if a in (c.name, *c.also))
        assert b in (holder.name, *holder.also)


def test_ten_pitches_part_what_a_leaf_does_not() -> None:
    """M8x1 and 5/16-26: ten pitches are 10.0 and 9.8 mm."""
    crest = middle("M8x1", "5/16-26 CEI")
    leaf, ten = read(crest, "M8x1", "unknown"), read(crest, "M8x1", "unknown", by="ten")
    assert leaf.candidates[0].probability < ten.candidates[0].probability > 0.8
    assert ten.candidates[0].name == "M8x1"


def test_origin_ranks_and_never_filters() -> None:
    """A metric screw in an American machine is named, wherever the machine is from."""
    for origin in ("us", "uk", "metric", "unknown"):
        half = snap(Readings(od="9.9mm", pitch="1.5mm", origin=origin)).thread
        assert half is not None and half.candidates[0].name == "M10x1.5"


COMMON = [
    t.name for t in all_threads() if t.series in ("UNC", "UNF", "BSW", "BSF", "BA", "ISO coarse") and t.major < 26
]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(COMMON), st.floats(0.05, 0.95), st.sampled_from(["us", "uk", "metric", "unknown"]))
def test_units_are_only_spelling(name: str, at: float, origin: Origin) -> None:
    shape = shape_of(name)
    crest = round(shape.low + at * (shape.top - shape.low), 3)
    thread = thread_named(name)
    assert thread is not None
    mm = snap(Readings(od=f"{crest}mm", pitch=f"{float(thread.pitch):.9f}mm", origin=origin)).thread
    thou = snap(
        Readings(od=f"{crest / 25.4:.9f}", pitch=f"{float(thread.pitch) / 25.4:.11f}", origin=origin, unit="in")
    ).thread
    assert mm is not None and thou is not None and mm.word == thou.word
    assert [c.name for c in mm.candidates] == [c.name for c in thou.candidates]
    for a, b in zip(mm.candidates, thou.candidates, strict=True):
        # The ninth decimal of an inch is another side of a step of the sum: 1.3e-4 at most where it was looked for.
        assert a.probability == pytest.approx(b.probability, abs=5e-4)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(COMMON), st.floats(0.05, 0.95), st.sampled_from(["us", "uk", "metric", "unknown"]))
def test_probabilities_are_probabilities_and_the_truth_is_named(name: str, at: float, origin: Origin) -> None:
    shape = shape_of(name)
    crest = shape.low + at * (shape.bands[0][1] - shape.low)
    half = snap(Readings(od=f"{crest:.4f}mm", pitch=f"{shape.pitch:.6f}mm", origin=origin)).thread
    assert half is not None
    shares = [c.probability for c in half.candidates]
    assert all(0 <= p <= 1 for p in shares) and sum(shares) <= 1 + 1e-9 and shares == sorted(shares, reverse=True)
    assert name in named(half)
    if half.word == "sure":  # #3-56 is to a caliper and a leaf an M2.5, and on a metric machine hardly ever met
        truth = next(c.probability for c in half.candidates if name in (c.name, *c.also))
        assert (
            name in (half.candidates[0].name, *half.candidates[0].also) or truth * ODDS < half.candidates[0].probability
        )


def rank(half: Verdict | None, name: str) -> int:
    assert half is not None
    return next((i for i, c in enumerate(half.candidates) if name in (c.name, *c.also)), 20)


def test_a_consistent_reading_never_lowers_the_truth_on_average() -> None:
    """Crest alone, then with the pitch, then with the plate: the truth's mean rank only falls."""
    alone = both = all_three = 0
    for name in COMMON:
        shape = shape_of(name)
        od, pitch = f"{(shape.low + shape.top) / 2:.4f}mm", f"{shape.pitch:.6f}mm"
        alone += rank(snap(Readings(od=od)).thread, name)
        both += rank(snap(Readings(od=od, pitch=pitch)).thread, name)
        all_three += rank(snap(Readings(od=od, pitch=pitch, gauge=name)).thread, name)
    assert all_three <= both <= alone


def test_the_fifteenth_never_swallows_another_thread() -> None:
    """Forty #8-32 seen: a #10-32 by caliper and leaf is still a #10-32."""
    prior = Prior.empty().with_seen("#8-32 UNC", 40)
    half = snap(Readings(od=".187", tpi="32", origin="us"), prior).thread
    assert half is not None and half.candidates[0].name == "#10-32 UNF"


def test_never_sure_where_two_threads_explain_the_readings() -> None:
    """Every UNC of BSW's pitch, read at every tenth of its band, on every machine."""
    for size in ("1/4-20", "5/16-18", "3/8-16", "5/8-11"):
        shape = shape_of(f"{size} UNC")
        for tenth in range(11):
            crest = shape.low + tenth / 10 * (shape.top - shape.low)
            for origin in ("us", "uk", "metric", "unknown"):
                assert read(crest, f"{size} UNC", origin).word != "sure"
