"""Makes the pairs of docs/before-and-after.md: the same keys on an earlier state of the program, and on this one.

    git worktree add --detach ../earlier COMMIT
    python docs/making/pairs.py ../earlier [NAME...]

Each pair is one picture, the earlier state on the left. It needs `rsvg-convert`.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).parents[2]
HERE = ROOT / "docs" / "screens" / "pairs"

PANEL = "1 1 1 slash 6 enter r i g h t space p a n e l enter"
SMALL = PANEL.replace("1 1 1", "escape")
SCREWS = "1 6 3 2 enter 3 7 0 enter plus plus 9 6 3 2 enter 4 9"

PAIRS = {
    "strokes": ((96, 28), f"{PANEL} {SCREWS} 7"),
    "typed": ((60, 17), f"{SMALL} {SCREWS}"),
    "either": ((60, 17), f"{SMALL} 1 full_stop 2 4 5"),
    "odd-one": ((60, 17), f"{SMALL} {SCREWS} 7 enter"),
    "way-back": ((80, 24), "1 1 1 m 2 1 1 1 r"),
    "large": ((160, 45), f"{PANEL} {SCREWS} 7"),
    "way-back-large": ((160, 45), "1 1 1 m 1 1 1 1 r enter enter enter enter"),
    "list": ((80, 24), "1 1 1 full_stop"),
}
"""Name, size of the screen, and the keys that lead to it."""

MAKE = "import asyncio, sys, pictures; asyncio.run(pictures.make({!r}, {!r}, {!r}, pictures.Path({!r})))"


def main(earlier: Path, names: list[str]) -> None:
    """Play the keys of each pair in both trees, and put the two pictures side by side."""
    HERE.mkdir(exist_ok=True)
    for name in names or PAIRS:
        size, keys = PAIRS[name]
        with tempfile.TemporaryDirectory() as folder:
            drawn = []
            for at, tree in enumerate((earlier.resolve(), ROOT)):
                code = MAKE.format(str(at), size, keys.split(), folder)
                paths = os.pathsep.join(map(str, (tree, tree / "docs" / "making")))
                environ = {**os.environ, "PYTHONPATH": paths}
                subprocess.run([sys.executable, "-c", code], cwd=tree, env=environ, check=True)
                svg, png = (str(Path(folder, f"{at}.{ending}")) for ending in ("svg", "png"))
                subprocess.run(["rsvg-convert", "--width", "760", "-o", png, svg], check=True)
                drawn.append(Image.open(png).convert("RGB"))
            both = Image.new("RGB", (2 * 760 + 20, max(one.height for one in drawn)), "white")
            for at, one in enumerate(drawn):
                both.paste(one, (at * 780, 0))
            both.quantize(64, Image.Quantize.MAXCOVERAGE).save(HERE / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
