"""The forms of what commands answer with `--json`, as JSON Schema: for scripts that want to be sure of a field.

Where an answer is made of the nouns of a report, those are its form; the others are laid down here, a struct each,
and a test holds what the commands answer against them.
"""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

import msgspec
from msgspec import Meta, Struct, field

from putback.reports.account.blocks import Block
from putback.reports.account.blocks import State as StepState
from putback.reports.answer_forms import FORMS, Count, Number, Stamp
from putback.reports.cards import Card
from putback.reports.machines import State as MachineState
from putback.reports.summary import Summary
from putback.settings import Settings
from putback.sizing.verdict import Members, Word
from putback.trade.files.session_schema import DIALECT


class _Content(Struct):
    count: Count
    what: str
    size: str
    hole: Annotated[str | None, Meta(description="the place and its letter, as 5a; null for loose pieces and parts")]
    step: Number
    face: Annotated[str, Meta(description="where it is another than the step's")] = ""
    note: str = ""


class _Bag(Struct):
    code: str
    number: Number
    machine: str
    state: Literal["open", "closed"]
    contents: list[_Content]
    steps: list[Number]


class _BagRow(Struct):
    code: str
    number: Number
    state: Literal["open", "closed"]
    count: Annotated[int, Meta(ge=0, description="everything that is in it now")]


class _Dimension(Struct):
    of: Annotated[str, Meta(description="what it is a measure of: diameter, length")]
    measure: Annotated[str, Meta(description="as it was said, with its unit")]
    unit: Literal["in", "mm"]
    least: Annotated[float | None, Meta(description="in that unit; null where no limit was said")]
    most: float | None


class _Making(Struct):
    count: Annotated[int, Meta(ge=1, description="how many are made")]
    material: str | None
    drawing: Annotated[str | None, Meta(description="the name of a photo, or where the drawing lies")]
    measures: list[_Dimension]


class _Job(Struct):
    do: str
    what: str
    when: str
    takes: str | None
    side: str | None
    state: Literal["to do", "in hand", "done"]
    since: Stamp | None
    done: Stamp | None
    result: str
    of: Annotated[str, Meta(description="what it is about, in words")]
    step: Number | None
    bag: Number | None
    hole: str | None
    stuck: Annotated[str | None, Meta(description="what it waits for; null where it can be done here and now")]
    frees: Annotated[int, Meta(ge=0, description="steps of the way back that wait for it and for nothing else")]
    holds_up: Annotated[int, Meta(ge=0, description="steps that wait for it, for something else, too, among them")]
    making: Annotated[_Making | None, Meta(description="of what is to be made; null for every other job")]


class _Frees(Struct):
    what: str
    steps: Count


class _Soak(Struct):
    what: str
    step: Annotated[Number | None, Meta(description="null where it is of a bag or of the machine")]
    of: Annotated[str, Meta(description="what it is of, in words")]
    out: Stamp | None
    hours_left: Annotated[float, Meta(description="below 0 where it should be out")]
    state: str


class _SentThing(Struct):
    count: Count
    what: str
    step: Number


class _Sent(Struct):
    machine: str
    to: str
    for_: str = field(name="for")
    since: Stamp | None
    due: Annotated[str | None, Meta(description="a day, as 2025-11-20")]
    things: list[_SentThing]
    waits: Annotated[list[Number], Meta(description="steps that wait for any of it")]
    cautions: Annotated[list[str], Meta(description="the usual cautions for it and for what is done to it")]


class _Wanted(Struct):
    count: Count
    what: str
    why: str
    step: Count


class _HeldUp(Struct):
    step: Number
    what: str
    why: str


class _Lot(Struct):
    place: str
    count: Count
    of: Annotated[list[str], Meta(description="where its things lay before they were sent")]


class _ToDo(Struct):
    machine: str
    jobs: list[_Job]
    on_the_way_back: list[_Job]
    frees_most: _Frees | None
    soaks: list[_Soak]
    sent: list[_Sent]
    mixed: Annotated[list[_Lot], Meta(description="lots that came back mixed and are still to be sorted")]
    on_hold: list[_HeldUp]
    cautions: list[str]
    shopping: list[_Wanted]
    trouble: list[str]


class _MachineLine(Struct):
    machine: str
    state: MachineState
    touched: Stamp | None
    days: Annotated[int | None, Meta(description="whole days since then")]
    due: list[str]
    waits: list[str]
    next: str


class _Spare(Struct):
    count: Annotated[int, Meta(ge=0, description="how many are left")]
    what: str
    size: str
    kind: str
    head: str
    came: Count
    gone: Count
    origin: str
    place: str


class _Waits(Struct):
    step: Number
    for_: str = field(name="for")


class _Account(Struct):
    step: Number
    heading: str
    state: StepState
    blocks: list[Block]


class _Plan(Struct):
    order: Annotated[list[Number], Meta(description="each recorded step's number once")]
    bag_openings: Count
    tool_changes: Count
    proved_best: Annotated[bool | None, Meta(description="null for the strict reverse")]
    waiting: list[_Waits]
    sessions: Annotated[list[list[Number]], Meta(description="empty unless --sessions was given")]
    sessions_proved: bool


class _Refit(_Plan):
    account: list[_Account]


class _Demo(Struct):
    summary: Summary
    refit: _Plan


class _Candidate(Struct):
    name: str
    probability: Annotated[float, Meta(ge=0, le=1)]
    also: Annotated[list[str], Meta(description="threads that no gauge tells from it")]
    fit: str
    house: Annotated[bool, Meta(description="a length of the machine's own")] = False


class _Ask(Struct):
    reading: Literal["gauge", "od", "pitch", "tpi", "ten-pitches", "length", "flank-angle", "nut"]
    why: str


class _Today(Struct):
    name: str
    change: str


class _Half(Struct):
    verdict: Word
    candidates: Annotated[list[_Candidate], Meta(description="best first; what they lack to 1 is none of these")]
    ask: _Ask | None
    note: str = ""
    datum: str = ""
    group: Members | None = None
    tap_drill: str = ""
    today: list[_Today] = []


class _Size(Struct):
    thread: _Half | None
    length: _Half | None
    standard: _Half | None = None
    notes: list[str] = []
    blade: str = ""


class _Finding(Struct):
    what: str
    where: str


class _Check(Struct):
    ok: bool
    changes: Annotated[int, Meta(ge=0, description="the number of the last change")]
    findings: list[_Finding]
    notes: list[str] = []


ANSWERS: Final[dict[str, Any]] = {
    "bag": _Bag,
    "bags": list[_BagRow],
    "card": Card,
    "check": _Check,
    "demo": _Demo,
    "machines": list[_MachineLine],
    "refit": _Refit,
    "sent": list[_Sent],
    "settings": Settings,
    "size": _Size,
    "spares": list[_Spare],
    "summary": Summary,
    "todo": list[_ToDo],
    **FORMS,
}
"""What each command answers with `--json`, and with an option that asks for something else."""


def file_name(command: str) -> str:
    """Return the name under which the schema of an answer is kept: `todo-get.schema.json`."""
    return f"{command.replace(' --', '-').replace(' ', '-')}.schema.json"


def answer_schema(command: str) -> dict[str, Any]:
    """Return the schema of what a command of ANSWERS prints with `--json`; no field stands in it but these."""
    (top,), found = msgspec.json.schema_components([ANSWERS[command]], ref_template="#/$defs/{name}")
    defs = {name.removeprefix("_"): _closed(form) for name, form in found.items()}
    head = {"$schema": DIALECT, "title": f"What putback {command} --json prints"}
    return {**head, **_named(top), "$defs": defs}


def _closed(form: dict[str, Any]) -> dict[str, Any]:
    """Return a form that no other field may be in."""
    named: dict[str, Any] = _named(form)
    named["title"] = named["title"].removeprefix("_")
    return {**named, "additionalProperties": False}


def _named(form: Any) -> Any:
    """Return a form whose references have the names that are shown."""
    if isinstance(form, dict):
        return {
            name: inner.replace("#/$defs/_", "#/$defs/") if name == "$ref" else _named(inner)
            for name, inner in form.items()
        }
    return [_named(inner) for inner in form] if isinstance(form, list) else form
