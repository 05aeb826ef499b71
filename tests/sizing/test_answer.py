"""A whole answer: the two halves, the short text, what is unfinished, and how the record sees it."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import KINDS, Origin, Prior, Readings, snap
from putback.sizing.units import Unit


@pytest.mark.parametrize(
    ("readings", "size", "verdict"),
    [
        (Readings(gauge="832", length=".372", origin="us"), "#8-32 UNC x 3/8", "sure"),
        (Readings(gauge="832", length=".372", origin="us", hand="left"), "#8-32 UNC x 3/8 left-hand", "sure"),
        (Readings(od="3.42", pitch="0.6", length="7.95", origin="metric", unit="mm"), "M3.5x0.6 x 8 mm", "sure"),
        (Readings(od=".138", length=".372", origin="us"), "#6-40 UNF or #6-32 UNC x 3/8", "either"),
        (Readings(od=".137", tpi="20", origin="us"), ".137 in, 20 tpi?", "none"),
        (Readings(gauge="832", length=".466", origin="us"), "#8-32 UNC x .466 (odd)", "sure"),
        (Readings(gauge="2ba", kind="nut", origin="uk"), "nut 2BA", "sure"),
        (Readings(gauge="m8", kind="nut", hand="left", origin="metric", unit="mm"), "nut M8x1.25 left-hand", "sure"),
        (
            Readings(kind="shoulder screw", gauge="832", length=".369", shoulder=".312 x .375", origin="us"),
            "#8-32 UNC x 3/8, shoulder .312 x .375",
            "sure",
        ),
        (Readings(gauge=".164 32", length="3/8", origin="us"), "#8-32 UNC x 3/8", "sure"),
        (Readings(length=".372", origin="us"), "length 3/8", "sure"),
        (Readings(), "", "none"),
    ],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_sizes(readings: Readings, size: str, verdict: str) -> None:
    answer = snap(readings)
    assert (answer.size, answer.verdict, answer.problem) == (size, verdict, "")


def test_unfinished_fields_are_told_and_left_out() -> None:
    answer = snap(Readings(gauge="832", length="7/", origin="us"))
    assert answer.size == "#8-32 UNC" and answer.length is None and answer.problem.startswith("length: ")


def test_typing_a_pitch_count_digit_by_digit() -> None:
    first = snap(Readings(od=".164", tpi="3", origin="us"))
    assert first.problem.startswith("tpi: ") and first.thread is not None
    assert snap(Readings(od=".164", tpi="32", origin="us")).size == "#8-32 UNC"


@pytest.mark.parametrize(
    ("readings", "field"),
    [
        (Readings(length="6-32x"), "length"),
        (Readings(od="-3"), "od"),
        (Readings(tpi="x"), "tpi"),
        (Readings(pitch="20"), "pitch"),
        (Readings(gauge="hello"), "gauge"),
        (Readings(thick="nan"), "thick"),
        (Readings(shoulder="5"), "shoulder"),
        (Readings(kind="wing ding"), "kind"),
    ],
)
def test_a_refusal_names_the_field(readings: Readings, field: str) -> None:
    with pytest.raises(Unreadable, match=field):
        snap(readings)


@pytest.mark.parametrize(
    ("readings", "asked"),
    [
        (Readings(tpi="32", pitch="0.5mm", od=".164"), "tpi"),
        (Readings(od=".138", tpi="12"), "tpi"),
        (Readings(gauge=".138 12"), "tpi"),
        (Readings(gauge="1/4 20 55", flank="60"), "flank-angle"),
    ],
)
def test_what_contradicts_is_none_with_what_to_measure_again(readings: Readings, asked: str) -> None:
    answer = snap(readings, final=True)
    assert answer.verdict == "none" and answer.thread is not None and answer.thread.ask is not None
    assert answer.thread.ask.reading == asked and answer.thread.note


def test_a_final_count_is_not_unfinished() -> None:
    typed, final = snap(Readings(od=".164", tpi="7")), snap(Readings(od=".164", tpi="7"), final=True)
    assert typed.problem and not final.problem and final.verdict == "none"


def test_a_fraction_as_a_diameter_is_a_rules() -> None:
    answer = snap(Readings(od="1/4", tpi="20", origin="us"))
    assert answer.read.od_by == "rule" and "rule's" in answer.notes[0] and answer.verdict != "sure"
    assert snap(Readings(od="1/4", od_by="caliper", tpi="20", origin="us")).read.od_by == "caliper"


def test_millimetres_typed_on_an_inch_machine_are_offered() -> None:
    answer = snap(Readings(gauge="3.5", origin="us"))
    assert answer.notes == ("no thread has a diameter of 3.5 in; 3.5 mm fits M3.5x0.6: type 3.5mm if it was in mm",)
    assert snap(Readings(gauge=".164", origin="us")).notes == ()


def test_one_diameter_seen_twice() -> None:
    for readings in (Readings(od=".163 .161", tpi="32", origin="us"), Readings(gauge=".163*.161", origin="us")):
        answer = snap(readings)
        assert answer.read.od is not None and answer.read.od.span is not None
        assert float(answer.read.od.inches) == pytest.approx(0.162)


def test_json_shape() -> None:
    found = snap(Readings(gauge="1228", length=".466", origin="us")).to_json()
    assert set(found) == {"thread", "length"}
    assert found["thread"]["verdict"] == "either" and found["thread"]["ask"]["reading"] == "od"
    assert [set(c) >= {"name", "probability"} for c in found["thread"]["candidates"]]
    assert found["length"]["verdict"] == "none" and found["length"]["ask"] is None
    assert snap(Readings(gauge="832")).to_json()["length"] is None
    assert snap(Readings(length="3/8")).to_json()["thread"] is None


def test_the_order_of_readings_does_not_matter() -> None:
    fields = {"od": ".1635", "tpi": "32", "length": ".372", "gauge": "832"}
    answers = {
        snap(Readings(origin="us", **dict(order))).size  # type: ignore[arg-type]
        for order in itertools.permutations(fields.items())
    }
    assert answers == {"#8-32 UNC x 3/8"}


def test_the_order_in_which_a_machine_showed_its_threads_does_not_matter() -> None:
    one = Prior.empty().with_seen("#8-32 UNC").with_seen("2BA", 3)
    two = Prior.empty().with_seen("2BA").with_seen("#8-32 UNC").with_seen("2BA", 2)
    readings = Readings(od=".162")
    assert snap(readings, one).to_json() == snap(readings, two).to_json()


def test_a_metric_stranger_is_helped_by_its_length() -> None:
    """.153 in, 36 to the inch, .465 long: M4x0.7 x 12 mm in an American machine, though 5/32-36 would fit too."""
    answer = snap(Readings(od=".153", tpi="36", length=".465", origin="us"))
    assert (answer.size, answer.verdict) == ("M4x0.7 x 12 mm", "likely")
    assert answer.thread is not None and "5/32-36 NS" in [c.name for c in answer.thread.candidates]


TEXT = st.none() | st.text(max_size=12) | st.text(alphabet="0123456789./- mx", max_size=8)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(KINDS),
    TEXT,
    TEXT,
    TEXT,
    TEXT,
    TEXT,
    TEXT,
    st.sampled_from(["us", "uk", "metric", "unknown"]),
    st.sampled_from(["in", "mm"]),
)
def test_no_readings_crash(
    kind: str, gauge: str, od: str, tpi: str, length: str, thick: str, shoulder: str, origin: Origin, unit: Unit
) -> None:
    try:
        answer = snap(
            Readings(
                kind=kind,
                gauge=gauge,
                od=od,
                tpi=tpi,
                length=length,
                thick=thick,
                shoulder=shoulder,
                origin=origin,
                unit=unit,
            )
        )
    except Unreadable as fault:
        assert str(fault)
        return
    for half in (answer.thread, answer.length, answer.standard):
        if half is not None:
            assert 0 <= sum(c.probability for c in half.candidates) <= 1 + 1e-9
    answer.to_json()
