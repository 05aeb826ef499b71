"""Stocked lengths, their tolerances and the datum by head.

Tolerances: ASME B18.6.3 (inch machine screws, from memory), ASME B18.2.1 (bolts, from memory), ISO 4759-1 product
grade A. Stocked lengths: tests/reference/lengths.csv, sources by row.
"""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.sizing import Readings, Verdict, snap
from putback.sizing.lengths import LISTS, Stocked, datum, inch_tolerance, metric_tolerance, stocked
from tests.sizing.reference_tables import rows


def length(text: str, **more: str) -> Verdict:
    half = snap(Readings(length=text, **more)).length  # type: ignore[arg-type]
    assert half is not None
    return half


@pytest.mark.parametrize("row", rows("lengths.csv"), ids=lambda r: f"{r['kind']} {r['nominal']}")
def test_every_stocked_length_is_on_its_list(row: dict[str, str]) -> None:
    mm = Fraction(row["value"]) * (Fraction(254, 10) if row["unit"] == "in" else 1)
    lists = [which for which, (_, kinds) in LISTS.items() if row["kind"] in dict(kinds)]
    assert lists
    for which in lists:
        assert any(abs(s.nominal - mm) < Fraction(1, 10_000) for s in stocked(which))


@pytest.mark.parametrize(
    ("nominal", "short"), [("1/4", 20), ("1/2", 20), ("9/16", 30), ("1", 30), ("1 1/8", 60), ("2", 60), ("2 1/4", 90)]
)
def test_inch_screws_are_only_ever_short(nominal: str, short: int) -> None:
    item = next(s for s in stocked("inch screw") if s.name == nominal)
    assert item.high == item.nominal
    assert item.nominal - item.low == Fraction(short, 1000) * Fraction(254, 10)


@pytest.mark.parametrize(("nominal", "off"), [(3, 20), (4, 24), (10, 29), (12, 35), (20, 42), (40, 50), (60, 95)])
def test_metric_screws_go_both_ways(nominal: int, off: int) -> None:
    """js15, js16 above 50 mm: the limits stand in lengths.csv for ISO 1207, as 9.71-10.29 for 10."""
    assert metric_tolerance(Fraction(nominal)) == Fraction(off, 100)
    item = next(s for s in stocked("metric screw") if s.name == f"{nominal} mm")
    assert (item.low, item.high) == (nominal - Fraction(off, 100), nominal + Fraction(off, 100))


def test_printed_limits_of_metric_lengths() -> None:
    for row in rows("lengths.csv"):
        if "min-max" in row["source"]:
            low, high = row["source"].rpartition("min-max ")[2].split("-")
            item = next(s for s in stocked("metric screw") if s.nominal == Fraction(row["value"]))
            assert (item.low, item.high) == (Fraction(low), Fraction(high))


def test_bolts() -> None:
    assert inch_tolerance(Fraction(1), bolt=True) == Fraction(30, 1000)
    assert inch_tolerance(Fraction(2), bolt=True) == Fraction(40, 1000)


@pytest.mark.parametrize(
    ("head", "where"),
    [
        ("fillister", "under the head"),
        ("flat", "over all"),
        ("countersunk", "over all"),
        ("headless", "over all"),
        ("oval", "from the edge of the head"),
        ("hex", "under the head"),
        (None, "under the head"),
    ],
)
def test_datum_by_head(head: str | None, where: str) -> None:
    assert datum("screw", head).startswith(where)


def test_datum_by_kind() -> None:
    assert datum("shoulder screw", "fillister").startswith("under the head")
    assert datum("taper pin", None).startswith("over all")
    assert datum("stud", None).startswith("over all")


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(stocked("inch screw")), st.floats(0.02, 0.98))
def test_nothing_within_the_tolerance_is_another_length(item: Stocked, at: float) -> None:
    """Near the nominal it is that length; near the far edge the machine's other screws must tell."""
    mm = float(item.low) + at * float(item.high - item.low)
    half = length(f"{mm:.4f}mm", origin="us")
    assert half.candidates[0].name == item.name or half.word == "none"
    if at >= 0.6 and item.weight == 1:
        assert half.word in ("sure", "likely")


@settings(max_examples=80, deadline=None)
@given(st.floats(3, 70))
def test_odd_lengths_stay_odd_and_name_their_neighbours(mm: float) -> None:
    items = stocked("metric screw")
    inside = [s for s in items if float(s.low) - 0.25 <= mm <= float(s.high) + 0.3]
    half = length(f"{mm:.3f}mm", origin="metric")
    if not inside:
        assert half.word == "none"
        below = max((s for s in items if s.nominal <= mm), key=lambda s: s.nominal)
        above = min((s for s in items if s.nominal > mm), key=lambda s: s.nominal)
        assert {c.name for c in half.candidates[:2]} == {below.name, above.name}
    assert sum(c.probability for c in half.candidates) <= 1


def test_the_list_is_that_of_the_threads_own_system() -> None:
    metric = snap(Readings(gauge="m5", length=".472", origin="us"))
    assert metric.length is not None and metric.length.candidates[0].name == "12 mm"
    inch = snap(Readings(gauge="832", length="9.5", origin="metric", unit="mm"))
    assert inch.length is not None and inch.length.candidates[0].name == "3/8"


def test_a_length_of_the_other_system_is_named_beside_the_neighbours() -> None:
    """.466 in is odd on an inch machine; it is 11.84 mm, and 12 mm is told last."""
    half = length(".466", origin="us")
    assert half.word == "none" and [c.name for c in half.candidates] == ["7/16", "1/2", "12 mm"]
    known = snap(Readings(gauge="832", length=".466", origin="us")).length
    assert known is not None and [c.name for c in known.candidates] == ["7/16", "1/2"]


def test_beyond_the_list() -> None:
    assert length("9", origin="us").word == "none"
    assert length(".020", origin="us").word == "none"


@pytest.mark.parametrize(
    ("length", "head", "size", "note"),
    [
        # a #8 pan head is .096 high (ASME B18.6.3), a #8 flat one .100
        ("7/16 under head", "pan", "#8-32 UNC x 7/16", ""),
        (".372 oa", "", "#8-32 UNC x 3/8", ""),
        (".372 over all", "flat", "#8-32 UNC x 3/8", ""),
        (".455 oa", "pan", "#8-32 UNC x 3/8", "length: over all .455 less the head (.096): .359 under the head"),
        (".278 u.h.", "flat", "#8-32 UNC x 3/8", "length: under the head .278 and the head (.1): .378 over all"),
        ("3/8 oa", "mushroom", "#8-32 UNC x 3/8", "length: measured over all; a mushroom head is named by its length"),
    ],
)
def test_where_a_length_was_measured_can_be_said_behind_it(length: str, head: str, size: str, note: str) -> None:
    answer = snap(Readings(gauge="832", length=length, head=head or None, origin="us"))
    assert answer.size == size
    assert "".join(answer.notes).startswith(note) and bool(answer.notes) == bool(note)


def test_what_is_said_of_an_end_holds_where_the_head_does_not_tell() -> None:
    half = snap(Readings(gauge="832", length=".372 oa", origin="us")).length
    assert half is not None and half.datum == "over all"
    for begun in (".372 o", "7/16 und", "7/16 over a"):
        assert snap(Readings(gauge="832", length=begun, origin="us")).problem.startswith("length: over all, or under")
