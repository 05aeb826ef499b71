"""What goes into which hole of a gauge plate, and how far a hole names a thread."""

import pytest

from putback.errors import Unreadable
from putback.sizing import Origin, Prior, Readings, Verdict, snap
from putback.sizing.evidence import shape_of, shapes
from putback.sizing.instruments import TOOLS, Tool, at_hand, checked_tools, plates_at_hand
from putback.sizing.plates import ALL, HOME, ON_PLATES, goes, plate_chance, room


def thread(
    gauge: str, origin: Origin, *, have: tuple[Tool, ...] = TOOLS, prior: Prior | None = None, **more: str
) -> Verdict:
    half = snap(Readings(gauge=gauge, origin=origin, **more), prior or Prior.empty(), have).thread  # type: ignore[arg-type]
    assert half is not None
    return half


def share(half: Verdict, name: str) -> float:
    return next((c.probability for c in half.candidates if name in (c.name, *c.also)), 0.0)


@pytest.mark.parametrize("shape", [s for s in shapes() if s.thread.series in ON_PLATES], ids=lambda s: s.thread.name)
def test_every_screw_goes_into_its_own_hole_best(shape) -> None:  # type: ignore[no-untyped-def]
    assert goes(shape, shape) == 1.0 and room(shape, shape) > 0


@pytest.mark.parametrize(
    ("screw", "hole"),
    [
        # 1/4-20 and 1/4 BSW: one diameter and pitch, 60 and 55 degrees (ASME B1.1; BS 84). They run into each other.
        ("1/4 BSW", "1/4-20 UNC"), ("1/4-20 UNC", "1/4 BSW"), ("5/16 BSW", "5/16-18 UNC"), ("3/8 BSW", "3/8-16 UNC"),
        # 3/16 in of 24 and 32 to the inch is .1875, a #10 .190 (BS 84; ASME B1.1)
        ("3/16 BSW", "#10-24 UNC"), ("3/16 BSF", "#10-32 UNF"),
        # 2BA is 4.7 mm of .81 (BS 93), #10-32 4.83 mm of .794: it enters for some turns
        ("2BA", "#10-32 UNF"),
        # a Loewenherz screw of one diameter and pitch with a metric hole
        ("Loewenherz 3x0.5", "M3x0.5"),
    ],
)  # fmt: skip
def test_what_runs_into_a_hole_of_another_family(screw: str, hole: str) -> None:
    assert goes(shape_of(screw), shape_of(hole)) > 0.1


@pytest.mark.parametrize(
    ("screw", "hole"),
    [
        ("#10-32 UNF", "2BA"),  # .190 against .185 in
        ("M5x0.8", "#10-32 UNF"),  # .197 against .190 in
        ("#8-32 UNC", "#8-36 UNF"), ("1/4 BSF", "1/4-28 UNF"),  # another pitch, four turns: a third and a tenth of one
        ("#4-40 UNC", "#5-40 UNC"),  # a number smaller: it rocks
        ("M8x1.25", "5/16-18 UNC"), ("1/2-13 UNC", "1/2 BSW"), ("1/2 BSW", "1/2-13 UNC"),
    ],
)  # fmt: skip
def test_what_does_not(screw: str, hole: str) -> None:
    assert goes(shape_of(screw), shape_of(hole)) < 0.1


def test_a_wrong_pitch_and_a_wrong_angle_only_take_room() -> None:
    for a, b in (("1/4 BSW", "1/4-20 UNC"), ("1/4-20 UNC", "1/4 BSW"), ("M6x1", "0BA")):
        own, other = shape_of(a), shape_of(b)
        assert room(own, other) < room(own, own) or own.major < other.major


@pytest.mark.parametrize("plates", [frozenset[str](), ALL, frozenset({"us"}), frozenset({"BA", "metric"})])
@pytest.mark.parametrize("name", ["#8-32 UNC", "1/4-20 UNC", "2BA", "M3x0.5", "#6-36 NS", "1/2-20 CEI"])
def test_a_chance_is_a_chance(name: str, plates: frozenset[str]) -> None:
    for shape in shapes():
        for first in HOME.values():
            assert 0 <= plate_chance(shape, (name,), plates, first, "plate") <= 1
    own = shape_of(name)
    fits = [s for s in shapes() if plate_chance(own, (s.thread.name,), plates, ALL, "plate") > 0.01]
    assert (
        sum(plate_chance(own, (s.thread.name,), ALL, ALL, "plate") for s in fits if s.thread.series in ON_PLATES) < 1.1
    )


def test_plate_and_caliper_are_weighed() -> None:
    """1/4-20 and 1/4 BSW: the hole adds a little to what crest and pitch say, and does not overrule them."""
    bare = snap(Readings(od=".247", tpi="20", origin="us")).thread
    assert bare is not None
    both = thread("1/4 20", "us", od=".247", tpi="20")
    assert both.word == "likely" and share(bare, "1/4-20 UNC") < share(both, "1/4-20 UNC") < 0.95
    assert both.ask is not None and both.ask.reading == "flank-angle"
    # a 2BA measured in a #10-32 hole: the ten pitches and the crest speak for the 2BA
    other = thread("1032", "uk", od="4.64mm", pitch="0.81mm", pitch_by="ten", have=("plate unc/unf", "caliper"))
    assert other.candidates[0].name == "2BA"


@pytest.mark.parametrize("origin", ["uk", "unknown"])
def test_a_hole_of_another_family_is_never_sure_by_the_plate_alone(origin: Origin) -> None:
    for shape in shapes():
        if shape.thread.series in ON_PLATES and (origin == "unknown" or shape.thread.family != "uk"):
            half = thread(shape.thread.name, origin)
            assert half.word != "sure", shape.thread.name
            half = thread(shape.thread.name, origin, prior=Prior.empty().with_seen(shape.thread.name, 50))
            assert half.word != "sure", shape.thread.name


def test_common_holes_at_home_are_sure() -> None:
    for origin, gauges in (
        ("us", ("832", "632", "440", "836", "640", "1/4 28")),
        ("uk", ("2ba", "4ba")),
        ("metric", ("m3", "m4", "m5", "m6", "m8")),
    ):
        for gauge in gauges:
            assert thread(gauge, origin).word == "sure", (origin, gauge)  # type: ignore[arg-type]


def test_which_plates_there_are_counts() -> None:
    """A British machine and an American plate alone: what #10-32 says is mostly another thread that went in."""
    every, american = thread("1032", "uk"), thread("1032", "uk", have=("plate unc/unf", "plate metric"))
    assert share(american, "#10-32 UNF") < share(every, "#10-32 UNF") < 0.5
    assert share(american, "2BA") > share(every, "2BA")
    assert thread("1032", "us").candidates[0].name == "#10-32 UNF"


def test_plates_are_tools() -> None:
    assert checked_tools(["plate ba", "plate unc"]) == ("plate unc/unf", "plate ba")
    assert plates_at_hand(("plate ba", "plate bsw/bsf")) == {"BA", "whitworth"}
    assert plates_at_hand(("gauge plate", "plate ba")) == frozenset() and plates_at_hand(TOOLS) == frozenset()
    assert at_hand("gauge plate", checked_tools(["plate metric"])) and not at_hand(
        "gauge plate", checked_tools(["nut"])
    )
    with pytest.raises(Unreadable, match="plate unc/unf"):
        checked_tools(["plate brass"])


def test_a_plate_is_asked_for_only_where_it_has_a_hole() -> None:
    for have, asked in ((("plate ba",), "nut"), (("plate unc/unf",), "gauge")):
        half = snap(Readings(od=".138", origin="us"), have=have).thread  # type: ignore[arg-type]
        assert half is not None and half.ask is not None and half.ask.reading == asked
