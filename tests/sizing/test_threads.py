"""Basic sizes against tests/reference/threads.csv (sources by row) and the rules that make them."""

from collections import Counter
from fractions import Fraction
from importlib.resources import files

import pytest

from putback.sizing import Readings, snap
from putback.sizing.reference_tables import rows as rows_of
from putback.sizing.reference_tables import table
from putback.sizing.threads import GAUGE_TAPS, all_threads, ba_dimensions, inch_size, thread_named, thury_dimensions
from tests.sizing.reference_tables import rows


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
    """Counts to 1 in: UNC 19, UNF 20 and UNEF 14 (ASME B1.1); BSW 19 and BSF 15 (BS 84); ISO 261 coarse to 24 mm 27
    and its fine pitches to 25 mm; BA and Thury 0 to 25 (BS 93); ISO 1501 and ASME B1.10 0.3 to 1.4 mm 14 each."""
    count = Counter(t.series for t in all_threads() if t.major <= Fraction(254, 10))
    assert (count["UNC"], count["UNF"], count["UNEF"]) == (19, 20, 14)
    assert (count["BSW"], count["BSF"], count["ISO coarse"], count["ISO fine"]) == (19, 15, 27, 53)
    assert (count["BA"], count["Thury"], count["ISO small"], count["UNM"]) == (26, 26, 14, 14)


# The fine pitches of ISO 261 (second column of its table 2 and on), by diameter, to 25 mm.
ISO_FINE = {
    "1": "0.2", "1.1": "0.2", "1.2": "0.2", "1.4": "0.2", "1.6": "0.2", "1.8": "0.2", "2": "0.25", "2.2": "0.25",
    "2.5": "0.35", "3": "0.35", "3.5": "0.35", "4": "0.5", "4.5": "0.5", "5": "0.5", "5.5": "0.5", "6": "0.75",
    "7": "0.75", "8": "1 0.75", "9": "1 0.75", "10": "1.25 1 0.75", "11": "1 0.75", "12": "1.5 1.25 1",
    "14": "1.5 1.25 1", "15": "1.5 1", "16": "1.5 1", "17": "1.5 1", "18": "2 1.5 1", "20": "2 1.5 1", "22": "2 1.5 1",
    "24": "2 1.5 1", "25": "2 1.5 1",
}  # fmt: skip


def test_the_fine_pitches_of_iso_261() -> None:
    ours = {t.name for t in all_threads() if t.series == "ISO fine" and t.major <= 25}
    assert ours == {f"M{size}x{pitch}" for size, pitches in ISO_FINE.items() for pitch in pitches.split()}


def test_the_old_gauge_never_hides_a_common_thread() -> None:
    """In the middle of its band, by caliper and leaf, every common US thread still comes first on a US machine."""
    for thread in all_threads():
        if thread.series in ("UNC", "UNF") and thread.major < Fraction(254, 10):
            band = thread.bands[0]
            crest = f"{float((band.low + band.high) / 2):.4f}mm"
            half = snap(Readings(od=crest, tpi=str(thread.tpi), origin="us")).thread
            assert half is not None and half.candidates[0].name == thread.name, thread.name
            assert half.word in ("sure", "likely"), (thread.name, half.candidates[:2])
            old = [c for c in half.candidates if c.name.removesuffix(" NS") in GAUGE_TAPS]
            assert sum(c.probability for c in old) < 0.02, (thread.name, old)


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
    names = sorted(
        path.name for path in files("putback.sizing").joinpath("data").iterdir() if path.name.endswith(".csv")
    )
    assert len(names) > 20
    for name in names:
        held = table(name)
        assert len(held.source) > 20 and held.rows


def major_of(name: str) -> float:
    thread = thread_named(name)
    assert thread is not None, name
    return float(thread.major)


@pytest.mark.parametrize(
    ("name", "mm"),
    [("G 1/16", 7.723), ("G 1/8", 9.728), ("G 1/4", 13.157), ("G 3/8", 16.662), ("G 1/2", 20.955), ("G 3/4", 26.441)],
)
def test_parallel_pipe_threads_against_iso_228(name: str, mm: float) -> None:
    """ISO 228-1 in millimetres as in the package bd_warehouse (Apache 2.0); ours are in inches, from memory."""
    assert major_of(name) == pytest.approx(mm, abs=0.01)


@pytest.mark.parametrize(
    ("size", "e0"), [("1/16", 0.27118), ("1/8", 0.36351), ("1/4", 0.47739), ("1/2", 0.75843), ("3/4", 0.96768)]
)
def test_taper_pipe_threads_against_the_printed_pitch_diameter(size: str, e0: float) -> None:
    """E0 of ASME B1.20.1, from memory: the small end's crest is .8 p over it."""
    row = next(r for r in rows_of("npt.csv") if r["size"] == size)
    assert float(row["small"]) == pytest.approx(e0 + 0.8 / float(row["NPT"]), abs=1e-4)


def test_a_taper_runs_from_its_small_end_to_its_large_one() -> None:
    """1 in 16 (ISO 7-1, ASME B1.20.1), over the 6.5 mm and .2639 in of thread that 1/8 has, from memory."""
    for name, long in (("R 1/8", 6.5), ("1/8-27 NPT", 0.2639 * 25.4)):
        thread = thread_named(name)
        assert thread is not None
        assert float(thread.high - thread.low) == pytest.approx(long / 16, abs=0.13)
    straight, taper = thread_named("G 1/8"), thread_named("R 1/8")
    assert straight is not None and taper is not None and taper.low < straight.low < straight.high < taper.high


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("1/8 npt", "1/8-27 NPT"), ("R 1/8", "R 1/8"), ("1/8 bspt", "R 1/8"), ("g1/4", "G 1/4"),
        ("1/8 ip", "1/8-27 NPS"),
        ("1 npt", "1-11.5 NPT"), ("1 11 1/2 npt", "1-11.5 NPT"), (".7965 36 rms", ".7965-36 RMS"),
        ("3/8 sae", "3/8-24 UNF"), ("3/4-16 conduit", "3/4-16 conduit"), ("9/64 40 sm", "9/64-40 NS"),
    ],
)  # fmt: skip
def test_how_pipes_and_fittings_are_called(text: str, name: str) -> None:
    half = snap(Readings(gauge=text, origin="unknown")).thread
    assert half is not None and name in [c.name for c in half.candidates]


def test_a_straight_pipe_thread_is_not_sure_where_a_taper_is_as_likely() -> None:
    half = snap(Readings(od=".381", tpi="28", origin="uk")).thread
    assert half is not None and half.word == "either" and {c.name for c in half.candidates[:2]} == {"G 1/8", "R 1/8"}
    assert half.ask is not None and half.ask.why.startswith("the diameter at both ends of the thread: R 1/8 is 1 in 16")
