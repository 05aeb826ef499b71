"""Basic sizes against tests/reference/threads.csv (sources by row) and the rules that make them."""

from collections import Counter
from fractions import Fraction

import pytest
from reference_tables import rows

from putback.sizing.tables import table
from putback.sizing.threads import all_threads, ba_dimensions, inch_size, thread_named, thury_dimensions


@pytest.mark.parametrize("row", rows("threads.csv"), ids=lambda r: r["name"])
def test_basic_sizes(row: dict[str, str]) -> None:
    thread = thread_named(row["name"])
    assert thread is not None
    assert float(thread.major) == pytest.approx(float(row["major_mm"]), abs=6e-5)
    assert float(thread.pitch) == pytest.approx(float(row["pitch_mm"]), abs=6e-6)
    assert float(thread.flank) == float(row["flank_angle_deg"])
    assert (thread.series, thread.family) == (row["series"], row["origin"])
    assert (thread.tpi is None) == (row["tpi"] == "")


def test_about_six_hundred_threads_each_with_its_own_name() -> None:
    threads = all_threads()
    assert len(threads) >= 600
    assert len({t.name for t in threads}) == len(threads)


def test_the_series_are_full() -> None:
    """Counts to 1 in: UNC 19, UNF 20 and UNEF 14 (ASME B1.1); BSW 19 and BSF 15 (BS 84); ISO 261 coarse to 24 mm 27."""
    count = Counter(t.series for t in all_threads() if t.major <= Fraction(254, 10))
    assert (count["UNC"], count["UNF"], count["UNEF"]) == (19, 20, 14)
    assert (count["BSF"], count["ISO coarse"], count["BA"], count["Thury"]) == (15, 27, 20, 20)


def test_number_sizes() -> None:
    """D = 0.060 + 0.013 n (ASME B1.1)."""
    assert [inch_size(f"#{n}") for n in (0, 6, 8, 10, 12)] == [
        Fraction(s) for s in ("0.06", "0.138", "0.164", "0.19", "0.216")
    ]


def test_ba_by_rule() -> None:
    """BS 93: p = 0.9^n and D = 6 p^(6/5), both to two figures."""
    table_ = {0: (6.0, 1.0), 2: (4.7, 0.81), 4: (3.6, 0.66), 6: (2.8, 0.53), 10: (1.7, 0.35), 16: (0.79, 0.19)}
    for number, (major, pitch) in table_.items():
        assert tuple(map(float, ba_dimensions(number))) == (major, pitch)


def test_thury_is_nearly_ba() -> None:
    """Less than 0.05 mm and 0.01 mm from BA of the same number."""
    for number in range(13):
        ba, thury = ba_dimensions(number), thury_dimensions(number)
        assert abs(ba[0] - thury[0]) <= Fraction(5, 100) and abs(ba[1] - thury[1]) < Fraction(1, 100)


def test_bands_lie_below_the_basic_diameter() -> None:
    for thread in all_threads():
        assert sum(b.share for b in thread.bands) == pytest.approx(1)
        for band in thread.bands:
            assert 0 < band.low < band.high <= thread.major + Fraction(2, 1000), thread.name


def test_every_table_names_its_source() -> None:
    for name in (
        "unified",
        "british",
        "metric",
        "pipe",
        "metric_limits",
        "national_limits",
        "lengths",
        "pins",
        "rings",
        "nuts",
        "washers",
        "heads",
        "drivers",
        "drills",
        "clearance",
    ):
        held = table(f"{name}.csv")
        assert len(held.source) > 20 and held.rows
