"""How a reading was taken, and how far it may be off: gauge plate, leaves, caliper, ten pitches, steel rule, by eye.

The errors are bench habit (common practice, no source). A reading by rule or by eye is a reading like any other,
only a wide one: it ranks, and it seldom settles.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import cache
from math import sqrt
from typing import Literal, get_args

from msgspec import Struct

from putback.errors import Unreadable
from putback.sizing.units import Unit

Way = Literal["plate", "caliper", "leaf", "ten", "rule", "eye"]
"""How one reading was taken; `ten` is a caliper over ten pitches, or over their crests."""

WAYS: dict[str, tuple[Way, ...]] = {
    "gauge": ("plate", "eye"),
    "od": ("caliper", "rule", "eye"),
    "pitch": ("leaf", "ten", "rule", "eye"),
    "length": ("caliper", "rule", "eye"),
}
"""The ways each reading can be taken; the first is meant where nothing is said. A count to the inch is a pitch."""

Tool = Literal[
    "gauge plate", "plate unc/unf", "plate metric", "plate ba", "plate bsw/bsf", "pitch gauge", "leaves inch",
    "leaves metric", "caliper", "depth rod", "rule", "flank gauge", "nuts",
]  # fmt: skip
"""What a person may have at hand; the nuts are known to be right. A gauge plate is one of any kind, and so is a set of
pitch leaves, where it is not said which."""

TOOLS: tuple[Tool, ...] = ("gauge plate", "pitch gauge", "caliper", "depth rod", "rule", "flank gauge", "nuts")
"""What is taken to be there where nobody said otherwise."""

TOOL_NAMES: tuple[Tool, ...] = get_args(Tool)
"""Every tool that can be named."""

PLATES: dict[Tool, str] = {
    "plate unc/unf": "us", "plate metric": "metric", "plate ba": "BA", "plate bsw/bsf": "whitworth",
}  # fmt: skip
"""The gauge plates, by the name that `evidence.Shape.plate` has for each."""

_COUNTS = (
    4, 4.5, 5, 6, 7, 8, 9, 10, 11, 11.5, 12, 13, 14, 16, 18, 19, 20, 22, 24, 25, 26, 27, 28, 30, 32, 36, 40, 44, 48, 50,
    56, 60, 62, 64, 72, 80,
)  # fmt: skip

LEAVES: dict[Tool, tuple[float, ...]] = {
    "leaves inch": tuple(25.4 / count for count in _COUNTS),
    "leaves metric": (
        0.2, 0.225, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4,
        4.5,
    ),
}  # fmt: skip
"""The sets of pitch leaves as sold, pitches in mm (common practice, no source)."""


def at_hand(tool: Tool, have: Collection[Tool]) -> bool:
    """Whether a tool is there, or for a gauge plate and pitch leaves one of its kinds."""
    kinds = {"gauge plate": tuple(PLATES), "pitch gauge": tuple(LEAVES)}.get(tool, ())
    return tool in have or any(kind in have for kind in kinds)


def plates_at_hand(have: Collection[Tool]) -> frozenset[str]:
    """The plates that were named, as `evidence.Shape.plate` has them; none where it was not said which."""
    return frozenset() if "gauge plate" in have else frozenset(PLATES[tool] for tool in have if tool in PLATES)


_SHORT: dict[str, Tool] = {
    "plate": "gauge plate", "gauge": "gauge plate", "leaf": "pitch gauge", "leaves": "pitch gauge",
    "calipers": "caliper", "rod": "depth rod", "ruler": "rule", "steel rule": "rule", "flank": "flank gauge",
    "nut": "nuts", "plate unc": "plate unc/unf", "plate unf": "plate unc/unf", "plate us": "plate unc/unf",
    "plate bsw": "plate bsw/bsf", "plate bsf": "plate bsw/bsf", "plate whitworth": "plate bsw/bsf",
    "inch leaves": "leaves inch", "metric leaves": "leaves metric",
}  # fmt: skip
"""Other words for them."""


BEST_OF = {"one set": 0.5, "other": 0.15, "any": 0.05, "both": 0.02}
"""Share of leaves that were called fitting since no other leaf of their set fitted better: where one set alone is at
hand; where the leaf is of the other set than the machine's unit; where nobody said; and where both are at hand (common
practice, no source)."""


def best_of(pitch: float, unit: Unit | None, have: Collection[Tool]) -> float:
    """Share of readings of that leaf, mm, that only mean the best of its set, on a machine of threads in that unit.

    No unit where nobody knows where the machine is from.
    """
    own = leaf_set(pitch)
    if own is None:
        return 0.0
    if "pitch gauge" in have or not any(tool in have for tool in LEAVES):
        home = {"in": "leaves inch", "mm": "leaves metric", None: own}[unit]
        return BEST_OF["any"] if own == home else BEST_OF["other"]
    return BEST_OF["both"] if all(tool in have for tool in LEAVES) else BEST_OF["one set"]


@cache
def leaf_set(pitch: float) -> Tool | None:
    """The set that has a leaf of that pitch, mm; None where none has, so that it was measured otherwise."""
    return next((tool for tool, leaves in LEAVES.items() if any(abs(pitch / leaf - 1) < 5e-4 for leaf in leaves)), None)


@cache
def leaf_cell(pitch: float) -> tuple[float, float]:
    """From which to which pitch, mm, that leaf fits best of its set; at most a tenth either way."""
    own = leaf_set(pitch)
    leaves = sorted(LEAVES[own]) if own is not None else []
    under = max((leaf for leaf in leaves if leaf < pitch * 0.999), default=pitch * 0.8)
    over = min((leaf for leaf in leaves if leaf > pitch * 1.001), default=pitch * 1.25)
    return max(sqrt(pitch * under), pitch * 0.9), min(sqrt(pitch * over), pitch * 1.1)


class Blur(Struct, frozen=True):
    """The error of a caliper, a rule or the eye on a diameter, as Student's law with two degrees of freedom.

    Its distribution function needs one square root, and its tails are those of the bench: most readings are good
    and one in a hundred is far off. 19 readings of 20 lie within 4.3 scales, 99 of 100 within 10.
    """

    least: float
    """Scale, mm."""
    part: float
    """And this part of the reading more."""

    def scale(self, reading: float) -> float:
        """The scale of the error of one reading in mm."""
        return self.least + self.part * reading


CREST: dict[Way, Blur] = {
    "caliper": Blur(0.0075, 0.0),  # 19 of 20 within 0.0013 in, dirt and burrs included
    "rule": Blur(0.09, 0.0),  # 19 of 20 within 1/64 in
    "eye": Blur(0.06, 0.035),  # 19 of 20 within a sixth
}
"""Errors over the crests."""


class Pitching(Struct, frozen=True):
    """How well a pitch is told from another, by the logarithm of their ratio."""

    flat: float
    """Pitches nearer than this look the same."""
    slope: float
    """Beyond, they are told apart by a bell curve of this scale."""
    slips: float
    """Share of readings that are simply another leaf, or a miscount."""
    reach: float
    """Scale of those."""

    @property
    def norm(self) -> float:
        """Integral of the kernel over the logarithm of the pitch."""
        return 2 * ((1 - self.slips) * (self.flat + self.slope * 1.2533) + self.slips * self.reach * 1.2533)


PITCH: dict[Way, Pitching] = {
    "leaf": Pitching(0.012, 0.009, 0.01, 0.05),  # within 1.2 % the same; at 2.5 % one in three still is
    "rule": Pitching(0.02, 0.02, 0.05, 0.10),  # counted along a rule, half a thread off
    "eye": Pitching(0.04, 0.08, 0.10, 0.25),  # 19 of 20 within a fifth
}
"""Kernels of the pitch."""


class Rod(Struct, frozen=True):
    """How a length reads: opened by so many mm above and below its limits, the edges soft."""

    over: float
    """It may read so much long."""
    under: float
    """Or so much short."""
    soft: float
    """Scale of the bell curve at both edges, mm."""
    part: float
    """And this part of the reading more."""


LENGTH: dict[Way, Rod] = {
    "caliper": Rod(0.076, 0.051, 0.051, 0.0),  # a burr or the fillet makes it up to 0.006 in long
    "rule": Rod(0.15, 0.15, 0.20, 0.0),  # 1/64 in either way
    "eye": Rod(0.0, 0.0, 0.4, 0.06),
}
"""Errors of a length."""

PLATE_RIGHT: dict[Way, float] = {"plate": 0.96, "eye": 0.60}
"""Share of gauge-plate readings that name the right hole; and of sizes guessed by a practised eye."""

PLATE_SLIP: dict[Way, float] = {"plate": 0.004, "eye": 0.03}
"""Chance that one particular neighbour is named in its place."""

_WORDS: dict[str, Way] = {
    "+": "rule", "++": "eye", "rule": "rule", "ruler": "rule", "eye": "eye", "ten": "ten", "leaf": "leaf",
    "caliper": "caliper", "plate": "plate",
}  # fmt: skip

_MARK = re.compile(
    r"(?P<text>.*?) *(?P<mark>\++|(?<=[ +0-9./\"])(?:by )?(?:rule|ruler|eye|ten|leaf|caliper|plate))", re.I
)


def split_way(text: str, field: str) -> tuple[str, Way | None]:
    """`text` without the mark of how it was taken, and that way: `.37+` by rule, `.37++` or `~.37` by eye.

    `.37 eye` and `.37 by rule` say it in words. None where nothing is said. Nothing else a reading may hold ends
    in a plus sign or begins with a tilde. Raises Unreadable where the reading cannot be taken so.
    """
    plain = text.strip()
    if plain.startswith("~"):
        return plain[1:].strip(), "eye"
    found = _MARK.fullmatch(plain)
    if found is None:
        return text, None
    word = found["mark"].lower().removeprefix("by ")
    way = _WORDS.get(word)
    if way is None:
        raise Unreadable(f"'{plain[:20]}': + after a figure means by rule, ++ by eye; more than two mean nothing.")
    if field == "gauge" and way == "rule":
        way = "eye"  # a rule names no thread; and the second + may be on its way
    return found["text"], checked_way(way, field)


_MEASURED = re.compile(
    r"(?P<mark>~)? *(?P<od>[0-9.,]+ ?(?:mm|in|thou)(?![a-z])|[0-9]*[.,][0-9]*(?! ?(?:mm|in|thou))) *"
    r"(?P<way>\++|(?:by )?(?:rule|ruler|eye|caliper)(?![a-z]))? *(?P<rest>.*)",
    re.I,
)


_ANGLED = re.compile(r"(?P<count>.*\+) *(?P<angle>[4-6][0-9](?:\.[0-9]*)?)")


def split_gauge(text: str, unit: Unit) -> tuple[str, dict[str, Way]]:
    """The text of a gauge field without its marks, and the ways by reading: `.16+ 32` is a diameter by rule.

    Behind a name, as `8 32++`, the mark says that it was named by eye. A diameter so marked gets the machine's
    `unit` behind it where it has none: 3.5 alone would name a thread on a metric machine. Raises
    Unreadable as `split_way` does.
    """
    plain = text.replace("*", " ").strip()
    measured = _MEASURED.fullmatch(plain)
    if measured is None:
        bare, way = split_way(plain, "gauge")
        return (text, {}) if way is None else (bare, {"gauge": way})
    found: dict[str, Way] = {}
    word = "++" if measured["mark"] else measured["way"]
    if word:
        found["od"] = split_way(f"{measured['od']} {word}", "od")[1] or "caliper"
    counted = _ANGLED.fullmatch(measured["rest"])  # an angle of flanks may stand behind the mark
    rest, angle = (counted["count"], f" {counted['angle']}") if counted else (measured["rest"], "")
    rest, way = split_way(rest, "pitch") if rest else ("", None)
    rest += angle
    if way is not None:
        found["pitch"] = way
    od = measured["od"]
    if "od" in found and od[-1:] not in "mnu" and od != ".":
        od = f"{od}{unit}"
    return (f"{od} {rest}".strip(), found) if found else (text, {})


def checked_way(word: str, field: str) -> Way:
    """The way `word` for a reading, as WAYS lists them. Raises Unreadable for another."""
    for way in WAYS[field]:
        if way == word.strip().lower():
            return way
    raise Unreadable(f"{field}-by: '{word[:20]}' is none of {', '.join(WAYS[field])}.")


def checked_tools(words: Collection[str]) -> tuple[Tool, ...]:
    """The tools of that name, in the order of TOOL_NAMES; none of them for `none`. Raises Unreadable for another."""
    given = [_SHORT.get(word, word) for word in (w.strip().lower() for w in words) if word not in ("", "none")]
    for word in given:
        if word not in TOOL_NAMES:
            known = ", ".join(TOOL_NAMES)
            raise Unreadable(f"have: '{word[:20]}' is none of {known}; say none if you have none of them.")
    return tuple(tool for tool in TOOL_NAMES if tool in given)


SAID: dict[str, str] = {
    "plate": "gauge plate", "caliper": "caliper", "leaf": "pitch leaf", "ten": "over ten pitches", "rule": "by rule",
    "eye": "by eye",
}  # fmt: skip
"""The ways in words."""
