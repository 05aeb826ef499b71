"""The odd one out: asked once, in one sentence, and not where nothing is odd."""

from putback.sizing import Readings, snap
from putback.sizing.alike import sized
from putback.sizing.odd import Placed, odd_one


def at(hole: str, gauge: str | None = "832", length: str = ".372", **more: str) -> Placed:
    readings = Readings(gauge=gauge, length=length, origin=more.pop("origin", "us"), **more)  # type: ignore[arg-type]
    return Placed(hole, sized(0, readings, snap(readings)))


def ask(*placed: Placed, record: dict[str, int] | None = None, origin: str = "us") -> str | None:
    return odd_one(placed[-1], placed[:-1], record or {"#8-32 UNC": len(placed)}, origin)  # type: ignore[arg-type]


def test_seven_alike_and_one_longer() -> None:
    alike = [at(h) for h in "124"]
    text = ask(*alike, at("3", length=".497"))
    assert text == "1/8 in longer than the 3 others here; does it belong in hole 3?"
    assert ask(*alike, at("3", length=".497"), at("6")) is None
    assert ask(*alike, at("3", length=".497"), at("9", length=".499")) is None


def test_a_slip_of_the_fingers() -> None:
    """37 for 370: whole inches, where thousandths were meant."""
    assert ask(at("1", length="37")) == "two figures are whole inches: is it really 37 in long?"
    assert ask(at("1", length="9.5")) == "is it really 9.5 in long?"
    assert ask(at("1", length="4")) is None
    metric = at("1", gauge="m4", length="372", origin="metric", unit="mm")
    assert ask(metric, origin="metric", record={"M4x0.7": 9}) == "is it really 372 mm long?"


def test_alike_are_not_asked_about() -> None:
    assert ask(at("1"), at("2"), at("3")) is None
    assert ask(at("1")) is None
    assert ask(at("1", length=".364"), at("2", length=".375"), at("4", length=".369")) is None


def test_a_metric_stranger() -> None:
    record = {"#8-32 UNC": 10, "#6-32 UNC": 9}
    found = ask(at("1"), at("2"), at("7", gauge="m4", length="12mm"), record=record)
    assert found is not None and "M4x0.7 is a metric thread" in found and found.endswith("?")
    assert ask(at("7", gauge="m4", length="12mm"), record={**record, "M4x0.7": 1}) is None
    assert ask(at("7", gauge="m4", length="12mm"), record={}, origin="unknown") is None


def test_another_thread_among_like() -> None:
    found = ask(at("1"), at("2"), at("4", gauge="836"), record={"#8-32 UNC": 2})
    assert found is not None and "another thread (#8-36 UNF, not #8-32 UNC)" in found


def test_swapped_in_a_pattern_that_was_symmetric() -> None:
    """Long ones above, short ones below; the last below is long."""
    above = [at("7", length=".498"), at("9", length=".497"), at("1")]
    text = ask(*above, at("3", length=".498"))
    assert text == "1/8 in longer than the one in hole 1, its mirror; are they swapped?"
    assert ask(*above, at("3")) is None


def test_an_asymmetric_pattern_is_left_alone() -> None:
    pattern = [at("7", length=".498"), at("9"), at("1", length=".498")]
    assert ask(*pattern, at("3", length=".372")) is None


def test_kinds_are_not_compared_across() -> None:
    washer = Placed("1", sized(0, r := Readings(kind="washer", od=".290", thick=".040"), snap(r)))
    assert ask(at("1"), at("2"), at("3"), washer) is None
    pins = [
        Placed(h, sized(0, r, snap(r)))
        for h, r in (("4", Readings(kind="straight pin", od=".1876", length=".502", origin="us")),)
    ]
    assert ask(at("1"), at("2"), *pins) is None
