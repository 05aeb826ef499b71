"""A report on paper says in each form what its blocks say to the eye."""

from __future__ import annotations

import re
from html import unescape

import pypdfium2
import pytest

from putback.book.report_pages import as_html, as_markdown, as_pdf
from putback.errors import BadInput
from putback.reports.blocks import Block
from tests.reports.test_blocks import BLOCKS

COLUMNS = (
    Block(cells=("bag", "pieces"), widths=(-3, -6), sort="columns", said=""),
    Block(cells=("3", "12"), widths=(-3, -6), said="bag 3, 12 pieces"),
)


def squeezed(words: str) -> str:
    return re.sub(r"\s", "", words)


@pytest.mark.parametrize("blocks", [BLOCKS, COLUMNS, BLOCKS[1:]], ids=["all", "columns", "no title"])
def test_each_form_says_what_the_blocks_say(blocks: tuple[Block, ...]) -> None:
    html, text = as_html(blocks), as_markdown(blocks)
    pages = pypdfium2.PdfDocument(as_pdf(blocks))
    read = squeezed("".join(page.get_textpage().get_text_range() for page in pages))
    for block in blocks:
        for words in block.cells or (block.words,):
            assert words in unescape(html) and words in text.replace("\\", "") and squeezed(words) in read
    opened = sum(block.sort == "open" for block in blocks)
    assert html.count('class="box"') == text.count("- [ ] ") == opened
    assert ("<h1>" in html) == text.startswith("# ") == (blocks is BLOCKS)


def test_columns_are_named_above_them_and_a_paper_is_one_known() -> None:
    assert "<tr><th>bag</th><th>pieces</th></tr><tr><td>3</td>" in as_html(COLUMNS)
    assert as_markdown(COLUMNS) == "| bag | pieces |\n|---|---|\n| 3 | 12 |\n"
    with pytest.raises(BadInput, match="not a paper"):
        as_pdf(BLOCKS, "A9")
