"""`python -m putback.demo.build` makes the demo's ready workshop again from its session files."""

from __future__ import annotations

import shutil
from pathlib import Path

from putback.demo import STORE, build_demo

if __name__ == "__main__":
    home = Path(__file__).parent / STORE
    shutil.rmtree(home, ignore_errors=True)
    with build_demo(home) as workshop:
        workshop.store.fold()
    print(home)
