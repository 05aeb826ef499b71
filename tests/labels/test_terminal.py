"""A label in the terminal, drawn to pixels cell by cell and read by ZXing."""

from __future__ import annotations

import pytest
from PIL import Image

from putback.labels.facts import Contents, LabelFacts
from putback.labels.terminal import INK, PLAIN, terminal_label
from tests.labels.qr_reading import read_texts

FACTS = LabelFacts(
    "PB3K7M2Q4",
    "Ticket-dating press",
    "2041?7",
    4,
    "A",
    ("lid",),
    (5, 6, 7),
    tuple(Contents(n, f"size {n}") for n in range(1, 8)),
)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("width", [40, 80, 200])
def test_the_square_is_read_and_the_words_keep_their_room(width: int, ascii_only: bool) -> None:
    lines = terminal_label(FACTS, width, colour=False, ascii_only=ascii_only)
    across = 58 if ascii_only else 29
    assert all(len(line) <= max(width, across) for line in lines)
    cell = (4, 8)
    picture = Image.new("L", (across * cell[0], len(lines) * cell[1]), 255)
    for y, line in enumerate(lines):
        for x, sign in enumerate(line[:across]):
            for dark, half in ((sign in "█▀#", 0), (sign in "█▄#", 1)):
                if dark:
                    box = (x * cell[0], y * cell[1] + half * 4, (x + 1) * cell[0], y * cell[1] + half * 4 + 4)
                    picture.paste(0, box)
    assert read_texts(picture.resize((picture.width * 2, picture.height * 2))) == ["PB3K7M2Q4"]
    assert ("BAG 4" in "\n".join(lines)) == (width - across >= 14)


def test_colours_stand_round_the_square_alone() -> None:
    for line in terminal_label(FACTS, 80, colour=True):
        assert line.startswith(INK) and line.count(INK) == line.count(PLAIN) == 1
        assert len(line[len(INK) : line.index(PLAIN)]) == 29


def test_words_with_line_breaks_stay_on_their_line() -> None:
    odd = LabelFacts("PB3K7M2Q4", "two\nlines", bag=1)
    assert not any("\n" in line for line in terminal_label(odd, 80, colour=False))
