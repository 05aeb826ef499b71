"""What is tried where no measure parts two threads: the flanks held to the light, a nut of known size."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import Readings, snap
from putback.sizing.evidence import shape_of
from putback.sizing.gauge import read_gauge
from putback.sizing.reading import Unfinished
from putback.sizing.tried import angles_alike, read_flank, read_mate, unknown_flank

# Included angles: unified and metric 60 (ASME B1.1, ISO 68-1), Whitworth 55 (BS 84), BA 47 1/2 (BS 93).


def shares(**read: str) -> dict[str, float]:
    answer = snap(Readings(**read))  # type: ignore[arg-type]
    assert answer.thread is not None
    return {c.name: c.probability for c in answer.thread.candidates}


@pytest.mark.parametrize(
    ("text", "angle"),
    [
        ("60", Fraction(60)),
        ("55 deg", Fraction(55)),
        ("47.5", Fraction(95, 2)),
        ("47,5 degrees", Fraction(95, 2)),
        ("53\N{DEGREE SIGN}", Fraction(53)),
    ],
)
def test_an_angle(text: str, angle: Fraction) -> None:
    assert read_flank(text) == angle


@pytest.mark.parametrize("text", ["12", "90", "6 0", "sixty", "555", "-60", "1/2"])
def test_no_angle(text: str) -> None:
    with pytest.raises(Unreadable, match=r"is not an angle of a thread's flanks; type 60, 55 or 47\.5"):
        read_flank(text)


@given(st.text(max_size=12))
def test_any_text_is_an_angle_or_refused_in_a_sentence(text: str) -> None:
    try:
        read = read_flank(text)
    except Unreadable as fault:
        assert str(fault).endswith(".")
    else:
        assert isinstance(read, Unfinished) or 40 <= read <= 69


@pytest.mark.parametrize(
    ("text", "names", "angle"),
    [
        ("1/4 20 55", ("1/4-20 UNC",), 55),  # as it was named, and doubted: the answer says so
        ("1/4*20*60", ("1/4-20 UNC",), 60),
        ("6ba 47.5", ("6BA",), Fraction(95, 2)),
        ("832 60", ("#8-32 UNC",), 60),
        (".247 20 55", (), 55),
        (".247*20*55", (), 55),
    ],
)
def test_the_angle_behind_a_size(text: str, names: tuple[str, ...], angle: Fraction) -> None:
    gauge = read_gauge(text, "unknown", "in")
    assert not isinstance(gauge, Unfinished) and gauge.flank == angle
    assert names == gauge.names[: len(names)] and (names or gauge.pitch == Fraction(254, 200))


@pytest.mark.parametrize("text", [".247 20 5", "1/4 20 4"])
def test_the_angle_while_it_is_typed(text: str) -> None:
    gauge = read_gauge(text, "unknown", "in")
    assert isinstance(gauge, Unfinished) and "60, 55 or 47.5" in gauge.hint


@pytest.mark.parametrize("text", ["1/4 60", "8 32 33", "6 55", "1/16 60"])
def test_what_is_no_angle_behind_a_whole_size(text: str) -> None:
    """`1/16 60` is a thread of its own; the others leave the pitch open, or it is no angle."""
    try:
        gauge = read_gauge(text, "us", "in")
    except Unreadable:
        return
    assert isinstance(gauge, Unfinished) or gauge.flank is None


def test_the_flanks_decide_between_unified_and_whitworth() -> None:
    """1/4-20 UNC and 1/4 BSW share diameter and pitch (ASME B1.1; BS 84): 60 and 55 degrees."""
    bare = shares(od=".247", tpi="20")
    assert shares(od=".247", tpi="20", flank="55")["1/4 BSW"] > 0.8 > bare["1/4 BSW"]
    assert shares(od=".247", tpi="20", flank="60")["1/4-20 UNC"] > 0.8 > bare["1/4-20 UNC"]
    assert shares(gauge=".247 20 55") == shares(od=".247", tpi="20", flank="55")
    answer = snap(Readings(od=".247", tpi="20", flank="55"))
    assert answer.verdict == "likely" and answer.thread is not None
    assert answer.thread.ask is None or answer.thread.ask.reading != "flank-angle", "not asked again"


def test_flanks_alone_name_nothing() -> None:
    answer = snap(Readings(flank="60", length=".375"))
    assert answer.thread is None and answer.size == "length 3/8"


def test_a_nut_that_runs_on_and_one_that_does_not() -> None:
    bare = shares(od=".247", tpi="20")
    assert shares(od=".247", tpi="20", nut="1/4 bsw")["1/4 BSW"] > bare["1/4 BSW"]
    assert shares(od=".247", tpi="20", nut="not 1/4 bsw")["1/4-20 UNC"] > bare["1/4-20 UNC"]
    # #12-24 and 7/32-24: 0.216 and 0.2188 in of one pitch and angle (ASME B1.1); a nut of one binds on the other
    bare, ran = shares(od=".2160", tpi="24"), shares(od=".2160", tpi="24", nut="12 24")
    assert ran["#12-24 UNC"] / ran["7/32-24 NS"] > 10 * bare["#12-24 UNC"] / bare["7/32-24 NS"]


def test_a_nut_is_told_by_its_size() -> None:
    assert isinstance(read_mate("not", "us", "in"), Unfinished)
    assert isinstance(read_mate("1/4 2", "us", "in"), Unfinished)
    with pytest.raises(Unreadable, match=r"nut: '\.247' is a measure; type the size it is known to be, as 1/4 bsw\."):
        read_mate(".247", "us", "in")


def test_contradictions_are_said() -> None:
    half = snap(Readings(gauge="1/4 20 55", flank="60")).thread
    assert half is not None and half.word == "none" and half.ask is not None
    assert half.ask.why == "flanks of 60 degrees, and 55 behind the size: hold them to the light again"


@given(st.floats(40, 69))
def test_a_thread_of_no_table_shows_any_angle_as_often_as_the_tables_have_it(angle: float) -> None:
    assert 0.04 < unknown_flank(angle) < 1
    assert angles_alike(angle, shape_of("1/4 BSW").flank) <= 1
