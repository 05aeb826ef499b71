"""Pins, rings, nuts and washers against tests/reference/pins_rings.csv and heads.csv, sources by row."""

from fractions import Fraction

import pytest

from putback.sizing import Readings, Unit, driving, explain, snap
from putback.sizing.exact import exact
from putback.sizing.hardware import small_end
from putback.sizing.kinds import driving_in
from tests.sizing.reference_tables import rows

PINS = [r for r in rows("pins_rings.csv") if "pin" in r["kind"]]
GROOVES = [r for r in rows("pins_rings.csv") if "groove" in r["kind"]]


@pytest.mark.parametrize("row", PINS, ids=lambda r: f"{r['kind']} {r['nominal']} {r['unit']}")
def test_every_standard_pin_is_named(row: dict[str, str]) -> None:
    unit: Unit = "in" if row["unit"] == "in" else "mm"
    kind = row["kind"].removesuffix(" large end").removesuffix(" small end")
    middle = (float(row["min"]) + float(row["max"])) / 2 if row["min"] else float(row["diameter"])
    long = 1.0 if unit == "in" else 20.0
    od = middle + long / 50 if kind == "taper pin" and unit == "mm" else middle
    origin = "us" if unit == "in" else "metric"
    answer = snap(Readings(kind=kind, od=f"{od:.4f}", length=f"{long:g}", origin=origin, unit=unit))  # type: ignore[arg-type]
    assert answer.thread is None and answer.standard is not None
    name = row["nominal"] if unit == "in" else f"{row['nominal']} mm"
    assert answer.standard.candidates[0].name == name
    assert answer.standard.word in ("sure", "likely", "either")
    if answer.standard.word != "either":
        assert answer.size.startswith(f"{kind} {name}")


def test_taper_pins() -> None:
    """A quarter inch to the foot (ASME B18.8.2): 3/0, .125 at the large end, is .1042 at the small end of 1 in."""
    readings = Readings(kind="taper pin", od=".125", length="1.001", small_end="front", origin="us")
    answer = snap(readings)
    assert (answer.size, answer.verdict) == ("taper pin 3/0 x 1", "sure")
    end = small_end(exact(readings), "in")
    assert end is not None and float(end) / 25.4 == pytest.approx(0.125 - 1.001 / 48)
    assert driving("front") == "strike the small end (front); it leaves at the back"
    assert driving_in("front") == "goes in from the back, small end first, towards the front"
    assert "strike the small end (front)" in explain(answer, readings)
    metric = snap(Readings(kind="taper pin", od="4.58", length="30.1", origin="metric", unit="mm"))
    assert metric.size == "taper pin 4 mm x 30 mm"


def test_a_turned_pin_is_kept_as_measured() -> None:
    answer = snap(Readings(kind="straight pin", od=".147", length="1.310", origin="us"))
    assert answer.standard is not None and answer.standard.word == "none"
    assert answer.size == "straight pin .147 x 1.310 (odd)" or answer.size == "straight pin .147 x 1.310"


@pytest.mark.parametrize("row", GROOVES, ids=lambda r: f"{r['kind']} {r['nominal']}")
def test_rings_are_named_by_their_groove(row: dict[str, str]) -> None:
    answer = snap(Readings(kind="retaining ring", groove=row["diameter"], origin="metric", unit="mm"))
    assert answer.standard is not None
    wanted = {
        "external retaining ring groove": "external ring",
        "internal retaining ring groove": "internal ring",
        "E-ring groove": "E-ring",
    }
    names = [c.name for c in answer.standard.candidates]
    assert f"{wanted[row['kind']]} {row['nominal']} mm" in names


def test_nuts_by_their_flats() -> None:
    """Across flats of heads.csv: BS 57 2BA 0.324, ISO M5 8, BS 190 1/4 0.525."""
    for width, origin, unit, size in (
        (".3235", "uk", "in", "2BA"),
        ("7.95", "metric", "mm", "M5"),
        (".523", "uk", "in", "1/4"),
    ):
        answer = snap(Readings(kind="nut", width=width, origin=origin, unit=unit))  # type: ignore[arg-type]
        assert answer.thread is None and answer.standard is not None
        assert size in {c.name.split(" ")[0] for c in answer.standard.candidates}


def test_washers_by_bore_outside_and_thickness() -> None:
    """ISO 7089 for M5: 5.3 x 10 x 1 (from memory)."""
    answer = snap(Readings(kind="washer", bore="5.3", od="9.9", thick="1.0", origin="metric", unit="mm"))
    assert answer.standard is not None and answer.standard.candidates[0].name == "for M5"
    only_outside = snap(Readings(kind="washer", od=".290", thick=".040", origin="us"))
    assert (only_outside.standard, only_outside.size) == (None, "washer .290 x .040")


@pytest.mark.parametrize(
    ("readings", "size"),
    [
        (Readings(kind="shim", thick=".010", od=".240"), "shim .240 x .010"),
        (Readings(kind="shim", thick="0.05", unit="mm"), "shim 0.05 mm"),
        (Readings(kind="spacer", od=".375", length=".156"), "spacer .375 x .156"),
        (Readings(kind="spring clip", wire=".031"), "spring clip .031"),
        (Readings(kind="gib key", width=".125", length=".752"), "gib key .125 x .752"),
        (Readings(kind="retaining ring", od=".335", thick=".025"), "retaining ring .335 x .025"),
        (Readings(kind="rivet", od=".125", length="1/2", origin="us"), "rivet .125 x 1/2"),
    ],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_measured_and_kept_as_measured(readings: Readings, size: str) -> None:
    answer = snap(readings)
    assert (answer.size, answer.verdict, answer.standard) == (size, "sure", None)


def test_inch_and_metric_hardware_rank_by_origin() -> None:
    """A 2 mm split pin (ISO 1234) has 1.7 to 1.8 mm, a 5/64 one (ASME B18.8.1) 1.78 to 1.93; from memory."""
    for origin, name in (("us", "5/64"), ("metric", "2 mm")):
        half = snap(Readings(kind="split pin", od="1.80mm", origin=origin)).standard  # type: ignore[arg-type]
        assert half is not None and name in [c.name for c in half.candidates]
    metric = snap(Readings(kind="split pin", od="1.80mm", origin="metric")).standard
    assert metric is not None and metric.candidates[0].name == "2 mm"


def test_exact_numbers() -> None:
    read = exact(Readings(kind="washer", bore="5.3", od="10", unit="mm"))
    assert read.bore is not None and read.bore.mm == Fraction(53, 10) and read.anything
    assert not exact(Readings()).anything
