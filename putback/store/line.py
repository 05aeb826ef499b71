"""A line of the journal: a change, or the head of its file, sealed with a checksum.

A line is a JSON object whose last field is the checksum of the bytes before it:

    {"v":1,"epoch":"7f3a91c2.4","n":3121,"at":"…","who":"…","change":{…},"sum":"9f3ac2d1"}

The first line is the head: it has `after`, the number of the last change before it, in place of a change.
The epoch is the workshop's id and the count of folds; it ties every line to its snapshot.
"""

from __future__ import annotations

from zlib import crc32

import msgspec
from msgspec import Raw, Struct

from putback.errors import Refused
from putback.store import upgrade
from putback.trade.record.change import Change

LINE_LIMIT = 64 << 20
"""The longest line, in bytes, that is written or read."""

_SUM = b',"sum":"'
_END = b'"}\n'
_BRACE = ord("{")
TAIL = len(_SUM) + 8 + len(_END)


class Entry(Struct, frozen=True):
    """One line of the logbook."""

    number: int
    """The change's number; the first is 1."""
    at: str
    """The stamp it was given."""
    who: str
    """The person."""
    change: Change
    """What was done."""


class Head(Struct, frozen=True, kw_only=True, rename={"version": "v"}):
    """The first line of a journal."""

    version: int
    """The format of the file."""
    epoch: str
    """The workshop's id, a point, and the count of folds."""
    after: int
    """The number of the last change before this journal."""

    @property
    def workshop(self) -> str:
        """The workshop's id."""
        return self.epoch.rpartition(".")[0]

    @property
    def fold(self) -> int:
        """The count of folds."""
        return int(self.epoch.rpartition(".")[2])


class _Line(Struct, kw_only=True):
    v: int
    epoch: str
    n: int
    at: str
    who: str
    change: Change


class LeanEdit(Struct, array_like=True, gc=False):
    """An edit with its documents as the text they stand there as, part of the line they were read from."""

    table: str
    """The table's name."""
    id: int
    """The document's number in its table."""
    old: Raw
    """The text of the document before; `null` where it is new."""
    new: Raw
    """The text of the document now; `null` where it is gone."""

    def before(self) -> Raw | None:
        """The document as it was."""
        return None if self.old == _NULL else self.old

    def after(self) -> Raw | None:
        """The document as it is from now on."""
        return None if self.new == _NULL else self.new


class _LeanChange(Struct, gc=False):
    edits: list[LeanEdit]


class LeanLine(Struct, gc=False):
    """A change's line without what replaying does not need."""

    v: int
    """The format of the file."""
    epoch: str
    """The workshop's id, a point, and the count of folds."""
    n: int
    """The change's number; the first is 1."""
    change: _LeanChange
    """What it replaced; of that, replaying needs the new documents alone."""


_NULL = Raw(b"null")
_encode = msgspec.json.Encoder().encode
_decode_head = msgspec.json.Decoder(Head).decode
_decode_line = msgspec.json.Decoder(_Line).decode
_decode_lean = msgspec.json.Decoder(LeanLine).decode
_BAD = (msgspec.DecodeError, RecursionError, UnicodeDecodeError, ValueError)


class Fault(Exception):
    """Why a line cannot be believed; the text ends a sentence that begins with its place."""


def epoch_of(workshop: str, fold: int) -> str:
    """The name of a stretch between two folds."""
    return f"{workshop}.{fold}"


def seal(body: bytes) -> bytes:
    """A JSON object's bytes as a line with its checksum."""
    body = body[:-1]
    return body + _SUM + b"%08x" % crc32(body) + _END


def head_line(head: Head) -> bytes:
    """The first line of a journal."""
    return seal(_encode(head))


def change_line(epoch: str, number: int, at: str, who: str, change: Change) -> tuple[bytes, list[LeanEdit]]:
    """The line of a change, and its edits as they stand there, sharing nothing with the ones given.

    Raises Refused for what JSON cannot hold or what is too long.
    """
    try:
        line = seal(_encode(_Line(v=upgrade.FORMAT, epoch=epoch, n=number, at=at, who=who, change=change)))
    except UnicodeEncodeError as error:
        raise half_a_character(error) from error
    if len(line) > LINE_LIMIT:
        raise Refused(f"That change is too big for one line: {len(line)} bytes, at most {LINE_LIMIT}.")
    return line, _decode_lean(line).change.edits


def half_a_character(error: UnicodeEncodeError) -> Refused:
    """Why a text cannot be written down."""
    return Refused(f"That text holds half a character ({error.object[error.start]!r}) and cannot be written down.")


def verify(line: bytes) -> None:
    """Raise Fault unless the line is whole and fits its checksum."""
    if line[-3:] != _END or line[-TAIL:-11] != _SUM:
        if not line.endswith(b"\n") and len(line) >= LINE_LIMIT:
            raise Fault(f"is longer than {LINE_LIMIT} bytes")
        raise Fault("does not read as a journal line")
    if line[-11:-3] != b"%08x" % crc32(memoryview(line)[:-TAIL]):
        raise Fault("does not fit its checksum")


def read_head(line: bytes) -> Head:
    """The head in a line. Raises Fault; a newer format is given as it is, for the caller to refuse."""
    if not line:
        raise Fault("is empty")
    try:
        verify(line)
        head = _decode_head(line)
        if not head.workshop or head.fold < 1:
            raise Fault("names no epoch")
    except _BAD as error:
        raise Fault("does not read as a journal's first line") from error
    return head


def is_head(line: bytes) -> bool:
    """Whether a sound line is the first of its journal."""
    return b'"after":' in line[:200] and b'"change":' not in line


def newer_format(line: bytes) -> int | None:
    """The format a line claims, where that is newer than ours; None otherwise, and for what is not JSON."""
    try:
        version = msgspec.json.decode(line, type=_Version).v
    except _BAD:
        return None
    return version if version > upgrade.FORMAT else None


class _Version(Struct):
    v: int


def read_entry(line: bytes) -> tuple[str, Entry]:
    """The epoch and the entry in a line, brought forward to today's format. Raises Fault."""
    verify(line)
    try:
        read = _decode_line(line)
        if not 0 < read.v <= upgrade.FORMAT:
            raise Fault(_strange(read.v))
        return read.epoch, Entry(read.n, read.at, read.who, upgrade.change(read.v, read.change))
    except (*_BAD, KeyError) as error:
        raise Fault("fits its checksum but does not read as a change") from error


def torn(line: bytes) -> bool:
    """Whether a last line without its newline is a write cut short.

    A whole line with one byte in the newline's place was written to its end: that is damage.
    """
    if line.endswith(b"\n") or len(line) >= LINE_LIMIT:
        return False
    try:
        verify(line[:-1] + b"\n")
    except Fault:
        return True
    return False


def _strange(version: int) -> str:
    return f"is of format {version}, and this Putback reads up to {upgrade.FORMAT}"


def misplaced(found: str, number: int, epoch: str, expected: int) -> str:
    """What to say of a sound line of epoch `found` where change `expected` of `epoch` belongs."""
    workshop = found.rpartition(".")[0]
    if workshop != epoch.rpartition(".")[0]:
        return f"belongs to another workshop ({workshop})"
    if found != epoch:
        return f"belongs to another stretch of this workshop ({found}, not {epoch})"
    return f"is change {number} where change {expected} belongs"


def read_lean(line: bytes) -> LeanLine:
    """What replaying needs of a change's line, in the format it was written in. Raises Fault."""
    verify(line)
    try:
        read = _decode_lean(line)
    except _BAD as error:
        raise Fault("fits its checksum but does not read as a change") from error
    if not 0 < read.v <= upgrade.FORMAT:
        raise Fault(_strange(read.v))
    for edit in read.change.edits:
        if memoryview(edit.new)[0] != _BRACE and edit.new != _NULL:
            raise Fault("fits its checksum but does not read as a change")
    return read
