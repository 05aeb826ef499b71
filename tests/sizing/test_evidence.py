"""Likelihoods: densities are densities, and the model's probabilities hold when its own world is played."""

import sys
from pathlib import Path

import pytest

from putback.sizing.evidence import (
    CALIPER,
    LEAF_NORM,
    crest_density,
    leaf_kernel,
    near_diameter,
    near_names,
    near_pitch,
    shape_of,
    shapes,
    ten_kernel,
)  # fmt: skip

sys.path.insert(0, str(Path(__file__).parents[2] / "bench"))
import calibration

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


@pytest.mark.parametrize("name", NAMES)
def test_the_crest_density_sums_to_one(name: str) -> None:
    shape = shape_of(name)
    low, high = shape.low - shape.wear - 0.4, shape.top + 0.4
    steps = 4000
    wide = (high - low) / steps
    total = sum(crest_density(shape, low + (i + 0.5) * wide) for i in range(steps)) * wide
    assert total == pytest.approx(1.0, abs=0.03)  # wear is softened by the caliper, a trifle too much at 0.2 mm


@pytest.mark.parametrize("name", NAMES)
def test_a_crest_is_above_its_nominal_only_by_the_caliper(name: str) -> None:
    shape = shape_of(name)
    inside = crest_density(shape, (shape.low + shape.top) / 2)
    assert crest_density(shape, shape.top + 8 * CALIPER) < inside / 500
    assert crest_density(shape, shape.low - shape.wear / 3) > crest_density(shape, shape.low - shape.wear)


def test_the_leaf_kernel_sums_to_its_norm() -> None:
    steps = 20_000
    total = sum(leaf_kernel(-0.2 + 0.4 * i / steps) for i in range(steps)) * 0.4 / steps
    assert total == pytest.approx(LEAF_NORM, rel=0.01)


def test_leaves_within_two_and_a_half_percent_look_alike() -> None:
    """0.8 mm, 32 t.p.i. and 2BA; 1.0 mm and 26; 0.7 mm and 36; 1.25 mm and 20: within 2.5 % (common practice)."""
    for a, b in (
        ("M5x0.8", "#10-32 UNF"),
        ("M5x0.8", "2BA"),
        ("M6x1", "1/4-26 CEI"),
        ("M4x0.7", "#8-36 UNF"),
        ("M8x1.25", "3/8 BSF"),
    ):
        assert leaf_kernel(shape_of(a).log_pitch - shape_of(b).log_pitch) > 0.3
    assert leaf_kernel(shape_of("M3.5x0.6").log_pitch - shape_of("#6-40 UNF").log_pitch) < 0.001


def test_ten_pitches_are_sharper_than_a_leaf() -> None:
    metric, cycle = shape_of("M8x1"), shape_of("5/16-26 CEI")
    assert ten_kernel(metric, 1.0) / ten_kernel(cycle, 1.0) > 5
    assert leaf_kernel(0.0) / leaf_kernel(metric.log_pitch - cycle.log_pitch) < 5


def test_nothing_is_pruned_that_matters() -> None:
    for name in NAMES:
        shape = shape_of(name)
        for crest in (shape.low - shape.wear, shape.low, shape.top):
            assert shape in near_diameter(crest)
            kept = {s.thread.name for s in near_diameter(crest)}
            assert all(crest_density(s, crest) < 1e-3 for s in shapes() if s.thread.name not in kept)
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
    held = {word: share for word, _, share in calibration.verdicts(own)}
    assert held["sure"] >= 0.97 and held["likely"] >= 0.88


def test_a_learned_prior_stays_calibrated() -> None:
    """Whole machines of five sizes each: what they showed lifts the answers and does not make them rash."""
    told = calibration.play_machines(calibration.MODEL, 2500)
    assert calibration.stated_at_least(told, 0.95) >= 0.95
    assert calibration.stated_at_least(told, 0.0) > calibration.stated_at_least(
        calibration.play(calibration.MODEL, 2500), 0.0
    )


def test_the_first_is_right_where_the_standards_decide() -> None:
    """Crest and pitch read, and no other thread within its limits: at least 99 in 100."""
    told = [t for t in calibration.play(calibration.MODEL, 4000, seed=11) if t.decidable]
    assert len(told) > 300
    assert sum(t.right() for t in told) / len(told) >= 0.99
