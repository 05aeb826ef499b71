"""A face with its holes as it is printed: where each hole stands on the plate, in squares of the 3x3 grid."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from putback.reports.size_letters import looks_of, size_letters
from putback.trade.record.fastener import spot
from putback.trade.record.holes import by_face
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import troubled_holes


class PrintedHole(Struct, frozen=True):
    """One hole of a face."""

    place: str
    """A keypad digit, with a running letter where one place holds several."""
    letter: str
    """The letter of its size; empty where nothing was in it."""
    stacked: int
    """Washers, spacers and the like that came out of it beside the screw."""
    empty: bool
    """Whether it was found empty."""
    trouble: bool = False
    """Whether something is wrong with it or its screw, as its remarks say."""


class Spot(Struct, frozen=True):
    """Where a hole is drawn; the plate is 3 squares wide and 3 high, y goes down."""

    x: float
    """From the left edge, in squares, from 0 to 3."""
    y: float
    """From the upper edge, in squares, from 0 to 3."""
    radius: float
    """In squares."""
    hole: PrintedHole
    """The hole that is drawn there."""


class PrintedFace(Struct, frozen=True):
    """One face of a step."""

    name: str
    """What it is called; empty where that was not said."""
    holes: tuple[PrintedHole, ...]
    """Its holes, by place."""


def faces_of(record: Record, step: Step) -> tuple[PrintedFace, ...]:
    """Return the faces of a step that have holes, its own first."""
    holes = holes_of(record, step)
    return tuple(
        PrintedFace(face or step.face, tuple(holes[spot(place, face)] for place in sorted(places)))
        for face, places in by_face(holes).items()
    )


def holes_of(record: Record, step: Step) -> dict[str, PrintedHole]:
    """Return the holes of a step, each once, by the hole with its face."""
    things = [t for t in record.things_of(step) if t.hole and not t.replaces]
    letters, troubled = size_letters(things), troubled_holes(record, step)
    found: dict[str, PrintedHole] = {}
    for thing in things:
        mine = [t for t in things if t.spot == thing.spot and not t.found]
        alone = next((t for t in mine if t.alone), None)
        if alone is not None and thing is not alone:
            continue
        stacked = len(mine) - 1 if mine else 0
        letter = "" if thing.found else letters[looks_of(thing)]
        trouble = thing.spot in troubled
        hole = PrintedHole(thing.hole, letter, max(0, stacked), bool(thing.found), trouble)
        found.setdefault(thing.spot, hole)
    return found


def spots(holes: Sequence[PrintedHole]) -> list[Spot]:
    """Return where each hole is drawn: several at one place stand close together in it."""
    groups: dict[str, list[PrintedHole]] = {}
    for hole in holes:
        groups.setdefault(hole.place[:1], []).append(hole)
    out = []
    for place, here in groups.items():
        column, row = grid_of(place)
        across = 1 if len(here) == 1 else 2 if len(here) <= 4 else 3 if len(here) <= 9 else 5
        down = -(-len(here) // across)
        radius = 0.3 if len(here) == 1 else 0.42 / max(across, down)
        for index, hole in enumerate(here):
            x = column + (index % across + 0.5) / across
            y = row + (index // across + 0.5) / down
            out.append(Spot(x, y, radius, hole))
    return out


def free_places(holes: Sequence[PrintedHole]) -> list[tuple[str, float, float]]:
    """Return the places that hold nothing, with the middle of each."""
    taken = {hole.place[:1] for hole in holes}
    return [(key, grid_of(key)[0] + 0.5, grid_of(key)[1] + 0.5) for key in "123456789" if key not in taken]


def grid_of(place: str) -> tuple[int, int]:
    """Return column and row, from the upper left, of a place laid out like the number keys."""
    number = int(place[0]) - 1
    return number % 3, 2 - number // 3


def rows_of_text(holes: Sequence[PrintedHole]) -> list[str]:
    """Return the face as three rows of text, `[A ] [  ] [A+]`.

    + stands for what is stacked, x for a hole found empty, * for trouble.
    """
    cells = dict.fromkeys("123456789", "")
    for hole in holes:
        sign = "x" if hole.empty else hole.letter or "o"
        cells[hole.place[0]] += sign + "+" * min(1, hole.stacked) + "*" * hole.trouble
    wide = max(2, *(len(cell) for cell in cells.values()))
    return [" ".join(f"[{cells[key]:^{wide}}]" for key in keys) for keys in ("789", "456", "123")]
