"""Photos filed with steps and settled; a label printed ahead that becomes a bag's."""

from __future__ import annotations

import pytest

from putback.trade import commands as c
from putback.trade.checks.ledger import check_balance
from putback.trade.record.bag import Bag
from putback.trade.record.photo import Photo, is_photo_file
from putback.trade.record.record import Record, document
from tests.trade.hands import Hands

ONE, TWO = "1" * 32 + ".jpg", "2" * 32 + ".png"
AT = "2025-03-01T10:00:00+00:00"


@pytest.fixture
def hands() -> Hands:
    """Two parts off."""
    made = Hands()
    made.take_off("lid", "1", "3")
    made.take_off("cam", "5")
    return made


def shown(file: str = ONE, **fields: object) -> c.FiledPhoto:
    return c.FiledPhoto(**{"file": file, "name": "DSC_1.JPG", "taken": AT, **fields})  # type: ignore[arg-type]


def test_photos_are_filed_with_their_steps_once(hands: Hands) -> None:
    first = shown(step=1, when="after")
    assert hands.do(c.FilePhotos(photos=(first, shown(TWO, step=2, doubt=True, instead=1)))).said == "2 x photo filed"
    lid, cam = hands.record.step(1, 1), hands.record.step(1, 2)
    assert lid is not None and cam is not None
    [photo] = hands.record.photos_of(lid)
    assert (photo.file, photo.name, photo.taken, photo.when, photo.doubt) == (ONE, "DSC_1.JPG", AT, "after", False)
    assert [(p.doubt, p.instead) for p in hands.record.photos_of(cam)] == [(True, lid.id)]
    assert "filed already" in hands.refused(c.FilePhotos(photos=(first,)))


def test_one_picture_twice_in_one_go_is_filed_once(hands: Hands) -> None:
    hands.do(c.FilePhotos(photos=(shown(step=1), shown(step=2))))
    assert hands.record.count(Photo, 1) == 1


def test_filing_is_taken_back(hands: Hands) -> None:
    before = hands.documents()
    change = hands.do(c.FilePhotos(photos=(shown(step=1),)))
    hands.record.absorb(change.reversed(number=1, said=""))
    assert hands.documents() == before
    assert hands.record.photo_of_file(1, ONE) is None


def test_what_cannot_be_filed_is_refused(hands: Hands) -> None:
    assert "no step 9" in hands.refused(c.FilePhotos(photos=(shown(step=9),)))
    assert "no step 9" in hands.refused(c.FilePhotos(photos=(shown(step=1, instead=9),)))
    assert "../x.jpg" in hands.refused(c.FilePhotos(photos=(shown("../x.jpg"),)))
    assert "before, during, after" in hands.refused(c.FilePhotos(photos=(shown(step=1, when="soon"),)))


def test_a_doubtful_photo_is_settled(hands: Hands) -> None:
    hands.do(c.FilePhotos(photos=(shown(step=1, when="after", doubt=True, instead=2),)))
    assert hands.do(c.SettlePhoto(photo=1, step=2, when="before")).said == "DSC_1.JPG shows step 2, cam"
    photo = hands.record.get(Photo, 1)
    cam = hands.record.step(1, 2)
    assert cam is not None and (photo.step, photo.when, photo.doubt, photo.instead) == (cam.id, "before", False, 0)
    hands.do(c.SettlePhoto(photo=1, step=0))
    assert hands.record.photos_of(cam) == [] and hands.record.get(Photo, 1).step == 0
    assert "no photo 7" in hands.refused(c.SettlePhoto(photo=7, step=1))


@pytest.mark.parametrize("name", ["x.jpg", "../" + ONE, ONE + "/..", "1" * 32, "1" * 32 + ".jpg\n", "A" * 32 + ".jpg"])
def test_a_photo_name_leads_nowhere_else(name: str) -> None:
    assert not is_photo_file(name)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"step": 9}, "shows a step that is not there"),
        ({"instead": 9}, "shows a step that is not there"),
        ({"file": "../x.jpg"}, "not the name of a photo"),
        ({"taken": "noon"}, "not a date and time"),
        ({"id": 2}, "is filed 2 times"),
    ],
)
def test_the_proof_finds_what_is_wrong_with_a_photo(hands: Hands, fields: dict[str, object], message: str) -> None:
    hands.do(c.FilePhotos(photos=(shown(step=1),)))
    photos = hands.record.documents("photos")
    spoilt = {**photos[1], **fields}
    record = Record()
    for table, found in hands.documents().items():
        record.load(table, {**found, spoilt["id"]: spoilt} if table == "photos" else found)
    assert any(message in finding.what for finding in check_balance(record))


# -- labels printed ahead ----------------------------------------------------------------------------


def test_a_label_printed_ahead_becomes_the_code_of_a_new_bag(hands: Hands) -> None:
    hands.do(c.Begin(name="bell", bag=1))
    before = hands.documents()
    change = hands.do(c.TakeBag(code="PB3K7M2Q4"))
    assert change.said == "bag 3 is new, with the label PB3K7M2Q4"
    hands.do(c.Enter(hole="1", size="M4"))
    bag = hands.record.bag_by_code("PB3K7M2Q4")
    assert bag is not None and bag.number == 3 and len(hands.record.in_bag(bag)) == 1
    undone = Record()
    for table, found in before.items():
        undone.load(table, found)
    undone.absorb(change)
    undone.absorb(change.reversed(number=1, said=""))
    assert {table: undone.documents(table) for table in before} == before


def test_a_label_in_use_or_for_a_bag_that_has_one_is_refused(hands: Hands) -> None:
    hands.do(c.Begin(name="bell"))
    assert hands.refused(c.TakeBag(code=hands.bag(1).code)) == "PB0000001 is on bag 1 of press already."
    assert hands.refused(c.TakeBag(number=1, code="PB3K7M2Q4")) == "Bag 1 has its label already."


def test_two_bags_with_one_code_are_both_told(hands: Hands) -> None:
    twin = {**document(hands.bag(1)), "id": 9, "number": 9}
    hands.record.load("bags", {9: twin})
    found = hands.record.bags_by_code(hands.bag(1).code)
    assert [bag.number for bag in found] == [1, 9] and all(isinstance(bag, Bag) for bag in found)
