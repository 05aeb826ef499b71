"""The snapshot `workshop.json`: a plain TinyDB file, one document a line, that any editor opens.

Its first table, `putback`, says what the file is; its last, `checksum`, holds the CRC-32 of every line
before it. Both are ours; the tables between them are the workshop's.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from itertools import islice
from pathlib import Path
from typing import BinaryIO
from zlib import crc32

import msgspec
from msgspec import Raw, Struct

from putback.store import upgrade
from putback.store.disk import Disk
from putback.store.journal import Documents, Tables
from putback.store.line import LINE_LIMIT, Fault
from putback.trade.record.change import Document
from putback.trade.record.rows import Rows

SIZE_LIMIT = 1 << 30
"""The largest snapshot, in bytes, that is read."""

HEAD_TABLE = "putback"
SUM_TABLE = "checksum"
RESERVED = frozenset({HEAD_TABLE, SUM_TABLE})
"""Table names that are the store's own."""


class Title(Struct, frozen=True, kw_only=True):
    """What a snapshot says of itself."""

    format: int
    """The format of the file."""
    workshop: str
    """The workshop's id: eight hexadecimal digits."""
    fold: int
    """The count of folds; the journal that goes on from here has the same."""
    number: int
    """The last change that is in it."""
    last_ids: dict[str, int]
    """The highest number each table has ever given away."""


class Snapshot(Struct, frozen=True):
    """A snapshot as read."""

    title: Title
    """What it says of itself."""
    tables: Tables
    """Its documents, in today's format."""

    def documents(self) -> Documents:
        """Its documents as plain values."""
        return {name: dict(rows) for name, rows in self.tables.items() if rows}


class Unsealed(Fault):
    """Everything reads but the checksum does not fit: `snapshot` is what it reads as, to compare only."""

    def __init__(self, what: str, snapshot: Snapshot) -> None:
        super().__init__(what)
        self.snapshot = snapshot


class Newer(Exception):
    """A file of a newer format; `sound` says whether its checksum fits."""

    def __init__(self, version: int, sound: bool) -> None:
        self.version = version
        self.sound = sound


class Foreign(Exception):
    """None of ours."""


class _FormatOnly(Struct):
    format: int


_Texts = dict[str, dict[int, Raw]]
"""Every document's JSON text by table and number."""

_encode = msgspec.json.Encoder().encode
_decode = msgspec.json.Decoder(dict[int, Document]).decode
_decode_name = msgspec.json.Decoder(str).decode
_BAD = (msgspec.DecodeError, RecursionError, UnicodeDecodeError)

_BEGIN = b"{\n"
_TITLE = b'"putback": {"1": '
_TITLE_END = b"},\n"
_SUM = b'"checksum": {"1": {"crc32": "%08x"}}\n}\n'
_SUM_LENGTH = len(_SUM % 0)
_SUM_LINE = re.compile(rb'"checksum": \{"1": \{"crc32": "[0-9a-f]{8}"\}\}\n\}\n\Z')
_BATCH = 2000  # documents written or read in one go
_decode_whole = msgspec.json.Decoder(_Texts).decode


def pieces(title: Title, rows: Mapping[str, Mapping[int, Document]]) -> Iterator[bytes]:
    """The file's bytes, in pieces. The checksum covers all before its own line."""
    total = 0
    for piece in _body(title, rows):
        total = crc32(piece, total)
        yield piece
    yield _SUM % total


def _body(title: Title, rows: Mapping[str, Mapping[int, Document]]) -> Iterator[bytes]:
    yield _BEGIN + _TITLE + _encode(title) + _TITLE_END
    for name, table in rows.items():
        if not table:
            continue
        yield _encode(name) + b": {\n"
        listed = table.texts() if isinstance(table, Rows) else iter(table.items())
        between = b""
        while batch := list(islice(listed, _BATCH)):
            yield between + b",\n".join([b'"%d": %b' % (number, _encode(row)) for number, row in batch])
            between = b",\n"
        yield b"\n},\n"


def write(disk: Disk, path: Path, title: Title, rows: Mapping[str, Mapping[int, Document]]) -> None:
    """Write a snapshot file and flush it. Raises OSError; the caller renames it into place."""
    file = disk.create(path)
    try:
        for piece in pieces(title, rows):
            disk.write(file, piece)
        disk.flush(file)
    finally:
        disk.close(file)


def begins(data: bytes) -> bool:
    """Whether a file that begins so is a snapshot, whatever it is called."""
    return data.startswith(_BEGIN + _TITLE)


def read(path: Path) -> Snapshot:
    """A snapshot file, in today's format. Raises Fault, Newer, Foreign, or OSError.

    Where it fits its checksum it is what we wrote, and each document stays a text until it is asked for.
    Otherwise it is read line by line as it was written, so that an error has a line.
    """
    with open(path, "rb") as file:
        size = file.seek(0, os.SEEK_END)
        file.seek(max(0, size - _SUM_LENGTH))
        tail = file.read()
        file.seek(0)
        begin, line = file.readline(8), file.readline(LINE_LIMIT)
        if begin != _BEGIN or not line.startswith(_TITLE):
            if _SUM_LINE.match(tail):
                raise Fault("does not begin as a workshop does")
            raise Foreign
        if size > SIZE_LIMIT:
            raise Fault(f"is {size} bytes long, more than any workshop")
        try:
            text = line[len(_TITLE) : -len(_TITLE_END)]
            version = msgspec.json.decode(text, type=_FormatOnly).format
            if version > upgrade.FORMAT:
                raise Newer(version, sound=_sound(file, size, tail))
            title = msgspec.json.decode(text, type=Title)
        except _BAD as error:
            raise Fault("stops making sense in line 2") from error
        texts, total = _whole(file, tail) or _tables(file, size - _SUM_LENGTH, crc32(line, crc32(begin)))
    try:
        if title.format < upgrade.FORMAT:
            for name, table in texts.items():
                texts[name] = {n: upgrade.text(title.format, name, text) for n, text in table.items()}
    except KeyError as error:
        raise Fault(f"is of a format {title.format} that never was") from error
    names = [*texts, *(name for name in title.last_ids if name not in texts)]
    found = Snapshot(title, {name: Rows(name, texts.get(name), title.last_ids.get(name, 0)) for name in names})
    if tail != _SUM % total:
        what = "does not fit its checksum" if _SUM_LINE.match(tail) else "has no checksum at its end"
        raise Unsealed(what, found)
    return found


def _whole(file: BinaryIO, tail: bytes) -> tuple[_Texts, int] | None:
    """The tables of a file that fits its checksum, and the sum; else None, with the file where it stood."""
    at = file.tell()
    file.seek(0)
    data = file.read()
    file.seek(at)
    total = crc32(memoryview(data)[:-_SUM_LENGTH])
    if tail != _SUM % total:
        return None
    try:
        found = _decode_whole(data)
    except _BAD:
        return None
    if {bytes(text)[:1] for texts in found.values() for text in texts.values()} != {b"{"}:
        return None  # a document that is none: the slow way says where
    return {name: texts for name, texts in found.items() if name not in RESERVED}, total


def _tables(file: BinaryIO, end: int, total: int) -> tuple[_Texts, int]:
    """The tables between title and checksum, which lies at `end`; and the sum of the bytes up to there."""
    rows: _Texts = {}
    table: dict[int, Raw] | None = None
    batch: list[bytes] = []
    left = end - file.tell()
    number = 2
    while left > 0:
        line = file.readline(min(left, LINE_LIMIT))
        number += 1
        left -= len(line)
        total = crc32(line, total)
        try:
            if table is None:
                if not line.endswith(b": {\n"):
                    raise Fault(f"stops making sense in line {number}")
                table = rows[_decode_name(line[:-4])] = {}
            elif line == b"},\n":
                _take(table, batch, number)
                table, batch = None, []
            else:
                batch.append(line)
                if len(batch) == _BATCH:
                    _take(table, batch, number + 1)
                    batch = []
        except _BAD as error:
            raise Fault(f"stops making sense in line {number}") from error
    if table is not None:
        raise Fault(f"stops making sense in line {number}")
    return rows, total


def _take(table: dict[int, Raw], batch: list[bytes], number: int) -> None:
    """Read documents into their table; `number` is that of the line behind them."""
    try:
        found = _decode(b"{" + b"".join(batch).removesuffix(b"\n").removesuffix(b",") + b"}")
        table.update({number: Raw(_encode(document)) for number, document in found.items()})
    except _BAD:
        for at, line in enumerate(batch, number - len(batch)):
            try:
                _decode(b"{" + line.removesuffix(b"\n").removesuffix(b",") + b"}")
            except _BAD as error:
                raise Fault(f"stops making sense in line {at}") from error
        raise Fault(f"stops making sense before line {number}") from None


def _sound(file: BinaryIO, size: int, tail: bytes) -> bool:
    """Whether the checksum of a file fits, of whatever format: its last two lines stay what they are."""
    file.seek(0)
    left, total = size - _SUM_LENGTH, 0
    while left > 0 and (block := file.read(min(left, 1 << 20))):
        total = crc32(block, total)
        left -= len(block)
    return tail == _SUM % total
