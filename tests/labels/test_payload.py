"""The line in a full label's square: only characters QR's alphanumeric mode has, shortened by rules."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.labels.facts import Contents, LabelFacts
from putback.labels.payload import code_of, fit, runs, spell
from putback.labels.qr import ALPHANUMERIC
from putback.scans.scan import ScanWatch, What

FACTS = LabelFacts(
    code="PB3K7M2Q4",
    machine="Ticket-dating press",
    serial="2041?7",
    bag=4,
    box="A",
    parts=("left panel", "ticket tray, lower"),
    steps=(5, 6, 7, 9),
    contents=(
        Contents(7, "#8-32 UNC x 3/8"),
        Contents(1, "#8-32 UNC x 1/2"),
        Contents(2, "washer #8"),
        Contents(1, "M4x0.7 x 10 mm"),
    ),
    day=date(2024, 10, 6),
)


@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("#8-32 x 3/8", "NO8-32 X 3/8"),
        ("#0-80 UNF", "NO0-80 UNF"),
        ("2041?7", "2041*7"),
        ("?2041?7", "*2041*7"),
        ("5*7", "5 7"),
        ("why?", "WHY"),
        ("M5x0.8", "M5X0.8"),
        ("12,5 mm", "12.5 MM"),
        (".375 in", ".375 IN"),
        ("No. 8", "NO 8"),
        ("3½", "3 1/2"),
        ('1/4" bolt', "1/4 IN BOLT"),
        ("Ø 5 pin", "DIA 5 PIN"),
        ("Ørsted", "ORSTED"),
        ("Führung, links (größer)", "FUHRUNG LINKS GROSSER"),
        ("stop [spring]", "STOP SPRING"),
        ("worker's lamp", "WORKERS LAMP"),
        ("A: B", "A B"),
        ("cap & bell @ left", "CAP + BELL AT LEFT"),
        ("90° \N{EN DASH} 45°", "90 DEG - 45 DEG"),
        ("press \U0001f5a8\ufe0f", "PRESS"),
        ("מכונה", ""),
        ("", ""),
    ],
)
def test_spelling(text: str, spelled: str) -> None:
    assert spell(text) == spelled


def test_everything_is_there_when_there_is_room() -> None:
    made = fit(FACTS, 400)
    assert made.text == (
        "PB3K7M2Q4: BAG 4 - TICKET-DATING PRESS SN 2041*7 - STEPS 5-7 9 - 7 OF NO8-32 UNC X 3/8"
        " + 1 OF NO8-32 UNC X 1/2 + 2 OF WASHER NO8 + 1 OF M4X0.7 X 10 MM"
        " - LEFT PANEL + TICKET TRAY LOWER - BOX A - 2024-10-06 - * MARKS DOUBT."
    )
    assert made.left_out == ()


@pytest.mark.parametrize("room", range(9, 260))
def test_it_never_exceeds_its_room_and_what_is_left_out_only_grows(room: int) -> None:
    made, roomier = fit(FACTS, room), fit(FACTS, room + 1)
    assert len(made.text) <= room
    assert len(made.text) <= len(roomier.text)
    assert roomier.left_out == made.left_out[: len(roomier.left_out)] or len(made.text) == 9


@pytest.mark.parametrize(
    ("room", "text"),
    [
        (
            100,
            "PB3K7M2Q4: BAG 4 - STEPS 5-7 9 - 7 OF NO8-32X3/8 + 1 OF NO8-32X1/2 + 2 OF WASHER NO8 + 1 MORE.",
        ),
        (60, "PB3K7M2Q4: BAG 4 - STEPS 5-7 9 - 7 OF NO8-32X3/8 + 4 MORE."),
        (45, "PB3K7M2Q4: BAG 4 - STEPS 5-7 9 - 11 PIECES."),
        (42, "PB3K7M2Q4"),
        (0, "PB3K7M2Q4"),
    ],
)
def test_bag_steps_and_counts_stay_longest(room: int, text: str) -> None:
    assert fit(FACTS, room).text == text


def test_many_steps_shrink_to_the_first_and_the_last() -> None:
    many = LabelFacts("PB3K7M2Q4", bag=4, steps=tuple(range(1, 60, 2)), contents=(Contents(14, "pin"),))
    assert fit(many, 60).text == "PB3K7M2Q4: BAG 4 - STEPS 1 TO 59 - 14 PIECES."
    assert fit(many, 60).left_out == ("sizes", "the steps between")


def test_a_code_alone_says_that_everything_was_left_out() -> None:
    assert fit(FACTS, 42).left_out == ("everything but the code",)
    assert fit(LabelFacts("PB3K7M2Q4"), 400) == fit(LabelFacts("PB3K7M2Q4"), 9)
    assert fit(LabelFacts("PB3K7M2Q4"), 9).left_out == ()


@pytest.mark.parametrize(
    ("numbers", "text"),
    [((), ""), ((5,), "5"), ((5, 6), "5 6"), ((9, 5, 6, 7, 7), "5-7 9"), ((1, 2, 3, 5, 8, 9), "1-3 5 8 9")],
)
def test_runs(numbers: tuple[int, ...], text: str) -> None:
    assert runs(numbers) == text


def test_the_code_is_found_again() -> None:
    assert code_of(fit(FACTS, 400).text) == "PB3K7M2Q4"
    assert code_of("pb3k7m2q4") == "PB3K7M2Q4"
    assert code_of("PB3K7M2Q5: BAG 4.") is None
    assert code_of("https://example.org") is None
    assert code_of("") is None


words = st.text(max_size=40) | st.text(alphabet="?*.:,# -0123456789Aé½x/", max_size=20)
any_facts = st.builds(
    LabelFacts,
    code=st.just("PB3K7M2Q4"),
    machine=words,
    serial=words,
    bag=st.none() | st.integers(0, 9999),
    box=words,
    parts=st.lists(words, max_size=3).map(tuple),
    steps=st.lists(st.integers(1, 99), max_size=8).map(tuple),
    contents=st.lists(st.builds(Contents, st.integers(1, 99), words), max_size=5).map(tuple),
    day=st.none() | st.dates(),
)


@given(any_facts, st.integers(9, 300))
@settings(max_examples=150)
def test_any_facts_give_one_line_that_a_label_can_hold(facts: LabelFacts, room: int) -> None:
    text = fit(facts, room).text
    assert len(text) <= room
    assert set(text) <= ALPHANUMERIC
    assert code_of(text) == facts.code


@given(any_facts)
@settings(max_examples=100)
def test_a_scanner_typing_any_full_label_is_swallowed_whole(facts: LabelFacts) -> None:
    """The colon and the full stop are what the scan watch relies on."""
    watch = ScanWatch()
    events = [watch.feed(key, at * 0.005) for at, key in enumerate(fit(facts, 400).text)]
    assert [event.code for event in events if event.what is What.CODE] == [facts.code]
    assert all(event.keys == () for event in events)
