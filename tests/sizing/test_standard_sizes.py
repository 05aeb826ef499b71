"""Standard sizes of hardware: each table beside a second source, and read as a caliper would find it."""

from fractions import Fraction

import pytest

from putback.sizing import Readings, snap
from putback.sizing.kinds import kind_named
from putback.sizing.reference_tables import table
from putback.sizing.standard_sizes import LISTED, SOFT, standard_sizes
from tests.sizing.reference_tables import rows

SECOND = rows("second_sources.csv")


@pytest.mark.parametrize("row", SECOND, ids=lambda r: f"{r['kind']} {r['name']} {r['field']}")
def test_the_tables_agree_with_a_second_source(row: dict[str, str]) -> None:
    """tests/reference/second_sources.csv: a sample of each table from another place than the table has it from."""
    size = next(s for s in standard_sizes(row["kind"]) if s.name.startswith(row["name"]))
    main = "groove" if row["kind"] == "retaining ring" else kind_named(row["kind"]).asks[0]
    spans = {size.main or main: (size.low, size.high)}
    spans |= {field: (low, high) for field, low, high in size.more}
    low, high = spans[row["field"]]
    value = Fraction(row["value"]) * (Fraction(254, 10) if row["unit"] == "in" else 1)
    assert low - Fraction(1, 100) <= value <= high + Fraction(1, 100), row
    assert len(row["source"]) > 10 or row["source"] == "the same"


@pytest.mark.parametrize("kind", sorted(LISTED))
def test_every_table_is_sound_and_names_its_source(kind: str) -> None:
    sizes = standard_sizes(kind)
    assert len({s.name for s in sizes}) == len(sizes) > 3
    assert len(table(LISTED[kind][0]).source) > 40
    for size in sizes:
        assert 0 < size.low < size.high and all(0 < low < high for _, low, high in size.more), size.name


@pytest.mark.parametrize("kind", sorted(SOFT))
def test_every_size_measured_in_its_middle_is_named(kind: str) -> None:
    for size in standard_sizes(kind):
        given = {size.main or "od": f"{float((size.low + size.high) / 2):.3f} mm"}
        given |= {field: f"{float((low + high) / 2):.3f} mm" for field, low, high in size.more}
        half = snap(Readings(kind=kind, origin="us" if size.home == "in" else "metric", **given)).standard  # type: ignore[arg-type]
        assert half is not None and size.name in [c.name for c in half.candidates], size.name
        if half.word in ("sure", "likely"):
            assert half.candidates[0].name == size.name


@pytest.mark.parametrize(
    ("readings", "size"),
    [
        # the handbooks' own examples: 404 is 1/8 x 1/2 (ASME B17.2), 608 is 8 x 22 x 7 (ISO 15), -012 is 3/8 inside
        # by 1/16 (AS568), a #8 wood screw has .164 (ASME B18.6.1); all from memory
        (Readings(kind="woodruff key", width=".125", od=".499", origin="us"), "woodruff key 404 (No. 3)"),
        (Readings(kind="ball bearing", bore="8", od="22", width="7", unit="mm"), "ball bearing 608"),
        (Readings(kind="ball bearing", bore=".250", od=".625", width=".196", origin="us"), "ball bearing R4"),
        (Readings(kind="o-ring", bore=".364", thick=".070", origin="us"), "o-ring -012"),
        (Readings(kind="wood screw", od=".163", length="1.0", origin="us"), "wood screw #8 x 1"),
        (
            Readings(kind="tapping screw", od="4.15mm", length="13mm", origin="metric"),
            "tapping screw ST4.2 (#8) x 13 mm",
        ),
        (Readings(kind="ball", od=".1249", origin="us"), "ball 1/8"),
        (Readings(kind="ball", od="3.99mm", origin="metric"), "ball 4 mm"),
        (Readings(kind="key", width=".126", thick=".125", origin="us"), "key 1/8 square"),
        (Readings(kind="key", width="5", thick="5", length="20", origin="metric", unit="mm"), "key 5 x 5 mm x 20 mm"),
        (Readings(kind="chain", pitch=".5", width=".13"), "chain 081 1/2 x 1/8"),
        (Readings(kind="belt", width="13", thick="8", origin="metric", unit="mm"), "belt section A (4L)"),
        (Readings(kind="retaining ring", groove=".230", origin="us"), "retaining ring external ring 1/4"),
    ],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_named(readings: Readings, size: str) -> None:
    assert snap(readings).size == size


@pytest.mark.parametrize(
    ("readings", "size"),
    [
        (Readings(kind="ball", od=".2"), "ball .2"),
        (Readings(kind="key", width=".147", length=".6"), "key .147 x .6"),
        (
            Readings(kind="ball bearing", bore="8.4", od="21", width="7", unit="mm"),
            "ball bearing 8.4 mm x 21 mm x 7 mm",
        ),
        (Readings(kind="chain", pitch="11.3", unit="mm"), "chain pitch 11.3 mm"),
        (Readings(kind="spring", wire=".031", od=".25"), "spring .031 x .25"),
    ],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_what_is_no_standard_size_is_kept_as_measured_and_leaves_nothing_open(readings: Readings, size: str) -> None:
    answer = snap(readings)
    assert (answer.size, answer.standard, answer.verdict) == (size, None, "sure")


def test_a_bearing_by_its_bore_alone_asks_for_the_outside() -> None:
    half = snap(Readings(kind="ball bearing", bore="8", origin="metric", unit="mm")).standard
    assert half is not None and half.word == "either" and half.ask is not None and half.ask.reading == "od"
