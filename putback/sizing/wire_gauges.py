"""Diameters that go by a number: wire and sheet gauges, and drills. `14 swg`, `20 awg`, `#28 drill`, `F drill`."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from msgspec import Struct

from putback.sizing.reference_tables import rows

_WORDS: dict[str, str] = {
    "swg": "SWG", "awg": "AWG", "b&s": "AWG", "bwg": "BWG", "stubs": "BWG", "w&m": "W&M", "wm": "W&M", "music": "music",
    "music wire": "music", "mw": "music", "drill": "drill",
}  # fmt: skip
"""Words behind a number, and the table they mean; tables of the trade, by their usual letters."""

_BY_ORIGIN: dict[str, tuple[str, ...]] = {
    "us": ("W&M", "music", "AWG"),
    "uk": ("SWG", "BWG"),
    "metric": (),
    "unknown": ("SWG", "W&M", "music", "AWG", "BWG"),
}
"""The gauges that a machine's wire goes by, the commonest first (common practice, no source)."""

_NUMBERED = re.compile(
    r"(?:#|no\.? ?)?(?P<number>[0-9]{1,2}(?:/0)?|0{2,4}|[a-z](?= ?d)|[0-9]{1,2}/[0-9]{1,2}) ?(?P<word>[a-z& ]+)"
)

NEAR = Fraction(8, 10_000)
"""A wire within so many inches of a gauge goes by it: the caliper's error, and old lacquer (common practice)."""


class ByNumber(Struct, frozen=True):
    """One diameter of a gauge."""

    gauge: str
    """SWG, AWG, W&M, BWG, music, drill."""
    number: str
    """14, 2/0; of a drill #28, F."""
    inch: Fraction
    """Its diameter, inches."""

    @property
    def called(self) -> str:
        """As it is said: 14 SWG, #28 drill, 12 music wire."""
        return f"{self.number} {'music wire' if self.gauge == 'music' else self.gauge}"


@cache
def _table() -> dict[tuple[str, str], ByNumber]:
    made = [ByNumber(row["gauge"], row["number"], Fraction(row["inch"])) for row in rows("wire_gauges.csv")]
    made += [ByNumber("drill", row["drill"], Fraction(row["inch"])) for row in rows("drills.csv")]
    return {(one.gauge, one.number.removeprefix("#").lower()): one for one in made}


def by_number(text: str) -> ByNumber | None:
    """The diameter that a tidy text names by gauge and number: 14 swg, 2/0 swg, #28 drill; None for another text."""
    found = _NUMBERED.fullmatch(text.lower())
    gauge = _WORDS.get(found["word"].strip()) if found else None
    if found is None or gauge is None:
        return None
    number = found["number"]
    if re.fullmatch(r"0{2,4}", number):
        number = f"{len(number)}/0"
    return _table().get((gauge, number))


def of_a_gauge(text: str) -> bool:
    """Whether a tidy text has the word of a gauge behind a number, which that gauge may or may not have."""
    found = _NUMBERED.fullmatch(text.lower())
    return found is not None and found["word"].strip() in _WORDS


def number_begun(text: str) -> bool:
    """Whether a tidy text is on its way to such a name: `14 s`, `28 dri`."""
    found = _NUMBERED.fullmatch(text.lower())
    word = found["word"].strip() if found else ""
    return word not in ("", *_WORDS) and any(one.startswith(word) for one in _WORDS)


def gauges_near(inch: Fraction, origin: str) -> tuple[ByNumber, ...]:
    """The gauge numbers that a wire of that diameter goes by on a machine of that origin, one of each gauge."""
    near: list[ByNumber] = []
    for gauge in _BY_ORIGIN[origin]:
        of_gauge = [one for one in _table().values() if one.gauge == gauge]
        best = min(of_gauge, key=lambda one: abs(one.inch - inch))
        if abs(best.inch - inch) <= NEAR:
            near.append(best)
    return tuple(near)
