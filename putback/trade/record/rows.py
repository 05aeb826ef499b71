"""One table of a workshop: each document held once, as the text it came as until somebody asks for its noun.

A large workshop holds fifty machines, and one of them is on the bench: most documents are never asked for.
Whoever keeps lists of a table's nouns follows it, and hears of every change before it is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import GenericAlias, MappingProxyType
from typing import Any, Final, Protocol

import msgspec
from msgspec import Raw

from putback.errors import Damaged
from putback.trade.record.change import Document, Written

Held = Any
"""What a table holds for a number: the text of a document, or the noun that it was read as."""

Ready = tuple[Held, Raw | None]
"""What a document is to become, read: what to hold, and the whole text where its noun leaves something out."""

REMOVED: Final[Ready] = (None, None)

_encode = msgspec.json.Encoder().encode
_decode = msgspec.json.Decoder(Document).decode
_BAD = (msgspec.MsgspecError, UnicodeDecodeError, RecursionError)


class Follower(Protocol):
    """Who keeps lists of what a table holds."""

    def ready_for(self, table: str, number: int, after: Any) -> None:
        """Get ready for document `number` to become the noun `after`, or to go. Raises Damaged; changes nothing."""

    def follow(self, table: str, number: int, after: Any) -> None:
        """Take note that it becomes that now. The table still holds what it was before."""


class Rows(Mapping[int, Any]):
    """A table's documents by number: as nouns, where it was told of what kind they are, else as plain values."""

    __slots__ = ("_follower", "_held", "_kind", "_one", "_whole", "last_id", "name")

    def __init__(self, name: str, texts: dict[int, Raw] | None = None, last_id: int = 0) -> None:
        """Take over `texts`, the JSON text of each document; `last_id` is the highest number ever given away."""
        self.name = name
        """The table's name."""
        self.last_id = max(last_id, max(texts or (), default=0))
        """The highest number it has ever given away, removed documents included; 0 at first."""
        self._held: dict[int, Held] = {} if texts is None else texts
        self._whole: dict[int, Raw] = {}  # of a document of which its noun leaves something out: kept for the file
        self._kind: type[Any] | None = None
        self._follower: Follower | None = None

    def read_as(self, kind: type[Any], follower: Follower) -> None:
        """Give nouns of this kind from now on, and tell `follower` of every change."""
        self._kind, self._follower = kind, follower
        self._one = msgspec.json.Decoder(kind).decode

    # -- asking ------------------------------------------------------------------------------------

    def __getitem__(self, number: int) -> Any:
        """Return a document, read now if it has not been before. Raises KeyError, or Damaged where it is not a noun."""
        found = self._held[number]
        if type(found) is not Raw:
            return found
        if self._kind is None:
            return self._plain(number, found)
        noun = self._held[number] = self._read(number, found)
        self._keep_whole(number, found, noun)
        return noun

    def get(self, number: int, default: Any = None) -> Any:
        """Return a document as `[]` does, or `default` where there is none of that number."""
        found = self._held.get(number, default)
        return self[number] if type(found) is Raw else found

    def glance(self, number: int) -> Any:
        """Return a document as `[]` does, and keep its text as it is: who looks at all of them fills no memory."""
        found = self._held[number]
        if type(found) is not Raw:
            return found
        return self._plain(number, found) if self._kind is None else self._read(number, found)

    def __contains__(self, number: object) -> bool:
        return number in self._held

    def __iter__(self) -> Iterator[int]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    def many(self, numbers: Sequence[int]) -> list[Any]:
        """Return many documents that are there: those that are still text are read together."""
        held = self._held
        found = [held[number] for number in numbers]
        if Raw not in map(type, found):
            return found
        self._read_together([number for number in numbers if type(held[number]) is Raw])
        return [self[number] for number in numbers]

    def held(self) -> Mapping[int, Held]:
        """Return what is held of each document, text or noun as it stands: live, to read without reading any."""
        return MappingProxyType(self._held)

    def text(self, number: int) -> Raw | None:
        """Return a document's JSON text, or None where there is none of that number."""
        found = self._held.get(number)
        if found is None or type(found) is Raw:
            return found
        return self._whole.get(number) or Raw(_encode(found))

    def texts(self) -> Iterator[tuple[int, Raw]]:
        """Give every document's number and JSON text, in the order they came."""
        whole = self._whole
        for number, found in self._held.items():
            yield number, found if type(found) is Raw else whole.get(number) or Raw(_encode(found))

    def document(self, number: int) -> Document | None:
        """Return a document as plain values of the caller's own, or None."""
        text = self.text(number)
        return None if text is None else self._plain(number, text)

    def documents(self) -> Mapping[int, Document]:
        """Return all of them as plain values, each made when it is asked for: a live view."""
        return _Documents(self)

    # -- changing: for the one that owns the table ----------------------------------------------------

    def lay(self, number: int, found: Written | None) -> None:
        """Hold a document as it comes out of a file; None takes it out. Nobody is told of it.

        Text stays text; plain values are read at once, and may raise Damaged.
        """
        if found is None:
            self._held.pop(number, None)
            return
        if type(found) is not Raw:
            found = Raw(_encode(found)) if self._kind is None else self._read(number, found)
        self._held[number] = found
        if number > self.last_id:
            self.last_id = number

    def ready(self, number: int, found: Written | None) -> Ready:
        """Read what document `number` is to become, None where it is to go. Changes nothing.

        Raises Damaged where it is not a noun.
        """
        if self._kind is None or self._follower is None:
            if found is None:
                return REMOVED
            return (found.copy() if isinstance(found, Raw) else Raw(_encode(found))), None
        if found is None:
            self._follower.ready_for(self.name, number, None)
            return REMOVED
        noun = self._read(number, found)
        self._follower.ready_for(self.name, number, noun)
        return noun, found.copy() if isinstance(found, Raw) and not _tells_all(noun, found) else None

    def settle(self, number: int, ready: Ready) -> None:
        """Let document `number` become what was made ready. Raises nothing."""
        held, whole = ready
        if self._follower is not None:
            self._follower.follow(self.name, number, held)
        if whole is not None:
            self._whole[number] = whole
        elif self._whole:
            self._whole.pop(number, None)
        if held is None:
            self._held.pop(number, None)
        else:
            self._held[number] = held
            if number > self.last_id:
                self.last_id = number

    def reserve(self, number: int) -> None:
        """Never give away a number up to `number`."""
        self.last_id = max(self.last_id, number)

    def _read(self, number: int, found: Written) -> Any:
        """Return a document as a noun. Raises Damaged, naming table and document, where it is none."""
        fault: Exception | None = None
        try:
            noun = self._one(found) if isinstance(found, Raw) else msgspec.convert(found, self._kind)
            if noun.id == number:
                return noun
            why = f"it says that it is {noun.id}"
        except _BAD as found_wrong:
            why, fault = str(found_wrong), found_wrong
        raise damaged(self.name, number, why) from fault

    def _plain(self, number: int, text: Raw) -> Document:
        try:
            return _decode(text)
        except _BAD as fault:
            raise damaged(self.name, number, str(fault)) from fault

    def _read_together(self, numbers: list[int]) -> None:
        """Read many texts in one go; one that is not a noun is left as it is, and says so when it is asked for."""
        if self._kind is None:
            return
        held = self._held
        data = b"[" + b",".join([held[number] for number in numbers]) + b"]"
        try:
            nouns = msgspec.json.decode(data, type=GenericAlias(list, (self._kind,)))
        except _BAD:
            return
        if [noun.id for noun in nouns] != numbers:
            return
        if _encode(nouns) != data:
            for number, noun in zip(numbers, nouns, strict=True):
                self._keep_whole(number, held[number], noun)
        held.update(zip(numbers, nouns, strict=True))

    def _keep_whole(self, number: int, text: Raw, noun: Any) -> None:
        if not _tells_all(noun, text):
            self._whole[number] = text


class _Documents(Mapping[int, Document]):
    """A table's documents as plain values of the asker's own."""

    def __init__(self, rows: Rows) -> None:
        self._rows = rows

    def __getitem__(self, number: int) -> Document:
        found = self._rows.document(number)
        if found is None:
            raise KeyError(number)
        return found

    def __iter__(self) -> Iterator[int]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)


def _tells_all(noun: Any, text: Raw) -> bool:
    """Tell whether a noun gives back the document it was read from."""
    again = _encode(noun)
    return again == bytes(text) or _decode(again) == _decode(text)


def damaged(table: str, number: int, why: str) -> Damaged:
    """Say why a document cannot be read."""
    return Damaged(f"Document {number} of table {table!r} cannot be read: {why}.")


def same(one: Raw | None, other: Raw | None) -> bool:
    """Tell whether two texts are the same document, or both are none."""
    if one is None or other is None:
        return one is other
    return one == other or _decode(one) == _decode(other)
