"""The summary of a session as blocks: what was done as a tree, what came of it, what is open, where everything is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from putback.dates import day_and_time
from putback.reports.blocks import Block
from putback.reports.summary import StepLine, Summary
from putback.trade.record.phrases import counted, minutes_text
from putback.trade.record.place import going

WHERE = {
    "fitted": "on the machine", "loose": "loose on the bench", "bag": "in bags", "box": "in boxes",
    "kept with": "kept with another part", "shelf": "on the shelf", "away": "away", "borrowed": "borrowed",
    "scrapped": "scrapped", "missing": "missing",
}  # fmt: skip
"""How each sort of place is said of what is there."""


class Branch(Struct, frozen=True):
    """One line of what was done, drawn as a tree."""

    depth: int
    """How deep it sits."""
    name: str
    """An assembly, or what was done; a part that came off is only its name."""
    step: int
    """The step's number; 0 for an assembly."""
    out: int
    """Fasteners that came out; for an assembly, all under it."""
    pieces: int
    """Loose pieces that came out."""
    text: str
    """Where things went: the bags, and the part where it lies in none of them."""


def tree_of(lines: Sequence[StepLine]) -> list[Branch]:
    """Return steps as a tree of the assemblies they sit in, each assembly where it was first worked in."""
    return list(_branches(lines, 0))


def _branches(lines: Sequence[StepLine], depth: int) -> Iterator[Branch]:
    groups: dict[str, list[StepLine]] = {}
    for line in lines:
        key = line.path[depth] if len(line.path) > depth else ""
        groups.setdefault(key, []).append(line)
    for name, mine in groups.items():
        if name:
            yield Branch(depth, name, 0, sum(x.fasteners for x in mine), sum(x.pieces for x in mine), "")
            yield from _branches(mine, depth + 1)
            continue
        for line in mine:
            texts = [f"bag {', '.join(map(str, line.bags))}"] if line.bags else []
            texts += [line.put] if line.put and line.put not in [f"bag {n}" for n in line.bags] else []
            named = line.name if line.do == "take off" and line.name else line.text
            yield Branch(depth, named, line.number, line.fasteners, line.pieces, "; ".join(texts))


def balance_lines(summary: Summary) -> list[str]:
    """Return the trial balance as short phrases: `64 in bags`."""
    return [f"{count} {WHERE.get(sort, sort)}" for sort, count in summary.balance.items()]


def balance_proved(summary: Summary) -> str:
    """Return what the balance comes to, in words."""
    total = sum(summary.balance.values())
    if total == summary.things:
        return f"{counted(total, 'thing')}, each in one place: it balances"
    return f"{total} of {counted(summary.things, 'thing')}: IT DOES NOT BALANCE"


def done_text(summary: Summary) -> str:
    """Return how much was done, in a line."""
    fasteners = sum(line.fasteners for line in summary.steps)
    pieces = sum(line.pieces for line in summary.steps)
    texts = [counted(len(summary.steps), "step")]
    texts += [f"{counted(fasteners, 'fastener')} out"] if fasteners else []
    texts += [f"{counted(pieces, 'loose piece')} out"] if pieces else []
    texts += [f"{counted(len(summary.back), 'step')} back"] if summary.back else []
    return ", ".join(texts)


def summary_blocks(summary: Summary) -> Iterator[Block]:
    """Give the summary: to the eye what was done is a tree, to the ear a line a step."""
    s = summary
    yield from _head(s)
    yield Block(f"Done: {done_text(s)}", "heading", apart=True)
    yield from map(_branch_block, tree_of(s.steps))
    yield from (Block(said=_said_of(line)) for line in s.steps)
    if s.back:
        yield Block(f"Put back: step {', '.join(map(str, s.back))}")
    yield from _items("Not as it was found", s.holes, "not as it was found: ", apart=False)
    yield from _items("Seen and noted", s.seen, "seen and noted, ")
    yield from _items("Of the machine itself", s.of_machine, "of the machine itself: ")
    if s.sizes:
        yield Block("By size", "heading", apart=True, said="fasteners that came out, by size:")
    for size, count in s.sizes.items():
        yield Block(cells=(str(count), size), widths=(-3,), inset=2, said=f"{count} of {size}")
    if s.bags:
        yield Block("Bags filled", "heading", apart=True, said="")
    for b in s.bags:
        cells = f"bag {b.number}", b.state, f"{b.count} in it", b.code
        yield Block(cells=cells, widths=(7, 6, -9), inset=2, said=f"bag {b.number}: {b.state}, {b.count} in it")
    if s.areas:
        yield Block("Time by assembly", "heading", apart=True, said="")
    for area, minutes in s.areas.items():
        took, name = minutes_text(minutes), area or "the machine itself"
        yield Block(cells=(took, name), widths=(-8,), inset=2, said=f"time at {name}: {took}")
    yield Block(f"Open questions: {len(s.questions)}", "heading", apart=True)
    yield from (Block(question, "item", inset=2) for question in s.questions)
    yield Block("Where everything is now", "heading", apart=True, said="where everything is now:")
    for sort, count in s.balance.items():
        yield Block(cells=(str(count), WHERE.get(sort, sort)), widths=(-4,), inset=2)
    yield Block(balance_proved(s), inset=2)


def _head(s: Summary) -> Iterator[Block]:
    """Which session it is, how long it took, and where to start next time."""
    whose, hands_on = f"{s.machine}, session {s.session}", f"{minutes_text(s.minutes)} hands on in "
    hands_on += counted(s.segments, "segment")
    in_all = f"{minutes_text(s.minutes_all)} in all sessions" if s.session > 1 else ""
    start, end = day_and_time(s.start), day_and_time(s.end)
    yield Block(f"{whose}: {s.title}" if s.title else whose, "title", said=whose)
    yield from (Block(said=words) for words in (s.title, f"from {start} to {end}", hands_on, in_all))
    yield Block(", ".join(filter(None, (f"{start} to {end}", hands_on, in_all))), said="")
    yield Block(f"Next time: {s.next}", apart=True)
    yield from (Block(f"Note: {note}") for note in (*s.notes, *s.note.splitlines()))


def _branch_block(branch: Branch) -> Block:
    """One line of the tree, for the eye."""
    inset = 2 * (branch.depth + 1)
    if not branch.step:
        return Block(branch.name, inset=inset, said="")
    texts = [counted(branch.out, "fastener")] if branch.out else []
    texts += [counted(branch.pieces, "piece")] if branch.pieces else []
    texts += [branch.text] if branch.text else []
    words = branch.name + (f"  ({'; '.join(texts)})" if texts else "")
    return Block(cells=(str(branch.step), words), widths=(-3,), inset=inset, said="")


def _said_of(line: StepLine) -> str:
    """One step as it is said."""
    inside = f", inside {', '.join(line.path)}" if line.path else ""
    counts = [counted(line.fasteners, "fastener")] if line.fasteners else []
    counts += [counted(line.pieces, "loose piece")] if line.pieces else []
    counts += [f"bag {', '.join(map(str, line.bags))}"] if line.bags else []
    counts += [f"the part {going(line.put)}"] if line.put else []
    return "; ".join([f"step {line.number}: {line.text}{inside}", *counts])


def _items(title: str, words: Sequence[str], lead: str, *, apart: bool = True) -> Iterator[Block]:
    """Sentences under a title, each with its lead where it is only heard."""
    if words:
        yield Block(title, "heading", apart=apart, said="")
    yield from (Block(one, "item", inset=2, said=f"{lead}{one}") for one in words)
