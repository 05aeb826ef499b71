"""TinyDB over the documents in memory: the one door through which a workshop's documents are written.

Only what TinyDB shows to everybody is used: a Storage of ours, and a Table whose public methods are ours. A stock
Table rewrites the whole file at every write; ours hands on the documents it touched, and they become one
change, one line of the journal. The record reads from these tables, and is told of every write.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, cast

import msgspec
from msgspec import Raw
from tinydb import TinyDB
from tinydb import table as stock
from tinydb.storages import Storage

from putback.store.journal import Tables
from putback.store.line import half_a_character
from putback.trade.record.change import Document, Edit
from putback.trade.record.rows import Ready, Rows

_encode = msgspec.json.Encoder().encode
_decode = msgspec.json.Decoder(Document).decode


def text_of(document: Mapping[str, Any]) -> Raw:
    """A document's JSON text. Raises Refused for what cannot be written down."""
    try:
        return Raw(_encode(document))
    except UnicodeEncodeError as error:
        raise half_a_character(error) from error


class LiveStorage(Storage):
    """A TinyDB storage: every table's documents, as the last line of the journal left them.

    What TinyDB writes goes to `receive` as edits, and becomes a line there.
    """

    def __init__(self, tables: Tables, receive: Callable[[tuple[Edit, ...]], None]) -> None:
        """Take over `tables`."""
        super().__init__()
        self.tables = tables
        self.receive = receive
        self._not_begun: Tables = {}  # tables that were asked about and never held anything

    def rows(self, name: str) -> Rows:
        """A table's documents."""
        found = self.tables.get(name)
        return found if found is not None else self._not_begun.setdefault(name, Rows(name))

    def begun(self, name: str) -> None:
        """Count a table among those that hold something, in the order in which they first did."""
        if name in self._not_begun:
            self.tables[name] = self._not_begun.pop(name)

    def read(self) -> dict[str, dict[str, Document]]:
        """All documents by table and number, the reader's own."""
        return {name: {str(n): cast(Document, rows.document(n)) for n in rows} for name, rows in self.tables.items()}

    def write(self, data: dict[str, dict[str, Any]]) -> None:
        """Take all documents as they are to be; what differs from what they are is the change."""
        edits: list[Edit] = []
        for name in [*self.tables, *(name for name in data if name not in self.tables)]:
            wanted = {int(key): document for key, document in data.get(name, {}).items()}
            gone = [number for number in self.rows(name) if number not in wanted]
            edits += self._edits(name, {**wanted, **dict.fromkeys(gone)})
        if edits:
            self.receive(tuple(edits))

    def take(self, name: str, touched: Mapping[int, Document | None]) -> None:
        """Take what a table touched: None stands for a document removed."""
        edits = self._edits(name, touched)
        if edits:
            self.receive(tuple(edits))

    def _edits(self, name: str, touched: Mapping[int, Document | None]) -> list[Edit]:
        """What differs, sharing nothing with what was given."""
        rows = self.rows(name)
        edits = []
        for number, wanted in touched.items():
            old, new = rows.document(number), None if wanted is None else _decode(text_of(wanted))
            if old != new:
                edits.append(Edit(name, number, old, new))
        return edits


class LiveTable(stock.Table):
    """TinyDB's Table, at a cost that does not grow with the table. Answers are the asker's own."""

    def __init__(self, storage: Storage, name: str, cache_size: int = 0, persist_empty: bool = False) -> None:
        """A door to the table `name`; answers are not kept, and a table that is empty is not either."""
        super().__init__(storage, name, cache_size)
        self.live = cast(LiveStorage, storage)
        """Its storage."""
        self.rows = self.live.rows(name)
        """Its documents: to read."""

    # What the journal says

    def put(self, number: int, ready: Ready) -> None:
        """Let document `number` become what was made ready, and tell who follows. Its line is written."""
        if not self.rows.last_id:
            self.live.begun(self.name)
        self.rows.settle(number, ready)

    def reserve(self, number: int) -> None:
        """Never give away a number up to `number`."""
        self.live.begun(self.name)
        self.rows.reserve(number)

    # TinyDB's ways to ask

    def __len__(self) -> int:
        """How many documents there are."""
        return len(self.rows)

    def __iter__(self) -> Iterator[stock.Document]:
        """Every document."""
        for number in list(self.rows):
            yield self._given(number)

    def _given(self, number: int) -> stock.Document:
        return self.document_class(cast(Document, self.rows.document(number)), number)

    def all(self) -> list[stock.Document]:
        """Every document."""
        return list(self)

    def search(self, cond: Any) -> list[stock.Document]:
        """Every document that fits."""
        return [document for document in self if cond(document)]

    def count(self, cond: Any) -> int:
        """How many fit."""
        return len(self.search(cond))

    def get(self, cond: Any = None, doc_id: Any = None, doc_ids: Any = None) -> Any:
        """The document of a number, those of many numbers, or the first that fits; None where there is none."""
        if doc_id is not None:
            return self._given(doc_id) if doc_id in self.rows else None
        if doc_ids is not None:
            return [self._given(number) for number in dict.fromkeys(doc_ids) if number in self.rows]
        if cond is not None:
            return next((document for document in self if cond(document)), None)
        raise RuntimeError("You have to pass either cond or doc_id or doc_ids")

    def contains(self, cond: Any = None, doc_id: int | None = None) -> bool:
        """Whether there is a document of that number, or one that fits."""
        return doc_id in self.rows if doc_id is not None else self.get(cond) is not None

    def clear_cache(self) -> None:
        """Nothing to do: answers are not kept."""

    # TinyDB's ways to write

    def insert(self, document: Mapping[str, Any]) -> int:
        """Insert a document that carries its number, as a TinyDB Document does."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Mapping[str, Any]]) -> list[int]:
        """Insert documents that carry their numbers: all of them, or none."""
        touched: dict[int, Document | None] = {}
        for document in documents:
            if not isinstance(document, stock.Document):
                raise ValueError("every document is given its number by us: insert a tinydb Document with one")
            number = document.doc_id
            if number in self.rows or number in touched:
                raise ValueError(f"Document with ID {number} already exists")
            touched[number] = dict(document)
        self.live.take(self.name, touched)
        return list(touched)

    def update(self, fields: Any, cond: Any = None, doc_ids: Iterable[int] | None = None) -> list[int]:
        """Set fields, or let a function change the document: of these numbers, of what fits, or of all."""
        if doc_ids is not None:
            return self._change([(fields, None)], [number for number in doc_ids if number in self.rows])
        return self._change([(fields, cond)], list(self.rows))

    def update_multiple(self, updates: Iterable[tuple[Any, Any]]) -> list[int]:
        """Several updates, each with what it is for."""
        return self._change(list(updates), list(self.rows))

    def _change(self, updates: list[tuple[Any, Any]], numbers: list[int]) -> list[int]:
        """Lay updates on documents of the caller's own, and take them over together; give the numbers updated."""
        touched: dict[int, Document | None] = {}
        updated = []
        for number in numbers:
            document = touched.get(number)
            if document is None:
                document = cast(Document, self.rows.document(number))
            for fields, cond in updates:
                if cond is not None and not cond(document):
                    continue
                if callable(fields):
                    fields(document)
                else:
                    document.update(fields)
                touched[number] = document
                updated.append(number)
        self.live.take(self.name, touched)
        return updated

    def upsert(self, document: Mapping[str, Any], cond: Any = None) -> list[int]:
        """Update what fits, or the document of the number it carries; insert it where there is none."""
        numbers = [document.doc_id] if isinstance(document, stock.Document) else None
        if numbers is None and cond is None:
            raise ValueError("give a document with its number, or say which document to look for")
        return self.update(document, cond, numbers) or [self.insert(document)]

    def remove(self, cond: Any = None, doc_ids: Iterable[int] | None = None) -> list[int]:
        """Remove the documents of these numbers, or what fits; give their numbers."""
        if doc_ids is not None:
            gone = [number for number in doc_ids if number in self.rows]
        elif cond is not None:
            gone = [document.doc_id for document in self.search(cond)]
        else:
            raise RuntimeError("Use truncate() to remove all documents")
        self.live.take(self.name, dict.fromkeys(gone))
        return gone

    def truncate(self) -> None:
        """Remove every document."""
        self.live.take(self.name, dict.fromkeys(list(self.rows)))


ReadyEdit = tuple[LiveTable, int, Ready]
"""A table, a document's number, and what it is to become."""


class LiveDB(TinyDB):
    """A TinyDB whose tables are LiveTables over a LiveStorage."""

    table_class = LiveTable

    def table(self, name: str, **kwargs: Any) -> LiveTable:
        """The table of that name."""
        return super().table(name, **kwargs)  # type: ignore[return-value]  # of our table_class

    def tables(self) -> set[str]:
        """The names of the tables that hold anything."""
        return {name for name, rows in cast(LiveStorage, self.storage).tables.items() if rows}

    def ready(self, edits: Iterable[tuple[str, int, Raw | None]]) -> list[ReadyEdit]:
        """Read what edits come to: table, number, and the text the document is to have or None.

        Raises Damaged where one is not a noun of who follows its table; changes nothing.
        """
        found = ((self.table(name), number, text) for name, number, text in edits)
        return [(table, number, table.rows.ready(number, text)) for table, number, text in found]

    def put(self, ready: Iterable[ReadyEdit]) -> None:
        """Let the documents become what was made ready, in order. Their line is written."""
        for table, number, what in ready:
            table.put(number, what)
