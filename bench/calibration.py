"""Are the probabilities probabilities? Threads are drawn, measured with simulated instruments, and named.

Two worlds: the model's own (its bands, wear, caliper, leaf, plate and prior), and a wider one that the model does
not know: half the screws of another class, a third worn and up to half as deep again, a caliper twice as
coarse, leaves and plates misread oftener, and rare threads far commoner than the prior has them.

A third table plays whole machines, whose earlier fasteners are the prior of the later ones. The fourth is a
hold-out, of which the model knows nothing: crests between published limits, another caliper, a real set of leaves.
The fifth tries screws in the holes of the plates that happen to be there, each screw and hole with play of its own, and
reads pitches off the leaves of one set, often of the wrong unit.

    python bench/calibration.py            the tables of docs/sizing.md
    python bench/calibration.py 5000       with so many threads a world (20,000 otherwise)
"""

from __future__ import annotations

import csv
import random
import sys
from math import exp, log, sqrt
from pathlib import Path

from msgspec import Struct

from putback.sizing.evidence import NONE, TEN, TEN_SLOPPY, WORN, Shape, near_diameter, near_names, shape_of, shapes
from putback.sizing.gauge import Origin
from putback.sizing.instruments import CREST, LEAVES, PITCH, PLATE_RIGHT, PLATES, Tool, best_of
from putback.sizing.naming import Evidence, explains, name_thread
from putback.sizing.plates import ALL, HOME, ON_PLATES
from putback.sizing.priors import Prior, base_weights, weigh
from putback.sizing.verdict import Verdict


class World(Struct, frozen=True):
    """What the simulated threads and instruments are like."""

    name: str
    caliper: float = 0.0
    """Scale of a logistic caliper, mm; 0 for the model's own law."""
    worn: float = WORN
    deepest: float = 1.0
    other_class: float = 0.0
    leaf: tuple[float, float] = (0.0, 0.0)
    """Flat and slope of a leaf without slips; 0 for the model's own law."""
    plate: float = PLATE_RIGHT["plate"]
    flatten: float = 1.0
    none: float = NONE


MODEL = World("the model's own world")
WIDER = World(  # numbers of its own, which do not move with the model's
    "a wider world",
    caliper=0.014,
    worn=0.33,
    deepest=1.5,
    other_class=0.5,
    leaf=(0.018, 0.0135),
    plate=0.92,
    flatten=0.875,
    none=0.04,
)

ORIGINS: tuple[Origin, ...] = ("us", "uk", "metric", "unknown")

UNKNOWN = "none of these"

WAYS = ("crest and leaf", "crest and ten pitches", "plate", "plate and crest", "crest alone", "leaf alone")

BINS = (0.99, 0.95, 0.9, 0.8, 0.6, 0.4, 0.2, 0.0)


def crest_of(shape: Shape, world: World, rng: random.Random) -> float:
    """A true crest diameter: anywhere in its class, or worn below it."""
    if rng.random() < world.other_class:  # class 1A, 3A, 8g, 6h and home-made between them
        low, high = shape.low - (shape.top - shape.low) * 0.5, shape.major
    else:
        weights = [(b[1] - b[0]) * b[2] for b in shape.bands]
        low, high, _ = rng.choices(shape.bands, weights)[0]
    if rng.random() < world.worn:
        return shape.low - shape.wear * world.deepest * (1 - sqrt(rng.random()))
    return rng.uniform(low, high)


def caliper_of(world: World, rng: random.Random) -> float:
    """One error of the caliper, mm: Student's law of two degrees of freedom, or a logistic one."""
    u = rng.uniform(1e-6, 1 - 1e-6)
    if world.caliper:
        return world.caliper * log(u / (1 - u))
    return CREST["caliper"].least * (2 * u - 1) / sqrt(2 * u * (1 - u))


def leaf_of(pitch: float, world: World, rng: random.Random) -> float:
    """The pitch on the leaf that was found to fit."""
    law = PITCH["leaf"]
    flat, slope = world.leaf if world.leaf[0] else (law.flat, law.slope)
    slips = 0.0 if world.leaf[0] else 2 * law.slips * law.reach * 1.2533 / law.norm
    tail = slope * 1.2533
    if rng.random() < slips:
        off = abs(rng.gauss(0, law.reach))
    elif rng.random() < flat / (flat + tail):
        off = rng.uniform(0, flat)
    else:
        off = flat + abs(rng.gauss(0, slope))
    return pitch * exp(off if rng.random() < 0.5 else -off)


def measured(shape: Shape, way: str, world: World, rng: random.Random) -> Evidence:
    """The readings of one thread."""
    crest = crest_of(shape, world, rng) + caliper_of(world, rng) if "crest" in way else None
    names: tuple[str, ...] = ()
    if "plate" in way:
        names = (shape.thread.name,)
        if rng.random() > world.plate:
            others = [s.thread.name for s in near_names(names) if s.group != shape.group and s.plate == shape.plate]
            names = (rng.choice(others or list(names)),)
    pitch = leaf_of(shape.pitch, world, rng) if "leaf" in way or "ten" in way else None
    if "ten" in way and rng.random() >= TEN_SLOPPY:
        pitch = rng.gauss(shape.pitch, TEN)
    return Evidence(names=names, crest=crest, pitch=pitch, pitch_by="ten" if "ten" in way else "leaf")


def unknown(way: str, rng: random.Random) -> Evidence:
    """The readings of a thread that is in no table."""
    crest = exp(rng.uniform(log(0.5), log(25.4)))
    pitch = min(exp(rng.uniform(log(25.4 / 80), log(25.4 / 8))), crest / 2.5)
    name = rng.choice(shapes()).thread.name
    return Evidence(
        names=(name,) if "plate" in way else (),
        crest=crest if "crest" in way else None,
        pitch=pitch if "leaf" in way or "ten" in way else None,
        pitch_by="ten" if "ten" in way else "leaf",
    )


class Told(Struct):
    """One answer beside the truth."""

    way: str
    verdict: Verdict
    truth: str
    decidable: bool
    nearest: str = ""

    def nearest_right(self) -> bool:
        """True when the nearest in the tables is the truth."""
        if UNKNOWN in (self.truth, self.nearest) or not self.nearest:
            return False
        return shape_of(self.nearest).group == shape_of(self.truth).group

    def names(self) -> list[tuple[str, ...]]:
        """The candidates with their like."""
        return [(c.name, *c.also) for c in self.verdict.candidates]

    def right(self) -> bool:
        """True when the first candidate is the truth."""
        return bool(self.names()) and self.truth in self.names()[0]

    def held(self) -> bool:
        """True when the verdict, taken as it is worded, holds."""
        if self.verdict.word == "none":
            return not any(self.truth in n for n in self.names() if n)
        if self.verdict.word == "either":
            return any(self.truth in n for n in self.names())
        return self.right()


def nearest(seen: Evidence) -> str:
    """What a table and a pencil would say: the hole's name, else the thread of the nearest diameter and pitch."""
    if seen.names:
        return seen.names[0]

    def off(shape: Shape) -> float:
        crest = 0.0 if seen.crest is None else abs(log(seen.crest / shape.major)) / 0.02
        return crest + (0.0 if seen.pitch is None else abs(log(seen.pitch) - shape.log_pitch) / 0.01)

    field = near_diameter(seen.crest) if seen.crest is not None else shapes()
    return min(field, key=off).thread.name if field else ""


def is_decidable(seen: Evidence, truth: str) -> bool:
    """True when crest and pitch were read and one thread alone has both within its limits, that being the truth."""
    if seen.crest is None or seen.pitch is None:
        return False
    fitting = {s.group: s for s in near_diameter(seen.crest) if explains(s, seen, worn=False)}
    return len(fitting) == 1 and next(iter(fitting)) == (shape_of(truth).group if truth != UNKNOWN else -1)


def play(world: World, count: int, seed: int = 7) -> list[Told]:
    """So many threads drawn, measured and named."""
    rng = random.Random(seed)
    everything = shapes()
    drawn = {o: [base_weights(o)[s.thread.name] ** world.flatten for s in everything] for o in ORIGINS}
    found = []
    for _ in range(count):
        origin = rng.choice(ORIGINS)
        way = rng.choice(WAYS)
        if rng.random() < world.none:
            seen, truth = unknown(way, rng), UNKNOWN
        else:
            shape = rng.choices(everything, drawn[origin])[0]
            seen, truth = measured(shape, way, world, rng), shape.thread.name
        verdict = name_thread(seen, weigh(origin, Prior.empty()), "in")
        assert verdict is not None
        found.append(Told(way, verdict, truth, is_decidable(seen, truth), nearest(seen)))
    return found


def play_machines(world: World, count: int, seed: int = 7) -> list[Told]:
    """Whole machines: five sizes each, one of them used most, a stranger in twenty, the prior learned on the way."""
    rng = random.Random(seed)
    everything = shapes()
    found: list[Told] = []
    while len(found) < count:
        origin = rng.choice(ORIGINS)
        home = rng.choice(ORIGINS[:3]) if origin == "unknown" else origin
        weights = [base_weights(home)[s.thread.name] for s in everything]
        own = rng.choices(everything, weights, k=5)
        prior = Prior.empty()
        for _ in range(30):
            shape = rng.choice(everything) if rng.random() < 0.05 else rng.choices(own, (10, 6, 4, 2, 1))[0]
            way = rng.choice(WAYS)
            seen = measured(shape, way, world, rng)
            verdict = name_thread(seen, weigh(origin, prior), "in")
            assert verdict is not None
            found.append(Told(way, verdict, shape.thread.name, is_decidable(seen, shape.thread.name), nearest(seen)))
            if verdict.word in ("sure", "likely"):
                prior = prior.with_seen(verdict.candidates[0].name)
    return found


def play_published(count: int, seed: int = 23) -> list[Told]:
    """A hold-out: nothing in it comes from the model.

    Threads are the rows of tests/reference/limits.csv, each as likely as the next; a crest is anywhere between the
    limits printed there; the caliper errs by a bell curve of 0.0005 in; the pitch is that of the leaf which fits
    best, seen with an error of 0.6 %, from a real set of leaves.
    """
    rng = random.Random(seed)
    with (Path(__file__).parents[1] / "tests" / "reference" / "limits.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    leaves = sorted(pitch for held in LEAVES.values() for pitch in held)
    found = []
    for _ in range(count):
        row = rng.choice(rows)
        shape = shape_of(row["name"])
        unit = 25.4 if row["unit"] == "in" else 1.0
        crest = rng.uniform(float(row["min"]), float(row["max"])) * unit + rng.gauss(0, 0.0127)
        seen_as = shape.pitch * exp(rng.gauss(0, 0.006))
        leaf = min(leaves, key=lambda pitch: abs(log(pitch / seen_as)))
        way = rng.choice(("crest and leaf", "crest and leaf", "crest alone"))
        seen = Evidence(crest=crest, pitch=leaf if "leaf" in way else None)
        origin: Origin = "unknown" if rng.random() < 0.25 else shape.thread.family
        verdict = name_thread(seen, weigh(origin, Prior.empty()), "in")
        assert verdict is not None
        found.append(Told(way, verdict, row["name"], is_decidable(seen, row["name"]), nearest(seen)))
    return found


DEPTH = {"CEI": 0.5327, "Loewenherz": 0.75, "Thury": 0.6, "BA": 0.6, 60.0: 0.6495, 55.0: 0.6403}
"""Basic diameter less effective diameter, in pitches: ISO 68-1, ASME B1.1, BS 84, BS 93, BS 811."""


def effective(shape: Shape) -> float:
    """The basic effective diameter, mm."""
    return shape.major - float(DEPTH.get(shape.thread.series, DEPTH.get(shape.flank, 0.6))) * shape.pitch


def tried_in(shape: Shape, plates: frozenset[str], first: frozenset[str], rng: random.Random) -> str:
    """The hole it is told as, or nothing where it goes into none; one in fifty is read off the label beside it.

    The plates of the machine's home are tried first. A hole takes it where there is room over three to six turns, and
    is left again where it rocks; of several the one that is snuggest is told.
    """
    play = rng.uniform(0.0, 0.05 + 0.08 * shape.pitch)
    turns = rng.choice((3, 4, 4, 5, 6))
    near = [s for s in near_names((shape.thread.name,)) if s.thread.series in ON_PLATES and s.plate in plates]
    for early in (True, False):
        found = []
        for hole in near:
            if (hole.plate in first) != early:
                continue
            bare = effective(hole) - effective(shape) + play + rng.uniform(0.0, 0.03 + 0.04 * hole.pitch)
            angle = 0.01 * hole.pitch * abs(hole.flank - shape.flank)
            room = bare - abs(hole.pitch - shape.pitch) * turns * 1.8 - angle
            if room > -0.01 and bare < 0.11 + 0.14 * hole.pitch:
                found.append((bare + rng.gauss(0, 0.02), hole))
        if found:
            result = min(found, key=lambda f: f[0])[1]
            beside = [s for s in near if s.plate == result.plate and s.group != result.group]
            return (rng.choice(beside) if beside and rng.random() < 0.02 else result).thread.name
    return ""


FITS = ("plate tried", "plate tried, and crest", "crest and leaf of one set")


def play_fits(count: int, seed: int = 41) -> list[Told]:
    """Plates by fit and leaves of one set, on benches that have all plates, two of the four, or one.

    Threads are drawn by the weights of the origin, flattened as in the wider world.
    """
    rng = random.Random(seed)
    everything = shapes()
    drawn = {o: [base_weights(o)[s.thread.name] ** 0.875 for s in everything] for o in ORIGINS}
    found: list[Told] = []
    sets: tuple[Tool, ...] = tuple(LEAVES)
    while len(found) < count:
        origin = rng.choice(ORIGINS)
        way = rng.choice(FITS)
        shape = rng.choices(everything, drawn[origin])[0]
        plates = rng.choice((ALL, frozenset(rng.sample(sorted(PLATES.values()), rng.choice((1, 2))))))
        name = tried_in(shape, plates, HOME[origin], rng) if "plate" in way else ""
        if "plate" in way and not name:
            continue
        crest = crest_of(shape, WIDER, rng) + caliper_of(WIDER, rng) if "crest" in way else None
        leaf: float | None = None
        share = 0.0
        if "leaf" in way:
            own = rng.choice(sets)
            seen_as = shape.pitch * exp(rng.gauss(0, 0.008))
            leaf = min(LEAVES[own], key=lambda pitch: abs(log(pitch / seen_as)))
            if abs(log(leaf / seen_as)) > 0.08:
                continue
            result: tuple[Tool, ...] = rng.choice(((own,), ("pitch gauge",)))
            home = {"us": "in", "uk": "in", "metric": "mm", "unknown": None}[origin]
            share = best_of(leaf, home, result)  # type: ignore[arg-type]
        seen = Evidence(
            names=(name,) if name else (), crest=crest, pitch=leaf, best_of=share, plates=plates, first=HOME[origin]
        )
        verdict = name_thread(seen, weigh(origin, Prior.empty()), "in")
        assert verdict is not None
        found.append(Told(way, verdict, shape.thread.name, is_decidable(seen, shape.thread.name), nearest(seen)))
    return found


def reliability(message: list[Told]) -> list[tuple[str, int, float, float]]:
    """By stated probability of the first candidate: range, count, mean stated, share right."""
    rows = []
    top = 1.01
    for least in BINS:
        here = [t for t in message if t.verdict.candidates and least <= t.verdict.candidates[0].probability < top]
        if here:
            stated = sum(t.verdict.candidates[0].probability for t in here) / len(here)
            rows.append(
                (f"{least:.0%} to {min(top, 1):.0%}", len(here), stated, sum(t.right() for t in here) / len(here))
            )
        top = least
    return rows


def verdicts(message: list[Told]) -> list[tuple[str, int, float]]:
    """By word: count and the share that held as worded."""
    rows = []
    for word in ("sure", "likely", "either", "none"):
        here = [t for t in message if t.verdict.word == word]
        if here:
            rows.append((word, len(here), sum(t.held() for t in here) / len(here)))
    return rows


def stated_at_least(message: list[Told], least: float) -> float:
    """Share right of all answers stated at `least` or more."""
    here = [t for t in message if t.verdict.candidates and t.verdict.candidates[0].probability >= least]
    return sum(t.right() for t in here) / max(len(here), 1)


def main() -> None:
    """Print the tables."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    show(MODEL.name, play(MODEL, count))
    show(WIDER.name, play(WIDER, count))
    show("whole machines, what they showed before being the prior", play_machines(MODEL, count))
    show("plates tried by fit, leaves of one set", play_fits(count))
    show("hold-out: crests between published limits, a bell-curve caliper, real leaves", play_published(count))


def show(name: str, message: list[Told]) -> None:
    """Print the tables of one world."""
    print(f"### {name} ({len(message):,} threads)\n")
    print("| stated | answers | mean stated | right | right of all stated so or higher |\n|---|---|---|---|---|")
    for (span, n, stated, right), least in zip(reliability(message), BINS, strict=True):
        print(f"| {span} | {n} | {stated:.1%} | {right:.1%} | {stated_at_least(message, least):.1%} |")
    print(f"\nOf the answers stated at 95 % or more, {stated_at_least(message, 0.95):.1%} are right.\n")
    plain = [t for t in message if t.decidable]
    share = sum(t.right() for t in plain) / len(plain)
    print(f"Where crest and pitch fit one thread only ({len(plain)} answers), {share:.1%} are right.\n")
    print("| verdict | answers | held as worded |\n|---|---|---|")
    for word, n, held in verdicts(message):
        print(f"| {word} | {n} | {held:.1%} |")
    print("\n| read | first is right | nearest in the tables is right | sure | sure and right |\n|---|---|---|---|---|")
    for way in (*WAYS, *FITS):
        here = [t for t in message if t.way == way]
        if not here:
            continue
        sure = [t for t in here if t.verdict.word == "sure"]
        sure_right = f"{sum(t.right() for t in sure) / len(sure):.1%}" if sure else "-"
        print(
            f"| {way} | {sum(t.right() for t in here) / len(here):.1%} |"
            f" {sum(t.nearest_right() for t in here) / len(here):.1%} | {len(sure) / len(here):.1%} | {sure_right} |"
        )
    print()


if __name__ == "__main__":
    main()
