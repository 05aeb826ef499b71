"""Where each screen is: the one place that knows them all. A screen is loaded when it is first opened."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

from textual.screen import Screen

from putback.tui.host import ScreenName

SCREENS: Mapping[ScreenName, tuple[str, str]] = {
    "bench": ("bench.bench_screen", "BenchScreen"),
    "refit": ("refit.refit_screen", "RefitScreen"),
    "walk-back": ("pages.walk_back", "WalkBackScreen"),
    "summary": ("pages.summary", "SummaryScreen"),
    "break": ("pages.break_page", "BreakScreen"),
    "find": ("pages.find", "FindScreen"),
    "clock code": ("pages.clock_code", "ClockScreen"),
    "keys": ("dialogs.help", "HelpScreen"),
    "new label": ("dialogs.new_label", "NewLabel"),
    "jobs": ("pages.jobs", "JobsScreen"),
    "job": ("cards.job_card", "JobScreen"),
    "bag": ("cards.bag_card", "BagScreen"),
    "part": ("cards.part_card", "PartScreen"),
    "step": ("cards.step_card", "StepScreen"),
    "thing": ("cards.thing_card", "ThingScreen"),
    "photos": ("cards.photo_card", "PhotoScreen"),
    "machine": ("cards.machine_card", "MachineScreen"),
}
"""Each screen's module, below `putback.tui`, and its class."""


CARDS: Mapping[str, ScreenName] = {
    "bag": "bag", "part": "part", "step": "step", "thing": "thing", "fastener": "thing", "piece": "thing",
    "photos": "photos", "machine": "machine",
}  # fmt: skip
"""The card of each sort of thing."""


@cache
def screen_class(name: ScreenName) -> type[Screen[Any]]:
    """Return the class of a screen. Raises KeyError for a name that no screen has."""
    module, found = SCREENS[name]
    made: type[Screen[Any]] = getattr(import_module(f"putback.tui.{module}"), found)
    return made
