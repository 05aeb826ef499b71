"""When a lift is too heavy for one person: the revised NIOSH lifting equation.

Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110, rev. 2021, metric form: the
recommended weight is LC x HM x VM x DM x AM x FM x CM. Local rules (UK: Manual Handling Operations Regulations
1992) come first.
"""

from __future__ import annotations

import re

LOAD_CONSTANT = 23.0
"""LC: kilograms that nearly everybody healthy can lift in the ideal place (51 lb)."""

POUND = 0.45359237
"""Kilograms of an avoirdupois pound, exact by its definition (NIST SP 811)."""

REACH = 40.0
"""Centimetres from the ankles to the hands for a machine on the bench; common practice, no source."""

BENCH = 75.0
"""Centimetres of the lift from the floor to the bench, which is also the height the equation takes as best."""

_MASS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(kg|kilos?|kilograms?|lbs?|pounds?)\b", re.IGNORECASE)


def mass_kg(words: str) -> float | None:
    """Return the kilograms that `words` tell of, as `31 kg` or `68 lb`; None where they tell of none."""
    found = _MASS.search(words)
    if found is None:
        return None
    number = float(found[1].replace(",", "."))
    return number if found[2].casefold().startswith("k") else number * POUND


def recommended_kg(reach: float = 25.0, start: float = BENCH, distance: float = 25.0) -> float:
    """Return the recommended weight of a lift now and then with a good grip and no turn of the body.

    `reach` is the distance of the hands from the ankles, `start` the hands' height where the lift begins,
    `distance` how far up it goes; all in centimetres. By itself the ideal lift.
    """
    across = min(1.0, 25.0 / reach)
    height = 1.0 - 0.003 * abs(start - 75.0)
    travel = min(1.0, 0.82 + 4.5 / distance)
    return LOAD_CONSTANT * across * height * travel


def lifting_index(kilograms: float, **lift: float) -> float:
    """Return how often the recommended weight of a lift is in the load; above 1 it is too heavy for one."""
    return kilograms / recommended_kg(**lift)


def lifting_caution(mass: str) -> str:
    """Return what to say before a machine of that mass is lifted or tipped; empty where one may lift it so.

    It is asked of the lift from the floor to the bench at REACH.
    """
    kilograms = mass_kg(mass)
    if kilograms is None:
        return ""
    floor = lifting_index(kilograms, reach=REACH, start=0.0, distance=BENCH)
    ideal = lifting_index(kilograms)
    if floor <= 1:
        return ""
    best = f" ({ideal:.2f} at best)" if ideal > 1 else ""
    text = f"{floor:.1f} times{best} NIOSH's limit for one"
    return f"{kilograms:.0f} kg: from the floor that is {text}: get help or slide it"
