"""Reading journals forwards and backwards."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.strokes import AT, WHO, Bench
from putback.store import journal
from putback.store.journal import Tables, replay
from putback.store.line import Head, change_line, head_line

HEAD = Head(version=1, epoch="7f3a91c2.1", after=0)


def written(count: int) -> list[bytes]:
    bench = Bench(3)
    return [change_line(HEAD.epoch, n, AT, WHO, bench.stroke())[0] for n in range(1, count + 1)]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.binary(max_size=40).map(lambda b: b.replace(b"\n", b" ") + b"x"), max_size=12), st.integers(1, 30))
def test_lines_come_back_last_first_at_any_block_size(texts: list[bytes], block: int) -> None:
    data = b"".join(text + b"\n" for text in texts)
    found = list(journal._back(io.BytesIO(data), len(data), block))
    assert found == [text + b"\n" for text in reversed(texts)]


def test_lines_back_stops_at_the_end_it_is_given(tmp_path: Path) -> None:
    path = tmp_path / "j"
    path.write_bytes(b"one\ntwo\nthr")
    assert list(journal.lines_back(path, 8)) == [b"two\n", b"one\n"]


def test_replay_takes_in_every_change() -> None:
    text = written(20)
    tables: Tables = {}
    read = replay(io.BytesIO(b"".join(text)), HEAD, tables)
    assert (read.number, read.line, read.length, read.torn, read.fault) == (20, 21, len(b"".join(text)), 0, None)
    assert len(tables["thing"]) == tables["thing"].last_id == 20


@pytest.mark.parametrize(
    ("order", "fault"),
    [
        ([0, 2], "is change 3 where change 2 belongs"),
        ([0, 0], "is change 1 where change 2 belongs"),
        ([1], "is change 2 where change 1 belongs"),
    ],
)
def test_replay_stops_where_the_sequence_breaks(order: list[int], fault: str) -> None:
    text = written(3)
    read = replay(io.BytesIO(b"".join(text[n] for n in order)), HEAD, {})
    assert read.fault == fault and read.number == len(order) - 1


def test_replay_stops_at_a_line_of_another_workshop_or_stretch() -> None:
    change = Bench(1).stroke()
    for epoch, told in (("aaaaaaaa.1", "another workshop"), ("7f3a91c2.2", "another stretch")):
        read = replay(io.BytesIO(change_line(epoch, 1, AT, WHO, change)[0]), HEAD, {})
        assert read.number == 0 and read.fault is not None and told in read.fault


def test_a_line_past_the_limit_is_a_fault_and_not_a_full_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "LINE_LIMIT", 1000)
    monkeypatch.setattr("putback.store.line.LINE_LIMIT", 1000)
    read = replay(io.BytesIO(bytes(5000)), HEAD, {})
    assert read.fault == "is longer than 1000 bytes" and read.torn == 0


def test_an_empty_line_is_a_fault() -> None:
    text = written(2)
    read = replay(io.BytesIO(text[0] + b"\n" + text[1]), HEAD, {})
    assert read.fault == "does not read as a journal line" and read.number == 1


def test_the_head_line_stands_first(tmp_path: Path) -> None:
    assert head_line(HEAD).startswith(b'{"v":1,"epoch":"7f3a91c2.1","after":0,')
