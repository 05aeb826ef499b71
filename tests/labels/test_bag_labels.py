"""What labels, tags and boxes say of a record, and pictures of them read back."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from PIL import Image

from putback.errors import BadInput, Refused
from putback.labels.bag_labels import bag_labels, blank_labels
from putback.labels.paper import GRIDS, centred
from putback.labels.printer import PrinterProfile
from putback.labels.tag_facts import box_facts, tag_facts
from putback.photos.bag_pictures import bag_pictures_text, bags_in_folder
from putback.trade import commands as c
from putback.trade.commands import rules
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record, document
from tests.labels.qr_reading import read_texts

CODES = ("PB3K7M2Q4", "PB5ANR0X5", "PBHRYJDCE")
AT = "2025-03-01T10:00:00+00:00"
ON, PRESS = GRIDS["A4 plain"], PrinterProfile()


class Bench:
    """A machine built by commands."""

    def __init__(self) -> None:
        self.record, self.codes = Record(), iter(CODES)

    def do(self, *commands: c.Command) -> Record:
        for command in commands:
            self.record.absorb(rules.apply(self.record, 1, command, at=AT, codes=self.codes))
        return self.record


@pytest.fixture
def made() -> Bench:
    """A lid on the shelf with its screws in bag 1, a cam away, a spring in bag 2, a jaw loosened."""
    one = Bench()
    one.do(
        c.NewMachine(name="press", serial="41?7"),
        c.StartSession(box="A"),
        c.Begin(name="lid"),
        c.Enter(hole="1", size="#8-32 UNC x 3/8"),
        c.Annotate(todo=(Job(do="do", what="the rim"),)),
        c.Finish(put="shelf"),
        c.Begin(name="cam"),
        c.Finish(put="away: plater"),
        c.Begin(name="spring"),
        c.Finish(put="bag 2"),
        c.Begin(name="jaw", do="loosen", tag="C"),
        c.Enter(hole="5", size="M4", turns=3),
        c.Finish(),
    )
    return one


def press(made: Bench) -> Machine:
    return made.record.get(Machine, 1)


def test_tags_hang_on_what_lies_in_no_bag_and_on_what_is_loosened(made: Bench) -> None:
    tags = {tag.letter: (tag.what, tag.note, tag.step) for tag in tag_facts(made.record, press(made))}
    assert tags == {
        "1": ("lid", "its pieces: bag 1; to do: the rim", 1),
        "2": ("cam", "away: plater", 2),
        "C": ("jaw", "hole 5: screw M4 3 turns loose", 4),
    }


def test_a_step_left_half_done_has_a_tag(made: Bench) -> None:
    made.do(c.Begin(name="drum"), c.Enter(hole="1", size="M5"), c.Enter(hole="3", size="M5"))
    last = tag_facts(made.record, press(made))[-1]
    assert (last.letter, last.what, last.note) == ("5", "drum", "half done: 2 out (bag 3), still on the machine")


def test_what_is_back_or_in_a_bag_needs_no_tag() -> None:
    one = Bench()
    one.do(c.NewMachine(name="press"), c.Begin(name="spring"), c.Finish(put="bag 1"))
    with pytest.raises(Refused, match="needs a tag"):
        tag_facts(one.record, press(one))


def test_a_box_lists_its_bags(made: Bench) -> None:
    [box] = box_facts(made.record, press(made))
    assert (box.letter, box.machine, box.serial, box.bags) == ("A", "press", "41?7", ((1, "lid"), (2, "spring")))
    one = Bench()
    one.do(c.NewMachine(name="press"), c.Begin(name="spring"), c.Finish(put="bag 1"))
    with pytest.raises(Refused, match="lies in a box"):
        box_facts(one.record, press(one))


def test_what_a_small_label_leaves_out_is_said(made: Bench, tmp_path: Path) -> None:
    full = bag_labels(made.record, press(made), tmp_path, ON, PRESS)
    assert [path.name for path in full.paths] == ["labels.pdf", "PB3K7M2Q4.png", "PB5ANR0X5.png"] and not full.notes
    small = bag_labels(made.record, press(made), tmp_path, centred("A4", 21, 11.5), PRESS, only=[1])
    assert small.notes == ("Bag 1: the label is too small for a summary; its QR code holds the bag's code alone.",)
    middle = bag_labels(made.record, press(made), tmp_path, centred("A4", 30, 20), PRESS, only=[1])
    assert middle.notes and middle.notes[0].startswith("Bag 1: left out of the QR code: what * means")


def test_only_some_bags_and_only_their_codes(made: Bench, tmp_path: Path) -> None:
    printed = bag_labels(made.record, press(made), tmp_path, ON, PRESS, only=[2], full=False)
    assert [path.name for path in printed.paths] == ["labels.pdf", "PB5ANR0X5.png"]
    assert read_texts(Image.open(printed.paths[1]).convert("L")) == ["PB5ANR0X5"]
    with pytest.raises(BadInput, match=r"no bag 9 of press"):
        bag_labels(made.record, press(made), tmp_path, ON, PRESS, only=[9])


def test_a_label_too_small_and_a_start_beyond_the_sheet_write_nothing(made: Bench, tmp_path: Path) -> None:
    out = tmp_path / "out"
    with pytest.raises(BadInput, match="too small for any code"):
        bag_labels(made.record, press(made), out, centred("A4", 10, 8), PRESS)
    with pytest.raises(BadInput, match="labels 1 to 21"):
        blank_labels(made.record, 1, out, lambda taken: "PBHRYJDCE", ON, PRESS, start=22)
    assert not out.exists()


def test_two_bags_with_one_code_are_refused_by_name(made: Bench, tmp_path: Path) -> None:
    twin = {**document(next(iter(made.record.bags_by_code(CODES[0])))), "id": 9, "number": 9}
    made.record.load("bags", {9: twin})
    with pytest.raises(BadInput, match=r"Two bags have the code PB3K7M2Q4: bag 1 of press 41\?7 and bag 9 of press"):
        bag_labels(made.record, press(made), tmp_path, ON, PRESS)


# -- pictures of them --------------------------------------------------------------------------------


def test_a_folder_of_pictures_tells_which_bags_it_shows(made: Bench, tmp_path: Path) -> None:
    bag_labels(made.record, press(made), tmp_path, ON, PRESS)
    blank_labels(made.record, 1, tmp_path, lambda taken: CODES[2], ON, PRESS)
    Image.new("L", (200, 100), 255).save(tmp_path / "wall.png")
    (tmp_path / "broken.jpg").write_text("not a picture")
    rows = {row.file: row for row in bags_in_folder(made.record, tmp_path)}
    assert rows["PB3K7M2Q4.png"].bags == (("PB3K7M2Q4", 1, "press 41?7"),)
    assert rows["PBHRYJDCE.png"].strange == ("PBHRYJDCE",) and rows["PBHRYJDCE.png"].bags == ()
    assert "not a picture" in rows["broken.jpg"].why and rows["wall.png"].bags == ()
    text = bag_pictures_text(list(rows.values()), tmp_path)
    assert "bag 1 of press 41?7" in text and "on no bag of this workshop" in text and "wall.png: no bag code" in text
    assert rows["wall.png"].to_json() == {"file": "wall.png", "bags": [], "strange": [], "why": None}


def test_a_folder_without_pictures_or_a_reader_is_one_sentence(
    made: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(BadInput, match="holds no pictures"):
        bags_in_folder(made.record, tmp_path)
    Image.new("L", (20, 10)).save(tmp_path / "a.png")
    monkeypatch.setitem(sys.modules, "zxingcpp", None)
    with pytest.raises(BadInput, match="needs one more library"):
        bags_in_folder(made.record, tmp_path)
