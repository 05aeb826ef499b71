"""Lines: the checksum, and that no changed byte passes."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Refused
from putback.store import line as lines
from putback.store import upgrade
from putback.store.line import Fault, Head, change_line, head_line, read_entry, read_head, torn, verify
from putback.trade.record.change import Change, Edit

CHANGE = Change(did="TakeOff", said="took off «guard»", edits=(Edit("bag", 4, None, {"count": 1}),), machine=2)
LINE = change_line("7f3a91c2.4", 12, "2025-03-01T10:00:00+01:00", "Ann", CHANGE)[0]


def bitwise_crc32(data: bytes) -> int:
    """CRC-32 as RFC 1952 section 8 defines it (the polynomial 0xedb88320, reflected), bit by bit."""
    register = 0xFFFFFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = (register >> 1) ^ (0xEDB88320 if register & 1 else 0)
    return register ^ 0xFFFFFFFF


def test_the_checksum_is_the_crc32_of_rfc_1952() -> None:
    # 0xcbf43926 for "123456789" is the check value of CRC-32 in the catalogue of parametrised CRCs
    # (value from memory)
    assert bitwise_crc32(b"123456789") == 0xCBF43926
    body, rest = LINE.rsplit(b',"sum":"', 1)
    assert rest == b'%08x"}\n' % bitwise_crc32(body)


def test_a_line_is_json_that_a_person_can_read() -> None:
    told = json.loads(LINE)
    assert list(told) == ["v", "epoch", "n", "at", "who", "change", "sum"]
    assert (told["v"], told["epoch"], told["n"], told["who"]) == (upgrade.FORMAT, "7f3a91c2.4", 12, "Ann")
    assert told["change"] == {
        "did": "TakeOff",
        "said": "took off «guard»",
        "edits": [["bag", 4, None, {"count": 1}]],
        "machine": 2,
    }
    assert "«guard»".encode() in LINE and LINE.count(b"\n") == 1


def test_a_line_reads_back() -> None:
    epoch, entry = read_entry(LINE)
    assert epoch == "7f3a91c2.4"
    assert (entry.number, entry.at, entry.who, entry.change) == (12, "2025-03-01T10:00:00+01:00", "Ann", CHANGE)
    head = Head(version=1, epoch="7f3a91c2.4", after=11)
    assert read_head(head_line(head)) == head
    assert (head.workshop, head.fold) == ("7f3a91c2", 4)
    assert lines.is_head(head_line(head)) and not lines.is_head(LINE)


def test_no_single_changed_byte_passes() -> None:
    for place in range(len(LINE)):
        for change in (1, 0x20, 0x80, 0xFF):
            damaged = bytearray(LINE)
            damaged[place] ^= change
            with pytest.raises(Fault):
                verify(bytes(damaged))


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300))
def test_no_heap_of_bytes_is_a_line(data: bytes) -> None:
    for reader in (read_entry, read_head):
        with pytest.raises(Fault):
            reader(data)


def test_a_torn_line_is_told_from_a_damaged_end() -> None:
    for length in range(len(LINE)):
        assert torn(LINE[:length])
    assert not torn(LINE)
    for wrong in b"\0 }\x0b\xff":
        assert not torn(LINE[:-1] + bytes([wrong]))
    assert torn(bytes(len(LINE)))


@pytest.mark.parametrize(
    "body",
    [
        b'{"v":1,"epoch":"x.1","n":1,"at":"","who":"","change":' + b'{"a":' * 100_000 + b"}",
        b'{"v":1,"epoch":"x.1","n":1,"at":"","who":"","change":{"did":"","said":"","edits":' + b"[" * 100_000 + b"}",
        b'{"v":1,"epoch":"x.1","n":"one","at":"","who":"","change":{}}',
        b'{"v":1,"epoch":"x.1","n":1}',
        b'{"v":0,"epoch":"x.1","n":1,"at":"","who":"","change":{"did":"","said":"","edits":[]}}',
        b'{"v":9,"epoch":"x.1","n":1,"at":"","who":"","change":{"did":"","said":"","edits":[]}}',
        b"[]}",
        b'{"v":1,"epoch":"\xff.1","n":1,"at":"","who":"","change":{"did":"","said":"","edits":[]}}',
    ],
)
def test_a_line_that_was_made_to_fit_its_checksum_is_a_fault_all_the_same(body: bytes) -> None:
    made = lines.seal(body)
    for reader in (read_entry, lines.read_lean):
        with pytest.raises(Fault):
            reader(made)


@pytest.mark.parametrize("epoch", ["", "x", "x.", ".1", "x.y", "x.0", "x.-1"])
def test_a_head_without_a_sound_epoch_is_a_fault(epoch: str) -> None:
    with pytest.raises(Fault):
        read_head(head_line(Head(version=1, epoch=epoch, after=0)))


def test_a_change_too_big_for_a_line_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lines, "LINE_LIMIT", 200)
    big = Change(did="x", said="y" * 200, edits=())
    with pytest.raises(Refused, match="too big for one line"):
        change_line("x.1", 1, "", "", big)


def test_the_change_given_back_shares_nothing() -> None:
    inner = [1, (2, 3)]
    kept = change_line("x.1", 1, "", "", Change(did="", said="", edits=(Edit("t", 1, None, {"l": inner}),)))[1]
    inner.append(4)
    assert bytes(kept[0].new) == b'{"l":[1,[2,3]]}'
