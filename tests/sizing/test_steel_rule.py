"""The rule: where the pointer stands, and what stands beside it."""

import pytest

from putback.sizing import Readings, explain, scale, snap


def test_thread_bands() -> None:
    readings = Readings(od=".1635", tpi="32", length=".372", origin="us")
    answer = snap(readings)
    assert answer.thread is not None
    rule = scale(answer.thread, readings)
    assert rule.unit == "in" and rule.pointer == pytest.approx(0.1635) and rule.pointer_text == ".1635"
    best = next(m for m in rule.marks if m.is_best)
    assert best.label == "#8-32 UNC" and best.high == pytest.approx(0.164) and best.nominal == pytest.approx(0.164)
    assert rule.pointer is not None and rule.low < best.low < rule.pointer < best.high < rule.high


def test_stocked_lengths_in_the_machines_unit() -> None:
    readings = Readings(gauge="832", length="9.45mm", origin="us")
    answer = snap(readings)
    assert answer.length is not None
    rule = scale(answer.length, readings)
    assert [m.label for m in rule.marks] == ["1/4", "5/16", "3/8", "7/16"]
    assert [m.is_best for m in rule.marks] == [False, False, True, False]
    assert rule.pointer == pytest.approx(9.45 / 25.4) and rule.pointer_text == "9.45 mm"
    assert rule.marks == tuple(sorted(rule.marks, key=lambda m: m.nominal))


def test_odd_lengths_have_no_best() -> None:
    readings = Readings(length=".466", origin="us")
    answer = snap(readings)
    assert answer.length is not None
    assert not any(m.is_best for m in scale(answer.length, readings).marks)


def test_without_a_diameter_there_is_no_pointer() -> None:
    readings = Readings(gauge="832", origin="us")
    answer = snap(readings)
    assert answer.thread is not None
    rule = scale(answer.thread, readings)
    assert (rule.pointer, rule.pointer_text) == (None, "") and rule.marks


def test_pins() -> None:
    readings = Readings(kind="taper pin", od=".125", length="1.001", origin="us")
    answer = snap(readings)
    assert answer.standard is not None
    rule = scale(answer.standard, readings)
    assert rule.pointer == pytest.approx(0.125) and rule.marks[0].label == "3/0"


@pytest.mark.parametrize(
    "readings",
    [
        Readings(od=".1635", tpi="32", length=".372", origin="us"),
        Readings(od=".3075", tpi="18", length=".466", origin="us"),
        Readings(od=".137", tpi="20", origin="us"),
        Readings(tpi="32", origin="us"),
        Readings(kind="taper pin", od=".125", length="1.001", small_end="front", origin="us"),
        Readings(kind="washer", od=".290", thick=".040"),
        Readings(od="3,42", length="7/", unit="mm", origin="metric"),
        Readings(),
    ],
)
def test_explanations_are_short_plain_lines(readings: Readings) -> None:
    answer = snap(readings)
    text = explain(answer, readings)
    assert text.isascii()
    for line in text.splitlines():
        assert len(line) < 80 and line == line.rstrip()
    assert text.splitlines()[0].startswith(answer.size or "nothing read")
    for half in (answer.thread, answer.length):
        if half is not None and half.ask is not None:
            assert half.ask.why in text


def test_the_explanation_names_winner_runner_up_and_why() -> None:
    readings = Readings(od=".3075", tpi="18", origin="us")
    text = explain(snap(readings), readings)
    assert "best 5/16-18 UNC" in text and "next 5/16 BSW" in text and "within 2A" in text
    assert "flanks against the light" in text and "|" in text and "=" in text
