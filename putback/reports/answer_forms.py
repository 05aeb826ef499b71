"""The forms of what the rest of the commands, and options that ask for something else, answer with `--json`.

Those of what is told of the record are in `answer_schemas.py`; all are listed there.
"""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from msgspec import Meta, Struct, defstruct, field

from putback.reports.account.blocks import Block
from putback.reports.account.blocks import State as StepState
from putback.settings import Settings
from putback.trade.record.first_look import SORTS
from putback.trade.record.machine import PLATE

Count = Annotated[int, Meta(ge=0)]
"""How many."""

Number = Annotated[int, Meta(ge=1)]
"""The number of a step, a bag or a session on its machine."""

Stamp = Annotated[str, Meta(description="ISO 8601 with an offset")]
"""A time."""


class _Where(Struct):
    machine: str
    what: str
    count: Count
    place: Annotated[str, Meta(description="as in a session file: bag 3, shelf, away: plater; fitted where it is on")]
    step: Annotated[int | None, Meta(description="the step that it belongs to")]
    holes: list[str]


class _ToldStep(Struct):
    step: Number
    told: str


class _WalkBack(Struct):
    machine: str
    notes: list[str]
    steps: Annotated[list[_ToldStep], Meta(max_length=3, description="newest first")]
    half_done: str
    questions: list[str]
    next: Annotated[str, Meta(description="where to start")]


class _Reached(Struct):
    steps: Annotated[list[Number], Meta(description="ascending, the part's own and all that must come off before it")]
    fasteners: Count
    bags: list[Number]
    minutes: Annotated[float, Meta(ge=0)]


class _Same(Struct):
    what: str
    count: Count
    holes: Annotated[list[str], Meta(description="as “step 5, left panel: 1 2 4”")]


class _Mixed(Struct):
    one: str
    other: str
    why: str


class _Compared(Struct):
    interchange: list[_Same]
    look_alike: list[_Mixed]


class _LogLine(Struct):
    number: Number
    at: Stamp
    who: str
    machine: Annotated[str, Meta(description="empty where it is about the whole workshop")]
    did: Annotated[str, Meta(description="the name of the command")]
    said: str
    undoes: Annotated[int | None, Meta(description="the change that it took back")]
    undone_by: Annotated[int | None, Meta(description="the change that took it back")]


class _GotFor(Struct):
    step: Count
    hole: str | None
    why: str


class _Got(Struct):
    what: str
    kind: str
    size: str
    head: str
    drive: str
    needed: Count
    over: Count
    state: str
    likely: str
    machines: list[str]
    for_: list[_GotFor] = field(name="for")
    ways: list[str]


class _Account(Struct):
    step: Number
    heading: str
    state: StepState
    blocks: list[Block]


class _Next(Struct):
    step: Number
    lines: list[str]
    account: _Account


class _Graph(Struct):
    form: Literal["dot", "mermaid"]
    graph: str


class _SeenFirst(Struct):
    sort: Annotated[str, Meta(extra_json_schema={"enum": list(SORTS)})]
    what: str
    came_of: str | None = None


_SAID = [
    (f"said_{at}", str, field(name=word, default=""))
    for at, word in enumerate(
        ("serial", "threads", "lies", "in the serial", *(field.called or field.name for field in PLATE))
    )
]
_FirstLooked: Any = defstruct(
    "FirstLook",
    [
        ("machine", str),
        ("cautions", list[str]),
        ("notes", list[str]),
        ("settings", list[str]),
        ("next_time", list[str]),
        ("seen", list[_SeenFirst]),
        ("unanswered", Count),
        *_SAID,
    ],
)
# What is known of the machine stands under the words for it.


class _LastLine(Struct):
    words: str
    open: bool


class _LastPart(Struct):
    title: str
    lines: list[_LastLine]


class _LastPaged(Struct):
    machine: str
    as_of: str
    steps: Count
    back: Count
    open: Count
    sections: list[_LastPart]
    file: Annotated[str, Meta(description="where --out was given")] = ""


class _Booked(Struct):
    file: str
    machine: str
    steps: Count
    photos: Annotated[int, Meta(ge=0, description="how many are shown")]
    photo_bytes: Count


class _PicturedBag(Struct):
    code: str
    number: Number
    machine: str


class _Pictured(Struct):
    file: str
    bags: list[_PicturedBag]
    strange: Annotated[list[str], Meta(description="codes that no bag of the workshop has")]
    why: Annotated[str | None, Meta(description="why it could not be read")]


class _Photo(Struct):
    file: str
    state: Literal["filed", "known", "twin", "no step", "clock", "unread"]
    taken: Stamp | None
    machine: str | None
    step: int | None
    when: str | None
    at_refit: bool
    doubt: bool
    instead: int | None
    why: str | None


class _PhotosFiled(Struct):
    filed: Count
    known: Count
    twin: Count
    no_step: Count
    clock: Count
    unread: Count
    camera_ahead_s: Annotated[float | None, Meta(description="how far the camera's clock is ahead, in seconds")]
    photos: list[_Photo]


class _KeyTold(Struct):
    id: str
    where: str
    keys: list[str]
    label: str
    told: str


class _Written(Struct):
    file: str


class _Exported(Struct):
    file: str = ""
    files: list[str] = []


class _SessionFile(Struct):
    unsaid: Annotated[list[str], Meta(description="what such a file cannot say")]
    text: Annotated[str, Meta(description="the file, where no name was given")] = ""
    file: str = ""


class _NewCode(Struct):
    machine: str
    bag: Number
    was: str
    now: str
    held_by: Annotated[str, Meta(description="the bag that has the code already")]


class _TakenIn(Struct):
    machines: list[str]
    changes: Count
    last: Number
    codes: Annotated[list[_NewCode], Meta(description="labels to print anew")]
    photos: Annotated[list[str], Meta(description="files to copy from the other workshop's photos/")]


class _Found(Struct):
    what: str
    where: str


class _BackedUp(Struct):
    ok: bool
    into: str
    changes: Count
    photos: Count
    bytes: Count
    findings: list[_Found]
    notes: list[str] = []


class _Proof(Struct):
    ok: bool
    changes: Count
    findings: list[_Found]
    notes: list[str] = []


class _Mended(Struct):
    ok: bool
    changes: Count
    findings: list[_Found]
    into: str
    lost: list[str]
    repaired: list[str]
    new: _Proof


class _Joined(Struct):
    ok: bool
    into: str
    common: Count
    first: Count
    second: Count
    changes: Count
    renewed: list[str]
    different: list[_Found]


class _Replayed(Struct):
    machine: str
    changes: Count
    last: Number


class _Strokes(Struct):
    count: Count
    strokes_mean: Annotated[float, Meta(ge=0)]
    strokes_max: Count


class _KeysReplayed(Struct):
    new_fastener: Annotated[_Strokes, Meta(description="screws and nuts with gauge and length")]
    same_again: _Strokes
    other: _Strokes
    step: _Strokes
    without_keys: Annotated[list[str], Meta(description="what is said between two steps, and was entered without keys")]


class _About(Struct):
    folder: str
    is_there: bool
    settings: Settings
    versions: Annotated[dict[str, str | None], Meta(description="null for a library that is not there")]
    system: str


FORMS: Final[dict[str, Any]] = {
    "bag --image": list[_Pictured],
    "bags --sheet": _Written,
    "card first-look": _FirstLooked,
    "where": list[_Where],
    "alike": _Compared,
    "walk-back": _WalkBack,
    "refit --next": _Next,
    "refit --graph": _Graph,
    "reach": _Reached,
    "todo --get": list[_Got],
    "todo --sheet": _Written,
    "todo --make-sheet": _Written,
    "sent --sheet": _Written,
    "labels": list[str],
    "book": _Booked,
    "book --last-page": _LastPaged,
    "photos": _PhotosFiled,
    "replay": _Replayed,
    "replay --keys": _KeysReplayed,
    "export --out": _Exported,
    "export --session-file": _SessionFile,
    "import": _TakenIn,
    "backup": _BackedUp,
    "check --mend": _Mended,
    "check --join": _Joined,
    "log": list[_LogLine],
    "about": _About,
    "keys": list[_KeyTold],
}
"""What these answer."""
