"""The lengths of a machine's record: kept from change to change, as they would be read from the start."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Refused
from putback.trade import commands as c
from putback.trade.commands.named_size import sized, sized_anew
from putback.trade.commands.rules import apply
from putback.trade.record.change import Change, Edit
from putback.trade.record.fastener import Thing
from putback.trade.record.length_groups import group_of, lengths_of, read_on, without
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record, document
from putback.trade.sizes.matching import groups, odd_question

AT = "2025-06-01T18:00:00+00:00"


class Hand:
    """A machine on the bench with a part coming off, and what is done to it."""

    def __init__(self) -> None:
        self.record = Record()
        self.number = 0
        self.do(c.NewMachine(name="Fare stamp", origin="us"))
        self.begin("panel")

    def do(self, command: c.Command) -> None:
        self.number += 1
        if isinstance(command, c.Enter):
            command = sized(self.record, 1, command)
        elif isinstance(command, c.MendFastener):
            command = sized_anew(self.record, 1, command)
        codes = (f"code {self.number}", f"code {self.number} too")
        self.change = apply(self.record, 1, command, at=AT, codes=codes)
        self.record.absorb(self.change)

    def begin(self, part: str) -> None:
        self.do(c.Begin(do="take off", name=part, face="top"))

    def out(self, hole: str, length: str, **more: str) -> None:
        self.do(c.Enter(hole=hole, kind="screw", readings={"gauge": "832", "length": length}, **more))  # type: ignore[arg-type]

    def same(self, hole: str) -> None:
        self.do(c.Enter(hole=hole, kind="screw", like=True))

    @property
    def machine(self) -> Machine:
        return self.record.get(Machine, 1)

    @property
    def last(self) -> Thing:
        found = self.record.last_taken_out(1)
        assert found is not None
        return found

    @property
    def question(self) -> str:
        step = self.record.open_step(1)
        assert step is not None
        return odd_question(self.record, self.machine, step, self.last)

    def gathered(self) -> list[tuple[tuple[int, ...], int]]:
        return _groups(self.record)


def _groups(record: Record) -> list[tuple[tuple[int, ...], int]]:
    """Every group of the machine's lengths: the fasteners that were read, and how many it has."""
    house = lengths_of(record, record.get(Machine, 1))
    return sorted(
        (tuple(sorted(one.key for one in group.seen)), group.count)
        for shelf in house.shelves.values()
        for group in shelf.groups
    )


def _opened(record: Record) -> Record:
    """The same record as it is when the workshop is opened again."""
    again = Record()
    for table in ("machines", "parts", "steps", "things", "bags", "moves"):
        again.load(table, record.documents(table))
    return again


SIX = [".381", ".383", ".384", ".386", ".387", ".388"]


def test_a_panel_of_house_lengths_is_one_size_and_asks_nothing() -> None:
    hand = Hand()
    for hole, length in zip("123456", SIX, strict=True):
        hand.out(hole, length)
        assert hand.question == ""
    assert hand.last.size == "#8-32 UNC x .384" and hand.last.verdict == "sure"
    same, pairs = groups(hand.record, hand.machine)
    assert [len(group.keys) for group in same] == [6] and pairs == ()


def test_a_stranger_among_them_is_asked_about() -> None:
    hand = Hand()
    for hole, length in zip("123", SIX, strict=False):
        hand.out(hole, length)
    hand.out("4", ".407")
    assert hand.question == ".024 longer than the 3 here (.381 to .384); does it belong in hole 4?"
    same, pairs = groups(hand.record, hand.machine)
    assert [len(group.keys) for group in same] == [3, 1]
    assert [pair.why for pair in pairs] == ["same thread, .024 in longer: swapped, the long one bottoms or fouls"]


def test_one_just_like_it_counts_and_proves_nothing() -> None:
    """Five with + after one reading of .411: six of them, and no surer than one."""
    hand = Hand()
    hand.out("1", ".411")
    alone = lengths_of(hand.record, hand.machine)
    for hole in "23456":
        hand.same(hole)
        assert hand.question == ""
    assert hand.gathered() == [((1,), 6)]
    found = group_of(hand.record, hand.machine, 1)
    assert found is not None and found[1].weight == alone.shelf(found[0]).groups[0].weight


def test_two_apart_by_less_than_half_a_pitch_do_not_look_alike() -> None:
    """#8-32 has a half pitch of .0156 in: .500 and .487 serve for one another."""
    hand = Hand()
    for hole, length in (("1", ".500"), ("2", ".499"), ("3", ".501"), ("4", ".513")):
        hand.out(hole, length)
        assert hand.question == ""
    assert groups(hand.record, hand.machine)[1] == ()


def test_a_head_that_nobody_named_goes_with_any() -> None:
    hand = Hand()
    hand.out("1", ".372", head="pan")
    hand.out("2", ".371")
    same, _ = groups(hand.record, hand.machine)
    assert [group.keys for group in same] == [(1, 2)]


def test_a_mended_reading_is_named_without_itself() -> None:
    hand = Hand()
    hand.out("1", ".411")
    hand.do(c.MendFastener(thing=1, readings={"gauge": "832", "length": ".409"}))
    assert hand.record.get(Thing, 1).size == "#8-32 UNC x .409 (odd)"
    assert hand.gathered() == [((1,), 1)]
    assert without(hand.record, hand.machine, 1).shelves != {}


def names(hand: Hand) -> list[str]:
    return [t.size.removeprefix("#8-32 UNC x ") for t in hand.record.all(Thing, 1) if t.sort == "fastener"]


def test_a_name_that_has_become_certain_is_that_of_all_and_is_told() -> None:
    hand = Hand()
    for hole, length in zip("123", SIX, strict=False):
        hand.out(hole, length)
    assert names(hand) == ["3/8", "3/8 or .382", ".383"]  # it was told at each step what was known then
    hand.out("4", ".386")
    assert names(hand) == [".384"] * 4
    assert hand.change.said.endswith("; 3 before it are .384 now")
    assert {t.verdict for t in hand.record.all(Thing, 1) if t.sort == "fastener"} <= {"sure", "likely"}
    hand.out("5", ".387")
    hand.out("6", ".388")
    assert names(hand) == [".384"] * 6  # the middle has moved by .001: no label is printed again for that
    assert "before it" not in hand.change.said


def test_it_is_taken_back_with_what_made_it_certain() -> None:
    hand = Hand()
    for hole, length in zip("123", SIX, strict=False):
        hand.out(hole, length)
    before = hand.record.documents("things")
    hand.out("4", ".386")
    assert len(hand.change.edits) >= 4
    hand.record.absorb(hand.change.reversed(number=1, said=""))
    assert hand.record.documents("things") == before
    assert hand.gathered() == [((1, 2, 3), 3)]


def test_labels_of_closed_bags_are_to_be_printed_again() -> None:
    hand = Hand()
    hand.out("1", ".415")
    hand.do(c.Finish())
    hand.do(c.CloseBag(number=1))
    hand.begin("lid")
    hand.do(c.Enter(hole="2", kind="screw", readings={"gauge": "832", "length": ".407"}))
    assert hand.change.said == (
        "hole 2: screw #8-32 UNC x .411 into bag 2; print label 1 again: 1 before it is .411 now"
    )
    assert names(hand) == [".411", ".411"]


def test_a_workshop_of_an_earlier_version_keeps_its_names_until_they_are_named_anew() -> None:
    """Each reading was named by itself once; one change gives all the name of their group, and is taken back."""
    hand = Hand()
    for hole, length in zip("123456", SIX, strict=True):
        hand.out(hole, length)
    for thing, length in zip(list(hand.record.all(Thing, 1)), SIX, strict=True):
        old = document(thing) | {"size": f"#8-32 UNC x {length} (odd)", "length": "", "verdict": "none"}
        hand.record.absorb(Change(did="", said="", edits=(Edit("things", thing.id, document(thing), old),)))
    assert names(hand) == [f"{length} (odd)" for length in SIX]
    before = hand.record.documents("things")
    hand.do(c.NameLengths())
    assert hand.change.said == "6 are .385 now"
    assert names(hand) == [".385"] * 6
    hand.record.absorb(hand.change.reversed(number=1, said=""))
    assert hand.record.documents("things") == before
    hand.do(c.NameLengths())
    with pytest.raises(Refused, match="already"):
        hand.do(c.NameLengths())


def test_a_shoulder_and_a_left_hand_stay_in_the_name() -> None:
    hand = Hand()
    for hole, length in (("1", ".415"), ("2", ".407")):
        readings = {"gauge": "1024", "length": length, "shoulder": ".312 x .375"}
        hand.do(c.Enter(hole=hole, kind="shoulder screw", readings=readings, hand="left"))
    assert names(hand) == ["#10-24 UNC x .411, shoulder .312 x .375 left-hand"] * 2


ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("out"), st.integers(180, 640)),
        st.tuples(st.just("same"), st.just(0)),
        st.tuples(st.just("back"), st.integers(1, 4)),
        st.tuples(st.just("mend"), st.integers(180, 640)),
    ),
    max_size=24,
)


@settings(max_examples=25, deadline=None)
@given(ACTS, st.data())
def test_kept_lengths_are_those_that_are_read_from_the_start(acts: list[tuple[str, int]], data: st.DataObject) -> None:
    """Taken out, just like it, taken back and mended in any order: the kept groups are those of an opened record."""
    hand = Hand()
    done: list[Change] = []
    holes = [place + letter for letter in " abc" for place in "123456789"]
    for sort, number in acts:
        things = [t for t in hand.record.all(Thing, 1) if t.sort == "fastener"]
        if sort == "back":
            for change in [done.pop() for _ in range(min(number, len(done)))]:
                hand.record.absorb(change.reversed(number=1, said=""))
        elif sort == "mend" and things:
            thing = data.draw(st.sampled_from(things))
            readings = {"gauge": "832", "length": f".{number}"}
            if thing.readings == readings:
                continue
            hand.do(c.MendFastener(thing=thing.id, readings=readings))
            done.append(hand.change)
        elif sort == "out" or (sort == "same" and things):
            hole = next(h.strip() for h in holes if h.strip() not in {t.hole for t in things})
            hand.out(hole, f".{number}") if sort == "out" else hand.same(hole)
            done.append(hand.change)
        assert _groups(hand.record) == _groups(_opened(hand.record))


def test_lengths_wait_until_they_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A change that touches no reading reads no length again."""
    hand = Hand()
    for hole, length in zip("123", SIX, strict=False):
        hand.out(hole, length)
    lengths_of(hand.record, hand.machine)
    monkeypatch.setattr("putback.trade.record.length_groups.seen", None)
    hand.do(c.MendFastener(thing=1, note="a burr"))
    assert hand.record.get(Thing, 1).note == "a burr" and document(hand.last)
    assert hand.gathered() == [((1, 2, 3), 3)]


@given(st.lists(st.sampled_from([".372", ".375", ".385", ".495", ".5"]), min_size=1, max_size=12), st.integers(1, 5))
def test_read_little_by_little_they_are_as_read_at_once(lengths: list[str], most: int) -> None:
    hand = Hand()
    for number, length in enumerate(lengths):
        hand.out(f"{number % 9 + 1}{'a' * (number // 9)}", length)
    fresh = _opened(hand.record)
    times = 1
    while read_on(fresh, fresh.get(Machine, 1), most):
        times += 1
    assert times == -(-len(lengths) // most)
    assert _groups(fresh) == hand.gathered()
