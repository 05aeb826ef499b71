"""Holes, what a thing is called, and the table of what can be said of a fastener."""

from __future__ import annotations

import msgspec
import pytest

from putback.errors import BadInput
from putback.trade.record.fastener import FIELD, FIELDS, Said, Thing, read_hole


@pytest.mark.parametrize(("message", "hole"), [("5", "5"), (" 9 ", "9"), ("5A", "5a"), ("1z", "1z")])
def test_a_hole_is_a_place_and_a_letter(message: str, hole: str) -> None:
    assert read_hole(message) == hole


@pytest.mark.parametrize("message", ["", "0", "10", "a", "5aa", "5-", "½", "\u0665", "5 a", "x" * 9999])
def test_what_is_no_hole_is_said_so(message: str) -> None:
    with pytest.raises(BadInput, match="is not a hole; say a place from 1 to 9") as refusal:
        read_hole(message)
    assert len(str(refusal.value)) < 200


def test_a_thing_is_called_by_kind_and_size() -> None:
    screw = Thing(id=1, machine=1, step=1, sort="fastener", name="screw", size="#8-32 UNC x 3/8")
    assert screw.called == "screw #8-32 UNC x 3/8" and screw.alone
    nut = Thing(id=1, machine=1, step=1, sort="fastener", name="nut", size="nut 2BA")
    assert nut.called == "nut 2BA" and not nut.alone
    unread = Thing(id=1, machine=1, step=1, sort="fastener", name="key")
    assert unread.called == "key"
    ball = Thing(id=1, machine=1, step=1, sort="piece", name="ball", size="1/8")
    assert ball.called == "ball" and not ball.alone
    empty = Thing(id=1, machine=1, step=1, sort="fastener", name="screw", found="empty", count=0)
    assert not empty.alone


def test_the_table_has_a_row_for_all_that_is_said_and_a_thing_keeps_each() -> None:
    assert {field.name for field in FIELDS} == set(Said.__struct_fields__)
    kept = {field.name: field for field in msgspec.structs.fields(Thing)}
    for field in FIELDS:
        assert kept[field.name].default == (0 if field.most else ""), field.name
        asked = field.of_next or field.of_last or field.on_card
        assert field.question or not asked, field.name
        assert not field.of_next or field.next_one, field.name


def test_a_field_is_kept_and_told_of_as_its_row_says() -> None:
    assert FIELD["hand"].kept("right") == "" and FIELD["material"].kept(" brass ") == "brass"
    assert FIELD["small_end"].applies("taper pin") and not FIELD["small_end"].applies("screw")
    assert (
        FIELD["material"].text("brass", "book") == "made of brass"
        and FIELD["material"].text("brass", "back") == "brass"
    )
    assert FIELD["turns"].text(2.5, "card") == "only loosened, 2.5 turns" and FIELD["turns"].text(2.5, "back") == ""
    assert FIELD["head"].text("pan", "card") == "" and FIELD["note"].text("", "book") == ""
