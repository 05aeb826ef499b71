"""A table: its documents are text until they are asked for, and nothing of them is lost when they become nouns."""

from __future__ import annotations

import pytest
from msgspec import Raw, Struct

from putback.errors import Damaged
from putback.trade.record.rows import REMOVED, Rows, same


class Bag(Struct, frozen=True, omit_defaults=True):
    """A noun, as a record would read it."""

    id: int
    count: int = 0


class Listener:
    """Who follows a table: it notes what was there each time, and what came."""

    def __init__(self, rows: Rows) -> None:
        self.rows = rows
        self.text: list[tuple[Bag | None, Bag | None]] = []
        rows.read_as(Bag, self)

    def ready_for(self, table: str, number: int, after: Bag | None) -> None:
        assert table == "bag"

    def follow(self, table: str, number: int, after: Bag | None) -> None:
        self.text.append((self.rows.get(number), after))


def test_text_stays_text_until_it_is_asked_for() -> None:
    rows = Rows("bag", {1: Raw(b'{"id":1}'), 2: Raw(b'{"id":2,"count":3}'), 3: Raw(b'{"id":3}')}, 7)
    assert rows[2] == {"id": 2, "count": 3} and rows[2] is not rows[2], "plain values are the asker's own"
    Listener(rows)
    assert rows[2] == Bag(2, 3) and rows[2] is rows[2]
    assert {number: type(found) for number, found in rows.held().items()} == {1: Raw, 2: Bag, 3: Raw}
    assert rows.document(1) == {"id": 1} and rows.document(9) is None and type(rows.held()[1]) is Raw
    assert rows.many([3, 1, 2]) == [Bag(3), Bag(1), Bag(2, 3)]
    assert set(map(type, rows.held().values())) == {Bag}
    assert [bytes(text) for _, text in rows.texts()] == [b'{"id":1}', b'{"id":2,"count":3}', b'{"id":3}']
    assert rows.last_id == 7


def test_a_change_is_made_ready_and_then_made() -> None:
    rows = Rows("bag", {1: Raw(b'{"id":1}')})
    listener = Listener(rows)
    new = rows.ready(2, Raw(b'{"id":2}'))
    assert 2 not in rows and listener.text == [], "nothing has changed yet"
    rows.settle(2, new)
    rows.settle(1, REMOVED)
    assert dict(rows) == {2: Bag(2)} and listener.text == [(None, Bag(2)), (Bag(1), None)]
    with pytest.raises(Damaged, match="Document 3 of table 'bag' cannot be read: it says that it is 4"):
        rows.ready(3, Raw(b'{"id":4}'))


def test_the_same_document_may_be_written_in_another_order() -> None:
    one, other = Raw(b'{"a":1,"b":[2]}'), Raw(b'{"b":[2],"a":1}')
    assert same(one, other) and same(None, None)
    assert not same(one, Raw(b'{"a":1}')) and not same(one, None) and not same(None, one)


def test_what_a_noun_leaves_out_stays_in_the_file() -> None:
    """A field of a newer Putback, a default written out: the document stays what it was until it is changed."""
    texts = {
        1: b'{"id":1,"colour":"red"}',
        2: b'{"count":4,"id":2}',
        3: b'{"id":3,"count":0}',
        4: b'{"id":4,"count":1}',
    }
    for together in (True, False):
        rows = Rows("bag", {number: Raw(text) for number, text in texts.items()})
        Listener(rows)
        read = rows.many([*texts]) if together else [rows[number] for number in texts]
        assert read == [Bag(1), Bag(2, 4), Bag(3), Bag(4, 1)]
        assert {n: rows.document(n) for n in rows} == {
            1: {"id": 1, "colour": "red"},
            2: {"id": 2, "count": 4},
            3: {"id": 3, "count": 0},
            4: {"id": 4, "count": 1},
        }
        rows.settle(1, rows.ready(1, Raw(b'{"id":1,"count":2}')))
        assert rows.document(1) == {"id": 1, "count": 2} and dict(rows.texts())[1] == rows.text(1)


def test_one_text_that_is_no_noun_does_not_hide_the_others() -> None:
    rows = Rows("bag", {1: Raw(b'{"id":1}'), 2: Raw(b'{"id":"two"}'), 3: Raw(b'{"id":4}')})
    Listener(rows)
    for number in (2, 3):
        with pytest.raises(Damaged, match=f"Document {number} of table 'bag' cannot be read"):
            rows.many([1, number])
    assert rows.many([1]) == [Bag(1)]
