"""What was said of a step is said again in one line, word for word while there is room."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from putback.trade import commands as c
from putback.trade.commands.notes import LONGEST
from putback.trade.record.step import Adjustment, Soak
from tests.trade.hands import Hands


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (c.Annotate(note="penny side up"), "noted: penny side up"),
        (c.Annotate(note="two\nlines"), "noted: two lines"),
        (c.Annotate(cautions=("the drum turns freely",)), "caution noted: the drum turns freely"),
        (c.Annotate(adjust=(Adjustment(what="end stop", turns=2.5),)), "setting noted: end stop: 2.5 turns"),
        (c.Annotate(adjust=(Adjustment(what="gap", gap=".312", why="worn"),)), "setting noted: gap: gap .312 (worn)"),
        (c.Annotate(tools=("driver 1.0 x 6", "hook")), "to be laid out: driver 1.0 x 6, hook"),
        (c.Annotate(at_refit=("oil",)), "to be done before it goes on: oil"),
        (c.Annotate(soak=Soak("acid", 12)), "soak noted: acid, 12 h"),
        (c.Annotate(cover=True), "noted: it closes something at refit"),
        (c.Annotate(note="a", cautions=("b", "c")), "noted: a; caution noted: b; caution noted: c"),
    ],
)
def test_what_was_said_is_said_again(text: c.Annotate, message: str) -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    assert hands.do(replace(text, step=1)).said == f"{message} (step 1)"


def test_what_is_long_is_cut_with_a_sign_and_kept_whole() -> None:
    hands = Hands()
    hands.take_off("lid", "1")
    note = "wheels from the left 1000 100 10 1, " * 5
    found = hands.do(c.Annotate(step=1, note=note)).said
    assert found.startswith("noted: wheels from the left 1000 100") and found.endswith("... (step 1)")
    assert len(found) == LONGEST + len(" (step 1)") and hands.last.note == note.strip()
