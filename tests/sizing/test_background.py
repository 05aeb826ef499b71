"""Country, decade and trade of a machine: how they are read, and what they shift."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import Unreadable
from putback.sizing import Prior, Readings, Verdict, snap
from putback.sizing.background import TRADES, Background, background, origin_by, read_trade, read_year, shifts
from putback.sizing.priors import weigh
from putback.sizing.threads import all_threads


def named(*priors: Prior, **read: str) -> Verdict:
    half = snap(Readings(**read), *priors).thread  # type: ignore[arg-type]
    assert half is not None
    return half


def share(half: Verdict, name: str) -> float:
    return next((c.probability for c in half.candidates if name in (c.name, *c.also)), 0.0)


@pytest.mark.parametrize(
    ("text", "year"),
    [
        ("1920s", 1925), ("1923", 1923), ("about 1925", 1925), ("c. 1925", 1925), ("before 1925", 1924),
        ("after 1948", 1949), ("1890's", 1895), ("", None), ("  ", None),
    ],
)  # fmt: skip
def test_a_decade(text: str, year: int | None) -> None:
    assert read_year(text) == year


@given(st.text(max_size=15))
def test_any_text_is_a_decade_or_refused_in_a_sentence(text: str) -> None:
    try:
        year = read_year(text)
    except Unreadable as fault:
        assert str(fault).startswith("decade: ") and str(fault).endswith(".")
    else:
        assert year is None or 1749 <= year <= 2104


def test_a_trade_and_a_country() -> None:
    assert read_trade("Calculator") == read_trade("typewriter") == TRADES[0] and read_trade("sewing") == TRADES[2]
    with pytest.raises(Unreadable, match="camera"):
        read_trade("bakery")
    assert background("England", None, None).country == "uk" and background("the USA", "", "").country == "us"
    assert origin_by("unknown", Background("germany")) == "metric" and origin_by("us", Background("japan")) == "us"


def test_every_shift_is_of_a_series_that_there_is() -> None:
    series = {t.series for t in all_threads()}
    for country in ("us", "uk", "germany", "japan", "switzerland", "france", ""):
        for year in (None, 1890, 1920, 1940, 1960, 1980):
            for trade in ("", *TRADES):
                known = Background(country, year, trade)
                assert set(shifts(known)) <= series and all(factor > 0 for factor in shifts(known).values())
                assert all(weigh("unknown", Prior.empty(), known).of(t) > 0 for t in all_threads()[::40])


def test_common_metric_screws_are_sure_at_the_first() -> None:
    """M3x0.5 and M8x1.25 by caliper and leaf on a metric machine of unknown country."""
    assert named(od="2.93", pitch="0.5", origin="metric", unit="mm").word == "sure"
    assert named(od="7.87", pitch="1.25", origin="metric", unit="mm").word == "sure"


def test_more_evidence_is_more_certain() -> None:
    """Of M3x0.5 on a machine of unknown origin: likely at first, sure by and by. So for 1/4-20 beside 1/4 BSW."""
    for name, read in (
        ("M3x0.5", {"od": "2.93", "pitch": "0.5", "unit": "mm"}),
        ("1/4-20 UNC", {"od": ".247", "tpi": "20", "origin": "us"}),
    ):
        words = [named(Prior.empty().with_seen(name, times), **read).word for times in (0, 5, 100)]
        assert words == ["likely", "sure", "sure"], name


def test_an_old_german_machine_may_have_loewenherz_threads() -> None:
    """Loewenherz 3x0.5 has the diameter and pitch of M3x0.5 and flanks of 53 degrees 8 minutes."""
    told = [
        share(named(od="2.93", pitch="0.5", origin="metric", unit="mm", **known), "Loewenherz 3x0.5")
        for known in ({"country": "Germany", "decade": "1910s"}, {}, {"country": "Germany", "decade": "1950s"})
    ]
    assert told[0] > 0.3 > 0.03 > told[1] > told[2]


def test_an_old_japanese_plate_is_believed_at_home_only() -> None:
    japan = {"origin": "metric", "unit": "mm", "country": "Japan", "decade": "1950s"}
    assert named(gauge="m3", **japan).word == "sure" and named(gauge="832", **japan).word != "sure"
    later = {**japan, "decade": "1980s"}
    assert named(gauge="440", **later).word == "sure" and named(gauge="440", **japan).word != "sure"


def test_sixty_fourths_wait_for_their_trade() -> None:
    """9/64-40 is .1406 in: at .139 it may be one, and #6-40, .138, a little over. A sewing machine has it."""
    plain, sewing = named(od=".139", tpi="40", origin="us"), named(od=".139", tpi="40", origin="us", trade="sewing")
    assert plain.word != "sure" and 0.1 < share(plain, "9/64-40 NS") < 0.6
    assert sewing.candidates[0].name == "9/64-40 NS" and sewing.word in ("sure", "likely")
    assert named(od=".1355", tpi="40", origin="us").word == "sure"
    plate = named(gauge="9/64 40", origin="us")  # such a plate is rare, and a #6-40 runs into that hole
    assert {c.name for c in plate.candidates[:2]} == {"9/64-40 NS", "#6-40 UNF"} and plate.word == "either"
    assert named(gauge="9/64 40", origin="us", trade="sewing").candidates[0].name == "9/64-40 NS"


def test_a_cycle_is_of_cycle_thread() -> None:
    plain = share(named(od=".247", tpi="26", origin="uk"), "1/4-26 CEI")
    assert share(named(od=".247", tpi="26", origin="uk", trade="cycle"), "1/4-26 CEI") > 0.7 > plain
