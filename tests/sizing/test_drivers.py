"""Blades, keys and spanners: ISO 2380-1 tips and the slots of tests/reference/heads.csv, sources by row."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.sizing import Measure, Readings, explain, read_measure, snap
from putback.sizing.drivers import best_blade, blade_sentence, blades, fit_of, heads, set_screw_key, tool_for
from putback.sizing.threads import thread_named
from tests.sizing.reference_tables import rows

SLOTTED = [r for r in rows("heads.csv") if r["slot_min"]]


@pytest.mark.parametrize("row", SLOTTED, ids=lambda r: f"{r['standard']} {r['head']} {r['size']}")
def test_every_standard_slot_has_a_blade(row: dict[str, str]) -> None:
    scale = Fraction(254, 10) if row["unit"] == "in" else Fraction(1)
    slot = (Fraction(row["slot_min"]) + Fraction(row["slot_max"])) / 2 * scale
    blade = best_blade(slot)
    if slot < Fraction(4, 10) or slot > Fraction(25, 10) / Fraction(61, 100):
        assert blade is None
    else:
        assert blade is not None and fit_of(blade, slot) == "fits"
        assert blade.tip <= slot <= blade.tip / Fraction(61, 100)


@given(st.fractions(min_value=Fraction(4, 10), max_value=4, max_denominator=200))
def test_the_best_blade_is_the_thickest_that_goes_in(slot: Fraction) -> None:
    best = best_blade(slot)
    assert best is not None
    assert not any(best.tip < b.tip <= slot for b in blades())


def test_a_blade_is_not_wider_than_the_head() -> None:
    """Common practice, no source."""
    best = best_blade(Fraction(12, 10), Fraction(55, 10))
    assert best is not None and best.wide <= Fraction(55, 10)
    assert fit_of(blades()[-1], Fraction(4), Fraction(5)) == "too wide"


def test_the_sentence() -> None:
    """A #8 fillister slot of .050 in (ASME B18.6.3: .045-.054)."""
    slot = read_measure(".050", "in")
    assert isinstance(slot, Measure)
    assert blade_sentence(slot) == (
        "blade 1.2 x 8; 0.6 is too thin and ruins the tip, 1.6 too thick and spreads the slot"
    )
    narrow = read_measure(".008", "in")
    assert isinstance(narrow, Measure) and blade_sentence(narrow).startswith("no standard blade fits")


def test_the_slot_as_measured_is_answered_beside_the_size() -> None:
    readings = Readings(gauge="832", slot=".050", across=".265", origin="us")
    answer = snap(readings)
    found = answer.to_json()["blade"]
    assert found.startswith("blade 1.2 x 6.5; ") and "0.6 is too thin" in found and "1.6 too thick" in found
    assert "slot: blade 1.2 x 6.5" in explain(answer, readings)
    assert "blade" not in snap(Readings(gauge="832", origin="us")).to_json()


@pytest.mark.parametrize(
    ("name", "head", "drive", "tool"),
    [
        # slots and recesses: ASME B18.6.3, ISO 7045 and ISO 4757; keys: ISO 4762; flats: BS 57 and ISO 4017; all but
        # the first from memory; the blade by ISO 2380-1
        ("#8-32 UNC", "fillister", "slot", "blade 1.2 x 6.5"),
        ("M4x0.7", "pan", "cross", "cross number 2"),
        ("M5x0.8", "socket cap", "hex socket", "hexagon key 4"),
        ("2BA", "hex", "", "spanner 0.324 in"),
        ("M6x1", "hex", "", "spanner 10 mm"),
        ("#9-32 NS", "fillister", "slot", ""),
    ],
)
def test_tools(name: str, head: str, drive: str, tool: str) -> None:
    thread = thread_named(name)
    assert thread is not None and tool_for(thread, head, drive) == tool


def test_heads_of_a_size() -> None:
    """A #8 fillister head is .270 across (ASME B18.6.3), the key of a #8 set screw 5/64 (ASME B18.3, from memory)."""
    thread = thread_named("#8-32 UNC")
    assert thread is not None
    (fillister,) = heads(thread, "fillister")
    assert fillister.across == Fraction("0.270") * Fraction(254, 10)
    assert heads(thread, "mushroom") == ()
    assert set_screw_key(thread) == "5/64" and set_screw_key(thread_named("2BA") or thread) == ""


def test_a_set_screw_is_told_by_its_point_and_its_socket() -> None:
    """A #10 set screw takes a 3/32 key, an M4 one 2 mm (ASME B18.3, ISO 4026; also in the FreeCAD Fasteners data)."""
    ten = thread_named("#10-24 UNC")
    assert ten is not None and tool_for(ten, "cup point", "hex socket") == "hexagon key 3/32"
    assert tool_for(ten, "flat point", "slot") == ""
    answer = snap(Readings(kind="set screw", gauge="1024", length="1/4", width=".0935", head="cone point", origin="us"))
    assert answer.size == "#10-24 UNC x 1/4" and answer.length is not None and answer.length.datum == "over all"
    assert answer.notes == ("socket .0935: hexagon key 3/32, as in a #10 set screw",)
    metric = snap(Readings(kind="set screw", width="2.0", gauge="m4", origin="metric", unit="mm"))
    assert metric.notes == ("socket 2.0 mm: hexagon key 2 mm, as in a M4 set screw",)
    odd = snap(Readings(kind="set screw", width=".28", gauge="1024", origin="us"))
    assert odd.notes == ("socket .28: no standard set screw has it",)
    assert snap(Readings(kind="bolt", width=".28", gauge="1024", origin="us")).notes == ()
