"""How hypothesis looks for examples: the same ones every time, or new ones where that is asked for."""

from __future__ import annotations

import os

from hypothesis import settings

# No example is held to a clock, and the same ones are few enough for the suite to end in five minutes on two cores.
settings.register_profile("same", derandomize=True, deadline=None, max_examples=60)
settings.register_profile("new", print_blob=True, deadline=None)
settings.load_profile(os.environ.get("PUTBACK_EXAMPLES", "same"))
