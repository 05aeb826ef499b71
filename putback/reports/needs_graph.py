"""What has to be done before what, as text that drawing programs read: Graphviz and Mermaid.

An arrow leads from a step to one that needs it, so the drawing is read from the top as the machine came apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from putback.errors import BadInput
from putback.trade.record.record import Record
from putback.trade.record.step import Step

FORMS = ("dot", "mermaid")
"""What the graph is written as: for Graphviz, for Mermaid."""


def needs_graph(record: Record, machine: int, form: str) -> str:
    """Return a machine's steps with their needs in one of FORMS. A step that is back is drawn dashed.

    Raises BadInput for another form.
    """
    if form not in FORMS:
        raise BadInput(f"“{form}” is not a form of the graph; there is {' and '.join(FORMS)}.")
    steps = sorted(record.all(Step, machine), key=lambda step: step.number)
    lines = _dot(steps) if form == "dot" else _mermaid(steps)
    return "\n".join(lines)


def _dot(steps: list[Step]) -> Iterator[str]:
    """By the DOT language: a quoted text has its quotation marks and backslashes escaped (graphviz.org/doc/info)."""
    yield "digraph needs {"
    yield "  node [shape=box];"
    for step in steps:
        words = _words(step).replace("\\", "\\\\").replace('"', '\\"')
        yield f'  s{step.number} [label="{words}"{", style=dashed" if step.back else ""}];'
    for step in steps:
        for need in step.needs:
            yield f"  s{need} -> s{step.number};"
    yield "}"


def _mermaid(steps: list[Step]) -> Iterator[str]:
    """By Mermaid's flowchart: text in quotation marks, a sign in it as an entity code, `#quot;` (mermaid.js.org)."""
    yield "flowchart TD"
    for step in steps:
        words = "".join(c if c.isalnum() or c in " .,-/" else f"#{ord(c)};" for c in _words(step))
        yield f'  s{step.number}["{words}"]{":::back" if step.back else ""}'
    for step in steps:
        for need in step.needs:
            yield f"  s{need} --> s{step.number}"
    yield "  classDef back stroke-dasharray: 4"


def _words(step: Step) -> str:
    return " ".join(f"{step.number} {step.name}".split())
