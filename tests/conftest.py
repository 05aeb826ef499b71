"""How hypothesis looks for examples: the same ones every time, or new ones where that is asked for; and how often the
collector looks round."""

from __future__ import annotations

import gc
import os

from hypothesis import settings

# No example is held to a clock, and the same ones are few enough for the suite to end in five minutes on two cores.
settings.register_profile("same", derandomize=True, deadline=None, max_examples=25)
settings.register_profile("new", print_blob=True, deadline=None)
settings.load_profile(os.environ.get("PUTBACK_EXAMPLES", "same"))


def pytest_collection_finish() -> None:
    """Take what was collected out of the collector's sight: it lives to the end, and is walked again and again else."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)
