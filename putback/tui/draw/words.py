"""What the drawings show, said in words: for a screen reader. Loaded only where nothing is drawn."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from putback.reports.spoken import ROWS, hole_text, spoken
from putback.tui.draw.heads import HoleState, HoleView
from putback.tui.draw.holes import Turn
from putback.tui.draw.legend import SizeView
from putback.tui.draw.rule_marks import RuleMark, beside, measured
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.tapping import tapped

STATES: dict[HoleState, str] = {
    "empty": "to come",
    "filled": "in",
    "taken": "out",
    "now": "now",
    "next": "next",
    "found_empty": "found empty",
    "left_empty": "stays empty",
}
"""How a hole stands."""

_TURNED = {90: "to the right", 180: "down", 270: "to the left"}


def face_in_words(
    holes: Sequence[HoleView],
    sizes: Sequence[SizeView],
    width: int,
    room: int,
    *,
    cursor: str | None = None,
    title: str = "",
    elsewhere: str = "",
    turn: Turn = 0,
) -> list[Content]:
    """Return a face with its holes as lines, in at most `room` rows: where the hand is, then like a page is read.

    Where a line a hole is too much, holes of one size stand on one line, and last of all their number alone.
    """
    if cursor and all(hole.place != cursor for hole in holes):
        holes = [*holes, HoleView(cursor, "now")]
    names = {size.mark: spoken(size.label) for size in sizes}
    ordered = sorted(holes, key=lambda h: (h.state != "now", h.state != "next", ROWS.index(h.place[0]), h.place))
    known = [hole for hole in holes if hole.state not in ("now", "next")]
    face = f"{title} face, " if title else ""
    head = f"{face}{len(known)} hole{'' if len(known) == 1 else 's'}"
    if elsewhere:
        head += f"; on other faces: {elsewhere}"
    if turn:
        head += f"; it lies turned, its top is {_TURNED[turn]}"
    lines = [(f"{hole_text(hole.place)}: {_how(hole, names)}", hole.place[0]) for hole in ordered]
    rows = _rows(lines, width)
    if len(rows) + 1 > room:
        groups: dict[str, list[str]] = {}
        for hole in ordered:
            groups.setdefault(_how(hole, names), []).append(hole_text(hole.place))
        rows = _rows([(f"{how}: {'; '.join(where)}", "") for how, where in groups.items()], width)
    if len(rows) + 1 > room:
        rows = [*rows[: max(0, room - 2)], plain("and more, on its card", width)]
    return [plain(head, width, "bold $pb-text"), *rows][: max(1, room)]


def _how(hole: HoleView, names: dict[str, str]) -> str:
    name = names.get(hole.mark, "") if hole.mark else ""
    stacked = "something stacked on it" if hole.stacked else ""
    return ", ".join(filter(None, (STATES[hole.state], name, stacked, "trouble" if hole.trouble else "")))


def _rows(lines: Sequence[tuple[str, str]], width: int) -> list[Content]:
    return [tapped(row, "place", key) if key else row for words, key in lines for row in wrapped(words, width)]


def rule_in_words(width: int, marks: Sequence[RuleMark], pointer: float | None, unit: str) -> list[Content]:
    """Return where a reading lies among the sizes that it may stand for: the best first, then the nearest others."""
    if pointer is None or not marks:
        return []
    texts = [f"reads {measured(pointer, unit)} {unit}"]
    for mark in sorted(marks, key=lambda mark: (not mark.best, abs(mark.at - pointer)))[:3]:
        lies = beside(mark, pointer, unit)
        texts.append(f"{'within' if lies == 'within' else f'{lies} of'} {mark.label}")
    return wrapped(spoken("; ".join(texts)), width, "$pb-text")


def time_in_words(minutes: float, target: float, *, paused: bool = False) -> str:
    """Return the minutes of a segment; they change once a minute, so that no voice speaks every second."""
    over = f", {minutes - target:.0f} over" if minutes >= target + 1 else ""
    return f"{'paused at ' if paused else ''}{int(minutes)} of {target:.0f} minutes{over}"
