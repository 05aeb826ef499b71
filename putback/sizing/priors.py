"""How likely a thread is before anything is measured: the machine's origin, and what it has shown so far.

The weights of the series stand in `series`. Origin ranks; it removes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import get_args

from msgspec import Struct

from putback.sizing.background import Background, home_only, origin_by, shifts
from putback.sizing.gauge import Origin
from putback.sizing.series import Family, series_named
from putback.sizing.threads import Thread, all_threads, thread_named

_ORIGINS: dict[Origin, int] = {"us": 0, "uk": 1, "metric": 2, "unknown": 3}

_ANY: frozenset[str] = frozenset(get_args(Family))

_HOME: dict[Origin, frozenset[str]] = {"us": _ANY, "uk": frozenset({"uk"}), "metric": _ANY, "unknown": frozenset()}
"""Families whose hole on a plate is believed by itself."""

TEMPER = 0.8
"""The weights are taken to this power. They are guesses, and a bench is more mixed than a guess: tempered, the
answers stated at 60 to 95 % hold in a world that the model does not know (docs/sizing.md)."""

_BY_CHOICE = {1: 1.0, 2: 0.6, 3: 0.3, 4: 0.15}
"""Sizes everybody stocked, the less common, the scarce, and those of one trade alone."""

MOST = 20.0
"""What a machine has shown can make a thread at most this many times likelier: a prior is not evidence."""


NOTHING_KNOWN = Background()
"""Neither country nor decade nor trade."""


class Prior(Struct, frozen=True):
    """What this machine has shown so far: how often each thread was found."""

    counts: Mapping[str, int] = MappingProxyType({})
    """Number of fasteners by thread name."""

    @classmethod
    def empty(cls) -> Prior:
        """A machine of which nothing is known yet."""
        return cls()

    def with_seen(self, name: str, times: int = 1) -> Prior:
        """The same with `times` more of the thread `name`; names that are not a thread are kept and do nothing."""
        return Prior(MappingProxyType({**self.counts, name: self.counts.get(name, 0) + times}))


@cache
def base_weights(origin: Origin) -> dict[str, float]:
    """Weight of every thread on a machine of that origin; the weights sum to 1."""
    column = _ORIGINS[origin]
    raw = {t.name: (series_named(t.series).weights[column] * _BY_CHOICE[t.choice]) ** TEMPER for t in all_threads()}
    whole = sum(raw.values())
    return {name: weight / whole for name, weight in raw.items()}


def _grown(seen: int, most: float) -> float:
    """1 for nothing seen, rising towards `most`: half the way after four."""
    return 1 + (most - 1) * seen / (seen + 4)


class Weights(Struct, frozen=True):
    """The prior of one question, ready to be asked thread by thread."""

    base: Mapping[str, float]
    """By origin alone."""
    seen: Mapping[str, int]
    """Number found of each thread."""
    families: Mapping[str, float]
    """Factor by family; only a machine of unknown origin learns it from its threads."""
    shifts: Mapping[str, float] = MappingProxyType({})
    """Factor by series, of what is known of the machine's country, decade and trade."""
    home: frozenset[str] = _ANY
    """Families whose plate alone can make a thread sure on such a machine."""

    def of(self, thread: Thread) -> float:
        """Relative weight of one thread."""
        weight = self.base[thread.name] * self.families.get(thread.family, 1.0) * self.shifts.get(thread.series, 1.0)
        seen = self.seen.get(thread.name, 0)
        return weight * _grown(seen, MOST) if seen > 0 else weight


def weigh(origin: Origin, prior: Prior, known: Background = NOTHING_KNOWN) -> Weights:
    """The prior for one question on a machine of that origin which has shown `prior`, and of which `known` is known."""
    origin = origin_by(origin, known)
    families: dict[str, float] = {}
    if origin == "unknown" and prior.counts:
        totals: dict[str, int] = {}
        for name, count in prior.counts.items():
            thread = thread_named(name)
            if thread is not None:
                totals[thread.family] = totals.get(thread.family, 0) + max(count, 0)
        families = {family: _grown(total, 5.0) for family, total in totals.items()}
    home = frozenset({"metric"}) if home_only(known) else _HOME[origin]
    return Weights(base_weights(origin), prior.counts, families, shifts(known), home)
