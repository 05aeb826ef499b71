"""How hypothesis looks for examples: the same ones every time, or new ones where that is asked for."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True)
settings.register_profile("new", print_blob=True)
settings.load_profile(os.environ.get("PUTBACK_EXAMPLES", "same"))
