"""A table of documents, most of which are never asked for: each stays the text it was read as until it is.

A large workshop holds fifty machines, and one of them is on the bench.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, MutableMapping

import msgspec
from msgspec import Raw

from putback.trade.record.change import Document, Written

_decode = msgspec.json.Decoder(Document).decode


class Table(MutableMapping[int, Document]):
    """Documents by number; every reader gets the same one, as from a dict."""

    __slots__ = ("_rows",)

    def __init__(self, texts: dict[int, Raw]) -> None:
        """Take over `texts`, the JSON text of each document as it stood in a file that fits its checksum."""
        self._rows: dict[int, Written] = texts  # type: ignore[assignment]  # ours from here on

    def written(self) -> Mapping[int, Written]:
        """All documents, those not asked for so far as their JSON text; live, to read and never to change."""
        return self._rows

    def __getitem__(self, number: int) -> Document:
        found = self._rows[number]
        if type(found) is Raw:
            found = self._rows[number] = _decode(found)
        return found

    def __setitem__(self, number: int, document: Document) -> None:
        self._rows[number] = document

    def __delitem__(self, number: int) -> None:
        del self._rows[number]

    def __contains__(self, number: object) -> bool:
        return number in self._rows

    def __iter__(self) -> Iterator[int]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)


def written(table: Mapping[int, Document]) -> Mapping[int, Written]:
    """Return a table's documents without reading any: text or document, as each stands."""
    return table.written() if isinstance(table, Table) else table
