"""No card drops a word or a hole in silence: what does not fit is on a further page, and the foot says so.

The cards are drawn by their own code over the three sample machines, for four sizes of the terminal, without a
terminal: `redraw` gives its rows to the test.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from textual._context import active_app
from textual.content import Content
from textual.geometry import Size

from putback.cli import main
from putback.reports.account import WayBack
from putback.reports.bag_story import bag_story
from putback.reports.bags import bag_card
from putback.reports.cards import Card, facts_of, part_card, step_card, thing_card
from putback.reports.jobs_page import job_lines
from putback.reports.last_page import last_page
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.machine import Machine, Part
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.tui.app import PutbackApp
from putback.tui.cards.bag_card import BagScreen
from putback.tui.cards.card import WIDE, CardScreen
from putback.tui.cards.job_card import JobScreen
from putback.tui.cards.machine_card import MachineScreen
from putback.tui.dialogs.prompts import PAGE, Pick
from putback.tui.draw.frame import inner_height, inner_width
from putback.tui.draw.views import hole_views, size_views
from putback.tui.pages.jobs import JobsScreen
from putback.tui.pages.walk_back import WalkBackScreen
from putback.tui.refit.step_pages import StepPages
from putback.workshop import Workshop
from tests.tui.conftest import Opened

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
SIZES = [(60, 17), (72, 24), (80, 24), (100, 30)]
MOST_PAGES = 40
NOW = datetime(2026, 1, 9, 20, 0, tzinfo=UTC)


class MadeOnce:
    """Makes the card of a noun once for all sizes and pages: what it says is not what is tried here."""

    def __init__(self, make: Callable[[Record, Any], Card]) -> None:
        self.make, self.made = make, dict[int, Card]()

    def __call__(self, record: Record, noun: Any) -> Card:
        if noun.id not in self.made:
            self.made[noun.id] = self.make(record, noun)
        return self.made[noun.id]


CARDS = {make.__name__: MadeOnce(make) for make in (step_card, part_card, thing_card)}


class Paper(PutbackApp):
    """The app with a size and no terminal."""

    paper = Size(80, 24)

    @property
    def size(self) -> Size:
        return self.paper


@pytest.fixture(scope="module")
def samples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    folder = tmp_path_factory.mktemp("samples")
    for sample in sorted(SAMPLES.glob("*.toml")):
        assert main(["--workshop", str(folder), "replay", str(sample)]) == 0
    with Workshop.open(folder, clock=lambda: NOW, codes=lambda taken: "", read_only=True) as workshop:
        yield workshop


@pytest.fixture(params=SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def paper(samples: Workshop, request: pytest.FixtureRequest) -> Iterator[Paper]:
    with on_paper(samples, Size(*request.param)) as app, pytest.MonkeyPatch.context() as patch:
        for name, made_once in CARDS.items():
            patch.setattr(f"putback.tui.cards.{name}.{name}", made_once)
        yield app


@contextmanager
def on_paper(workshop: Workshop, size: Size) -> Iterator[Paper]:
    app = Paper(workshop)
    app.paper = size
    token = active_app.set(app)
    try:
        yield app
    finally:
        active_app.reset(token)


def drawn(screen: Any, key: str, many: str) -> list[str]:
    """Every page of a screen as text, turned by `key`; each but a lone one bears `many`, as `page 1 of 3`."""
    shown: list[Content] = []
    screen._draw = shown.append
    pages: list[str] = []
    screen.redraw()
    while len(pages) < MOST_PAGES:
        page = shown[-1].plain
        if page in pages or len(pages) == len(getattr(screen, "_pages", [()] * MOST_PAGES)):
            break
        pages.append(page)
        screen.press(key)
    width, height = inner_width(screen.app.size.width), inner_height(screen.app.size.height)
    for number, page in enumerate(pages, 1):
        rows = page.splitlines()
        assert len(rows) <= height and max(map(len, rows)) <= width, page
        assert len(pages) == 1 or many.format(number, len(pages)) in page, page
    return pages


def found(words: str, pages: list[str]) -> bool:
    """Whether words stand together on the pages, broken into lines or not."""
    return " ".join(words.split()) in " ".join(" ".join(pages).split())


def of_card(record: Record, card: Card) -> list[str]:
    return [
        card.caption,
        f"of {card.machine}",
        card.under,
        *(fact.words for fact in card.facts),
        *(words for way in card.ways for words in (way.label, way.beside)),
    ]


def card_screen(paper: Paper, sort: str, id: int) -> CardScreen:
    screen = paper.card_of(sort, id)
    assert isinstance(screen, CardScreen)
    return screen


def unlike(record: Record) -> list[Thing]:
    """One fastener or piece of each sort and length of name, and all of which there is much to say."""
    found: dict[object, Thing] = {}
    for thing in record.all(Thing):
        if thing.sort != "part":
            facts = len(CARDS["thing_card"](record, thing).facts)
            found.setdefault((thing.name, len(thing.called), facts), thing)
    return list(found.values())


def test_every_card_of_the_samples_says_all_of_it(paper: Paper) -> None:
    record = paper.workshop.record
    nouns: list[tuple[str, Step | Part | Thing, Card]] = [
        *(("step", step, CARDS["step_card"](record, step)) for step in record.all(Step)),
        *(("part", part, CARDS["part_card"](record, part)) for part in record.all(Part)),
        *(("thing", thing, CARDS["thing_card"](record, thing)) for thing in unlike(record)),
    ]
    missing = []
    for sort, noun, card in nouns:
        pages = drawn(card_screen(paper, sort, noun.id), "+", "page {} of {}")
        missing += [(card.caption, words) for words in of_card(record, card) if not found(words, pages)]
        if isinstance(noun, Step):
            missing += [(card.caption, hole) for hole in holes_missing(record, noun, pages)]
    assert missing == []


def holes_missing(record: Record, step: Step, pages: list[str]) -> list[str]:
    """Holes and sizes of a step's face that no page has."""
    beside = " ".join(re.sub(r"^[╭│╰].*[╮│╯]", "", line) for page in pages for line in page.splitlines())
    count = r"\s+(?:\d+(?:/\d+)?\s+)?"  # it stands behind the first row of a name
    names = [size.label for size in size_views(record, step)]
    faults = [name for name in names if not re.search(count.join(map(re.escape, name.split())), beside)]
    if hole_views(record, step):
        edges = [[line for line in page.splitlines() if line.lstrip(" ")[:1] in ("╭", "╰")] for page in pages]
        faults += [] if any(len(found) == 2 for found in edges) else ["the map's edges"]
        faults += re.findall(r" \+\d+ .*│", "\n".join(pages))
    return faults


def test_every_bag_of_the_samples_says_all_of_it(paper: Paper) -> None:
    record = paper.workshop.record
    missing = []
    for bag in record.all(Bag):
        card = bag_card(record, bag)
        pages = drawn(BagScreen(bag.id), "down", "lines ")
        wanted = [f"of {card.machine}", bag_story(record, bag, paper.workshop.now())]
        wanted += [words for row in card.contents for words in (row.called, row.note, f"step {row.step}, {row.part}")]
        missing += [(bag.number, words) for words in wanted if not found(words, pages)]
    assert missing == []


def test_every_card_of_a_job_a_trip_and_a_machine_says_all_of_it(paper: Paper) -> None:
    record, jobs = paper.workshop.record, paper.jobs_kept.all(paper.workshop.record, now=paper.workshop.now())
    lines = job_lines(record, jobs)
    assert {line.group for line in lines} >= {"now, here", "in soak", "to get"}
    lines = [line for at, line in enumerate(lines) if line.group != "to get" or at % 5 == 0]  # many, and much alike
    screens: list[CardScreen] = [*(JobScreen(line.machine, line.key) for line in lines)]
    screens += [MachineScreen(machine.id) for machine in record.all(Machine)]
    missing = []
    for screen in screens:
        pages = drawn(screen, "+", "page {} of {}")
        said = [*(row.plain for row in screen.facts(WIDE)), *(link.label for link in screen.links())]
        missing += [(screen.caption(), words) for words in (screen.caption(), *said) if not found(words, pages)]
    assert missing == []
    pages = drawn(JobsScreen(), "*", "page {} of {}")
    for line in lines:
        assert found(line.text, pages) or (found(f"{line.text[:30]}", pages) and "…" in "".join(pages)), line.text


def test_every_line_of_a_last_page_is_said(paper: Paper) -> None:
    record, width, height = paper.workshop.record, paper.size.width // 2 - 2, paper.size.height - 5
    for machine in record.all(Machine):
        card = StepPages(record, paper.glyphs, paper.keymap)
        pages = [[row.plain for row in page.rows] for page in card.end(machine, width, height, now="2026-01-09T20:00")]
        assert all(len(rows) <= height and max(map(len, rows)) <= width for rows in pages)
        told = last_page(record, machine, now="2026-01-09T20:00").sections
        said = [words for section in told for words in (section.title, *(line.words for line in section.lines))]
        whole = [" ".join(rows) for rows in pages]
        assert [words for words in said if not found(words, whole)] == []


def test_every_step_on_the_walk_back_is_said_whole_before_a_key_says_that_it_is_right(paper: Paper) -> None:
    record = paper.workshop.record
    missing = []
    for step in record.all(Step):
        screen = WalkBackScreen([step.id], ["a note to oneself"])
        pages = drawn(screen, "+", "page {} of {}")
        said = [fact.words for fact in facts_of(WayBack(record, step.machine).account(step))]
        missing += [(step.number, words) for words in ["a note to oneself", *said] if not found(words, pages)]
        missing += [(step.number, fault) for fault in holes_missing(record, step, pages)]
        asked: Any = WalkBackScreen([step.id], ["a note to oneself"])
        asked._draw = lambda content: None
        asked.redraw()
        for number in range(1, len(pages)):
            asked.press("31"[number % 2])
            assert (asked._at, asked._page) == (0, number), "a key answers for what was not shown"
    assert missing == []


def test_every_list_of_what_can_be_said_right_is_read_whole(paper: Paper) -> None:
    missing = []
    for sort, kind in (("step", Step), ("part", Part), ("thing", Thing)):
        record = paper.workshop.record
        for noun in unlike(record) if sort == "thing" else list(record.all(kind))[::3]:
            labels = [mend.label for mend in card_screen(paper, sort, noun.id).mends()]
            asked = Pick(
                "What is wrong here, on this card of a rather long name, and has to be said right now?", labels
            )
            pages = drawn(asked, "+", "{} of {}")
            missing += [(noun.id, label) for label in labels if not found(label, pages)]
            for number, label in enumerate(labels[:PAGE], 1):
                assert any(re.search(rf"^ {number}   {re.escape(label[:12])}", page, re.M) for page in pages), label
    assert missing == []


def test_a_number_of_a_line_not_shown_shows_it_and_a_mark_not_shown_is_said_in_the_foot(paper: Paper) -> None:
    long = [f"line {number} " + "of many words that go on " * 4 for number in range(1, 10)]
    asked: Any = Pick("Which?", long, here=8)
    pages = drawn(asked, "+", "{} of {}")
    assert len(pages) > 1 or paper.size.height >= 30
    asked._page, left = 0, list[object]()
    asked.leave = left.append
    if len(pages) > 1:
        assert "Enter line 9 of many" in pages[0]
        asked.press("9")
        assert left == [] and 8 in asked._pages[asked._page]
    asked.press("9")
    assert left == [8]


@pytest.mark.parametrize("size", [(72, 24), (60, 17)])
async def test_what_a_key_says_is_read_whole_on_the_bench(demo: Path, opened: Opened, size: tuple[int, int]) -> None:
    async with opened(demo, size) as bench:
        await bench.keys("escape", "enter", "side plate", "enter")
        words = (
            "This is not taken: " + "it is said at length why that is so, and what is to be done, " * 4 + "at its end."
        )
        bench.app.refuse(words)
        await bench.settle()
        assert found(words, [bench.picture()]), bench.picture()
        await bench.keys("1", "escape")
        assert not found(words, [bench.picture()])
