"""The one door to TinyDB: its tables and queries over documents that live in memory, written by the journal.

All of TinyDB's writes pass one method of its Table, `_update_table`, which in the stock class copies the
whole table twice and in the stock storage rewrites the whole file. Ours hands the updater a view that notes
which documents it touched, and the storage makes one change of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, MutableMapping
from typing import Any

from tinydb import TinyDB
from tinydb import table as stock
from tinydb.storages import Storage
from tinydb.utils import LRUCache

from putback.store.journal import Rows
from putback.trade.record.change import Document, Edit


def plain(value: Any) -> Any:
    """A copy of plain JSON values that shares nothing with its original."""
    if type(value) is dict:
        return {key: plain(inner) for key, inner in value.items()}
    if type(value) is list:
        return [plain(inner) for inner in value]
    return value


class Found(stock.Document):
    """A document as a query gives it: the reader's own copy, down to the last list."""

    def __init__(self, value: Mapping[str, Any], doc_id: int) -> None:
        """Copy `value`."""
        super().__init__(plain(dict(value)), doc_id)


class LiveStorage(Storage):
    """TinyDB's view of the documents in memory; what is written goes to `receive` as edits."""

    def __init__(self, rows: Rows, receive: Callable[[Iterable[Edit]], None]) -> None:
        """`rows` is shared with the store, not copied."""
        super().__init__()
        self.rows = rows
        self.receive = receive

    def read(self) -> Any:
        """All tables; to read only."""
        return self.rows

    def write(self, data: dict[str, dict[str, Any]]) -> None:
        """Take what a table touched: None stands for a document removed."""
        edits = []
        for name, touched in data.items():
            here = self.rows.get(name, {})
            for key, new in touched.items():
                old = here.get(int(key))
                if old != new:
                    edits.append(Edit(name, int(key), old, new))
        if edits:
            self.receive(edits)


class _Staged(MutableMapping[int, Document]):
    """A table as an updater sees it: it reads through, and keeps what it wrote to itself."""

    def __init__(self, rows: Mapping[int, Document]) -> None:
        self._rows = rows
        self.touched: dict[int, Document | None] = {}

    def __getitem__(self, number: int) -> Document:
        if number in self.touched:
            document = self.touched[number]
            if document is None:
                raise KeyError(number)
            return document
        # updaters change what they get in place, so whatever is handed out counts as touched
        copy: Document = plain(self._rows[number])
        self.touched[number] = copy
        return copy

    def __setitem__(self, number: int, document: Document) -> None:
        self.touched[number] = document

    def __delitem__(self, number: int) -> None:
        if number not in self:
            raise KeyError(number)
        self.touched[number] = None

    def __contains__(self, number: object) -> bool:
        if number in self.touched:
            return self.touched[number] is not None
        return number in self._rows

    def __iter__(self) -> Iterator[int]:
        for number in self._rows:
            if self.touched.get(number, self) is not None:
                yield number
        for number, document in self.touched.items():
            if document is not None and number not in self._rows:
                yield number

    def __len__(self) -> int:
        return sum(1 for _ in self)


class _NoCache(LRUCache[Any, Any]):
    """Remembers no answers: they would be shared between readers, and commits pass it by."""

    def set(self, key: Any, value: Any) -> None:
        """Forget at once."""


class LiveTable(stock.Table):
    """TinyDB's Table, at a cost that does not grow with the table."""

    document_class = Found
    query_cache_class = _NoCache

    def _update_table(self, updater: Callable[[dict[int, Mapping[str, Any]]], None]) -> None:
        staged = _Staged(self._read_table())  # type: ignore[arg-type]  # numbers are int in our storage
        updater(staged)  # type: ignore[arg-type]  # all that TinyDB asks of it
        self._storage.write({self.name: {str(number): d for number, d in staged.touched.items()}})

    def _get_next_id(self) -> int:
        raise ValueError("every document is given its number by us: insert a tinydb Document with one")

    def insert(self, document: Mapping[str, Any]) -> int:
        """Insert a document that carries its number, as a TinyDB Document does."""
        return super().insert(_found(document))

    def insert_multiple(self, documents: Iterable[Mapping[str, Any]]) -> list[int]:
        """Insert documents that carry their numbers: all of them, or none."""
        return super().insert_multiple([_found(document) for document in documents])

    def upsert(self, document: Mapping[str, Any], cond: Any = None) -> list[int]:
        """Update what matches, or insert a document that carries its number."""
        return super().upsert(_found(document), cond)

    def get(self, cond: Any = None, doc_id: Any = None, doc_ids: Any = None) -> Any:
        """As TinyDB's, with a look-up by number straight to the document."""
        if doc_id is None and doc_ids is None:
            return super().get(cond)
        rows: Any = self._read_table()
        if doc_id is not None:
            return self.document_class(rows[doc_id], doc_id) if doc_id in rows else None
        return [self.document_class(rows[n], n) for n in dict.fromkeys(doc_ids) if n in rows]


def _found(document: Mapping[str, Any]) -> Mapping[str, Any]:
    return Found(document, document.doc_id) if isinstance(document, stock.Document) else document


class LiveDB(TinyDB):
    """A TinyDB whose tables are LiveTables."""

    table_class = LiveTable

    def drop_table(self, name: str) -> None:
        """Empty the table; one that is empty is not listed."""
        self.table(name).truncate()

    def drop_tables(self) -> None:
        """Empty every table."""
        for name in self.tables():
            self.drop_table(name)

    def tables(self) -> set[str]:
        """The names of the tables that hold anything."""
        return {name for name, rows in (self.storage.read() or {}).items() if rows}
