"""An account as lines: of text for paper and terminal, and of words to be spoken."""

from __future__ import annotations

from collections.abc import Iterator

from putback.reports.account.blocks import Account, Block, Sort
from putback.reports.blocks import Block as ReportBlock
from putback.trade.record.place import FITTED, LOOSE

CAUTIONS: tuple[Sort, ...] = ("caution", "usual", "rules")
"""The sorts that tell of harm."""

HELD = ("waits", "first", "covered", "skipped")
"""The sorts that hold a step up."""

LEADS = {
    "tools": "tools: ", "fits": "fits: ", "note": "note: ", "move": "moved: ", "photo": "photos: ", "finding": "look: ",
    "unit": "unit: ", "soak": "was soaked: ", "open": "still open: ", "known": "to know: ", "work": "first: ",
    "clip": "check: ",
    "frees": "sets free: ", "order": "screws: ", "setting": "set ", "after": "with it on, set ",
}  # fmt: skip
"""What a line begins with, by its sort, where its words do not say it."""

UNSAID = ("face",)
"""Sorts that a line does not say: the picture, whose rows say the same."""


def block_text(block: Block) -> str:
    """Return a block in one line, with what it is about before it; a row says its place and its holes."""
    if block.sort in ("place", "piece"):
        return f"{where(block)}: {block.words}"
    if block.kind == "row":
        return f"{'tighten' if block.sort == 'loosened' else f'{where(block)}:'} {holes_text(block)}: {block.words}"
    words = f"{LEADS.get(block.sort, '')}{block.words}"
    return f"{words}; rules: {block.rules}" if block.rules else words


def holes_text(block: Block) -> str:
    """Return a row's holes in words: `hole 3`, `holes 1 3`, and where the step has several faces `holes 1 3, right`."""
    face = f", {block.face}" if block.face else ""
    return f"hole{'s' if len(block.holes) > 1 else ''} {' '.join(block.holes)}{face}"


def where(block: Block) -> str:
    """Return where something lies, in words; what is fitted is on the machine."""
    return {FITTED: "on the machine", LOOSE: "loose on the bench"}.get(block.place, block.place)


def account_blocks(account: Account, *, inset: int) -> Iterator[ReportBlock]:
    """Give an account as blocks of a report, its heading left out."""
    for block in account.blocks[1:]:
        if block.sort not in UNSAID:
            yield ReportBlock(block_text(block), "caution" if block.sort in CAUTIONS else "line", inset)


def spoken_lines(account: Account) -> Iterator[str]:
    """Give an account in lines that are still to be spoken, its heading left out; what is confirmed says so."""
    for block in account.blocks[1:]:
        if block.sort in UNSAID:
            continue
        lead = "caution: " if block.sort in ("caution", "usual") else ""
        yield f"{'confirmed, ' if block.kind == 'question' and block.done else ''}{lead}{block_text(block)}"


def now_line(account: Account) -> str:
    """Return what is to do now, as a line still to be spoken."""
    leads = {
        "waits": "it cannot go back yet", "first": "it cannot go back yet", "covered": "it cannot go back yet",
        "job": "it cannot go back yet", "turn": "to do now", "put": "to do now",
    }  # fmt: skip
    line = "put it back" if account.next == "put" else account.line
    return f"{leads.get(account.next, 'to do now: confirm')}: {line}"
