"""Rows are drawn when they are asked for, and no others."""

from __future__ import annotations

from msgspec.structs import replace
from textual.content import Content

from putback.reports.summary import StepLine, Summary
from putback.tui.draw.long_rows import Drawn, in_turn
from putback.tui.draw.summary_page import summary_page


def test_only_what_is_asked_for_is_drawn() -> None:
    asked: list[int] = []

    def draw(row: int) -> Content:
        asked.append(row)
        return Content(str(row))

    rows = in_turn([Content("head")], Drawn(10_000, draw), [], [Content("foot")])
    assert len(rows) == 10_002 and not asked
    assert [row.plain for row in rows[:3]] == ["head", "0", "1"] and rows[-1].plain == "foot"
    assert rows[9_000].plain == "8999" and asked == [0, 1, 8999]
    assert len(list(rows)) == 10_002


def test_the_page_of_a_long_session_is_drawn_where_it_is_looked_at() -> None:
    """Two columns, and the one tree: what is far down has its number beside it as what is on top has."""
    line = StepLine(1, "took off link", "", 2, 0, (1,), "shelf", "take off", "link", (), 1.0)
    steps = tuple(replace(line, number=number) for number in range(1, 3001))
    summary = Summary(
        machine="press",
        session=1,
        title="",
        start="2025-03-01T10:00:00+00:00",
        end="",
        minutes=9.0,
        segments=1,
        steps=steps,
        back=(),
        holes=(),
        sizes={},
        bags=(),
        questions=(),
        balance={},
        things=0,
        next="go on",
        note="",
        areas={},
        minutes_all=9.0,
        notes=(),
        target=40.0,
        breaks=(),
    )
    for width in (60, 120):
        rows = summary_page(summary, width)
        assert isinstance(rows, Drawn) and len(rows) > 3000
        at = next(at for at, row in enumerate(rows[:20]) if " 1 link" in row.plain)
        assert " 2999 link" in rows[at + 2998].plain and rows[at + 2998].cell_length <= width
