"""Nothing that a person says is forgotten on the way back: the fields of the nouns are taken from their definitions.

A field added to a noun is shown by every outlet, or it stands on the list of exceptions with its reason: else a test
here fails.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import msgspec
import pypdfium2
import pytest

from putback.book.contents import Book, gather
from putback.book.html import html_of
from putback.book.markdown import markdown_of
from putback.book.pdf import pdf_of
from putback.errors import BadInput
from putback.reports.account import WayBack
from putback.reports.blocks import as_text, as_words
from putback.reports.plan import plan_blocks, plan_json
from putback.reports.planning import refit_plan
from putback.reports.spoken import spoken
from putback.settings import UNSET
from putback.trade.commands import Trouble
from putback.trade.commands.rules import apply
from putback.trade.files.rehearsal import rehearse
from putback.trade.files.session_file import read_session_file
from putback.trade.record.bag import Move
from putback.trade.record.fastener import Thing
from putback.trade.record.job import Job
from putback.trade.record.machine import Machine
from putback.trade.record.photo import Photo
from putback.trade.record.record import TABLE_OF, TABLES, Record
from putback.trade.record.step import Adjustment, Soak, Step
from putback.tui.draw.account import heading_rows, paged
from putback.tui.draw.glyphs import glyph_set
from putback.tui.keyboard.keymap import keymap_of
from putback.tui.refit.step_pages import StepPages

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sessions").glob("*.toml"))
NOW = "2025-06-01T10:00:00+00:00"

FILE = """
[machine]
name = "press"
origin = "us"
mass = "31 kg"
[assemblies]
case = {}
[[session]]
start = 2025-03-01T10:00:00
[[session.step]]
do = "take off"
part = "lid"
in = "case"
face = "front"
bag = 1
put = "shelf"
cautions = ["sharp edge"]
tools = ["driver 1.0 x 6"]
at_refit = ["oil the hinge"]
note = "penny side up"
adjust = [{ what = "stop", turns = 2.5 }]
todo = [{ do = "get", what = "felt" }]
fasteners = [
  { hole = "7", gauge = "832", length = ".372", head = "pan", drive = "slot" },
  { hole = "1", gauge = "1032", length = ".5", head = "hex", drive = "hex" },
  { hole = "9", found = "empty" },
]
loose = [{ name = "felt washer", count = 3 }]
[[session.step]]
do = "turn"
part = "machine"
state = "on its side"
[[session.step]]
do = "take off"
part = "foot"
bag = 2
put = "shelf"
soak = { what = "penetrant", hours = 48 }
[[session.move]]
after = 3
what = "foot"
step = 3
from = "shelf"
to = "bag 2"
note = "wrapped in felt"
"""


@pytest.fixture(scope="module")
def documents() -> dict[str, dict[int, Any]]:
    """A small machine as documents, with a photo."""
    record = rehearse(read_session_file(FILE, "x", now=datetime(2025, 6, 1, tzinfo=UTC))).record
    found = {table: record.documents(table) for table in TABLES}
    found["photos"][1] = {"id": 1, "machine": 1, "file": f"{'a' * 16}.jpg", "step": 1, "when": "before"}
    return found


def record_of(documents: dict[str, dict[int, Any]]) -> Record:
    """Read documents as a record."""
    record = Record()
    for table, rows in documents.items():
        record.load(table, rows)
    return record


# -- the outlets ---------------------------------------------------------------------------------------


def in_text(record: Record) -> str:
    return as_text(plan_blocks(record, 1, refit_plan(record, 1), caption="press"))


def as_spoken(record: Record) -> str:
    return as_words(plan_blocks(record, 1, refit_plan(record, 1), caption="press"))


def as_json(record: Record) -> str:
    return json.dumps(plan_json(record, 1, refit_plan(record, 1))["account"], ensure_ascii=False)


def on_the_screen(record: Record, size: tuple[int, int] = (47, 17)) -> str:
    """Every page of every step, in a pane of a terminal of 80 by 24, wrapped lines put together again."""
    card = StepPages(record, glyph_set(False), keymap_of(UNSET[0])[0])
    way, out = WayBack(record, 1), []
    for step in record.all(Step, 1):
        account = way.account(step)
        rows = [*heading_rows(account, size[0], ""), *(r for page in card.pages(account, *size) for r in page.rows)]
        rows += card.head(account, 200)
        out.append(" ".join(" ".join(row.plain.split()) for row in rows))
    return "\n".join(out)


def book_of(record: Record) -> Book:
    def look(name: str) -> Path:
        raise BadInput(f"{name} is not here")

    return gather(record, record.get(Machine, 1), now=NOW, look=look)


def in_html(record: Record) -> str:
    from html import unescape

    return unescape(html_of(book_of(record)).partition('id="back"')[2].partition('id="bags"')[0])


def in_markdown(record: Record) -> str:
    whole = markdown_of(book_of(record), str)
    return whole.partition("## The way back")[2].partition("\n## Bags")[0].replace("\\", "")


OUTLETS: dict[str, Callable[[Record], str]] = {
    "text": in_text, "spoken": as_spoken, "json": as_json, "screen": on_the_screen, "html": in_html,
    "markdown": in_markdown,
}  # fmt: skip

# -- every field ---------------------------------------------------------------------------------------

NUMBER = "a number inside the workshop"
CARD = "a reading: it stands where it tells two fasteners of a step apart, else on the card"
LOG = "when it was done: the logbook and the step's card tell it"
STATE = "it says where the way back stands: what is back, or confirmed, is not said again"

EXCEPTIONS: dict[str, str] = {
    "Step.id": NUMBER, "Step.machine": NUMBER, "Step.number": NUMBER, "Step.session": NUMBER, "Step.part": NUMBER,
    "Step.bag": "where its things lie now is said, wherever they were put first",
    "Step.put": "where the part lies now is said, wherever it was put first",
    "Step.minutes": "summed in the time left", "Step.began": LOG, "Step.ended": LOG, "Step.back": STATE,
    "Step.confirmed": STATE, "Step.in_the_way": "it becomes needs once the step is taken up again",
    "Step.facing": "which face is before the person only while it comes off",
    "Thing.id": NUMBER, "Thing.machine": NUMBER, "Thing.step": NUMBER, "Thing.part": NUMBER, "Thing.sort": NUMBER,
    "Thing.start": "where it stands now is said", "Thing.verdict": CARD, "Thing.thread": "it is part of the size",
    "Thing.length": "it is part of the size", "Thing.readings": CARD,
    "Thing.went_into": "of one that is gone: what became of it is said where its hole waits, `trouble_words`",
    "Thing.used": "one that is not new is not called new, and its note says from where",
    "Thing.like": "whether it was measured itself stands on its card and in the book: it goes in all the same",
    "Move.count": "one foot can be moved once; how many is said before its name",
    "Move.id": NUMBER, "Move.machine": NUMBER, "Move.thing": NUMBER, "Move.step": NUMBER, "Move.at": LOG,
    "Photo.id": NUMBER, "Photo.machine": NUMBER, "Photo.step": NUMBER, "Photo.instead": NUMBER,
    "Photo.file": "the picture itself is one key away", "Photo.name": "what the camera called it",
    "Photo.taken": "under the picture",
    "Adjustment.why_so": "beside what it was set to, and of nothing else",
    "Soak.since": "in the hour at which it is to come out",
    "Job.since": "with the state, in words", "Job.done": "with the state, in words",
}  # fmt: skip
"""Fields that the way back does not say, each with its reason."""

SAID = "quillwort"
"""A word that nothing else says."""

VALUES: dict[str, Any] = {
    "Step.do": "undo", "Step.area": 0, "Step.face": "left", "Step.needs": [], "Step.state": f"on {SAID}",
    "Step.next_time": [SAID],
    "Step.tools": [SAID], "Step.cautions": [SAID], "Step.at_refit": [SAID], "Step.answers": [SAID],
    "Step.adjust": [{"what": SAID}], "Step.todo": [{"do": "get", "what": SAID, "when": "no hurry"}],
    "Step.soak": {"what": SAID, "hours": 5}, "Step.lifted": "2031-02-03T10:00:00+00:00", "Step.cover": True,
    "Step.whole": True, "Thing.name": "bolt", "Thing.count": 2, "Thing.hole": "4", "Thing.size": f"#8-32 x {SAID}",
    "Thing.head": "cheese", "Thing.drive": "spanner", "Thing.hand": "left", "Thing.small_end": "bottom",
    "Thing.turns": 7.5, "Thing.found": "", "Thing.replaces": 2, "Thing.once": True,
    "Thing.came_out": ["seized"], "Thing.trouble": ["thread gone"], "Thing.goes_into": "1",
    "Adjustment.turns": 8.25, "Adjustment.shims": [SAID], "Adjustment.before": True,
    "Job.side": "on the way back, with the part on",
    "Job.measures": [{"of": SAID, "measure": "1/4 -.002 in"}], "Job.count": 7, "Job.hours": 7.5,
    "Job.do": "make", "Job.when": "before it goes back", "Soak.hours": 77.0,
    "Move.source": "box Q", "Move.target": "box Q",
    "Photo.when": "after", "Photo.back": True, "Photo.doubt": True,
}  # fmt: skip
"""What a field is set to where any word would not do."""


def fields() -> Iterator[str]:
    """Every field of every noun that the way back is about."""
    for noun in (Step, Thing, Adjustment, Job, Soak, Move, Photo):
        for field in msgspec.structs.fields(noun):
            yield f"{noun.__name__}.{field.name}"


def changed(documents: dict[str, dict[int, Any]], name: str) -> dict[str, dict[int, Any]]:
    """The documents with one field set."""
    noun, field = name.split(".")
    new = {table: {number: dict(row) for number, row in rows.items()} for table, rows in documents.items()}
    value = VALUES.get(name, SAID)
    step = new["steps"][1]
    if noun == "Adjustment":
        step["adjust"] = [{**step["adjust"][0], field: value}]
    elif noun == "Job":
        step["todo"] = [{"do": "get", "what": "felt", "done": NOW if field == "result" else "", field: value}]
    elif noun == "Soak":
        new["steps"][3]["soak"] = {**new["steps"][3]["soak"], field: value}
    else:
        rows = new[TABLE_OF[{"Step": Step, "Thing": Thing, "Move": Move, "Photo": Photo}[noun]]]
        other = {"state": 2, "needs": 3, "lifted": 3, "found": 3} if noun in ("Step", "Thing") else {}
        number = other.get(field, 1 if noun in ("Step", "Thing") else max(rows))
        rows[number] = {**rows[number], field: value}
    return new


@pytest.fixture(scope="module")
def unchanged(documents: dict[str, dict[int, Any]]) -> dict[str, str]:
    """What each outlet says of the machine as it is."""
    return {outlet: shown(record_of(documents)) for outlet, shown in OUTLETS.items()}


@pytest.mark.parametrize("name", [name for name in fields() if name not in EXCEPTIONS])
def test_every_outlet_shows_every_field(
    documents: dict[str, dict[int, Any]], unchanged: dict[str, str], name: str
) -> None:
    after = record_of(changed(documents, name))
    for outlet, shown in OUTLETS.items():
        found = shown(after)
        assert found != unchanged[outlet], f"{name} is not shown by {outlet}"
        if name not in VALUES or SAID in json.dumps(VALUES[name]):
            assert SAID in found, f"{outlet} does not say what {name} says"


def test_every_exception_is_a_field() -> None:
    assert set(EXCEPTIONS) <= set(fields()) and set(VALUES) <= set(fields())


# -- every text of the samples -------------------------------------------------------------------------


def texts_of(step: dict[str, Any]) -> Iterator[str]:
    """Every text that a step of a session file says, with the heads of its fasteners."""
    yield from (step["part"], *step.get("tools", ()), *step.get("cautions", ()), *step.get("at_refit", ()))
    yield from filter(None, (step.get("note"), step.get("state"), step.get("tag"), step.get("in")))
    for setting in step.get("adjust", ()):
        yield from (str(value) for key, value in setting.items() if key not in ("turns", "shims", "before"))
        yield from setting.get("shims", ())
    for job in step.get("todo", ()):
        yield job["what"]
    for row in step.get("fasteners", ()):
        yield from (row[key] for key in ("head", "drive", "note", "should_be", "material", "small_end") if key in row)
    for piece in step.get("loose", ()):
        yield from (piece["name"], piece.get("note", ""))
    if "soak" in step:
        yield step["soak"]["what"]


@cache
def played(path: Path) -> Record:
    """A sample, played; nothing here changes it."""
    text = path.read_text(encoding="utf-8")
    return rehearse(read_session_file(text, path.name, now=datetime(2025, 6, 1, tzinfo=UTC))).record


def flat(words: str) -> str:
    """Words as they compare: without line breaks, capitals and the sign at a sentence's end."""
    return " ".join(words.casefold().split())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_text_of_a_sample_is_said_again(path: Path) -> None:
    text, record = path.read_text(encoding="utf-8"), played(path)
    steps = [step for session in tomllib.loads(text)["session"] for step in session.get("step", ())]
    moves = [move["note"] for s in tomllib.loads(text)["session"] for move in s.get("move", ()) if "note" in move]
    pdf = pypdfium2.PdfDocument(pdf_of(book_of(record)))
    shown = {name: flat(outlet(record)) for name, outlet in OUTLETS.items()}
    shown["pdf"] = flat(" ".join(page.get_textpage().get_text_range() for page in pdf)).rpartition("the way back")[2]
    shown["json"] = flat(as_json(record).replace('\\"', '"'))
    for found in (*moves, *(found for step in steps for found in texts_of(step))):
        for name, message in shown.items():
            words = flat(spoken(found)) if name == "spoken" else flat(found)
            assert words.rstrip(".") in message, f"{name} does not say: {found}"


@pytest.mark.parametrize("size", [(58, 9), (38, 16), (45, 16), (60, 22)])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_no_page_cuts_a_word_or_a_hole(path: Path, size: tuple[int, int]) -> None:
    """Every word of every block, and every hole of every map, stands on some page, whatever the size."""
    record = played(path)
    card, way = StepPages(record, glyph_set(False), keymap_of(UNSET[0])[0]), WayBack(record, 1)
    for step in record.all(Step, 1):
        account = way.account(step)
        pages = card.pages(account, *size)
        assert all(len(page.rows) <= size[1] for page in pages)
        assert all(row.cell_length <= size[0] for page in pages for row in page.rows)
        text = " ".join(" ".join(row.plain for row in page.rows) for page in pages)
        words = set(text.split())
        for block in account.blocks[1:]:
            if block.sort not in ("inside", "face", "place"):
                missing = [word for word in block.words.split() if word not in words and word not in text]
                assert not missing, (step.number, block.sort, missing)
        for hole in {thing.hole for thing in record.things_of(step) if thing.hole}:
            assert hole[0] in text


def test_paging_keeps_every_row() -> None:
    from putback.tui.draw.account import Chunk
    from putback.tui.draw.text import plain

    chunks = [Chunk(tuple(plain(f"{n}.{row}") for row in range(n % 7 + 1))) for n in range(40)]
    rows = [row.plain for page in paged(chunks, 5) for row in page.rows]
    assert rows == [row.plain for chunk in chunks for row in chunk.rows]


def test_a_lost_screw_is_said_once(documents: dict[str, dict[int, Any]]) -> None:
    """The trouble says it; the move that it makes in the ledger does not say it again."""
    record = record_of(documents)
    screw = next(t for t in record.all(Thing, 1) if t.hole == "7")
    record.absorb(apply(record, 1, Trouble(what="lost", thing=screw.id), at=NOW))
    text = in_text(record)
    assert f"hole 7: {screw.brief} lost" in text and "to missing" not in text
