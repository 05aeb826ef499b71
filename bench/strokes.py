"""Made-up strokes of a realistic size, for the store's benchmarks and fault proofs.

One stroke takes a screw out: a new thing, a new move, its step with one thing more, its bag with one more.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from putback.trade.record.change import Change, Document, Edit

FACES = ("top", "front", "left", "right", "back", "under")
SIZES = ("#8-32 UNC", "#6-32 UNC", "#10-32 UNF", "1/4-20 UNC", "M4x0.7", "2BA")
AT = "2025-03-01T10:00:00+01:00"
WHO = "bench"


def thing(rng: random.Random, number: int, step: int) -> Document:
    """A screw as it came out."""
    return {
        "machine": 1,
        "kind": "screw",
        "name": f"screw {number}",
        "step": step,
        "face": rng.choice(FACES),
        "hole": str(rng.randint(1, 9)),
        "readings": {"gauge": "832", "length": f".{rng.randint(240, 520)}"},
        "nominal": {"thread": rng.choice(SIZES), "length": "3/8", "verdict": "sure"},
        "head": "fillister",
        "drive": "slot",
        "place": "bag 4",
        "note": "",
    }


class Bench:
    """A workshop being filled, stroke by stroke, the same for the same seed."""

    def __init__(self, seed: int = 1, per_step: int = 8) -> None:
        """Nothing is out yet."""
        self.rng = random.Random(seed)
        self.per_step = per_step
        self.things = 0
        self.step_number = 0
        self.step: Document = {}
        self.bag: Document = {}

    def stroke(self) -> Change:
        """The next screw."""
        self.things += 1
        number = self.things
        edits: list[Edit] = []
        fresh = (number - 1) % self.per_step == 0
        if fresh:
            self.step_number += 1
        step_id = self.step_number
        old_step = None if fresh else self.step
        old_bag = None if fresh else self.bag
        edits.append(Edit("thing", number, None, thing(self.rng, number, step_id)))
        move = {"thing": number, "count": 1, "from": "fitted", "to": f"bag {step_id}", "step": step_id}
        edits.append(Edit("move", number, None, move))
        self.step = {
            "machine": 1,
            "number": step_id,
            "do": "take off",
            "part": f"part {step_id}",
            "in": "housing",
            "face": FACES[step_id % 6],
            "needs": [step_id - 1] if step_id > 1 else [],
            "tools": ["blade 1.0 x 5.5"],
            "cautions": ["the drum turns freely once the guard is off"],
            "things": [*(old_step or {}).get("things", []), number],
            "minutes": 4,
        }
        self.bag = {
            "machine": 1,
            "number": step_id,
            "code": f"PB{step_id:06d}7",
            "state": "open",
            "count": (old_bag or {}).get("count", 0) + 1,
        }
        edits += [Edit("step", step_id, old_step, self.step), Edit("bag", step_id, old_bag, self.bag)]
        text = f"took out screw {number}: bag {step_id}"
        return Change(did="TakeOut", said=text, edits=tuple(edits), machine=1)

    def strokes(self, count: int) -> Iterator[tuple[Change, str, str]]:
        """So many strokes, stamped."""
        for _ in range(count):
            yield self.stroke(), AT, WHO
