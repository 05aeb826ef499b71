"""How a reading was taken: by its mark, by its own field, and what that does to the answer."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.settings import INSTRUMENTS
from putback.sizing import Prior, Readings, Unit, read_gauge, read_measure, snap
from putback.sizing.instruments import (
    LEAVES,
    TOOL_NAMES,
    TOOLS,
    WAYS,
    Way,
    best_of,
    checked_tools,
    leaf_cell,
    leaf_set,
    split_gauge,
    split_way,
)
from putback.sizing.threads import all_threads


@pytest.mark.parametrize(
    ("text", "bare", "way"),
    [
        (".37+", ".37", "rule"), (".37++", ".37", "eye"), ("3/8+", "3/8", "rule"), ("1 1/4 ++", "1 1/4", "eye"),
        ('3/8"+', '3/8"', "rule"), ("11.2mm+", "11.2mm", "rule"), ("~3/8", "3/8", "eye"), ("~ .37", ".37", "eye"),
        ("3/8 eye", "3/8", "eye"), ("3/8 by eye", "3/8", "eye"), (".37 rule", ".37", "rule"), ("7/+", "7/", "rule"),
        (".37", ".37", None), ("3/8 in", "3/8 in", None), ("", "", None), ("eye", "eye", None),
    ],
)  # fmt: skip
def test_marks_of_a_measure(text: str, bare: str, way: Way | None) -> None:
    assert split_way(text, "length") == (bare, way)


@pytest.mark.parametrize(
    ("text", "bare", "ways"),
    [
        ("832", "832", {}), ("8 32++", "8 32", {"gauge": "eye"}), ("832+", "832", {"gauge": "eye"}),
        ("2ba by eye", "2ba", {"gauge": "eye"}), (".16+", ".16in", {"od": "rule"}),
        (".16+ 32", ".16in 32", {"od": "rule"}), (".164*32++", ".164 32", {"pitch": "eye"}),
        (".16++*32+", ".16in 32", {"od": "eye", "pitch": "rule"}), ("~.16 32", ".16in 32", {"od": "eye"}),
        ("3.4mm+ 0.6 ten", "3.4mm 0.6", {"od": "rule", "pitch": "ten"}), (".164 32", ".164 32", {}),
    ],
)  # fmt: skip
def test_marks_in_the_gauge_field(text: str, bare: str, ways: dict[str, Way]) -> None:
    assert split_gauge(text, "in") == (bare, ways)


def test_a_diameter_by_rule_is_no_name_on_a_metric_machine() -> None:
    """3.5 off the plate is M3.5; 3.5+ was held against a rule."""
    named = snap(Readings(gauge="3.5", origin="metric", unit="mm"))
    measured = snap(Readings(gauge="3.5+", origin="metric", unit="mm"))
    assert named.read.od is None and measured.read.od is not None and measured.read.od_by == "rule"


def test_the_marks_collide_with_nothing_that_reads() -> None:
    """No plate text and no name of a thread ends in a plus or begins with a tilde, and none is changed."""
    for thread in all_threads():
        assert split_gauge(thread.name, "in") == (thread.name, {})
    for unit in ("in", "mm"):
        for text in ("+", "3+", "~3", ".37+", "3/8++"):
            with pytest.raises(Unreadable):
                read_gauge("8 32+", "us", unit)
            if text[0] != "~":
                with pytest.raises(Unreadable):
                    read_measure(text, unit)


@settings(max_examples=200)
@given(st.text(max_size=20) | st.text(alphabet="0123456789./*-+~ eyrul", max_size=10), st.sampled_from(["in", "mm"]))
def test_no_text_crashes(text: str, unit: Unit) -> None:
    for field in WAYS:
        try:
            split_way(text, field)
            split_gauge(text, unit)
        except Unreadable as fault:
            assert str(fault).endswith(".") and "\n" not in str(fault)


@settings(max_examples=100)
@given(st.integers(1, 999), st.sampled_from(["", "+", "++"]))
def test_a_mark_never_changes_the_number(thou: int, mark: str) -> None:
    answer = snap(Readings(length=f".{thou:03d}{mark}", origin="us"))
    assert answer.read.length is not None and answer.read.length.inches * 1000 == thou
    assert answer.read.length_by == {"": "caliper", "+": "rule", "++": "eye"}[mark]


def test_rougher_readings_are_less_sure_and_are_asked_for_again() -> None:
    """The same figures by caliper, by rule and by eye: the truth keeps its place and loses its certainty."""
    shares = []
    for way in ("caliper", "rule", "eye"):
        half = snap(Readings(od=".1620", tpi="32", od_by=way, origin="us")).thread
        assert half is not None and half.candidates[0].name == "#8-32 UNC"
        shares.append(half.candidates[0].probability)
        assert (half.word == "sure") == (way == "caliper")
        if way != "caliper":
            assert half.ask is not None and half.ask.reading == "od"
    assert shares == sorted(shares, reverse=True)
    lengths = [snap(Readings(length=text, origin="us")).length for text in (".372", ".372+", ".372++")]
    assert [half.word for half in lengths if half is not None] == ["sure", "sure", "likely"]
    assert lengths[2] is not None and lengths[2].ask is not None and lengths[2].ask.reading == "length"


def test_by_eye_alone_is_never_sure() -> None:
    for readings in (
        Readings(gauge="832++", origin="us"), Readings(od=".16++", tpi="32++", origin="us"),
        Readings(length="2++", origin="us"), Readings(gauge="m5 eye", origin="metric", unit="mm"),
    ):  # fmt: skip
        assert snap(readings).verdict != "sure"


def test_mark_and_field_must_agree() -> None:
    assert snap(Readings(length=".37++", length_by="eye")).read.length_by == "eye"
    with pytest.raises(Unreadable, match="by eye"):
        snap(Readings(length=".37++", length_by="rule"))
    with pytest.raises(Unreadable, match="none of"):
        snap(Readings(length=".37", length_by="leaf"))


def test_tools_are_those_of_the_settings_file() -> None:
    assert INSTRUMENTS == TOOL_NAMES and set(TOOLS) < set(TOOL_NAMES)
    assert checked_tools(["Caliper", "leaf", ""]) == ("pitch gauge", "caliper") and checked_tools(["none"]) == ()
    with pytest.raises(Unreadable, match="lathe"):
        checked_tools(["lathe"])


def test_what_is_not_at_hand_is_not_asked_for() -> None:
    for have, wanted in (
        (TOOLS, "tpi"), (("caliper",), "ten-pitches"), (("rule",), "tpi"), (("gauge plate",), "gauge"), ((), "nut"),
    ):  # fmt: skip
        half = snap(Readings(od=".138", origin="us"), have=have).thread
        assert half is not None and half.ask is not None and half.ask.reading == wanted


def test_a_leaf_of_a_sparse_set_is_only_the_best_of_it() -> None:
    """1/8 BSW has 40 to the inch, .635 mm; of the metric leaves .6 fits it best, and 5BA too (BS 84; BS 93)."""
    one_set = snap(Readings(od=".122", pitch="0.6mm", origin="uk"), have=("caliper", "leaves metric")).thread
    both = snap(
        Readings(od=".122", pitch="0.6mm", origin="uk"), have=("caliper", "leaves metric", "leaves inch")
    ).thread
    plain = snap(Readings(od=".122", pitch="0.6mm", origin="uk")).thread
    shares = []
    for half in (one_set, plain, both):
        assert half is not None and half.word != "sure" and half.ask is not None
        shares.append({c.name: c.probability for c in half.candidates}["1/8 BSW"])
    assert shares == sorted(shares, reverse=True) and shares[0] > 0.3 and shares[-1] < 0.1


def test_leaves_cover_their_set_without_gaps() -> None:
    for leaves in LEAVES.values():
        cells = [leaf_cell(pitch) for pitch in sorted(leaves)]
        for (_, high), (low, _) in pairwise(cells):
            assert high <= low * 1.000001
    assert leaf_set(25.4 / 32) == "leaves inch" and leaf_set(0.8) == "leaves metric" and leaf_set(0.81) is None
    assert best_of(0.81, "in", TOOLS) == 0.0


def test_along_a_rule_neighbours_within_one_turn_are_never_sure() -> None:
    """Half an inch of #8-32 has sixteen turns, of #8-30 fifteen."""
    for times in (0, 5):
        prior = Prior.empty().with_seen("#8-32 UNC", times)
        half = snap(Readings(od=".1620", tpi="32", pitch_by="rule", origin="us"), prior).thread
        assert half is not None and half.candidates[0].name == "#8-32 UNC" and half.word == "likely"
        half = snap(Readings(od=".1620", tpi="32", origin="us"), prior).thread
        assert half is not None and half.word == "sure"
