"""The odd one out, while it is still in the hand: one question, or none. It asks; it never refuses."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from msgspec import Struct

from putback.sizing.alike import Sized, as_long, longer_by
from putback.sizing.gauge import Origin
from putback.sizing.threads import Family, thread_named
from putback.sizing.units import MM_PER_INCH

ENOUGH = 2
"""So many alike in a pattern make the one that differs worth a question."""

SHOWN_ENOUGH = 6
"""So many named threads make up a machine's habit."""

HABIT = 0.9
"""Share of a machine's threads that must be of one family before another one is a stranger."""

MIRROR = {"1": "3", "3": "1", "4": "6", "6": "4", "7": "9", "9": "7"}
"""The hole on the other side of a face, by keypad."""

SLENDER = 40
"""Diameters beyond which no fastener is as long as that (common practice, no source)."""

WHICH = "which should it be?"
"""Ends a question that is answered by saying what belongs in the hole."""

_FAMILY_WORDS: dict[Family, str] = {"us": "US", "uk": "British", "metric": "metric"}


class Placed(Struct, frozen=True):
    """A fastener in its hole."""

    hole: str
    """Keypad place with a running letter: 3, 5a; a comma and its face may follow."""
    what: Sized
    """Its size."""


def odd_one(
    new: Placed,
    pattern: Sequence[Placed],
    record: Mapping[str, int],
    origin: Origin = "unknown",
    stray: str = "",
    explained: bool = False,
) -> str | None:
    """The one question to ask before `new` is recorded, or None.

    `pattern` are the fasteners already recorded at the same part and face, `record` counts the threads this
    machine has shown, `stray` says how its length differs from those of its thread there, by the machine's own groups,
    and `explained` that a hole which is its twin has the same. A length out of all scale, a slip of the fingers, comes
    first, then a stranger to the machine, then one that differs from the others of the pattern, then one that differs
    from its mirror hole. A size that the pattern holds already is not asked about again, and neither is a stranger the
    machine has shown before.
    """
    asked = _out_of_scale(new.what) or _stranger(new.what, record, origin)
    if asked or explained:
        return asked
    return _unlike_the_others(new, pattern, stray) or _unlike_its_mirror(new, pattern)


def _out_of_scale(what: Sized) -> str | None:
    thread = thread_named(what.thread)
    if thread is None or what.long is None or what.long <= SLENDER * thread.major:
        return None
    if thread.family == "metric":
        return f"is it really {float(what.long):.4g} mm long?"
    slip = "two figures are whole inches: " if re.fullmatch(r"[0-9]{2}", what.length) else ""
    return f"{slip}is it really {float(what.long / MM_PER_INCH):.4g} in long?"


def _stranger(what: Sized, record: Mapping[str, int], origin: Origin) -> str | None:
    thread = thread_named(what.thread)
    if thread is None or record.get(thread.name, 0) > 0:
        return None
    families: Counter[Family] = Counter()
    for name, count in record.items():
        known = thread_named(name)
        if known is not None:
            families[known.family] += count
    total = sum(families.values())
    habit = next((f for f, n in families.items() if n >= HABIT * total), None)
    if origin != "unknown":
        habit = habit if total >= SHOWN_ENOUGH else origin
    elif total < SHOWN_ENOUGH:
        return None
    if habit is None or habit == thread.family or families[thread.family] > 1:
        return None
    return (
        f"{what.thread} is a {_FAMILY_WORDS[thread.family]} thread in a machine of {_FAMILY_WORDS[habit]} ones: "
        f"keep it as found, and {WHICH}"
    )


def same_size(a: Sized, b: Sized) -> bool:
    """Tell whether two fasteners are of one size, as long as one another."""
    return (a.thread, a.standard) == (b.thread, b.standard) and as_long(a, b)


BY_DESIGN = frozenset({"shim", "spacer"})
"""Kinds that differ within a pattern because that is what they are for."""


def _comparable(a: Sized, b: Sized) -> bool:
    """Both screws, or both of one kind, and both named in what they are compared by."""
    if a.kind in BY_DESIGN:
        return False
    screws = {"screw", "bolt", "set screw", "stud"}
    return (a.kind == b.kind or {a.kind, b.kind} <= screws) and bool(a.thread) == bool(b.thread)


def _unlike_the_others(new: Placed, pattern: Sequence[Placed], stray: str) -> str | None:
    others = [p.what for p in pattern if _comparable(p.what, new.what)]
    if not others or any(same_size(o, new.what) for o in others):
        return None
    sizes = Counter((o.thread, o.long_as, o.standard) for o in others)
    most, count = sizes.most_common(1)[0]
    if stray and most[0] == new.what.thread:
        return f"{stray}; does it belong in hole {new.hole}?"
    if count < ENOUGH or count * 2 < len(others):
        return None
    usual = next(o for o in others if (o.thread, o.long_as, o.standard) == most)
    if new.what.group and usual.group and usual.thread == new.what.thread:
        return None  # its length was weighed, and nothing is to be asked
    return f"{_how_it_differs(new.what, usual)} than the {count} others here; does it belong in hole {new.hole}?"


def _unlike_its_mirror(new: Placed, pattern: Sequence[Placed]) -> str | None:
    place, letter = new.hole[:1], new.hole[1:]
    other = next((p for p in pattern if p.hole == MIRROR.get(place, "") + letter), None)
    if other is None or same_size(other.what, new.what) or not _comparable(other.what, new.what):
        return None
    by_hole = {p.hole: p.what for p in pattern}
    for hole, what in by_hole.items():  # symmetrical so far?
        twin = by_hole.get(MIRROR.get(hole[:1], "") + hole[1:])
        if twin is not None and _comparable(twin, what) and not same_size(twin, what):
            return None
    return f"{_how_it_differs(new.what, other.what)} than the one in hole {other.hole}, its mirror; are they swapped?"


def _how_it_differs(new: Sized, usual: Sized) -> str:
    if new.thread != usual.thread:
        return f"another thread ({new.thread or 'unnamed'}, not {usual.thread or 'unnamed'})"
    if new.long is not None and usual.long is not None and new.long != usual.long:
        by = longer_by(abs(new.long - usual.long), new.thread)
        return f"{by} {'longer' if new.long > usual.long else 'shorter'}"
    return "another size"
