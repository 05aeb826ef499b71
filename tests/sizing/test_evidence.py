"""Likelihoods: densities are densities, and the model's probabilities hold when its own world is played."""

from collections.abc import Iterator

import pytest

from bench import calibration
from putback.sizing.evidence import (
    WORN,
    crest_density,
    near_diameter,
    near_names,
    near_pitch,
    pitch_kernel,
    shape_of,
    shapes,
    ten_kernel,
)
from putback.sizing.instruments import CREST, PITCH, Way

NAMES = (
    "#0-80 UNF",
    "#8-32 UNC",
    "1/4-20 UNC",
    "1/4 BSF",
    "2BA",
    "16BA",
    "M5x0.8",
    "M24x3",
    "Loewenherz 3x0.5",
    "1-8 UNC",
    "G 1/8",
)


@pytest.mark.parametrize("by", ["caliper", "rule"])
@pytest.mark.parametrize("name", NAMES)
def test_the_crest_density_sums_to_one(name: str, by: Way) -> None:
    """Student's law of two degrees of freedom keeps 0.01 % of its readings beyond 70 scales."""
    shape = shape_of(name)
    reach = 100 * CREST[by].least
    low, high = shape.low - shape.wear - reach, shape.top + reach
    steps = 20_000
    wide = (high - low) / steps
    total = sum(crest_density(shape, low + (i + 0.5) * wide, by) for i in range(steps)) * wide
    assert total == pytest.approx(1.0, abs=0.002)


def test_a_rule_says_less_than_a_caliper_and_the_eye_less_than_a_rule() -> None:
    """Beside a thread a sixteenth of an inch larger: a caliper excludes it, a rule hardly, the eye not at all."""
    small, large = shape_of("1/4-20 UNC"), shape_of("5/16-18 UNC")
    here = (small.low + small.top) / 2
    odds = [crest_density(large, here, by) / crest_density(small, here, by) for by in ("caliper", "rule", "eye")]
    assert odds[0] < odds[1] < odds[2] / 10


def test_the_crest_density_against_a_second_way_of_reckoning_it() -> None:
    """The closed form beside the plain sum of error law over true crests: every class, and the wear below."""
    shape, scale = shape_of("1/4-20 UNC"), CREST["caliper"].least

    def law(error: float) -> float:
        return float(scale * scale / (2 * scale * scale + error * error) ** 1.5)

    def crests() -> Iterator[tuple[float, float]]:
        n = 4000
        for low, high, density in shape.bands:
            for i in range(n):
                yield low + (high - low) * (i + 0.5) / n, density * (high - low) / n
        for i in range(n):
            under = shape.wear * (i + 0.5) / n
            yield shape.low - under, WORN * 2 / shape.wear * (1 - under / shape.wear) * shape.wear / n

    for reading in (shape.low - 0.1, shape.low - 0.01, shape.low, (shape.low + shape.top) / 2, shape.top + 0.03):
        plain = sum(share * law(reading - crest) for crest, share in crests())
        assert crest_density(shape, reading) == pytest.approx(plain, rel=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_a_crest_is_above_its_nominal_only_by_the_caliper(name: str) -> None:
    shape = shape_of(name)
    inside = crest_density(shape, (shape.low + shape.top) / 2)
    assert crest_density(shape, shape.top + 0.06) < inside / 50
    assert crest_density(shape, shape.top + 0.2) < inside / 1000
    assert crest_density(shape, shape.low - shape.wear / 3) > crest_density(shape, shape.low - shape.wear)


@pytest.mark.parametrize("by", ["leaf", "rule", "eye"])
def test_the_pitch_kernels_sum_to_their_norms(by: Way) -> None:
    steps, reach = 20_000, 6 * PITCH[by].reach
    total = sum(pitch_kernel(reach * (2 * i / steps - 1), by) for i in range(steps)) * 2 * reach / steps
    assert total == pytest.approx(PITCH[by].norm, rel=0.01)


def test_leaves_within_two_and_a_half_percent_look_alike() -> None:
    """0.8 mm, 32 t.p.i. and 2BA; 1.0 mm and 26; 0.7 mm and 36; 1.25 mm and 20: within 2.5 % (common practice)."""
    for a, b in (
        ("M5x0.8", "#10-32 UNF"),
        ("M5x0.8", "2BA"),
        ("M6x1", "1/4-26 CEI"),
        ("M4x0.7", "#8-36 UNF"),
        ("M8x1.25", "3/8 BSF"),
    ):
        assert pitch_kernel(shape_of(a).log_pitch - shape_of(b).log_pitch) > 0.3
    assert pitch_kernel(shape_of("M3.5x0.6").log_pitch - shape_of("#6-40 UNF").log_pitch) < 0.01


def test_ten_pitches_are_sharper_than_a_leaf() -> None:
    metric, cycle = shape_of("M8x1"), shape_of("5/16-26 CEI")
    assert ten_kernel(metric, 1.0) / ten_kernel(cycle, 1.0) > 5
    assert pitch_kernel(0.0) / pitch_kernel(metric.log_pitch - cycle.log_pitch) < 5


def test_nothing_is_pruned_that_matters() -> None:
    for name in NAMES:
        shape = shape_of(name)
        for crest in (shape.low - shape.wear, shape.low, shape.top):
            assert shape in near_diameter(crest)
            kept = {s.thread.name for s in near_diameter(crest)}
            assert all(crest_density(s, crest) < 4e-3 for s in shapes() if s.thread.name not in kept)
        assert shape in near_pitch(shape.pitch * 1.02)
        assert shape in near_names([name])


def test_the_model_is_calibrated_in_its_own_world_and_in_a_wider_one() -> None:
    """Of the answers stated at 95 % or more at least 93 % are right; each coarser bin keeps its word within 10 %."""
    own, wider = calibration.play(calibration.MODEL, 2500), calibration.play(calibration.WIDER, 2500)
    assert calibration.stated_at_least(own, 0.95) >= 0.97
    assert calibration.stated_at_least(wider, 0.95) >= 0.93
    for _, count, stated, right in calibration.reliability(own):
        if count >= 100:
            assert right >= stated - 0.10
    for (_, count, _, right), least in zip(calibration.reliability(wider), calibration.BINS, strict=True):
        if count >= 100:
            assert right >= least - 0.06  # 250 answers a row scatter by 2 or 3 % themselves
    held = {word: share for word, _, share in calibration.verdicts(own)}
    assert held["sure"] >= 0.97 and held["likely"] >= 0.88


def test_a_learned_prior_stays_calibrated() -> None:
    """Whole machines of five sizes each: what they showed lifts the answers and does not make them rash."""
    found = calibration.play_machines(calibration.MODEL, 2500)
    assert calibration.stated_at_least(found, 0.95) >= 0.95
    assert calibration.stated_at_least(found, 0.0) > calibration.stated_at_least(
        calibration.play(calibration.MODEL, 2500), 0.0
    )


def test_the_first_is_right_where_the_standards_decide() -> None:
    """Crest and pitch read, and no other thread within its limits: at least 99 in 100."""
    found = [t for t in calibration.play(calibration.MODEL, 4000, seed=11) if t.decidable]
    assert len(found) > 300
    assert sum(t.right() for t in found) / len(found) >= 0.99


def test_readings_made_from_the_published_limits() -> None:
    """A hold-out: crests between the printed limits of tests/reference/limits.csv, real leaves, no prior, no wear."""
    found = calibration.play_published(3000)
    assert calibration.stated_at_least(found, 0.95) >= 0.97
    decided = [t for t in found if t.decidable]
    assert len(decided) > 500 and sum(t.right() for t in decided) / len(decided) >= 0.99


def test_plates_by_fit_and_leaves_of_one_set() -> None:
    """A world that shares only the geometry of the forms with the model: plates by chance, leaves of one set."""
    tried = calibration.play_fits(2500)
    assert calibration.stated_at_least(tried, 0.95) >= 0.95
    held = {word: share for word, _, share in calibration.verdicts(tried)}
    assert held["sure"] >= 0.96 and held["either"] >= 0.97
