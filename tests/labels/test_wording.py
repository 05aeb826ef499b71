"""What tells two bags apart is never cut: labels of the samples and of any contents, on every sheet."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.labels import drawing, wording
from putback.labels.bag_facts import label_facts
from putback.labels.facts import Contents, LabelFacts
from putback.labels.layout import Label, bag_label
from putback.labels.paper import GRIDS
from putback.labels.printer import PrinterProfile
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Bag

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sessions").glob("*.toml"))
NOW = datetime(2025, 3, 1, 10, tzinfo=UTC)
FEWNESS = range(wording.FULL, wording.JOINED + 1)


@cache
def sample_labels() -> tuple[LabelFacts, ...]:
    """The labels of all bags of the samples."""
    found = []
    for path in SAMPLES:
        file = read_session_file(path.read_text("utf-8"), path.name, now=NOW)
        record = rehearse(file).record
        found += [replace(label_facts(record, bag), code="PB3K7M2Q4") for bag in record.all(Bag)]
    return tuple(found)


def words_of(label: Label) -> list[drawing.Words]:
    return [mark for mark in label.drawing.marks if isinstance(mark, drawing.Words)]


def told(facts: LabelFacts, fewness: int, shown: int) -> str:
    """What the contents read as, without blanks."""
    rows = wording.content_rows(facts.contents, fewness, shown)
    return "".join(row.count + row.text for row in rows).replace(" ", "").replace("\N{NO-BREAK SPACE}", "")


def shown_on(label: Label) -> tuple[int, int] | None:
    """How few words a label says its contents in, and how many lines of them; None where it says none."""
    facts = label.facts
    text = "".join(words.text for words in words_of(label)).replace(" ", "")
    ways = product(range(len(facts.contents), -1, -1), FEWNESS)
    return next(((fewness, shown) for shown, fewness in ways if told(facts, fewness, shown) in text), None)


@pytest.mark.parametrize("sheet", ["A4 plain", "A4 5x13", "Letter 4x20", "roll 54x25", "tape 12"])
def test_no_sample_has_a_label_on_which_anything_is_cut(sheet: str) -> None:
    on = GRIDS[sheet]
    said: dict[str, LabelFacts] = {}
    for facts in sample_labels():
        label = bag_label(facts, *on.print_size)
        assert not any("…" in words.text for words in words_of(label))
        found = shown_on(label)
        assert found is not None, f"bag {facts.bag} on {sheet} says nothing of what is in it"
        fewness, shown = found
        if shown == len(facts.contents):
            text = told(facts, fewness, shown)
            assert said.setdefault(text, facts).contents == facts.contents
        text = " ".join(words.text for words in words_of(label))
        for part in facts.parts:
            assert part in text or "more part" in text or part.split()[0] not in text


def test_on_the_common_sheets_nothing_of_the_samples_is_only_counted() -> None:
    for sheet in ("A4 plain", "A4 2x7", "Letter 2x5", "roll 62x29", "roll 57x32"):
        on = GRIDS[sheet]
        for facts in sample_labels():
            found = shown_on(bag_label(facts, on.width, on.height, PrinterProfile(dpi=203)))
            assert found is not None and found[1] == len(facts.contents), (sheet, facts.bag)


def test_the_trap_of_the_press_is_told_apart() -> None:
    [bag_3] = [facts for facts in sample_labels() if facts.machine == "Ticket-dating press" and facts.bag == 3]
    for sheet in GRIDS.values():
        text = " ".join(words.text for words in words_of(bag_label(bag_3, sheet.width, sheet.height)))
        assert ("3/8" in text and "1/2" in text) or "8 pieces in 2 sizes" in text
    rows = wording.content_rows(bag_3.contents, wording.GROUPED, 2)
    assert [row.text for row in rows] == ["#6-32: 7 × 3/8, 1 × 1/2"]  # noqa: RUF001


sizes = st.builds(
    "{}{}{}".format,
    st.sampled_from(["screw ", "bolt ", "nut ", "shoulder screw "]),
    st.sampled_from(
        ["#6-32 UNC", "#6-40 UNF", "#6-36 NS", "1/4-20 UNC", "M4x0.7", "2BA", "1/4 BSW", ".164 as measured"]
    ),
    st.sampled_from(
        ["", " x 3/8", " x 1/2", " x 12 mm", " x 1 1/4", " x 3/16, shoulder .187 x .125", " x 3/8, pan head"]
    ),
)
pieces = st.sampled_from(["spring", "detent ball 1/8", "washer of the left lever", "x" * 60])
lines = st.builds(Contents, st.integers(1, 99), sizes) | st.builds(
    Contents, st.integers(1, 99), pieces, st.just("piece")
)
contents = st.lists(lines, min_size=1, max_size=9, unique_by=lambda line: (line.size, line.sort)).map(tuple)


@given(one=contents, other=contents)
def test_different_contents_never_read_the_same(one: tuple[Contents, ...], other: tuple[Contents, ...]) -> None:
    first, second = LabelFacts("PB3K7M2Q4", contents=one), LabelFacts("PB3K7M2Q4", contents=other)
    for fewness in FEWNESS:
        if one != other:
            assert told(first, fewness, len(one)) != told(second, fewness, len(other))
        for line in one:
            length = line.size.partition(" x ")[2]
            assert length.replace(" ", "") in told(first, fewness, len(one))
        for shown in range(len(one)):
            rest = wording.content_rows(one, fewness, shown)[-1].text
            numbers = [int(word) for word in rest.replace(",", "").split() if word.isdecimal()]
            missing = sum(line.count for line in one[shown:])
            in_sizes = [line for line in one[shown:] if line.sort == "fastener"]
            assert sum(numbers) - (len(in_sizes) if in_sizes else 0) == missing


@given(what=contents, wide=st.integers(20, 110), high=st.integers(12, 70), parts=st.integers(1, 4))
@settings(max_examples=30)
def test_a_label_of_any_size_says_or_counts_what_is_in_the_bag(
    what: tuple[Contents, ...], wide: int, high: int, parts: int
) -> None:
    names = ("left panel", "ribbon spring barrel", "hand lever", "lid")[:parts]
    facts = LabelFacts("PB3K7M2Q4", "Press", "2041?7", 14, "A", names, (3, 4), what)
    try:
        label = bag_label(facts, wide, high, PrinterProfile(dpi=203))
    except BadInput as fault:
        assert "too small" in str(fault)
        return
    texts = words_of(label)
    assert not any("…" in words.text for words in texts)
    room = max((words.y for words in texts), default=0.0)
    assert room <= high and (shown_on(label) is not None or high < 20 or wide < 40)
    lines = [mark for mark in label.drawing.marks if isinstance(mark, drawing.Rectangle)]
    for words in texts:
        for line in lines:
            apart = line.x + line.width <= words.left or line.x >= words.left + words.width
            apart = apart or line.y + line.height <= words.y - words.size * 0.73 or line.y >= words.y + 0.01
            assert apart, f"a rule runs through {words.text}"


@pytest.mark.parametrize(
    ("serial", "said"),
    [
        ("", ""),
        ("4417", "SN 4417"),
        ("2041?7", "SN 20417 (last figure in doubt)"),
        ("4?61", "SN 461 (2nd figure in doubt)"),
        ("?1?2", "SN 12 (1st and last figures in doubt)"),
        ("?1?2?3", "SN 123 (3 figures in doubt: ?1?2?3)"),
        ("12?", "SN 12?"),
        ("1??2", "SN 1??2"),
    ],
)
def test_a_doubtful_serial_says_which_figure(serial: str, said: str) -> None:
    assert wording.serial_words(serial) == said
