"""Texts of the gauge field. gauge_text of tests/reference/threads.csv is what stands on a plate."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import Gauge, Origin, Readings, Unfinished, Unit, read_gauge, snap
from putback.sizing.gauge import split_length
from putback.sizing.threads import all_threads
from tests.sizing.reference_tables import rows

ORIGINS: tuple[Origin, ...] = ("us", "uk", "metric", "unknown")


def names(text: str, origin: Origin = "us", unit: Unit = "in") -> tuple[str, ...]:
    read = read_gauge(text, origin, unit)
    assert isinstance(read, Gauge)
    return read.names


@pytest.mark.parametrize("row", rows("threads.csv"), ids=lambda r: r["name"])
def test_the_plate_text_of_every_reference_thread(row: dict[str, str]) -> None:
    origin: Origin = row["origin"]  # type: ignore[assignment]
    assert row["name"] in names(row["gauge_text"], origin, "mm" if origin == "metric" else "in")


def test_every_name_reads_back_on_every_machine() -> None:
    for thread in all_threads():
        for origin in ORIGINS:
            for unit in ("in", "mm"):
                read = read_gauge(thread.name, origin, unit)
                assert isinstance(read, Gauge) and thread.name in read.names, (thread.name, origin, unit)


@pytest.mark.parametrize(
    ("text", "origin", "unit", "expected"),
    [
        ("832", "us", "in", ("#8-32 UNC",)),
        ("8 32", "us", "in", ("#8-32 UNC",)),
        ("8*32", "us", "in", ("#8-32 UNC",)),
        ("8-32", "us", "in", ("#8-32 UNC",)),
        ("８ ３２", "us", "in", ("#8-32 UNC",)),  # noqa: RUF001 full-width
        (" 8  32 ", "us", "in", ("#8-32 UNC",)),
        ("1032", "us", "in", ("#10-32 UNF",)),
        ("1/4 20", "us", "in", ("1/4-20 UNC",)),
        ("1/4-20", "uk", "in", ("1/4-20 UNC", "1/4 BSW")),
        ("2ba", "us", "in", ("2BA",)),
        ("2", "uk", "in", ("2BA",)),
        ("0", "uk", "in", ("0BA",)),
        ("080", "us", "in", ("#0-80 UNF",)),
        ("2", "metric", "mm", ("M2x0.4",)),
        ("m5", "us", "in", ("M5x0.8",)),
        ("5", "metric", "mm", ("M5x0.8",)),
        ("3.5", "metric", "mm", ("M3.5x0.6",)),
        ("8x1", "metric", "mm", ("M8x1",)),
        ("m8x1", "uk", "in", ("M8x1",)),
        ("1/4 bsf", "us", "in", ("1/4 BSF",)),
        ("14bsf", "us", "in", ("1/4 BSF",)),
        ("loewenherz 3", "metric", "mm", ("Loewenherz 3x0.5",)),
        ("löwenherz 3", "metric", "mm", ("Loewenherz 3x0.5",)),
        ("#6-32 UNC", "uk", "in", ("#6-32 UNC",)),
    ],
)
def test_names(text: str, origin: Origin, unit: Unit, expected: tuple[str, ...]) -> None:
    assert names(text, origin, unit) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1224", {"#12-24 UNC", "1/2-24 NS"}),
        ("1228", {"#12-28 UNF", "1/2-28 UNEF"}),
        ("1420", {"1/4-20 UNC", "#14-20 NS"}),
        ("1424", {"1/4-24 NS", "#14-24 NS"}),
        ("836", {"#8-36 UNF"}),
        ("832", {"#8-32 UNC"}),
        ("640", {"#6-40 UNF"}),
        ("448", {"#4-48 UNF"}),
    ],
)
def test_texts_that_read_two_ways(text: str, expected: set[str]) -> None:
    """tests/reference/confusions: a gauge text that reads two ways, and four that do not."""
    assert set(names(text)) == expected


@pytest.mark.parametrize(
    ("text", "unit", "mm", "pitch"),
    [
        (".164", "in", 4.1656, None),
        (".164 32", "in", 4.1656, 25.4 / 32),
        (".164*32", "in", 4.1656, 25.4 / 32),
        (".164 in 32", "mm", 4.1656, 25.4 / 32),
        ("3.42mm", "in", 3.42, None),
        ("3.42mm 0.6", "in", 3.42, 0.6),
        ("3.42", "mm", 3.42, None),
        ("3,42", "mm", 3.42, None),
        ("3.42 0.6", "mm", 3.42, 0.6),
        ("3.42 42", "mm", 3.42, 25.4 / 42),
    ],
)
def test_measured_diameters(text: str, unit: Unit, mm: float, pitch: float | None) -> None:
    read = read_gauge(text, "unknown", unit)
    assert isinstance(read, Gauge) and read.od is not None and read.names == ()
    assert float(read.od.mm) == pytest.approx(mm)
    assert (None if read.pitch is None else float(read.pitch)) == (None if pitch is None else pytest.approx(pitch))


@pytest.mark.parametrize("text", ["", "0", "83", "#", "2b", "1/4-", "7/", ".", "m", "1/4 bs", "m8x", ".164 3"])
def test_unfinished(text: str) -> None:
    assert isinstance(read_gauge(text, "us", "in"), Unfinished)


@pytest.mark.parametrize("text", ["6-32x", "-3", "nan", "999", "6 20", ",125", "hello", "1e999", "8 32 8", "9" * 50])
def test_unreadable(text: str) -> None:
    with pytest.raises(Unreadable) as fault:
        read_gauge(text, "us", "in", what="gauge")
    assert str(fault.value).startswith("gauge: ") and "\n" not in str(fault.value)


def test_a_pitch_that_does_not_exist_is_told_with_those_that_do() -> None:
    with pytest.raises(Unreadable, match="40, 36, 32"):
        read_gauge("6 20", "us", "in")


@settings(max_examples=150)
@given(
    st.text(max_size=30) | st.text(alphabet="0123456789./*-# mba", max_size=9),
    st.sampled_from(ORIGINS),
    st.sampled_from(["in", "mm"]),
)
def test_no_text_crashes(text: str, origin: Origin, unit: Unit) -> None:
    try:
        read = read_gauge(text, origin, unit)
    except Unreadable as fault:
        assert str(fault)
        return
    assert isinstance(read, Unfinished) or read.names or read.od is not None


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("M 4 x 0.7", "M4x0.7"), ("M4*0,7", "M4x0.7"), ("m4 coarse", "M4x0.7"), ("m4 fine", "M4x0.5"),
        ("8/32", "#8-32 UNC"), ("6/32", "#6-32 UNC"), ("4/40", "#4-40 UNC"), ("10/24", "#10-24 UNC"),
        ("2 B.A.", "2BA"), ("2 b.a", "2BA"), ("1/4 B.S.W.", "1/4 BSW"), ("1/4-20 UNC-2A", "1/4-20 UNC"),
        ("M6x1 6g", "M6x1"), ("eight thirty-two", "#8-32 UNC"), ("quarter-twenty", "1/4-20 UNC"),
        ("five forty-four", "#5-44 UNF"), ("ten twenty four", "#10-24 UNC"), ("three eighths sixteen", "3/8-16 UNC"),
        ("#00-90", "#00-90 NS"), ("00 90", "#00-90 NS"), ("3 1/2-48", "#3 1/2-48 NS"),
        ("two b a", "2BA"), ("m five", "M5x0.8"), ("half thirteen", "1/2-13 UNC"), ("1/4 coarse", "1/4-20 UNC"),
    ],
)  # fmt: skip
def test_sizes_as_they_are_said_and_written(text: str, name: str) -> None:
    """As people say them at a bench and as cartons have them (common practice, no source)."""
    read = read_gauge(text, "us", "in")
    assert isinstance(read, Gauge) and read.names[0] == name


@pytest.mark.parametrize("text", ["8/3", "8/", "10/2", "m", "M 4 x", "m4x0,", "2 b"])
def test_such_sizes_half_typed(text: str) -> None:
    assert isinstance(read_gauge(text, "us", "in"), Unfinished)


@pytest.mark.parametrize(
    ("text", "origin", "unit", "split"),
    [
        ("8-32 x 3/8", "us", "in", ("8-32", "3/8")), ("1/4-20 x 1 1/4", "us", "in", ("1/4-20", "1 1/4")),
        ("m4 x 12", "metric", "mm", ("m4", "12")), ("M4x0.7x12", "metric", "mm", ("M4x0.7", "12")),
        ("2ba x .372", "uk", "in", ("2ba", ".372")), ("m4 x 0.7", "metric", "mm", None), ("8-32", "us", "in", None),
        (".164 x 32", "us", "in", None), ("hello x 3", "us", "in", None), ("25 x " * 20, "us", "in", None),
    ],
)  # fmt: skip
def test_a_length_behind_the_size(text: str, origin: Origin, unit: Unit, split: tuple[str, str] | None) -> None:
    assert split_length(text, origin, unit) == split


def test_a_carton_in_one_line() -> None:
    answer = snap(Readings(gauge="1/4-20 UNC-2A x 3/4 LH", origin="us"))
    assert answer.size == "1/4-20 UNC x 3/4 left-hand"
