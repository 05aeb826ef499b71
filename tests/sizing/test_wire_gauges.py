"""Diameters by number, beside a second source: the rule of the American gauge, handbook values from memory."""

from fractions import Fraction

import pytest

from putback.errors import Unreadable
from putback.sizing import Gauge, Measure, Readings, Unfinished, read_gauge, read_measure, snap
from putback.sizing.reference_tables import rows
from putback.sizing.wire_gauges import by_number, gauges_near, number_begun


def test_the_american_gauge_follows_its_rule() -> None:
    """AWG n is .005 x 92^((36 - n) / 39) in (ASTM B258, from memory): a second way to every value but rounding."""
    numbers = [row for row in rows("wire_gauges.csv") if row["gauge"] == "AWG"]
    assert len(numbers) > 35
    for row in numbers:
        n = 1 - int(row["number"][0]) if "/" in row["number"] else int(row["number"])
        assert float(row["inch"]) == pytest.approx(0.005 * 92 ** ((36 - n) / 39), rel=0.006, abs=6e-5), row


@pytest.mark.parametrize(
    ("text", "inch"),
    [
        # British standard gauge, as the handbooks print it, from memory.
        ("7/0 swg", ".5"), ("1 swg", ".3"), ("10 SWG", ".128"), ("14 swg", ".08"), ("16swg", ".064"),
        ("18 swg", ".048"), ("20 swg", ".036"), ("22 swg", ".028"), ("24 swg", ".022"), ("30 swg", ".0124"),
        # Birmingham gauge and US steel wire gauge, the same.
        ("14 bwg", ".083"), ("16 bwg", ".065"), ("18 bwg", ".049"), ("20 bwg", ".035"),
        ("14 w&m", ".08"), ("18 w&m", ".0475"), ("20 w&m", ".0348"),
        ("20 awg", ".032"), ("24 b&s", ".0201"), ("00 awg", ".3648"),
        ("12 music wire", ".029"), ("20 music", ".045"),
        # drills by number and letter (ASME B94.11M)
        ("#28 drill", ".1405"), ("no. 7 drill", ".201"), ("f drill", ".257"), ("1/4 drill", ".25"),
    ],
)  # fmt: skip
def test_numbers_are_read_as_diameters(text: str, inch: str) -> None:
    read = read_measure(text, "mm")
    assert isinstance(read, Measure) and (read.value, read.unit) == (Fraction(inch), "in")
    assert inch.rstrip("0") in read.note


@pytest.mark.parametrize("text", ["14 s", "14 sw", "#28 d", "20 aw", "12 musi"])
def test_a_number_on_its_way(text: str) -> None:
    assert isinstance(read_measure(text, "in"), Unfinished)


def test_what_names_none() -> None:
    for text in ("oa", "o a", "in", "ba"):
        assert by_number(text) is None and not number_begun(text), text
    assert by_number("99 swg") is None and by_number("14 mm") is None and by_number("ba drill") is None
    with pytest.raises(Unreadable, match="that gauge has no such number"):
        read_measure("99 swg", "in")


def test_a_drill_in_the_gauge_field_is_a_diameter() -> None:
    """A screw that is as thick as a #19 drill, .166 in."""
    gauge = read_gauge("#19 drill", "us", "in")
    assert isinstance(gauge, Gauge) and gauge.od is not None and gauge.od.value == Fraction("0.166")
    assert "od: #19 drill is .166 in" in snap(Readings(gauge="#19 drill", tpi="32", origin="us")).notes


def test_a_spring_is_wire_by_outside_by_coils_with_its_gauge() -> None:
    uk = snap(Readings(kind="spring", wire=".080", od=".375", coils="9 1/2", origin="uk"))
    assert (uk.size, uk.verdict) == ("spring .080 x .375, 9 1/2 coils", "sure")
    assert uk.notes == ("wire .080: 14 SWG",)
    by_gauge = snap(Readings(kind="spring", wire="14 swg", od=".375", coils="9", origin="uk"))
    assert by_gauge.size == "spring 14 swg x .375, 9 coils" and by_gauge.notes == ("wire: 14 SWG is .08 in",)
    metric = snap(Readings(kind="spring", wire="0.8", od="6", origin="metric", unit="mm"))
    assert (metric.size, metric.notes) == ("spring 0.8 mm x 6 mm", ())
    for text in ("9 mm", "many", "5000"):
        with pytest.raises(Unreadable):
            snap(Readings(kind="spring", wire=".08", coils=text))


def test_a_wire_goes_by_the_gauges_of_its_country() -> None:
    """.0475 in is 18 of the steel wire gauge, .048 in 18 SWG: a caliper does not part them."""
    assert gauges_near(Fraction("0.0477"), "us")[0].called == "18 W&M"
    assert gauges_near(Fraction("0.0477"), "uk")[0].called == "18 SWG"
    assert gauges_near(Fraction("0.0477"), "metric") == ()
