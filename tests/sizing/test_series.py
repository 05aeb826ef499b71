"""The table of series: one row and one file of data make a thread known everywhere."""

import json
import subprocess
import sys

import pytest

from putback.sizing.background import TRADES, background, shifts
from putback.sizing.limits import CLASSES
from putback.sizing.reference_tables import table
from putback.sizing.series import DEPTHS, SERIES, series_named
from putback.sizing.threads import RARITY, all_threads

# A series that nobody ever made, added before anything else is loaded, and what is then said of it.
MADE_UP = """
import json
from putback.sizing import reference_tables, series
from putback.sizing.reference_tables import ReferenceTable

held = reference_tables.table
lines = ({"size": "21/64", "own": "23 31", "choice": "1"}, {"size": "27/64", "own": "23", "choice": "2"})
reference_tables.table = lambda name: ReferenceTable("invented", lines) if name == "own.csv" else held(name)
series.SERIES += (
    series.Series(name="OWN", family="uk", weights=(0.5, 0.5, 0.1, 0.5), table="own.csv", column="own",
                  flank=series.WHITWORTH_ANGLE, limits="whitworth", words=("own",), plate="own", lengths="BA",
                  nut=0.9, today=True),
)

from putback.sizing import Readings, explain, snap
from putback.sizing.drilling import tap_drill
from putback.sizing.evidence import shape_of
from putback.sizing.lengths import list_for
from putback.sizing.replacing import replacements
from putback.sizing.threads import may_be_a_thread, thread_named

found = {}
for text in ("21/64 23", "21/64-31 own", "2164 23", "21/64 own"):
    found[text] = [c.name for c in snap(Readings(gauge=text, origin="uk")).thread.candidates][:2]
crest = float(thread_named("21/64-23 OWN").bands[0].low + thread_named("21/64-23 OWN").bands[0].high) / 2
readings = Readings(od=f"{crest:.3f}mm", tpi="23", length="3/8", origin="uk")
answer = snap(readings)
found["measured"] = [answer.size, answer.thread.word]
found["told"] = "21/64-23 OWN" in explain(answer, readings)
found["list"] = list_for("screw", "pan", "inch", thread_named("21/64-23 OWN"))
found["drill"] = tap_drill(thread_named("21/64-23 OWN")).name
found["plate"] = shape_of("21/64-23 OWN").plate
found["way out"] = [r.thread.name for r in replacements(thread_named("5/16 BSW"))][:1]
found["kept"] = may_be_a_thread("21/64-23 OWN")
print(json.dumps(found))
"""


def test_a_row_and_a_file_are_all_a_new_series_takes() -> None:
    told = json.loads(
        subprocess.run([sys.executable, "-c", MADE_UP], capture_output=True, text=True, check=True).stdout
    )
    assert told["21/64 23"][0] == told["2164 23"][0] == "21/64-23 OWN"
    assert told["21/64-31 own"][0] == "21/64-31 OWN" and set(told["21/64 own"]) == {"21/64-23 OWN", "21/64-31 OWN"}
    assert told["measured"] == ["21/64-23 OWN x 3/8", "sure"] and told["told"]
    assert told["list"] == "BA screw" and told["plate"] == "own" and told["kept"]
    # D - 0.75 x 1.28 / 23 = .286 in: the letter drill L is .290, K is .281 (ASME B94.11M)
    assert told["drill"] in ("L", "K", "9/32") and told["way out"]


@pytest.mark.parametrize("series", SERIES, ids=lambda s: s.name)
def test_every_row_is_whole(series: object) -> None:
    one = series_named(series.name)  # type: ignore[attr-defined]
    assert one is series and one.limits in CLASSES and min(one.weights) > 0 and 0 < one.nut <= 1
    assert one.rarity == "column" or one.rarity in RARITY
    assert one.depth or one.flank in DEPTHS
    assert one.like == "" or series_named(one.like).weights
    if one.table:
        held = table(one.table)
        assert len(held.source) > 20 and (one.column or one.name) in held.rows[0]
    assert any(t.series == one.name for t in all_threads())


def test_what_shifts_a_series_names_one() -> None:
    known = {one.name for one in SERIES}
    for trade in TRADES:
        assert set(shifts(background("", "", trade))) <= known
    for country in ("us", "uk", "japan", "germany", "switzerland"):
        for decade in ("1890s", "1920s", "1955", "1980s"):
            assert set(shifts(background(country, decade, ""))) <= known
