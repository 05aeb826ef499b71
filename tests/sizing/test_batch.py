"""Options and JSON for `putback size` and its batch."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import Batch, answer_options, size_json


def test_numbers_and_texts_say_the_same() -> None:
    texts = size_json({"od": ".1355", "tpi": "40", "length": ".372", "origin": "us", "pitch-by": "leaf"})
    numbers = size_json({"od": 0.1355, "tpi": 40, "length": 0.372, "origin": "us", "pitch_by": "leaf", "gauge": None})
    assert texts == numbers
    assert texts["thread"]["candidates"][0]["name"] == "#6-40 UNF"
    assert size_json({"gauge": 832, "origin": "us"})["thread"]["candidates"][0]["name"] == "#8-32 UNC"


def test_defaults() -> None:
    """Origin unknown; millimetres on a metric machine, else inches."""
    readings, _ = answer_options({"od": "3.42", "origin": "metric"})
    assert readings.unit == "mm"
    readings, _ = answer_options({"od": ".164"})
    assert (readings.origin, readings.unit, readings.pitch_by) == ("unknown", "in", None)


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"od": "7/"}, "od"), ({"diameter": "1"}, "diameter"), ({"origin": "moon", "od": "1"}, "moon"), ({}, "nothing"),
        ({"od": True}, "od"), ({"od": [1]}, "od"), ({"od": float("nan")}, "od"), ({"od": float("inf")}, "od"),
        ({"od": 10**400}, "od"), ({"unit": "furlong", "od": "1"}, "furlong"),
        ({"pitch-by": "nose", "pitch": "1"}, "nose"), ({"length-by": "leaf", "length": "1"}, "leaf"),
        ({"have": "lathe", "od": "1"}, "lathe"), ({"have": 3, "od": "1"}, "have"), ({"length": ".37+++"}, "nothing"),
        ({"length": ".37++", "length-by": "rule"}, "by eye"),
        ({"gauge": "6 20", "origin": "us"}, "40, 36, 32"), ({"od": 1e-30}, "od"),
    ],
)  # fmt: skip
def test_bad_options_are_one_sentence(options: dict[str, object], word: str) -> None:
    with pytest.raises(Unreadable, match=word) as fault:
        size_json(options)
    assert "\n" not in str(fault.value)
    assert Batch().answer(options) == {"error": str(fault.value)}


@pytest.mark.parametrize("line", [None, 3, "832", [1], True])
def test_a_line_that_is_no_object(line: object) -> None:
    assert set(Batch().answer(line)) == {"error"}


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=2),
    max_leaves=3,
)


@settings(max_examples=120, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(["gauge", "od", "pitch", "tpi", "length", "head", "origin", "unit", "pitch-by", "have", "x"]),
        JSON,
        max_size=5,
    )
)
def test_no_line_crashes_the_batch(options: dict[str, object]) -> None:
    answer = Batch().answer(options)
    json.dumps(answer, allow_nan=False)
    assert set(answer) in ({"error"}, {"thread", "length"})


def test_hardware_by_its_kind() -> None:
    """A taper pin #2 is .193 in at its large end (ASME B18.8.2), and the JSON tells what was taken for what."""
    told = size_json({"kind": "taper pin", "od": ".193", "length": "3/4"})
    assert told["thread"] is None and told["standard"]["candidates"][0]["name"] == "2"
    metric = size_json({"length": "1/2", "origin": "metric", "gauge": "m5"})
    assert metric["notes"] == ["length: a fraction, taken as inches"]
    assert size_json({"od": ".137", "tpi": 20, "origin": "us"})["thread"]["note"]
    assert size_json({"od": ".164", "tpi": "7"})["thread"]["verdict"] == "none"


def test_a_kind_is_read_with_or_without_capitals() -> None:
    found = size_json({"kind": "O-Ring", "bore": "9.19mm", "wire": "2.62mm"})
    assert found == size_json({"kind": "o-ring", "bore": "9.19mm", "wire": "2.62mm"})
