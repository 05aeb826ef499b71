"""Tools as values: a kind and a size, so that two spellings of one tool are one tool.

A person writes `driver 1.0 x 6`, `Driver 1 x 6` or `screwdriver 1.0x6`; the program writes `blade 1 x 6` for
what a slot takes. What is written on the card stays as it was said: this is only for comparing and counting.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from putback.sizing.drivers import heads
from putback.sizing.threads import thread_named
from putback.sizing.units import MM_PER_INCH

BLADE, CROSS, SPANNER, HEX_KEY = "blade", "cross", "spanner", "hexagon key"

_DRIVERS = frozenset({
    "driver", "screwdriver", "screw driver", "blade", "flat driver", "flat screwdriver", "flat blade", "blade driver",
    "flat blade driver", "flat blade screwdriver", "slot driver", "slotted driver", "slotted screwdriver",
    "flat head driver", "flat head screwdriver", "flathead screwdriver", "flathead driver",
})  # fmt: skip
"""A flat screwdriver, where a tip and a width stand with it."""

_KINDS = {
    "spanner": SPANNER, "wrench": SPANNER, "open spanner": SPANNER, "open wrench": SPANNER,
    "open ended spanner": SPANNER, "open ended wrench": SPANNER, "open end spanner": SPANNER,
    "open end wrench": SPANNER, "screwdriver": "driver", "screw driver": "driver", "hex key": HEX_KEY,
    "hexagon key": HEX_KEY, "hex wrench": HEX_KEY, "hexagon wrench": HEX_KEY, "hexagonal key": HEX_KEY,
}  # fmt: skip
"""Other words for one kind of tool. A ring or a box spanner is another tool than an open one."""

_CROSS = re.compile(
    r"(?:(?:screw ?)?driver )?(?:ph|cross(?: ?head)?(?: recess)?(?: (?:screw ?)?driver)?)"
    r"(?: (?:number|no\.?))? ?([0-9]{1,2})(?: (?:screw ?)?driver)?"
)
_BA = re.compile(r"([0-9]{1,2}) ?ba")
_NUMBER = r"[0-9]{1,4} [0-9]{1,4}/[1-9][0-9]{0,3}|[0-9]{1,4}/[1-9][0-9]{0,3}|[0-9]{0,4}\.[0-9]{1,4}|[0-9]{1,4}"
_BLADE = re.compile(rf"({_NUMBER})(?: ?mm)? ?[x×*] ?({_NUMBER})(?: ?mm)?")  # noqa: RUF001 the sign of times on purpose
_SIZE = re.compile(rf'({_NUMBER}) ?(mm|inch|in\b|")?')
_THREAD = re.compile(r"([0-9]{1,2}(?:/[0-9]{1,2})? ?(?:ba|bsw|bsf|whit|w))")
"""A spanner marked with the thread whose nut it fits."""


class Tool(Struct, frozen=True, order=True):
    """A tool by what it is and how large."""

    kind: str
    """blade, cross, spanner, hexagon key; for any other the person's words in small letters."""
    size: str = ""
    """Its size in one spelling: `1 x 5.5` of a blade, `7/16`, `.193 in`, `13 mm`; empty where none was said."""

    @property
    def called(self) -> str:
        """Its one spelling: `blade 1 x 5.5`, `spanner 7/16`, `cross number 2`."""
        return f"{self.kind}{' number' if self.kind == CROSS else ''} {self.size}".strip()


@lru_cache(maxsize=4096)
def read_tool(text: str) -> Tool:
    """Return the tool that `text` names; whatever is not understood is its own kind, without a size."""
    plain = " ".join(text.casefold().replace("-", " ").split())
    plain = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", plain)
    cross = _CROSS.fullmatch(plain)
    if cross:
        return Tool(CROSS, cross[1])
    for pattern, size_of in ((_BLADE, _tip), (_THREAD, _for_thread), (_SIZE, _length)):
        found = _alone(pattern, plain)
        if found is None:
            continue
        kind = " ".join(f"{plain[: found.start()]} {plain[found.end() :]}".split()).strip(" ,;:")
        if pattern is _BLADE and kind in _DRIVERS:
            return Tool(BLADE, size_of(found))
        if kind and (pattern is not _THREAD or _KINDS.get(kind) == SPANNER):
            return Tool(_KINDS.get(kind, kind), size_of(found))
    return Tool(_KINDS.get(plain, plain))


def _alone(pattern: re.Pattern[str], text: str) -> re.Match[str] | None:
    """The match that begins or ends the text and stands apart from its other words; None where there is none."""
    found = re.match(rf"(?:{pattern.pattern})(?!\S)", text)
    if found is not None:
        return found
    starts = (start.start() for start in re.finditer(r"(?<!\S)(?=[0-9.])", text))
    return next((end for start in starts if (end := pattern.fullmatch(text, start))), None)


def _tip(found: re.Match[str]) -> str:
    return f"{_plain(_value(found[1]))} x {_plain(_value(found[2]))}"


def _length(found: re.Match[str]) -> str:
    value = _value(found[1])
    inches = found[2] in ("in", "inch", '"') or (not found[2] and ("/" in found[1] or found[1].startswith(".")))
    return _inches(value) if inches else f"{_plain(value)} mm"


def _for_thread(found: re.Match[str]) -> str:
    """The size of a spanner that is marked with a thread: across the flats for BA (BS 57), else the mark itself."""
    ba = _BA.fullmatch(found[1])
    thread = thread_named(f"{ba[1]}BA") if ba else None
    flats = next((head.flats for head in heads(thread, "hex") if head.flats), None) if thread else None
    return _inches(flats / MM_PER_INCH) if flats else found[1]


def _value(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def _inches(value: Fraction) -> str:
    """Inches in one spelling; four figures of a fraction of an inch (0.3438) are that fraction."""
    near = Fraction(round(value * 64), 64)
    if near and abs(near - value) <= Fraction(1, 10_000):
        whole, rest = divmod(near, 1)
        return f"{whole} {rest}" if whole and rest else f"{near}" if rest else f"{whole} in"
    return f"{float(value):.4g}".removeprefix("0") + " in"


def _plain(value: Fraction) -> str:
    return f"{float(value):.6g}"
