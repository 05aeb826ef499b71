"""The lock: one holder, words for the next, nothing left after a clean end."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from putback.store.lock import Busy, Holder, Lock


def test_one_holder_at_a_time(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    first = Lock.take(path, at="ten", who="Ann")
    assert first.left_by is None
    with pytest.raises(Busy) as caught:
        Lock.take(path, at="eleven", who="Bob")
    assert caught.value.holder == Holder("Ann", "ten", socket.gethostname(), os.getpid())
    first.release()
    first.release()
    second = Lock.take(path, at="twelve", who="Bob")
    assert second.left_by is None
    second.release()


def test_words_that_nobody_holds_are_a_trace(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    path.write_text('{"who":"Cy","at":"nine","host":"old","process":7}\n')
    lock = Lock.take(path, at="ten", who="Ann")
    assert lock.left_by == Holder("Cy", "nine", "old", 7)
    lock.release()
    assert path.read_bytes() == b""


@pytest.mark.parametrize("words", [b"nonsense", b"\xff\xfe", b"[]", b"[" * 5000, b'{"who":1}'])
def test_words_that_mean_nothing_do_no_harm(tmp_path: Path, words: bytes) -> None:
    path = tmp_path / "lock"
    path.write_bytes(words)
    lock = Lock.take(path, at="ten", who="Ann")
    assert lock.left_by is None
    with pytest.raises(Busy):
        Lock.take(path, at="ten", who="Bob")
    lock.release()


def test_a_lock_file_that_may_not_be_opened_raises_oserror(tmp_path: Path) -> None:
    (tmp_path / "lock").mkdir()
    with pytest.raises(OSError):
        Lock.take(tmp_path / "lock", at="ten", who="Ann")
