"""The tool for a fastener: the blade for its slot, the hexagon key, the cross number, the spanner."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from putback.sizing.exact import Exact
from putback.sizing.reading import Measure
from putback.sizing.reference_tables import rows
from putback.sizing.threads import Thread, thread_index
from putback.sizing.units import MM_PER_INCH
from putback.sizing.wording import shown

LEAST_FILL = Fraction(61, 100)
"""A blade should fill at least this much of the slot's width (common practice, no source)."""

Fit = Literal["fits", "too thin", "too thick", "too wide", "narrow"]
"""How a blade sits in a slot."""


class Blade(Struct, frozen=True):
    """A flat screwdriver's tip, mm (ISO 2380-1)."""

    tip: Fraction
    """Thickness of the tip."""
    wide: Fraction
    """Width of the blade."""

    @property
    def name(self) -> str:
        """Thickness x width, as 1 x 5.5."""
        return f"{float(self.tip):g} x {float(self.wide):g}"


def blades() -> tuple[Blade, ...]:
    """The standard blades, thinnest first."""
    found = (Blade(Fraction(r["tip"]), Fraction(r["blade"])) for r in rows("drivers.csv") if r["kind"] == "slotted")
    return tuple(sorted(found, key=lambda b: (b.tip, b.wide)))


def fit_of(blade: Blade, slot: Fraction, head: Fraction | None = None) -> Fit:
    """How `blade` sits in a slot of `slot` mm across a head of `head` mm.

    Too thin ruins the tip and the slot's edges; too thick the screw; too wide the work around it.
    """
    if blade.tip > slot:
        return "too thick"
    if blade.tip < slot * LEAST_FILL:
        return "too thin"
    if head is not None and blade.wide > head:
        return "too wide"
    if head is not None and blade.wide < head / 2:
        return "narrow"
    return "fits"


def best_blade(slot: Fraction, head: Fraction | None = None) -> Blade | None:
    """The thickest standard blade that goes into the slot, then the widest within the head; None if none fits."""
    fitting = [b for b in blades() if fit_of(b, slot, head) == "fits"]
    if not fitting and head is not None:
        fitting = [b for b in blades() if fit_of(b, slot, head) == "narrow"]
    return max(fitting, key=lambda b: (b.tip, b.wide), default=None)


def blade_sentence(slot: Measure, head: Measure | None = None) -> str:
    """What to use in a slot as measured, and what not: `blade 1 x 5.5; 0.6 is too thin and ruins the
    tip, 1.2 too thick and spreads the slot`."""
    wide = slot.mm
    best = best_blade(wide, None if head is None else head.mm)
    thin = max((b.tip for b in blades() if fit_of(b, wide) == "too thin"), default=None)
    thick = min((b.tip for b in blades() if fit_of(b, wide) == "too thick"), default=None)
    parts = [f"blade {best.name}" if best is not None else "no standard blade fits; grind one"]
    texts = [f"{float(thin):g} is too thin and ruins the tip"] if thin is not None else []
    texts += [f"{float(thick):g} too thick and spreads the slot"] if thick is not None else []
    return "; ".join([*parts, ", ".join(texts)]) if texts else parts[0]


def slot_sentence(read: Exact) -> str:
    """`blade_sentence` for a slot as measured, with the head where that was; empty where no slot was."""
    return "" if read.slot is None else blade_sentence(read.slot, read.across)


class HeadSize(Struct, frozen=True):
    """One head of a standard, mm; None where the standard has no such dimension."""

    standard: str
    """ASME B18.6.3, ISO 1207, ..."""
    head: str
    """fillister, cheese, hex, ..."""
    size: str
    """#8, 1/4, M5, 2BA."""
    across: Fraction | None
    """Largest head diameter."""
    slot: tuple[Fraction, Fraction] | None
    """Narrowest and widest slot."""
    recess: str
    """Number of the cross recess, or empty."""
    flats: Fraction | None
    """Across the flats."""
    key: str
    """Hexagon key, in the standard's own unit, or empty."""


_SAME_HEAD = {
    "countersunk": "flat", "csk": "flat", "raised countersunk": "oval", "hexagon": "hex",
    "socket": "socket cap", "socket head": "socket cap", "filister": "fillister",
}  # fmt: skip


def heads(thread: Thread, head: str) -> tuple[HeadSize, ...]:
    """The standard heads of that shape for a thread's size, likeliest standard first."""
    shape = _SAME_HEAD.get(head.strip().lower(), head.strip().lower())
    found: list[HeadSize] = []
    for row in rows("heads.csv"):
        shapes = {"flat": ("flat", "countersunk"), "hex": ("hex", "hex bolt")}.get(shape, (shape,))
        if row["size"] != thread.size or not row["head"].startswith(shapes):
            continue
        scale = MM_PER_INCH if row["unit"] == "in" else Fraction(1)

        def mm(column: str, row: dict[str, str] = row, scale: Fraction = scale) -> Fraction | None:
            return Fraction(row[column]) * scale if row[column] else None

        low, high = mm("slot_min"), mm("slot_max")
        slot = (low, high) if low is not None and high is not None else None
        across = mm("head_dia_max")
        found.append(
            HeadSize(
                row["standard"],
                row["head"],
                row["size"],
                across,
                slot,
                row["recess_no"],
                mm("across_flats"),
                row["key"],
            )
        )
    return tuple(found)


def tool_for(thread: Thread, head: str, drive: str) -> str:
    """The tool a standard screw of that thread, head and drive takes; empty where no table tells.

    A guess from the standard: measure the slot before trusting it on an old screw.
    """
    return _tool_for(thread.name, head.strip().lower(), drive.strip().lower())


@cache
def _tool_for(name: str, head: str, want: str) -> str:
    """`tool_for`, kept: a plan asks it of every fastener at every key."""
    thread = thread_index()[name]
    if head.endswith(("headless", "set screw", " point")):
        key = set_screw_key(thread) if want.startswith(("hex socket", "socket")) else ""
        return f"hexagon key {key}" if key else ""
    for found in heads(thread, head):
        if want in ("slot", "slotted") and found.slot is not None:
            blade = best_blade((found.slot[0] + found.slot[1]) / 2, found.across)
            if blade is not None:
                return f"blade {blade.name}"
        if want.startswith("cross") and found.recess:
            return f"cross number {found.recess}"
        if want.startswith(("hex socket", "socket")) and found.key:
            return f"hexagon key {found.key}"
        if want in ("", "hex", "spanner", "square") and found.flats is not None:
            scale = MM_PER_INCH if thread.native == "in" or thread.series == "BA" else Fraction(1)
            unit = "in" if scale != 1 else "mm"
            return f"spanner {float(found.flats / scale):.4g} {unit}"
    return ""


_HEADLESS_KEYS = {
    # ASME B18.3 and ISO 4026 set screws, from memory
    "#0": ".028", "#1": ".035", "#2": ".035", "#3": ".050", "#4": ".050", "#5": "1/16", "#6": "1/16", "#8": "5/64",
    "#10": "3/32", "1/4": "1/8", "5/16": "5/32", "3/8": "3/16", "7/16": "7/32", "1/2": "1/4", "5/8": "5/16",
    "3/4": "3/8", "M1.6": "0.7", "M2": "0.9", "M2.5": "1.3", "M3": "1.5", "M4": "2", "M5": "2.5", "M6": "3",
    "M8": "4", "M10": "5", "M12": "6",
}  # fmt: skip


def socket_sentence(kind: str, read: Exact) -> str:
    """The key of a set screw's socket as measured, and which sizes have it; empty for others.

    `socket .094: hexagon key 3/32, as in a #10 set screw`.
    """
    if kind != "set screw" or read.width is None:
        return ""
    sizes: dict[Fraction, list[str]] = {}
    for size, key in _HEADLESS_KEYS.items():
        scale = Fraction(1) if size.startswith("M") else MM_PER_INCH
        sizes.setdefault(Fraction(key) * scale, []).append(size)
    wide = read.width.mm
    mm = min(sizes, key=lambda one: abs(one - wide))
    if abs(mm - wide) > max(mm / 25, Fraction(6, 100)):
        return f"socket {shown(read.width)}: no standard set screw has it"
    key = _HEADLESS_KEYS[sizes[mm][0]] + (" mm" if sizes[mm][0].startswith("M") else "")
    return f"socket {shown(read.width)}: hexagon key {key}, as in a {' or '.join(sizes[mm])} set screw"


def set_screw_key(thread: Thread) -> str:
    """The hexagon key of a headless screw, in its own unit; empty where no table has the size."""
    return _HEADLESS_KEYS.get(thread.size, "")
