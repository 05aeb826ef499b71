"""A bag's label in the terminal: the square in half blocks, the same facts beside it."""

from __future__ import annotations

from putback.dates import day as written
from putback.labels import qr
from putback.labels.facts import LabelFacts
from putback.labels.payload import runs

INK = "\x1b[30;107m"
"""Black on bright white (ECMA-48), so that the square reads on dark and light themes alike."""
PLAIN = "\x1b[0m"
GAP = "  "


def terminal_label(facts: LabelFacts, width: int, *, colour: bool, ascii_only: bool = False) -> list[str]:
    """The label as lines of at most `width` cells; the square, which holds the code alone, is never cut.

    With `colour` the square is black on white; without, dark modules are drawn in the terminal's own ink,
    which reads only where that is dark on light.
    """
    square = qr.square(facts.code, 1)
    rows = qr.plain_ascii(square) if ascii_only else qr.half_blocks(square)
    room = width - len(rows[0]) - len(GAP)
    beside = [line[:room] for line in label_lines(facts)] if room >= 12 else []
    top = max(0, (len(rows) - len(beside)) // 2)
    lines = []
    for number, row in enumerate(rows):
        at = number - top
        words = beside[at] if 0 <= at < len(beside) else ""
        lines.append((f"{INK}{row}{PLAIN}" if colour else row) + (GAP + words if words else ""))
    return lines


def label_lines(facts: LabelFacts) -> list[str]:
    """What a label says beside its square, a line each, most important first."""
    steps = runs(facts.steps)
    lines = [
        f"BAG {facts.bag}" if facts.bag is not None else "",
        facts.code,
        facts.machine,
        f"SN {facts.serial}" if facts.serial else "",
        f"step{'s' if len(facts.steps) > 1 else ''} {steps}" if steps else "",
        *(f"{line.count} x {line.size}" for line in facts.contents[:5]),
        f"and {len(facts.contents) - 5} sizes more" if len(facts.contents) > 5 else "",
        f"box {facts.box}" if facts.box else "",
        written(facts.day) if facts.day else "",
    ]
    return [" ".join(line.split()) for line in lines if line]
