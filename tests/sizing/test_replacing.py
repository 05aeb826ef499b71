"""Ways out for a thread that cannot be had. Sizes by ASME B1.1 and BS 84; which is best: common practice, no source."""

import pytest

from putback.sizing import Readings, explain, snap
from putback.sizing.replacing import MODERN, Replacement, getting, in_the_shops, instead_of, replacements
from putback.sizing.threads import all_threads, thread_named


def ways(name: str) -> tuple[Replacement, ...]:
    thread = thread_named(name)
    assert thread is not None
    return replacements(thread)


def test_the_same_thread_goes_straight_in() -> None:
    """1/8-40 is #5-40: equal diameter, pitch and angle."""
    first = ways("1/8-40 NS")[0]
    assert (first.thread.name, first.change) == ("#5-40 UNC", "")


def test_the_other_angle_is_said() -> None:
    """1/4-20 UNC and 1/4 BSW share diameter and pitch; 60 and 55 degrees (ASME B1.1, BS 84)."""
    first = ways("1/4 BSW")[0]
    assert first.thread.name == "1/4-20 UNC" and "55 against 60" in first.change


def test_otherwise_the_next_larger_is_drilled_and_tapped() -> None:
    """The tap drill of #10-24 is #25 (Machinery's Handbook, from memory)."""
    first = ways("#9-32 NS")[0]
    assert first.thread.name == "#10-24 UNC" and first.change.startswith("drill #25 and tap #10-24 UNC")


@pytest.mark.parametrize("series", ["NS", "BA", "BSF", "CEI", "old metric", "Loewenherz"])
def test_every_obsolete_thread_has_a_way_out(series: str) -> None:
    for thread in all_threads():
        if thread.series == series and 1.2 < thread.major < 24:
            found = replacements(thread)
            assert found and all(r.thread.series in MODERN for r in found), thread.name
            assert all(r.thread.major >= thread.major * 99 / 100 for r in found)


def told(name: str) -> tuple[str, ...]:
    thread = thread_named(name)
    assert thread is not None
    return getting(thread)


def test_what_a_shop_has_is_not_replaced() -> None:
    """The tap drills are the handbook's for these (Machinery's Handbook, from memory)."""
    for name, drill in (("#8-32 UNC", "#29"), ("M5x0.8", "4.2 mm"), ("1/4-28 UNF", "#3")):
        assert told(name) == (f"tap drill {drill}",)
    for thread in all_threads():
        assert not (in_the_shops(thread) and instead_of(thread)), thread.name


def test_what_no_shop_has_says_what_goes_in_its_place() -> None:
    """A 1/4 BSW hole takes a 1/4-20 UNC screw: the same diameter and pitch (BS 84 and ASME B1.1)."""
    first, *_, last = told("1/4 BSW")
    assert first.startswith("in its place today: 1/4-20 UNC, goes in, but the flanks are 55 against 60 degrees")
    assert last == "tap drill #7"
    assert told("1/8-40 NS")[0] == "in its place today: #5-40 UNC, the same diameter, pitch and angle"
    assert told("R 1/8") == () and not any("in its place" in line for line in told(".7965-36 RMS"))


def test_the_answer_tells_it_as_text_and_json() -> None:
    readings = Readings(od=".1765", tpi="32", origin="us")
    answer = snap(readings)
    half = answer.to_json()["thread"]
    assert half["tap_drill"] and half["today"][0]["name"] == "#10-24 UNC"
    assert "in its place today: #10-24 UNC, drill #25 and tap" in explain(answer, readings, drawn=False)
    assert "in its place today: #10-24 UNC" in explain(answer, readings)
    either = snap(Readings(od=".138", origin="us"))
    assert set(either.to_json()["thread"]) == {"verdict", "candidates", "ask"}
