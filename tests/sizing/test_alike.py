"""What interchanges and what only looks alike."""

from fractions import Fraction

from putback.sizing import Readings, snap
from putback.sizing.alike import Sized, beside, difference, interchange, longer_by, look_alikes, sized


def of(key: int, gauge: str, length: str, **more: str) -> Sized:
    readings = Readings(gauge=gauge, length=length, origin=more.pop("origin", "us"), **more)  # type: ignore[arg-type]
    return sized(key, readings, snap(readings))


def test_groups() -> None:
    items = [of(1, "832", ".372"), of(2, "8 32", "3/8"), of(3, "832", ".498"), of(4, "832", ".372", head="flat")]
    groups = interchange(items)
    assert [g.keys for g in groups] == [(1, 2), (3,), (4,)]
    assert interchange([Sized(9, "screw")]) == ()


def test_a_longer_one_bottoms() -> None:
    """Two cross bars with bolts of one thread and two lengths."""
    a, b = of(1, "5/16 18", "1", kind="bolt"), of(2, "5/16 18", "1 1/4", kind="bolt")
    (pair,) = look_alikes(interchange([a, b]))
    assert pair.why == "same thread, 1/4 in longer: swapped, the long one bottoms or fouls"


def test_threads_that_look_alike() -> None:
    assert "another pitch (32 against 40)" in difference(of(1, "632", ".5"), of(2, "640", ".5"))
    assert "flanks of 60 and 55" in difference(of(1, "1/4 20", "1"), of(2, "1/4 bsw 55", "1", origin="uk"))
    assert "left-handed" in difference(of(1, "832", ".5"), of(2, "832", ".5", hand="left"))
    assert "cannot tell" in difference(of(1, "m4", "12mm"), of(2, "836", ".47"))
    assert difference(of(1, "832", ".5"), of(2, "1/4 20", ".5")) == ""
    assert difference(of(1, "832", ".25"), of(2, "832", "1")) == ""
    assert difference(of(1, "832", ".5"), of(2, "832", ".5")) == ""


def test_live_note() -> None:
    bags = [("bag 3", of(1, "832", ".372")), ("bag 4", of(2, "632", ".372"))]
    assert beside(of(3, "832", ".436"), bags) == "same thread as bag 3, 1/16 in longer"
    assert beside(of(3, "832", ".311"), bags) == "same thread as bag 3, 1/16 in shorter"
    assert beside(of(3, "832", ".372"), bags) == "same as in bag 3"
    assert beside(of(3, "1/4 20", ".5"), bags) == ""
    assert beside(of(3, "832", ".466"), bags) == "same thread as bag 3, .091 in longer"


def test_differences_in_words() -> None:
    assert longer_by(Fraction(254, 160), "#8-32 UNC") == "1/16 in"
    assert longer_by(Fraction(254, 8), "#8-32 UNC") == "1 1/4 in"
    assert longer_by(Fraction(2), "M4x0.7") == "2 mm"


def test_pins_interchange_by_their_standard() -> None:
    pins = [
        sized(n, r, snap(r))
        for n, r in enumerate(
            Readings(kind="straight pin", od=od, length=".502", origin="us") for od in (".1876", ".1872", ".2501")
        )
    ]
    assert [g.keys for g in interchange(pins)] == [(0, 1), (2,)]
