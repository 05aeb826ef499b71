"""Every row of tests/reference that no other test reads: heads, drivers, drills, lengths, formulas, pairs.

Sources stand in the rows. Heads, drivers, clearance holes and length rules are what the program's own tables were
*transcribed from*: those tests prove that nothing was lost on the way. What the numbers are worth is told by a sample
from another source below each, and by tests/reference/second_sources.csv.
"""

from __future__ import annotations

from fractions import Fraction
from math import log

import pytest

from putback.sizing import Readings, snap
from putback.sizing.drilling import clearance, double_depth, rack, tap_drill
from putback.sizing.drivers import LEAST_FILL, blades, heads
from putback.sizing.evidence import crest_explains, shape_of
from putback.sizing.lengths import datum, inch_tolerance, metric_tolerance
from putback.sizing.limits import national
from putback.sizing.next_reading import next_reading
from putback.sizing.reference_tables import rows as ours
from putback.sizing.threads import Thread, all_threads, ba_dimensions, inch_size, thread_named
from tests.sizing.reference_tables import rows

INCH = Fraction(254, 10)


def of_size(size: str) -> Thread:
    return next(t for t in all_threads() if t.size == size and not t.name.startswith("Loewenherz"))


def number(text: str) -> Fraction | None:
    return Fraction(text) if text else None


def test_every_head_is_as_it_was_transcribed() -> None:
    for row in rows("heads.csv"):
        unit = INCH if row["unit"] == "in" else Fraction(1)
        size = of_size(row["size"])
        found = [h for h in heads(size, row["head"].split(" ")[0]) if h.standard == row["standard"]]
        alike = [h for h in found if h.head == row["head"]]
        assert alike, row
        for head in alike:
            across, low, high, flats = (
                number(row[c]) for c in ("head_dia_max", "slot_min", "slot_max", "across_flats")
            )
            assert head.across == (None if across is None else across * unit), row
            assert head.slot == (None if low is None or high is None else (low * unit, high * unit)), row
            assert head.flats == (None if flats is None else flats * unit), row
            assert (head.recess, head.key) == (row["recess_no"], row["key"]), row


@pytest.mark.parametrize(
    ("name", "head", "what", "value"),
    [
        # Machinery's Handbook, 5th ed. and later, and the standards named, from memory
        ("#10-24 UNC", "fillister", "across", 0.313 * 25.4),
        ("1/4-20 UNC", "pan", "across", 0.492 * 25.4),
        ("1/4-20 UNC", "fillister", "across", 0.414 * 25.4),
        ("M5x0.8", "cheese", "across", 8.5),
        ("M6x1", "socket cap", "across", 10.0),
        ("M4x0.7", "pan", "across", 8.0),
        ("M8x1.25", "hex", "flats", 13.0),
        ("1/4-20 UNC", "hex", "flats", 0.4375 * 25.4),
        ("2BA", "hex", "flats", 0.324 * 25.4),
        ("1/4 BSW", "hex", "flats", 0.525 * 25.4),
    ],
)
def test_a_sample_of_heads_from_handbooks(name: str, head: str, what: str, value: float) -> None:
    thread = thread_named(name)
    assert thread is not None
    found = [float(size) for h in heads(thread, head) if (size := getattr(h, what)) is not None]
    assert any(size == pytest.approx(value, abs=0.02) for size in found), found


def test_a_blade_is_as_iso_2380_has_it() -> None:
    """Thickness by width of ISO 2380-1, from memory."""
    have = {(float(b.tip), float(b.wide)) for b in blades()}
    assert {(0.4, 2.5), (0.6, 3.5), (0.8, 4), (1, 5.5), (1.2, 6.5), (1.6, 8), (2, 12)} <= have


def test_every_driver_is_as_it_was_transcribed() -> None:
    have = {(r["kind"], r["size"]): r for r in ours("drivers.csv")}
    for row in rows("drivers.csv"):
        mine = have[row["kind"], row["size"]]
        assert (mine["tip"], mine["blade"]) == (row["thickness_or_width_af"], row["blade_width_or_diameter"]) or float(
            mine["tip"]
        ) == float(row["thickness_or_width_af"]), row
        if row["kind"] == "slotted":
            blade = next(b for b in blades() if b.name.replace(" ", "") == row["size"])
            # a blade goes into slots from its own thickness, a hundredth of play, to thickness / 0.61
            assert float(blade.tip) == pytest.approx(float(row["slot_from"]) - 0.01)
            assert float(blade.tip / LEAST_FILL) == pytest.approx(float(row["slot_to"]), abs=0.006)


def test_a_sample_of_drills_from_handbooks() -> None:
    """Number and letter drills as stamped on a drill gauge, from memory; 29 is .136, A .234, Z .413 (ASME B94.11M)."""
    inch = {d.name: float(d.mm) / 25.4 for d in rack("in")}
    known = {"#1": 0.228, "#7": 0.201, "#21": 0.159, "#29": 0.136, "#36": 0.1065, "#43": 0.089, "#50": 0.07,
             "#60": 0.04, "#80": 0.0135, "A": 0.234, "E": 0.25, "F": 0.257, "Q": 0.332, "Z": 0.413}  # fmt: skip
    assert {name: inch[name] for name in known} == pytest.approx(known, abs=6e-5)


def test_every_drill_is_as_it_was_transcribed() -> None:
    """ASME B94.11M to four places; metric drills in the steps they are sold in."""
    inch = {d.name: float(d.mm) / 25.4 for d in rack("in")}
    for row in rows("taps_drills.csv"):
        if row["kind"] == "drill":
            assert inch[row["for"]] == pytest.approx(float(row["in"]), abs=6e-5), row


def test_handbook_tap_drills_leave_about_three_quarters() -> None:
    """The handbook rounds to the drill in the drawer: its choice and ours are near, and near three quarters."""
    for row in rows("taps_drills.csv"):
        if row["kind"] != "tap handbook":
            continue
        thread = thread_named(row["for"])
        assert thread is not None, row
        theirs = float(row["mm"])
        depth = (float(thread.major) - theirs) / (double_depth(thread) * float(thread.pitch))
        assert 0.55 <= depth <= 0.90, row
        assert abs(theirs - float(tap_drill(thread).mm)) <= max(0.13, 0.19 * float(thread.pitch)), row


@pytest.mark.parametrize(
    ("size", "fit", "mm"),
    [("M3", "normal", 3.4), ("M5", "close", 5.3), ("M6", "normal", 6.6), ("M8", "loose", 10.0)],
)
def test_a_sample_of_clearance_holes(size: str, fit: str, mm: float) -> None:
    """ISO 273 as any workshop chart prints it, from memory."""
    hole = clearance(of_size(size), fit)  # type: ignore[arg-type]
    assert hole is not None and float(hole.mm) == pytest.approx(mm, abs=0.03)


def test_every_clearance_hole_is_as_it_was_transcribed() -> None:
    """ISO 273 and ASME B18.2.8."""
    for row in rows("taps_drills.csv"):
        kind, _, fit = row["kind"].partition(" ")
        if kind == "clearance":
            hole = clearance(of_size(row["for"]), fit)  # type: ignore[arg-type]
            assert hole is not None and float(hole.mm) == pytest.approx(float(row["mm"]), abs=0.003), row


def test_every_rule_of_lengths_is_as_it_was_transcribed() -> None:
    for row in rows("length_rules.csv"):
        if row["rule"] == "datum":
            assert datum(row["kind"], row["head"] or None).startswith(row["datum"]), row
        elif row["unit"] == "mm":
            assert metric_tolerance(Fraction(row["nominal"])) == Fraction(row["plus"]) == Fraction(row["minus"]), row
        else:
            short = inch_tolerance(inch_size(row["nominal"]), bolt=row["kind"] == "bolt")
            assert short == Fraction(row["minus"]) and Fraction(row["plus"]) == 0, row


def test_every_printed_value_of_the_formulas() -> None:
    """Printed values, and beside them the formulas of the same standards as a second way to reckon them."""
    tolerances = {r["pitch"]: (r["es"], r["Td"]) for r in ours("metric_limits.csv")}
    for row in rows("formulas.csv"):
        if row["what"].startswith("metric"):
            p = float(row["argument"])
            assert tolerances[row["argument"]] == (row["value"], row["second"]), row
            assert abs(15 + 11 * p - float(row["value"])) <= 1.3
            assert abs(180 * p ** (2 / 3) - 3.15 / p**0.5 - float(row["second"])) <= 6
        elif row["what"].startswith("American"):
            band = national(Fraction(1, 4), Fraction(row["argument"]))
            assert band is not None and (band[1] - band[0]) / 2 == Fraction(row["value"]), row
        else:
            diameter, pitch = ba_dimensions(int(row["argument"]))
            assert (diameter, pitch) == (Fraction(row["value"]), Fraction(row["second"])), row
            # the rule turned round: p = (D / 6)^(5/6), as near as two figures of D allow
            assert float(pitch) == pytest.approx((float(diameter) / 6) ** (5 / 6), rel=0.05)


def test_the_other_pairs_that_look_alike() -> None:
    for row in rows("confusions.csv"):
        one, two = thread_named(row["a"]), thread_named(row["b"])
        if row["by"] == "no such thread":
            assert one is None or two is None
            continue
        assert one is not None and two is not None, row
        a, b = shape_of(row["a"]), shape_of(row["b"])
        if row["by"] == "count":
            low, high = max(a.low, b.low), min(a.top, b.top)
            half = snap(Readings(od=f"{(low + high) / 2:.3f}mm", origin="unknown")).thread
            assert half is not None and half.word != "sure" and half.ask is not None, row
            ask = next_reading([(a, 0.5), (b, 0.5)], crest="caliper")
            assert ask is not None and ask.reading == "tpi", row
        elif row["by"] == "alike when worn":
            crest = b.top - 0.02
            half = snap(Readings(od=f"{crest:.3f}mm", tpi=str(one.tpi), origin="us")).thread
            assert half is not None and half.word != "sure" and crest_explains(a, crest, worn=True), row
            assert {row["a"], row["b"]} <= {n for c in half.candidates for n in (c.name, *c.also)}
        elif row["by"] == "apart":
            crest = (a.bands[0][0] + a.bands[0][1]) / 2
            half = snap(Readings(od=f"{crest:.3f}mm", pitch=f"{a.pitch:.4f}mm", origin="unknown")).thread
            shares = {n: c.probability for c in half.candidates for n in (c.name, *c.also)} if half else {}
            assert shares.get(row["b"], 0.0) < 0.1 < shares[row["a"]], row
        else:
            assert abs(log(a.pitch / b.pitch)) < 0.025 and abs(a.pitch - b.pitch) > 0.01, row
