"""How hypothesis looks for examples: the same ones every time, or new ones where that is asked for; what takes long is
left to that run, too; and how often the collector looks round."""

from __future__ import annotations

import gc
import os

import pytest
from hypothesis import settings

# No example is held to a clock, and the same ones are few enough for the suite to end in five minutes on two cores.
settings.register_profile("same", derandomize=True, deadline=None, max_examples=25)
settings.register_profile("new", print_blob=True, deadline=None)
settings.load_profile(os.environ.get("PUTBACK_EXAMPLES", "same"))


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is marked `long` unless new examples are asked for: the rest of what is tried in part."""
    if os.environ.get("PUTBACK_EXAMPLES") == "new":
        return
    long = [item for item in items if item.get_closest_marker("long")]
    config.hook.pytest_deselected(items=long)
    items[:] = [item for item in items if not item.get_closest_marker("long")]


def pytest_collection_finish() -> None:
    """Take what was collected out of the collector's sight: it lives to the end, and is walked again and again else."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)
