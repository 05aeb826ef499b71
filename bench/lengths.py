"""How well lengths are named by a machine's own groups, on invented machines, beside naming each by itself.

`python bench/lengths.py` draws machines of which a part of the lengths are the maker's own, measures their screws,
and names them one after another. The world is not the model's: batches of another spread each, readings with heavy
tails, burrs, screws as short as the standard allows, and one panel in three with a strange screw planted. The last
lines time one naming on a machine of 30 screws and on one of 3,000, in one run.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from random import Random
from statistics import median
from time import perf_counter

from putback.sizing import Prior, Readings, snap
from putback.sizing.house_lengths import House, Place
from putback.sizing.length_names import called, stray_question
from putback.sizing.length_odds import INCH, SeenLength
from putback.sizing.lengths import inch_tolerance, stocked
from putback.sizing.units import MM_PER_INCH

PLACE = Place("#8-32 UNC", "inch screw", "under the head")
COMMON = [item for item in stocked("inch screw") if item.weight == 1.0 and 4 < item.nominal < 26]
STRANGERS = 0.3


def lengths_on(random: Random, house: float) -> list[tuple[str, float]]:
    """The lengths that one machine has, each with its true name and the middle of its batch in inches."""
    found: list[tuple[str, float]] = []
    while len(found) < 5:
        if random.random() < house:
            middle = random.uniform(0.2, 0.95)
            name = "house"
        else:
            item = random.choice(COMMON)
            nominal = float(item.nominal) / INCH
            middle = nominal - min(0.8, random.expovariate(3)) * float(inch_tolerance(item.nominal / MM_PER_INCH))
            name = item.name
        if all(abs(middle - other) > 0.03 for _, other in found):
            found.append((name, middle))
    return found


def reading(random: Random, middle: float, spread: float) -> float:
    """One caliper reading in inches, to the thousandth."""
    error = random.gauss(0, 0.002) if random.random() < 0.9 else random.gauss(0, 0.005)
    burr = random.uniform(0.002, 0.008) if random.random() < 0.03 else 0.0
    return round(random.gauss(middle, spread) + error + burr, 3)


def nearest(length: float) -> str:
    """The stocked length nearest to a reading."""
    return min(COMMON, key=lambda item: abs(float(item.nominal) / INCH - length)).name


BANDS = (0.99, 0.95, 0.8, 0.6, 0.0)
"""Lower edges of what an answer states of its likeliest name."""


def world(house: float, machines: int, seed: int) -> dict[float, list[float]]:
    """Print what one world came to; return by band how many answers there were, what they stated and were right."""
    stated: dict[float, list[float]] = {edge: [0, 0.0, 0, 0] for edge in BANDS}
    random = Random(seed)
    bands: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    screws = alike = idle = strangers = asked = table = 0
    for _ in range(machines):
        here, kept = House(), []
        batches = [(name, middle, random.uniform(0.001, 0.003)) for name, middle in lengths_on(random, house)]
        key = 0
        for panel in range(1, 7):
            usual = random.choice(batches)
            stranger = random.randrange(3, 6) if random.random() < STRANGERS else -1
            before: list[int] = []
            for at in range(6):
                odd = at == stranger
                batch = random.choice([b for b in batches if b is not usual]) if odd else usual
                key += 1
                x = reading(random, batch[1], batch[2])
                here = here.with_seen(PLACE, SeenLength(key, x * INCH, where=panel))
                question = bool(stray_question(here, PLACE, key, before))
                apart = abs(batch[1] - usual[1]) > 0.016  # nearer ones serve for one another
                strangers += odd and apart
                asked += question and odd and apart
                idle += question and not odd
                kept.append((key, batch, x))
                before.append(key)
        shelf = here.shelf(PLACE)
        for number, batch, x in kept:
            group = shelf.of(number)
            assert group is not None
            found = called(shelf, group, here.share)
            screws += 1
            twins = [k for k, other, _ in kept if other is batch]
            alike += all(one.key in twins for one in group.seen)
            table += nearest(x) == batch[0]
            band = bands[found.word if found.word != "none" else "odd"]
            band[0] += 1
            band[1] += batch[0] == (found.name if not found.house else "house")
            likeliest = "house" if found.house else found.name or found.could_be[0]
            row = stated[next(edge for edge in BANDS if found.chance >= edge)]
            right = (batch[0] == likeliest, batch[0] == nearest(x))
            for place, value in enumerate((1, found.chance, *right)):
                row[place] += value
    caught = asked / max(1, strangers)
    print(f"| {house:.0%} | {screws} | {alike / screws:.3f} | {idle / screws:.3f} | {caught:.2f} | ", end="")
    text = (f"{bands[w][1] / bands[w][0]:.1%} of {bands[w][0]}" if bands[w][0] else "-" for w in ("sure", "likely"))
    print(" | ".join(text), f"| {table / screws:.1%} |")
    return stated


def reliability(worlds: dict[float, dict[float, list[float]]]) -> None:
    """Print by band what answers stated, how many of them were right, and of the same readings by the nearest."""
    print("\n| house lengths | stated | answers | mean stated | right | nearest in table right |")
    print("|---|---|---|---|---|---|")
    for house, stated in worlds.items():
        for edge, top in zip(BANDS, (1.0, *BANDS), strict=False):
            count, chance, right, table = stated[edge]
            if count:
                shares = " | ".join(f"{value / count:.1%}" for value in (chance, right, table))
                print(f"| {house:.0%} | {edge:.0%} to {top:.0%} | {count:.0f} | {shares} |")


def naming(screws: int, seed: int) -> House:
    """A machine with so many screws of six threads."""
    random, house = Random(seed), House()
    threads = ("#8-32 UNC", "#6-32 UNC", "#10-32 UNF", "#4-40 UNC", "1/4-20 UNC", "1/4-28 UNF")
    for key in range(1, screws + 1):
        middle = random.choice((0.2475, 0.31, 0.3725, 0.41, 0.4975, 0.535, 0.622, 0.745))
        place = PLACE._replace(thread=random.choice(threads))
        house = house.with_seen(place, SeenLength(key, reading(random, middle, 0.002) * INCH, where=key // 6))
    return house


def timed(house: House) -> float:
    """Median milliseconds of one naming with a length never seen before."""
    prior, took = Prior.empty().with_seen("#8-32 UNC", 9), []
    for n in range(200, 700, 5):
        readings = Readings(gauge="832", length=f".{n}", origin="us")
        snap(readings, prior)  # what no machine changes is at hand
        begun = perf_counter()
        snap(readings, prior, house=house, where=1)
        took.append((perf_counter() - begun) * 1000)
    return median(took)


def main() -> None:
    """Print the tables."""
    machines = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print("| house lengths | screws | told alike | idle questions a screw | strangers asked about | ", end="")
    print("sure and right | likely and right | nearest in table right |\n|---|---|---|---|---|---|---|---|")
    reliability({house: world(house, machines, 7) for house in (0.0, 0.25, 0.5, 0.8)})
    small, large = naming(30, 1), naming(3000, 1)
    few, many = timed(small), timed(large)
    print(f"\none naming: {few:.2f} ms on 30 screws, {many:.2f} ms on 3,000: {many / few:.2f} times")


if __name__ == "__main__":
    main()
