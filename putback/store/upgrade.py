"""Older records brought forward, one format at a time.

A step takes one document of format N and gives it in format N+1. Working document by document, it serves
the snapshot, the journal and the history alike, so that a change of years ago can still be taken back.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
from msgspec import Raw

from putback.trade.record.change import Change, Document, Edit
from putback.trade.record.job import in_new_words

FORMAT = 2
"""The format this Putback writes, in snapshot and journal."""

_encode = msgspec.json.Encoder().encode
_decode = msgspec.json.Decoder(Document).decode

Step = Callable[[str, Document], Document]
"""A table's name and one document of it in an old format; gives the document one format on."""


def _jobs(table: str, old: Document) -> Document:
    """Out of format 1: what is left to do at a step is a job, which says what it has to be done before."""
    if table != "steps" or "todo" not in old:
        return old
    return {**old, "todo": [in_new_words(row) for row in old["todo"]]}


STEPS: dict[int, Step] = {1: _jobs}
"""The step out of each older format."""


def document(version: int, table: str, old: Document) -> Document:
    """One document of format `version` as it reads today; the one given is left as it is."""
    for number in range(version, FORMAT):
        old = STEPS[number](table, old)
    return old


def change(version: int, old: Change) -> Change:
    """One change of format `version` as it reads today."""
    if version == FORMAT:
        return old
    edits = tuple(
        Edit(
            e.table,
            e.id,
            None if e.old is None else document(version, e.table, e.old),
            None if e.new is None else document(version, e.table, e.new),
        )
        for e in old.edits
    )
    return Change(did=old.did, said=old.said, edits=edits, machine=old.machine, undoes=old.undoes)


def text(version: int, table: str, old: Raw) -> Raw:
    """The same of a document's text."""
    return Raw(_encode(document(version, table, _decode(old))))
