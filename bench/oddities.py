"""How often the odd one is caught, and how often nothing odd is asked about, on the three sample machines.

    python bench/oddities.py

Each machine is played fastener by fastener as recorded (unplanted), and again with one screw of a pattern
replaced: by one a stocked length longer or shorter, by one of another pitch of its size, by a thread of the
other system, or swapped with its near-equal at the mirror side.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from putback.sizing import Answer, Prior, Readings, snap
from putback.sizing.alike import sized
from putback.sizing.odd import Placed, odd_one

SAMPLES = Path(__file__).parents[1] / "sample_sessions"

MACHINES = ("ticket_dating_press", "drum_recorder", "skein_winder")

FIELDS = ("gauge", "od", "pitch", "tpi", "length", "head", "drive", "thick", "wire", "width", "shoulder", "hand")

REALLY_ODD = {
    ("ticket_dating_press", "left panel", "3"),  # the long one; reaches the tray bracket
    ("ticket_dating_press", "back plate", "7"),  # the metric stranger
    ("ticket_dating_press", "number head", "9"),  # longer: goes through the lug
    ("drum_recorder", "pen gear bracket", "6"),  # longer: clamps the earth tag too
    ("skein_winder", "gearbox cover", "9"),  # longer: through the bell lug
}
"""What the stories of the machines call odd themselves."""


class Found:
    """One fastener as recorded, where it sat."""

    def __init__(self, part: str, face: str, hole: str, readings: Readings) -> None:
        """Nothing is named yet."""
        self.part, self.face, self.hole, self.readings = part, face, hole, readings


def fasteners(machine: str) -> Iterator[Found]:
    """The fasteners of one sample, in the order they came out."""
    data: dict[str, Any] = tomllib.loads((SAMPLES / f"{machine}.toml").read_text("utf-8"))
    about = data["machine"]
    for session in data["session"]:
        for step in session.get("step", []):
            last: Readings | None = None
            for text in step.get("fasteners", []):
                if text.get("found") == "empty":
                    continue
                if not text.get("same") or last is None:
                    given = {name: str(text[name]) for name in FIELDS if name in text}
                    kind = text.get("kind", "screw")
                    last = replace(Readings(kind=kind, origin=about["origin"], unit=about["unit"]), **given)
                yield Found(step["part"], step["face"], text["hole"], last)


def play(found: list[Found]) -> list[str | None]:
    """What is asked at each fastener."""
    patterns: dict[tuple[str, str], list[Placed]] = {}
    record: Counter[str] = Counter()
    prior = Prior.empty()
    asked: list[str | None] = []
    for one in found:
        answer: Answer = snap(one.readings, prior)
        placed = Placed(one.hole, sized(0, one.readings, answer))
        pattern = patterns.setdefault((one.part, one.face), [])
        asked.append(odd_one(placed, pattern, record, one.readings.origin))
        pattern.append(placed)
        if placed.what.thread:
            record[placed.what.thread] += 1
            prior = prior.with_seen(placed.what.thread)
    return asked


def changed(readings: Readings, **new: str | None) -> Readings:
    """The same readings with some replaced."""
    fields = {name: getattr(readings, name) for name in readings.__struct_fields__}
    return Readings(**{**fields, **new})


STEPS = {"in": ("+.125", "-.125"), "mm": ("+4", "-4")}


def plantings(found: list[Found]) -> Iterator[tuple[str, int, Readings]]:
    """Every single planting worth trying: what, at which fastener, and its new readings."""
    places: Counter[tuple[str, str, str, str]] = Counter()
    for at, one in enumerate(found):
        r = one.readings
        if r.kind not in ("screw", "bolt") or r.length is None:
            continue
        size = (one.part, one.face, r.gauge or r.od or "", r.length)
        before, places[size] = places[size], places[size] + 1
        if before < 2:
            continue
        length = snap(r).read.length
        if length is None:
            continue
        metric = r.unit == "mm"
        off = 4 if metric else 0.125
        if float(length.value) > 2 * off:
            yield "a stocked length off", at, changed(r, length=f"{float(length.value) + off:.3f}")
            yield "a stocked length off", at, changed(r, length=f"{float(length.value) - off:.3f}")
        if r.origin == "us":
            yield "other system", at, changed(r, gauge="m4", od=None, tpi=None, length="12mm")
            named = snap(r).size
            other = {"#6-32": "640", "#8-32": "836", "#10-32": "1024", "#10-24": "1032", "1/4-20": "1/4 28"}
            gauge = next((new for old, new in other.items() if named.startswith(old)), None)
            if gauge is not None:
                yield "other pitch", at, changed(r, gauge=gauge, od=None, tpi=None)
        else:
            yield "other system", at, changed(r, gauge="832", od=None, tpi=None, pitch=None, length="3/8in")


def swaps() -> tuple[int, int]:
    """Two near-equal screws swapped in a symmetric pattern of two lengths: tried and asked."""
    long = Readings(gauge="832", length=".498", origin="us")
    short = Readings(gauge="832", length=".435", origin="us")
    right = {"7": long, "9": long, "4": short, "6": short, "1": long, "3": long}
    tried = caught = 0
    for a in ("7", "9", "1", "3"):
        for b in ("4", "6"):
            holes = {**right, a: right[b], b: right[a]}
            asked = play([Found("panel", "front", hole, readings) for hole, readings in holes.items()])
            tried += 1
            caught += any(asked)
    return tried, caught


def main() -> None:
    """Print the table."""
    total = false = odd = missed = 0
    print("| machine | fasteners | really odd | asked | nothing odd, asked all the same |\n|---|---|---|---|---|")
    for machine in MACHINES:
        found = list(fasteners(machine))
        asked = play(found)
        real = [(machine, f.part, f.hole) in REALLY_ODD and f.readings.length is not None for f in found]
        hits = sum(1 for a, r in zip(asked, real, strict=True) if a and r)
        idle = [(f, a) for f, a, r in zip(found, asked, real, strict=True) if a and not r]
        print(f"| {machine} | {len(found)} | {sum(real)} | {hits} | {len(idle)} |")
        total, false, odd, missed = total + len(found), false + len(idle), odd + sum(real), missed + sum(real) - hits
        for f, a in idle:
            print(f"<!-- {f.part}, hole {f.hole}: {a} -->")
    print(f"\nUnplanted: {false} idle questions in {total} fasteners ({false / total:.1%});")
    print(f"{odd - missed} of {odd} really odd ones caught.\n")
    print("| planted | tried | asked |\n|---|---|---|")
    tried: Counter[str] = Counter()
    caught: Counter[str] = Counter()
    for machine in MACHINES:
        found = list(fasteners(machine))
        for what, at, readings in plantings(found):
            one = found[at]
            asked = play([*found[:at], Found(one.part, one.face, one.hole, readings)])
            tried[what] += 1
            caught[what] += asked[at] is not None
    for what in tried:
        print(f"| {what} | {tried[what]} | {caught[what]} ({caught[what] / tried[what]:.0%}) |")
    n, hit = swaps()
    print(f"| swapped with its near-equal | {n} | {hit} ({hit / n:.0%}) |")


if __name__ == "__main__":
    main()
