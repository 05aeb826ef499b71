"""How long one full answer takes (thread and length, all series), beside one repaint of the workbench screen.

    python bench/snap.py [rounds]

Both are timed in the same run, so the ratio means something on any machine. The aim is 0.3 ms a full answer.
"""

from __future__ import annotations

import asyncio
import random
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from putback.demo import lay_out_demo
from putback.opening import open_at
from putback.sizing import Origin, Prior, Readings, explain, snap
from putback.sizing.evidence import shapes
from putback.sizing.threads import all_threads
from putback.tui.app import PutbackApp

ORIGINS: tuple[Origin, ...] = ("us", "uk", "metric", "unknown")


def questions(count: int, seed: int = 3) -> list[Readings]:
    """Full questions over all series: crest, pitch and length, or plate and length, on machines of every origin."""
    rng = random.Random(seed)
    asked = []
    for _ in range(count):
        shape = rng.choice(shapes())
        length = f"{rng.uniform(3, 60):.2f}mm"
        origin = rng.choice(ORIGINS)
        if rng.random() < 0.3:
            asked.append(Readings(gauge=shape.thread.name, length=length, origin=origin))
        else:
            crest = rng.uniform(shape.low, shape.top)
            asked.append(Readings(od=f"{crest:.2f}mm", pitch=f"{shape.pitch:.2f}mm", length=length, origin=origin))
    return asked


def timed(asked: list[Readings], prior: Prior) -> list[float]:
    """Milliseconds of each answer."""
    spent = []
    for readings in asked:
        start = perf_counter()
        snap(readings, prior)
        spent.append((perf_counter() - start) * 1000)
    return spent


async def repaints(rounds: int) -> list[float]:
    """Milliseconds of one whole repaint of the workbench at 80 x 24, the wait for idle taken off."""
    spent = []
    with tempfile.TemporaryDirectory() as folder:
        lay_out_demo(Path(folder))
        app = PutbackApp(open_at(Path(folder)))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            for _ in range(rounds):
                start = perf_counter()
                await pilot.pause()
                idle = perf_counter() - start
                start = perf_counter()
                app.screen.refresh(layout=True)
                for widget in app.screen.query("*"):
                    widget.refresh()
                await pilot.pause()
                spent.append((perf_counter() - start - idle) * 1000)
    return spent


def fresh(what: str) -> float:
    """Milliseconds of `what` in a bare interpreter; the best of five."""
    code = f"import time; t = time.perf_counter(); {what}; print(time.perf_counter() - t)"
    runs = (subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True) for _ in range(5))
    return min(float(run.stdout) for run in runs) * 1000


FIRST = "from putback.sizing import Readings, snap; snap(Readings(od='.164', tpi='32', length='.372'))"


def main() -> None:
    """Print the figures."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    asked = questions(rounds)
    prior = Prior.empty().with_seen("#8-32 UNC", 14).with_seen("#6-32 UNC", 9).with_seen("2BA", 2)
    spent = sorted(timed(asked, prior))
    found = statistics.median(
        [(lambda s: (explain(snap(r, prior), r), perf_counter() - s)[1] * 1000)(perf_counter()) for r in asked[:200]]
    )
    paint = statistics.median(asyncio.run(repaints(40)))
    middle = statistics.median(spent)
    print(f"threads in the tables                     {len(all_threads())}")
    print(f"one full answer, median of {rounds}          {middle:.3f} ms   (aim 0.3)")
    print(f"one full answer, 99 of 100                {spent[int(rounds * 0.99)]:.3f} ms")
    print(f"the first answer, imports and tables      {fresh(FIRST):.0f} ms")
    print(f"an answer and its explanation             {found:.3f} ms")
    print(f"one repaint of the workbench, median      {paint:.2f} ms")
    print(f"answers in the time of one repaint        {paint / middle:.0f}")
    print(f"importing the sizing floor                {fresh('import putback.sizing'):.1f} ms  (aim 30)")


if __name__ == "__main__":
    main()
