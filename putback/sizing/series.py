"""The series of threads: what is said of each stands here in one row, and every other file asks this table.

A new one is a row here, and a table in data/ with its source in the first line (DEVELOPERS.md, *How to add*).
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

Family = Literal["us", "uk", "metric"]
"""Where a series is at home."""

Lengths = Literal["inch", "BA", "metric"]
"""Which screws' stocked lengths its own have."""

SIXTY = Fraction(60)
WHITWORTH_ANGLE = Fraction(55)
BA_ANGLE = Fraction(95, 2)
LOEWENHERZ_ANGLE = Fraction(5313, 100)

DEPTHS = {SIXTY: 0.64952, WHITWORTH_ANGLE: 0.640327, BA_ANGLE: 0.6, LOEWENHERZ_ANGLE: 0.75}
"""Basic diameter less effective diameter, in pitches, by flank angle: ISO 68-1 and ASME B1.1, BS 84, BS 93, and the
handbooks for Loewenherz."""


class Series(Struct, frozen=True, kw_only=True):
    """One series of threads."""

    name: str
    """What it is called here and in the tables: UNC, BSW, ISO coarse."""
    family: Family
    """Where it is at home; the plates and nuts of a machine follow it."""
    weights: tuple[float, float, float, float]
    """Weight on a us, uk and metric machine, and on one of unknown origin, beside the commonest series at 1."""
    table: str = ""
    """Its file in data/, with a column `size`; a column `major` where the size does not tell the diameter, and a
    column `choice` where sizes are scarcer than others. Empty where the sizes follow from a rule."""
    column: str = ""
    """The column with its pitches; the name of the series where it is not said."""
    flank: Fraction = SIXTY
    """Included angle of the flanks, degrees; a count with a W behind it has Whitworth's."""
    per_inch: bool = True
    """Whether the column counts threads to the inch; else it has pitches in millimetres."""
    limits: str = "unified"
    """The rule for its class limits, of `limits.CLASSES`."""
    rarity: str = "column"
    """How scarce its sizes are: `column`, or one of the rules in `threads.RARITY`."""
    called: str = "{size}-{pitch} {series}"
    """Its name as people write it, of size, pitch (or count) and series."""
    sized: str = "{size}"
    """The diameter as it is named: M{size}."""
    words: tuple[str, ...] = ()
    """Words behind a size that mean this series: 1/4 bsw."""
    marks: tuple[str, ...] = ()
    """Letters before a size that mean it: m5, l 3."""
    alone: bool = False
    """Whether mark and size name the thread without its pitch: m5."""
    plate: str = ""
    """The gauge plate that has holes of it; one by itself where it is not said."""
    on_plate: bool = False
    """Whether a bought plate has holes of it (common practice, no source)."""
    nut: float = 0.5
    """How likely a nut of it, known to be right, is at hand (common practice, no source)."""
    lengths: Lengths = "inch"
    """The list of stocked lengths."""
    depth: float = 0.0
    """Basic diameter less effective diameter, in pitches, where the flank angle does not tell it."""
    today: bool = False
    """Whether any shop sells it today."""
    fitting: bool = False
    """Whether it is of pipes, lamps and fittings and not of screws."""
    like: str = ""
    """The series of the same sizes that no gauge tells from it."""
    tapers: bool = False
    """Whether it is thicker towards the head, 1 in 16."""

    @property
    def behind(self) -> str:
        """The letters behind a size in its name: UNC, NS; empty where there are none."""
        label = self.called.format(size="", pitch="", series=self.name).rpartition(" ")[2]
        return label if self.called.endswith(("{series}", label)) and " " in self.called.strip() else ""

    def depth_at(self, flank: Fraction) -> float:
        """Basic diameter less effective diameter, in pitches, of one of its threads with that flank angle."""
        return self.depth if self.depth and flank == self.flank else DEPTHS[flank]


_US = "us"
_WHITWORTH = "whitworth"
_METRIC = "metric"

SERIES: tuple[Series, ...] = (
    # -- American
    Series(
        name="UNC", family="us", weights=(1.0, 0.065, 0.02, 1.0), table="unified.csv", rarity="american",
        words=("unc", "nc", "un", "coarse"), plate=_US, on_plate=True, nut=0.9, today=True,
    ),
    Series(
        name="UNF", family="us", weights=(1.0, 0.065, 0.02, 1.0), table="unified.csv", rarity="american",
        words=("unf", "nf", "un", "fine", "sae"), plate=_US, on_plate=True, nut=0.85, today=True,
    ),
    Series(
        name="UNEF", family="us", weights=(0.2, 0.01, 0.003, 0.15), table="unified.csv", rarity="american",
        limits="unified special", words=("unef", "nef", "un"), plate=_US, on_plate=True,
    ),
    Series(
        name="NS", family="us", weights=(0.1, 0.005, 0.001, 0.08), table="unified.csv", rarity="american",
        limits="national special", words=("ns", "uns", "asme"), plate=_US,
    ),
    Series(
        name="sixty-fourths", family="us", weights=(0.006, 0.002, 0.0005, 0.01), table="sixty_fourths.csv",
        column="counts", rarity="american", limits="national special", called="{size}-{pitch} NS",
        words=("ns", "uns", "asme", "sm"), plate=_US,
    ),
    Series(
        name="UN", family="us", weights=(0.004, 0.0003, 0.0002, 0.003), table="unified.csv", rarity="american",
        limits="unified special", words=("un",), plate=_US,
    ),
    Series(
        name="UNM", family="us", weights=(0.01, 0.0005, 0.001, 0.008), table="metric.csv", per_inch=False,
        limits="metric", called="{size} UNM", words=("unm",), alone=True, lengths="metric",
    ),
    # -- British
    Series(
        name="BSW", family="uk", weights=(0.065, 1.0, 0.02, 1.0), table="british.csv", rarity="british",
        flank=WHITWORTH_ANGLE, limits="whitworth", called="{size} {series}", words=("bsw", "w", "whit", "whitworth"),
        plate=_WHITWORTH, on_plate=True, nut=0.8,
    ),
    Series(
        name="BSF", family="uk", weights=(0.03, 0.92, 0.01, 1.05), table="british.csv", rarity="british",
        flank=WHITWORTH_ANGLE, limits="whitworth", called="{size} {series}", words=("bsf",), plate=_WHITWORTH,
        on_plate=True, nut=0.7,
    ),
    Series(
        name="CEI", family="uk", weights=(0.008, 0.35, 0.006, 0.35), table="british.csv", rarity="british",
        limits="whitworth", words=("cei", "bsc", "cycle"), plate=_WHITWORTH, depth=0.5327,
    ),
    Series(
        name="ME", family="uk", weights=(0.003, 0.06, 0.002, 0.04), table="british.csv", rarity="british",
        flank=WHITWORTH_ANGLE, limits="whitworth", words=("me",), plate=_WHITWORTH,
    ),
    Series(
        name="BSB", family="uk", weights=(0.003, 0.08, 0.002, 0.08), table="british.csv", rarity="british",
        flank=WHITWORTH_ANGLE, limits="whitworth", words=("bsb", "brass"), plate=_WHITWORTH,
    ),
    Series(
        name="BA", family="uk", weights=(0.012, 1.0, 0.02, 0.85), flank=BA_ANGLE, per_inch=False, limits="BA",
        rarity="numbers", called="{size}BA", sized="{size}BA", words=("ba",), marks=("ba",), alone=True, on_plate=True,
        nut=0.85, lengths="BA",
    ),
    # -- metric
    Series(
        name="Thury", family="metric", weights=(0.0004, 0.003, 0.008, 0.006), flank=BA_ANGLE, per_inch=False,
        limits="as made", rarity="numbers", called="Thury {size}", sized="Thury {size}", marks=("t", "thury ", "th "),
        alone=True, lengths="BA", like="BA",
    ),
    Series(
        name="ISO coarse", family="metric", weights=(0.09, 0.08, 1.0, 1.0), table="metric.csv", column="coarse",
        per_inch=False, limits="metric", called="M{size}x{pitch}", sized="M{size}", words=("coarse",), marks=("m",),
        alone=True, plate=_METRIC, on_plate=True, nut=0.95, lengths="metric", today=True,
    ),
    Series(
        name="ISO fine", family="metric", weights=(0.012, 0.02, 0.5, 0.5), table="metric.csv", column="fine",
        per_inch=False, limits="metric", called="M{size}x{pitch}", sized="M{size}", words=("fine",), marks=("m",),
        plate=_METRIC, lengths="metric", today=True,
    ),
    Series(
        name="metric special", family="metric", weights=(0.0005, 0.0005, 0.01, 0.006), table="metric.csv",
        column="special", per_inch=False, limits="metric", called="M{size}x{pitch}", sized="M{size}", marks=("m",),
        plate=_METRIC, lengths="metric",
    ),
    Series(
        name="old metric", family="metric", weights=(0.003, 0.003, 0.08, 0.04), table="metric.csv", column="old",
        per_inch=False, limits="metric", called="M{size}x{pitch}", sized="M{size}", marks=("m",), plate=_METRIC,
        lengths="metric",
    ),
    Series(
        name="Loewenherz", family="metric", weights=(0.001, 0.001, 0.006, 0.03), table="metric.csv",
        flank=LOEWENHERZ_ANGLE, per_inch=False, limits="as made", called="Loewenherz {size}x{pitch}",
        sized="Loewenherz {size}", marks=("l", "loewenherz ", "löwenherz "), alone=True, lengths="metric",
    ),
    Series(
        name="ISO small", family="metric", weights=(0.002, 0.002, 0.05, 0.03), table="metric.csv", column="small",
        per_inch=False, limits="metric", called="S{size}x{pitch}", sized="S{size}", marks=("s",), alone=True,
        lengths="metric",
    ),
    # -- pipes, lamps, instruments
    Series(
        name="BSP", family="uk", weights=(0.004, 0.05, 0.03, 0.05), table="pipe.csv", column="tpi",
        flank=WHITWORTH_ANGLE, limits="column", called="G {size}", sized="G {size}", words=("bsp", "bspp"),
        marks=("g ", "g"), alone=True, fitting=True, today=True,
    ),
    Series(
        name="R", family="uk", weights=(0.003, 0.07, 0.05, 0.07), table="taper_r.csv", flank=WHITWORTH_ANGLE,
        limits="taper", called="R {size}", sized="R {size}", words=("bspt", "taper"), marks=("r ", "r"), alone=True,
        tapers=True, fitting=True, today=True,
    ),
    Series(
        name="NPT", family="us", weights=(0.02, 0.003, 0.003, 0.02), table="npt.csv", limits="taper",
        words=("npt",), tapers=True, fitting=True, today=True,
    ),
    Series(
        name="NPS", family="us", weights=(0.01, 0.001, 0.001, 0.008), table="fittings.csv", limits="column",
        words=("nps", "ips", "ip", "lamp"), fitting=True, today=True,
    ),
    Series(
        name="conduit", family="uk", weights=(0.001, 0.01, 0.001, 0.008), table="fittings.csv",
        flank=WHITWORTH_ANGLE, limits="column", words=("conduit",), fitting=True,
    ),
    Series(
        name="RMS", family="uk", weights=(0.002, 0.008, 0.004, 0.006), table="fittings.csv", flank=WHITWORTH_ANGLE,
        limits="column", words=("rms",), fitting=True,
    ),
)  # fmt: skip
"""Every series. Weights are bench habit (common practice, no source), set so that the worked examples in
tests/reference come out as a person at the bench would have them; they are tempered in `priors`."""


@cache
def series_named(name: str) -> Series:
    """The series of that name. Raises KeyError for a name that is in no row."""
    return {one.name: one for one in SERIES}[name]
