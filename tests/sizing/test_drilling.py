"""Tap drills against tests/reference/taps_drills.csv: nearest drill to three quarters of the thread."""

from fractions import Fraction

import pytest

from putback.sizing.drilling import clearance, rack, tap_drill
from putback.sizing.threads import Thread, all_threads, thread_named
from tests.sizing.reference_tables import rows


def thread(name: str) -> Thread:
    found = thread_named(name)
    assert found is not None
    return found


@pytest.mark.parametrize("row", [r for r in rows("taps_drills.csv") if r["kind"] == "tap"], ids=lambda r: r["for"])
def test_tap_drills(row: dict[str, str]) -> None:
    """The reference rack ends at 3/4 in and 13 mm: beyond, ours goes on and the thread is no fuller than 3/4.

    BA holes may be drilled from either rack; the reference took the nearest of both.
    """
    if row["drill"] in ("3/4", "13 mm"):
        return
    one = thread(row["for"])
    drills = {tap_drill(one, system).name for system in ("in", "mm")}
    same = {d.name for s in ("in", "mm") for d in rack(s) if abs(float(d.mm) - float(row["mm"])) < 0.006}  # E is 1/4
    assert (drills | {tap_drill(one).name}) & (same | {row["drill"]}), drills


def test_depth_of_thread() -> None:
    for one in all_threads():
        drill = tap_drill(one)
        if one.major < Fraction(1, 2):
            continue  # no drill of the rack is so thin
        assert drill.mm < one.major and (0.4 < drill.depth < 1.05 or one.major < 3 or one.pitch < Fraction(1, 2)), (
            one.name
        )


@pytest.mark.parametrize(
    ("name", "drill"), [("#8-32 UNC", "#29"), ("1/4-20 UNC", "#7"), ("M5x0.8", "4.2 mm"), ("M6x1", "5 mm")]
)
def test_handbook_tap_drills(name: str, drill: str) -> None:
    """Machinery's Handbook and ISO 2306, from memory."""
    assert tap_drill(thread(name)).name == drill


def test_clearance() -> None:
    normal = clearance(thread("M5x0.8"))
    assert normal is not None and float(normal.mm) == pytest.approx(5.5, abs=0.01)  # ISO 273 medium
    close, loose = clearance(thread("1/4-20 UNC"), "close"), clearance(thread("1/4-20 UNC"), "loose")
    assert close is not None and loose is not None and Fraction(635, 100) < close.mm < loose.mm
    assert clearance(thread("#9-32 NS")) is None
