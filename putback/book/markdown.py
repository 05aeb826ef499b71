"""The book as Markdown, for a wiki or a repository. Photos lie in a folder beside it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

from putback.book.bag_lines import bag_lines
from putback.book.contents import Book, Chapter, Return, figures_text
from putback.book.faces import rows_of_text
from putback.book.fastener_list import numbers
from putback.book.leaves import Leaf
from putback.progress import each
from putback.reports.account.lines import CAUTIONS, UNSAID, block_text
from putback.reports.bags import BagCard
from putback.reports.todo import left_to_do
from putback.trade.record.phrases import one_way
from putback.trade.refit.orientation import lay_it

_ACTS = re.compile(r"([\\`*_\[\]<>|~&$])")
"""What Markdown may take for more than a letter anywhere in a line (CommonMark 2.4 lets each be escaped)."""
_OPENS = re.compile(r"^(\d{1,9}(?=[.)])|(?=[#+=-]))([.)#+=-])")
"""What it may take for a list or a heading where a line begins with it."""


def markdown_of(book: Book, beside: Callable[[Path], str]) -> str:
    """Return the whole book as Markdown; `beside` gives the address that a small copy of a photo has from it."""
    blocks = [*_title(book), *_stand(book)]
    for chapter in book.chapters:
        blocks += _chapter(chapter, beside)
    blocks += [*_back(book), *_bags(book), *_sizes(book), *_todo(book)]
    return "\n\n".join(blocks) + "\n"


def marked(words: object) -> str:
    """Return one line of a person's words, nothing in it taken for a sign of Markdown."""
    return _OPENS.sub(r"\1\\\2", _ACTS.sub(r"\\\1", one_way(" ".join(str(words).split()))))


def _title(book: Book) -> Iterator[str]:
    yield f"# {marked(book.caption)}"
    yield f"The machine's book, as of {marked(book.as_of)}. {marked(figures_text(book))}."
    if book.photos_text:
        yield f"{marked(book.photos_text)}."
    if book.plate:
        yield "\n".join(f"- {marked(word)}: {marked(value)}" for word, value in book.plate)


def _stand(book: Book) -> Iterator[str]:
    yield "## How it stands"
    yield f"**Next time:** {marked(book.next)}."
    rows = [f"| {count} | {marked(sort)} |" for count, sort in book.balance]
    yield "\n".join(["| things | where |", "|--:|---|", *rows, f"| **{book.things}** | in all |"])
    if book.questions:
        yield "### Open"
        yield "\n".join(f"- {marked(question)}" for question in book.questions)
    if book.tree:
        yield "### Its parts"
        yield "\n".join(f"{'  ' * d}- {marked(name)}" + (f" ({marked(s)})" if s else "") for d, name, s in book.tree)


def _chapter(chapter: Chapter, beside: Callable[[Path], str]) -> Iterator[str]:
    yield f"## {marked(chapter.name)}"
    if chapter.when:
        yield marked(chapter.when)
    if chapter.note:
        yield marked(chapter.note)
    for leaf in each(chapter.leaves, "steps set"):
        yield from _leaf(leaf, beside)


def _leaf(leaf: Leaf, beside: Callable[[Path], str]) -> Iterator[str]:
    state = f" ({leaf.state})" if leaf.state else ""
    yield f"### {leaf.number}. {marked(leaf.text)}{state}"
    if leaf.where:
        yield f"*{marked(leaf.where)}*"
    if leaf.cautions:
        yield "\n>\n".join(f"> **Caution:** {marked(caution)}" for caution in leaf.cautions)
    if leaf.needs:
        yield f"Came after {marked('; '.join(f'step {number}, {text}' for number, text in leaf.needs))}."
    for face in leaf.faces:
        title = [f"{face.name} face"] if face.name else []
        yield "\n".join(["```text", *title, *rows_of_text(face.holes), "```"])
    if leaf.sizes:
        rows = [
            f"| {s.letter} | {s.count or ''} | {marked(s.called)} | {s.holes} | {marked('; '.join(s.remarks))} |"
            for s in leaf.sizes
        ]
        yield "\n".join(["| | count | what | holes | remarks |", "|---|--:|---|---|---|", *rows])
    lines = [f"**Setting:** {marked(setting)}" for setting in leaf.settings]
    lines += [f"**On the way back, first:** {marked(task)}" for task in leaf.at_refit]
    lines += [f"loose pieces: {marked(', '.join(leaf.pieces))}"] if leaf.pieces else []
    bags = ", ".join(map(str, leaf.bags))
    lines += [f"{'bags' if len(leaf.bags) > 1 else 'bag'} {bags}"] if bags else []
    lines += [f"the part went to: {marked(leaf.put)}"] if leaf.put else []
    lines += [f"tools: {marked(', '.join(leaf.tools))}"] if leaf.tools else []
    lines += [marked(words) for words in (*leaf.notes, *leaf.todo)]
    if lines:
        yield "\n".join(f"- {line}" for line in lines)
    for shown in leaf.photos:
        yield f"![{marked(shown.text)}]({beside(shown.path)})" if shown.path else f"*{marked(shown.text)}*"
    if leaf.more_photos:
        yield f"and {leaf.more_photos} more photos in the workshop"


def _back(book: Book) -> Iterator[str]:
    yield "## The way back"
    if not book.returns:
        yield "Nothing is off."
        return
    yield marked(book.plan_text)
    for one in each(book.returns, "steps of the way back set"):
        if one.begins:
            yield f"### {one.begins}"
        yield from _return(one)
    if book.at_last:
        yield f"At last, turn the machine: {marked(lay_it(book.at_last))}."


def _return(one: Return) -> Iterator[str]:
    yield f"### {one.number}. {marked(one.text)}"
    lines: list[str] = []
    for block in one.account.blocks[1:]:
        if block.kind == "picture":
            if lines:
                yield "\n".join(lines)
            lines = []
            face = one.face_of(block)
            if face is not None:
                title = [f"{face.name} face"] if block.face else []
                yield "\n".join(["```text", *title, *rows_of_text(face.holes), "```"])
        elif block.kind == "row":
            lines.append(f"- {f'**{block.letter}** ' if block.letter else ''}{marked(block_text(block))}")
        elif block.sort in CAUTIONS:
            lines.append(f"- **Caution:** {marked(block_text(block))}")
        elif block.sort not in UNSAID:
            lines.append(f"- {marked(block_text(block))}")
    if lines:
        yield "\n".join(lines)


def _bags(book: Book) -> Iterator[str]:
    yield "## Bags"
    if not book.bags:
        yield "No bag yet."
    for card in book.bags:
        yield _bag(card)


def _bag(card: BagCard) -> str:
    box = f", box {marked(card.row.box)}" if card.row.box else ""
    lines = [f"- **Bag {card.row.number}**{box}, {card.row.state}, `{card.row.code}`"]
    lines += [f"  - {marked(job)}" for job in card.jobs]
    for line in bag_lines(card):
        note = f"; {marked(line.note)}" if line.note else ""
        lines.append(f"  - {line.count} x {marked(line.called)}{note} (step {line.step}, {marked(line.about)})")
    return "\n".join(lines)


def _sizes(book: Book) -> Iterator[str]:
    yield "## Fasteners"
    rows = []
    for row in book.sizes:
        cells = (
            str(row.count),
            marked(row.called),
            marked(row.head),
            marked(row.drive),
            numbers(row.steps),
            numbers(row.bags),
        )
        rows.append(f"| {' | '.join(cells)} |")
    head = ["| count | size | head | drive | steps | bags |", "|--:|---|---|---|---|---|"]
    yield "\n".join([*head, *rows]) if rows else "None yet."
    if book.mixed:
        yield "### Easily mixed up"
        yield "\n".join(f"- **{marked(one.size)}** is not {marked('; nor '.join(one.others))}" for one in book.mixed)


def _todo(book: Book) -> Iterator[str]:
    yield "## Left to do"
    lines = [f"- {marked(words)}" for words in left_to_do(book.todo)]
    yield "\n".join(lines) if lines else "Nothing."
