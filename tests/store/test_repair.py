"""One wrong byte put right, and nothing else touched."""

from __future__ import annotations

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from bench.strokes import AT, WHO, Bench
from putback.store.line import Head, change_line, head_line
from putback.store.repair import repair

BENCH = Bench(1)
LINES = [change_line("7f3a91c2.1", n, AT, WHO, BENCH.stroke())[0] for n in (1, 2, 3)]
HEAD = head_line(Head(version=1, epoch="7f3a91c2.1", after=0))


@settings(max_examples=200, deadline=None)
@given(st.sampled_from([*LINES, HEAD]), st.data())
def test_any_one_byte_of_a_line_is_put_right(line: bytes, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(line) - 1))
    damaged = bytearray(line)
    damaged[place] ^= data.draw(st.integers(1, 255))
    assert repair(bytes(damaged)) == [line]


def test_every_place_of_a_short_line_is_put_right() -> None:
    for place in range(len(HEAD)):
        for change in range(1, 256):
            damaged = bytearray(HEAD)
            damaged[place] ^= change
            assert repair(bytes(damaged)) == [HEAD], (place, change)


def test_a_newline_that_became_something_else_is_put_back_between_its_lines() -> None:
    for wrong in b"x \0}{\xff":
        joined = LINES[0][:-1] + bytes([wrong]) + LINES[1]
        assert repair(joined) == LINES[:2]


def test_two_wrong_bytes_are_left_alone() -> None:
    rng = random.Random(5)
    for _ in range(200):
        damaged = bytearray(LINES[0])
        for place in rng.sample(range(len(damaged) - 30), 2):
            damaged[place] ^= rng.randrange(1, 256)
        assert repair(bytes(damaged)) == []


def test_what_is_no_line_at_all_is_left_alone() -> None:
    for data in (b"", b"\n", b"x" * 500, bytes(500), LINES[0][: len(LINES[0]) // 2]):
        assert repair(data) == []


def test_a_whole_line_stays_itself() -> None:
    assert repair(LINES[0]) == [LINES[0]]
