"""The answers of a question in a row, each with the key that gives it; a finger may tap them."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from putback.tui.draw.palette import BUTTON
from putback.tui.keyboard.tapping import tapped


def answers_row(answers: Iterable[tuple[str, str]]) -> Content:
    """Return keys and what each of them says, in one row."""
    row: list[Content | str] = []
    for key, label in answers:
        shown = Content.assemble(" ", Content.styled(f" {key} ", BUTTON), "  ", Content.styled(label, "bold $pb-text"))
        row += [tapped(shown, "key", key), "  "]
    return Content.assemble(*row[:-1])
