"""A change as data: the documents it replaces, before and after, and the sentence that tells of it."""

from __future__ import annotations

from typing import Any

from msgspec import Raw, Struct

Document = dict[str, Any]
"""One record as plain JSON values, keyed by field name."""

Written = Document | Raw
"""A document, or the JSON text of one that nobody has asked for yet."""


class Edit(Struct, frozen=True, array_like=True):
    """One document before and after. `old` is None for a new one, `new` is None for a removed one."""

    table: str
    """The table's name."""
    id: int
    """The document's number in its table; given by us, never used twice."""
    old: Document | None
    """The document as it was."""
    new: Document | None
    """The document as it is from now on."""


class Change(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Everything one stroke did: committed whole or not at all."""

    did: str
    """The command's name, as `TakeOff` or `CloseBag`."""
    said: str
    """What happened, as one line for the person."""
    edits: tuple[Edit, ...]
    """The documents touched, in order."""
    machine: int = 0
    """The machine it belongs to, or 0 for the workshop itself."""
    undoes: int = 0
    """The number of the change that this one takes back, or 0."""

    def reversed(self, *, number: int, said: str) -> Change:
        """The change that takes this one back; `number` is this one's number in the journal."""
        edits = tuple(Edit(e.table, e.id, e.new, e.old) for e in reversed(self.edits))
        return Change(did="Undo", said=said, edits=edits, machine=self.machine, undoes=number)
