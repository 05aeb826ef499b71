"""One list of blocks, drawn as text, as words alone, and as rows of a screen."""

from putback.reports.blocks import Block, as_text, as_words
from putback.tui.draw.blocks import block_chunks
from putback.tui.draw.glyphs import UNICODE

BLOCKS = (
    Block("Bags of press 4", "title"),
    Block("By size", "heading", apart=True, said="fasteners by size:"),
    Block(cells=("2", "nut 2BA"), widths=(-3,), inset=2),
    Block(cells=("12", "screw 2BA x 3/8"), widths=(-3,), inset=2, said="12 of screw 2BA x 3/8"),
    Block(cells=("bag 3", "open", "X"), widths=(7, 6), said=""),
    Block("sharp edge", "caution", inset=2),
    Block("wipe it", "open"),
    Block("step 2: odd", "item"),
    Block(said="nothing else"),
    Block(),
)


def test_text_lines_columns_up_and_words_are_sentences() -> None:
    assert as_text(BLOCKS).split("\n") == [
        "Bags of press 4",
        "",
        "By size",
        "    2  nut 2BA",
        "   12  screw 2BA x 3/8",
        "bag 3    open    X",
        "  ! sharp edge",
        "[ ] wipe it",
        "- step 2: odd",
    ]
    assert as_words(BLOCKS).split("\n") == [
        "Bags of press 4.",
        "Fasteners by size:",
        "2 nut 2BA.",
        "12 of screw 2BA by 3 eighths.",
        "Caution: sharp edge.",
        "[ ] wipe it.",
        "Step 2: odd.",
        "Nothing else.",
    ]


def test_a_screen_has_a_heading_with_what_is_below_it_and_nothing_that_is_only_spoken() -> None:
    chunks = [[row.plain.strip() for row in chunk.rows] for chunk in block_chunks(BLOCKS, 40, UNICODE)]
    assert chunks[0] == ["Bags of press 4"] and chunks[1][:2] == ["", "By size"]
    rows = block_chunks((BLOCKS[3],), 16, UNICODE)[0].rows
    assert [row.plain for row in rows] == ["   12  screw 2BA", "       x 3/8"], "a cell goes on below itself"
    assert len(chunks) == 7 and all(len(rows) == 1 for rows in chunks[2:])
    assert [rows[-1].split(" ", 1)[1] for rows in chunks[-3:]] == ["sharp edge", "wipe it", "step 2: odd"]
