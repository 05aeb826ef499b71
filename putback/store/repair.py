"""Putting one wrong byte of a journal right.

CRC-32 is linear: the difference between the sum a line has and the sum it ought to have depends only on
which byte is wrong, how, and how far from the end it stands. Walking that difference backwards from the end
of the line finds the one byte that explains it. For damage of more than one byte a false answer has odds of
about one in ten thousand for a line of 2,000 bytes, and would still have to read as the change that belongs
there; so the caller looks at what comes out.
"""

from __future__ import annotations

from collections.abc import Iterator
from zlib import crc32

from putback.store.line import TAIL, Fault, seal, verify

_POLYNOMIAL = 0xEDB88320
_FORWARD = [crc32(bytes([n])) ^ crc32(b"\0") for n in range(256)]
_LONGEST = 4 << 20
_SEAM = b'"}?{"v":'


def repair(damaged: bytes) -> list[bytes]:
    """The line, or the two lines, that a stretch of bytes was before one of its bytes changed.

    Empty where no single byte explains it. Each line given fits its checksum.
    """
    if not _LONGEST > len(damaged) > TAIL:
        return []
    for line in _one_line(damaged):
        try:
            verify(line)
        except Fault:
            continue
        return [line]
    return _two_lines(damaged)


def _one_line(damaged: bytes) -> Iterator[bytes]:
    """Candidates: the wrong byte in the newline, the sum or its frame, or in the body."""
    whole = damaged if damaged.endswith(b"\n") else damaged[:-1] + b"\n"
    body = whole[:-TAIL]
    sealed = seal(body + b"}")
    if sum(a != b for a, b in zip(sealed, whole, strict=True)) <= 1:
        yield sealed
    try:
        wanted = int(whole[-11:-3], 16)
    except ValueError:
        return
    found = _wrong_byte(len(body), crc32(body) ^ wanted)
    if found is not None:
        place, change = found
        mended = bytearray(whole)
        mended[place] ^= change
        yield bytes(mended)


def _wrong_byte(length: int, difference: int) -> tuple[int, int] | None:
    """Where one byte of so many must be changed, and by which bits, to change their sum by `difference`."""
    here = {value: change for change, value in enumerate(_FORWARD) if change}
    for place in range(length - 1, -1, -1):
        if difference in here:
            return place, here[difference]
        # one zero byte less behind it: eight steps of the shift register back
        for _ in range(8):
            top = difference >> 31
            difference = ((difference ^ (_POLYNOMIAL if top else 0)) << 1 | top) & 0xFFFFFFFF
    return None


def _two_lines(damaged: bytes) -> list[bytes]:
    """Two sound lines whose newline between them became something else."""
    at = damaged.find(_SEAM[:2])
    while at >= 0:
        if damaged[at + 3 : at + 3 + 5] == _SEAM[3:]:
            lines = [damaged[: at + 2] + b"\n", damaged[at + 3 :]]
            try:
                for line in lines:
                    verify(line)
            except Fault:
                pass
            else:
                return lines
        at = damaged.find(_SEAM[:2], at + 1)
    return []
