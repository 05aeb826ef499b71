"""Lengths as one machine has them: readings gathered into groups, and the groups named.

The answers are those of a model of ours; docs/sizing.md tells it and its figures. That makers before the war had
screw lengths of their own is common practice, no source. Tolerances: ASME B18.6.3, from memory; ISO 4759-1, js15.
"""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import Readings, snap
from putback.sizing.batch import Batch
from putback.sizing.house_lengths import House, Place
from putback.sizing.length_names import called, head_height, house_name, list_of
from putback.sizing.length_odds import INCH, SeenLength

SCREWS = Place("#8-32 UNC", "inch screw", "under the head")


def answers(*lengths: str, **more: str) -> list[dict[str, object]]:
    """The lengths' halves of the answers to a sequence of readings on one machine."""
    batch = Batch()
    lines = [{"machine": "stamp", "length": length, "origin": "us", "gauge": "832"} | more for length in lengths]
    return [batch.answer(line)["length"] for line in lines]


def told(half: dict[str, object]) -> tuple[str, str, float | None]:
    """The verdict, the first name, and its probability."""
    candidates = half["candidates"]
    assert isinstance(candidates, list)
    best = candidates[0]
    return str(half["verdict"]), best["name"] + (" house" if best.get("house") else ""), best["probability"]


@pytest.mark.parametrize(
    ("length", "word", "name", "chance"),
    [
        (".497", "sure", "1/2", 0.98), (".503", "sure", "1/2", 0.96), (".4785", "either", "1/2", 0.72),
        (".475", "either", "1/2", 0.29), (".425", "sure", "7/16", 0.96), (".415", "either", "7/16", 0.63),
        (".413", "either", "7/16", 0.36), (".381", "likely", "3/8", 0.88), ("1.448", "either", "1 1/2", 0.72),
        (".612", "sure", "5/8", 0.97), (".853", "likely", "7/8", 0.88),
    ],
)  # fmt: skip
def test_one_reading_alone(length: str, word: str, name: str, chance: float) -> None:
    found = told(answers(length)[0])
    assert found[:2] == (word, name)
    assert found[2] == pytest.approx(chance, abs=0.006)


@pytest.mark.parametrize("length", [".470", ".411", ".407", ".591"])
def test_a_lone_reading_between_stocked_lengths_is_odd(length: str) -> None:
    answer = snap(Readings(gauge="832", length=length, origin="us"))
    assert answer.length is not None and answer.length.word == "none"
    assert answer.size == f"#8-32 UNC x {length} (odd)"
    assert answer.verdict == "sure"  # an odd length is a finding; the thread's verdict stands


@pytest.mark.parametrize(
    ("lengths", "word", "name", "chance"),
    [
        ([".415", ".407"], "sure", ".411 house", 0.98),
        ([".415", ".407", ".413", ".411"], "sure", ".411 house", 0.998),
        ([".381", ".383"], "either", "3/8", 0.57),
        ([".381", ".383", ".384"], "likely", ".383 house", 0.82),
        ([".381", ".383", ".384", ".386", ".387", ".388"], "sure", ".385 house", 1.0),
        ([".497", ".496", ".498", ".510"], "sure", "1/2", 0.98),
    ],
)
def test_readings_of_one_machine(lengths: list[str], word: str, name: str, chance: float) -> None:
    found = answers(*lengths)
    last = told(found[-1])
    assert last[0] == word
    # .4115 lies between two names
    assert last[1] == name or (name == ".411 house" and last[1] == ".412 house")
    assert last[2] == pytest.approx(chance, abs=0.006)
    assert not any(half["ask"] for half in found)
    assert found[-1]["group"]["count"] == len(lengths)  # type: ignore[index]


@pytest.mark.parametrize(
    ("lengths", "word", "name", "ask"),
    [
        ([".497", ".496", ".498", ".475"], "either", "1/2", ".022 shorter than the 3 here (.496 to .498)?"),
        ([".384", ".385", ".386", ".407"], "none", None, ".022 longer than the 3 here (.384 to .386)?"),
        ([".384", ".385", ".386", ".309"], "sure", "5/16", ".076 shorter than the 3 here (.384 to .386)?"),
        ([".625", ".623", ".622", ".606"], "likely", "5/8", ".017 shorter than the 3 here (.622 to .625)?"),
        ([".500+", ".515+", ".485+", ".5625+"], "likely", "9/16", ".062 longer than the 3 here (.485 to .515)?"),
    ],
)  # fmt: skip
def test_another_length_among_like_is_asked_about(lengths: list[str], word: str, name: str | None, ask: str) -> None:
    *before, last = answers(*lengths)
    assert last["verdict"] == word and (name is None or told(last)[1] == name)
    assert last["ask"] == {"reading": "length", "why": ask}
    assert not any("here" in str(half["ask"]) for half in before)


def test_a_second_group_of_one_stocked_name_says_so() -> None:
    last = answers(".625", ".623", ".622", ".606")[-1]
    assert last["group"] == {"name": "5/8 short, .606", "count": 1, "low": 0.606, "high": 0.606}


def test_millimetres() -> None:
    metric = {"origin": "metric", "gauge": "m5"}
    last = answers("11.2", "11.3", "11.25", "11.4", **metric)[-1]
    assert told(last)[:2] == ("sure", "11.29 mm house")
    assert answers("7", "7.1", "6.9", "8", **metric)[-1]["ask"] == {
        "reading": "length",
        "why": "1 mm longer than the 3 here (6.9 to 7.1)?",
    }
    assert answers("10", "10.05", "9.6", **metric)[-1]["ask"] == {
        "reading": "length",
        "why": "0.425 mm shorter than the 2 here (10 to 10.05)?",
    }


def gathered(lengths: list[float], where: int = 1) -> House:
    house = House()
    for key, length in enumerate(lengths, 1):
        house = house.with_seen(SCREWS, SeenLength(key, length * INCH, where=where))
    return house


def test_six_screws_are_one_length_in_whatever_order_they_come() -> None:
    for order in permutations([0.381, 0.383, 0.384, 0.386, 0.387, 0.388]):
        house = gathered(list(order))
        (group,) = house.shelf(SCREWS).groups
        found = called(house.shelf(SCREWS), group, house.share)
        assert (found.word, found.name, found.house, group.count) == ("sure", ".385", True, 6)


LENGTHS = st.lists(st.integers(150, 900).map(lambda n: n / 1000), min_size=1, max_size=14)


@settings(max_examples=60, deadline=None)
@given(LENGTHS, st.data())
def test_no_reading_is_lost_or_doubled(lengths: list[float], data: st.DataObject) -> None:
    house = gathered(lengths, where=data.draw(st.integers(0, 2)))
    groups = house.shelf(SCREWS).groups
    assert sorted(one.key for group in groups for one in group.seen) == list(range(1, len(lengths) + 1))
    assert 0 < house.share < 1
    for group in groups:
        low, high = group.span
        assert low - 1e-9 <= group.middle <= high + 1e-9
        text = called(house.shelf(SCREWS), group, house.share)
        assert (text.word == "none") == (text.house and group.count == 1 and not text.could_be)


@settings(max_examples=60, deadline=None)
@given(LENGTHS)
def test_one_just_like_it_counts_and_proves_nothing(lengths: list[float]) -> None:
    house = gathered(lengths)
    more = house.with_more(SCREWS, 99, 1)
    before, after = house.shelf(SCREWS).of(1), more.shelf(SCREWS).of(99)
    assert before is not None and after is not None and after is more.shelf(SCREWS).of(1)
    assert (after.count, after.middle, after.weight) == (before.count + 1, before.middle, before.weight)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-2, 2), min_size=3, max_size=10), st.sampled_from([0.345, 0.405, 0.535, 0.592]))
def test_screws_of_one_batch_are_one_length(off: list[int], middle: float) -> None:
    """Within two thousandths of a middle that no list has: one group, named by its middle."""
    house = gathered([middle + n / 1000 for n in off])
    (group,) = house.shelf(SCREWS).groups
    assert group.count == len(off)
    assert abs(group.middle / INCH - middle) <= 0.0021
    assert house_name(house.shelf(SCREWS).family, group).startswith(".")


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from([0.2475, 0.3725, 0.4975, 0.622]), min_size=1, max_size=12))
def test_stocked_lengths_stay_stocked(lengths: list[float]) -> None:
    house = gathered(lengths)
    groups = house.shelf(SCREWS).groups
    assert len(groups) == len(set(lengths))
    assert {called(house.shelf(SCREWS), group, house.share).name for group in groups} <= {"1/4", "3/8", "1/2", "5/8"}


def test_one_measure_seen_twice() -> None:
    for text in (".415 .407", "415*407", ".407 .415", "415 407"):
        answer = snap(Readings(gauge="832", length=text, origin="us"))
        assert answer.read.length is not None and float(answer.read.length.inches) == pytest.approx(0.411)
        assert answer.length is not None and answer.length.group is not None
        assert (answer.length.group.count, answer.length.group.low, answer.length.group.high) == (1, 0.407, 0.415)
    metric = snap(Readings(length="11,2 11,4", origin="metric", unit="mm")).read.length
    assert metric is not None and float(metric.mm) == pytest.approx(11.3)
    assert snap(Readings(length="1 1/4", origin="us")).size == "length 1 1/4"
    with pytest.raises(Unreadable, match="too far apart"):
        snap(Readings(length=".415 .507", origin="us"))


def test_a_length_from_the_wrong_end_of_the_head() -> None:
    """A #8 pan head is .096 high, a flat one .100 (ASME B18.6.3)."""
    assert head_height("#8-32 UNC", "pan") == pytest.approx(0.096 * INCH)
    over_all = snap(Readings(gauge="832", length=".467", head="pan", origin="us")).length
    assert over_all is not None and over_all.word == "none"
    assert over_all.ask is not None and over_all.ask.why == "3/8, if this was over all (head .096)?"
    under = snap(Readings(gauge="832", length=".395", head="flat", origin="us")).length
    assert under is not None and under.ask is not None
    assert under.ask.why == "1/2, if this was under the head (head .100)?"


def test_the_answer_says_from_where_it_was_measured() -> None:
    for head, where in (("", "under the head"), ("pan", "under the head"), ("flat", "over all"),
                        ("oval", "from the edge of the head")):  # fmt: skip
        half = snap(Readings(gauge="832", length=".372", head=head or None, origin="us")).length
        assert half is not None and half.to_json()["datum"] == where


def test_an_unknown_head_goes_with_any() -> None:
    batch = Batch()
    line = {"machine": "a", "gauge": "832", "origin": "us"}
    for length in (".384", ".385", ".386"):
        batch.answer(line | {"length": length, "head": "flat"})
    last = batch.answer(line | {"length": ".385"})["length"]
    assert (last["datum"], last["group"]["count"]) == ("over all", 4)


def test_machines_of_a_batch_know_nothing_of_one_another() -> None:
    batch = Batch()
    for _ in range(5):
        batch.answer({"machine": "a", "length": ".385", "origin": "us"})
    assert batch.answer({"machine": "b", "length": ".385", "origin": "us"})["length"]["group"]["count"] == 1
    alone = batch.answer({"length": ".385", "origin": "us"})["length"]
    assert "group" not in alone and alone["verdict"] == "either"
    assert batch.answer({"machine": "a", "length": ".385", "origin": "us"})["length"]["group"]["count"] == 6


def test_parts_are_kept_apart() -> None:
    """Three of .497 on one panel say nothing against a short one on another."""
    batch = Batch()
    line = {"machine": "a", "gauge": "832", "origin": "us"}
    for length in (".497", ".496", ".498"):
        batch.answer(line | {"length": length, "part": "lid"})
    assert batch.answer(line | {"length": ".309", "part": "plate"})["length"]["ask"] is None
    assert batch.answer(line | {"length": ".309", "part": "lid"})["length"]["ask"] is not None
    assert batch.answer(line | {"length": ".310", "part": "lid"})["length"]["ask"] is None  # two of it there by now
    assert batch.answer(line | {"length": ".250", "part": "lid"})["length"]["ask"] is not None


def test_the_list_goes_by_the_first_thread_named() -> None:
    assert list_of("M4x0.7 or #8-36 UNF", "screw", "", "us", "in") == "metric screw"
    assert list_of("", "screw", "", "unknown", "mm") == "metric screw"
    assert list_of("2BA", "screw", "", "uk", "in") == "BA screw"
