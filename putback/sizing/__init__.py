"""Measured things: readings in, nominal size out. Knows no machine, file, clock or screen.

The names below load on first use, so that importing the floor costs nothing at start-up.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from putback.sizing.answer import Answer, snap
    from putback.sizing.batch import Batch, answer_options, readings_from, size_json
    from putback.sizing.explaining import explain
    from putback.sizing.gauge import Gauge, Origin, read_gauge
    from putback.sizing.kinds import KINDS, THREADED, driving
    from putback.sizing.priors import Prior
    from putback.sizing.reading import Measure, Unfinished, read_count, read_measure
    from putback.sizing.readings import Readings
    from putback.sizing.steel_rule import SizeBand, SteelRule, scale
    from putback.sizing.units import Unit
    from putback.sizing.verdict import Candidate, NextReading, Verdict, Word

_HOME = {
    "Answer": "answer",
    "snap": "answer",
    "Batch": "batch",
    "answer_options": "batch",
    "readings_from": "batch",
    "size_json": "batch",
    "explain": "explaining",
    "Gauge": "gauge",
    "Origin": "gauge",
    "read_gauge": "gauge",
    "driving": "kinds",
    "Prior": "priors",
    "Measure": "reading",
    "Unfinished": "reading",
    "read_count": "reading",
    "read_measure": "reading",
    "KINDS": "kinds",
    "THREADED": "kinds",
    "Readings": "readings",
    "SizeBand": "steel_rule",
    "SteelRule": "steel_rule",
    "scale": "steel_rule",
    "Unit": "units",
    "NextReading": "verdict",
    "Candidate": "verdict",
    "Verdict": "verdict",
    "Word": "verdict",
}

__all__ = [
    "KINDS",
    "THREADED",
    "Answer",
    "Batch",
    "Candidate",
    "Gauge",
    "Measure",
    "NextReading",
    "Origin",
    "Prior",
    "Readings",
    "SizeBand",
    "SteelRule",
    "Unfinished",
    "Unit",
    "Verdict",
    "Word",
    "answer_options",
    "driving",
    "explain",
    "read_count",
    "read_gauge",
    "read_measure",
    "readings_from",
    "scale",
    "size_json",
    "snap",
]


def __getattr__(name: str) -> Any:
    home = _HOME.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{home}"), name)
    globals()[name] = value
    return value
