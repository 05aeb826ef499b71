"""The form of a session file as JSON Schema: an editor that knows it offers fields and words as one types.

Which fields a table has is told by the readers (`session_file.py`, `fastener_rows.py`, `said_rows.py`), and which
words a field may have by the nouns of the record; here stands what sort of value each is. A field without a row here
is an error of the program.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from putback.trade.commands.trouble import TROUBLES
from putback.trade.files import fastener_rows, said_rows
from putback.trade.files import session_file as read
from putback.trade.files.between_steps import TABLES as BETWEEN
from putback.trade.record.fastener import CAME_OUT, FIELDS, HEADS, KINDS, READINGS, TAKEN_BY
from putback.trade.record.first_look import SORTS as LOOKED
from putback.trade.record.job import OLD_WORDS, SIDES, SORTS, STATES, TAKES, WHENS
from putback.trade.record.machine import FACES, ORIGINS, PARTS_GO, PLATE_NAMES
from putback.trade.record.place import MOST_BAGS
from putback.trade.record.step import DOINGS, LIST_NAMES
from putback.trade.record.trip import HOW_BACK, UNITS

Form = dict[str, Any]
"""One piece of a schema."""

DIALECT = "https://json-schema.org/draft/2020-12/schema"
"""Which JSON Schema all of ours are written in."""

TEXT: Final[Form] = {"type": "string"}
FLAG: Final[Form] = {"type": "boolean"}
WHOLE: Final[Form] = {"type": "integer", "minimum": 0}
STEP_NUMBER: Final[Form] = {"type": "integer", "minimum": 1}
NUMBER: Final[Form] = {"type": "number", "minimum": 0}
READING: Final[Form] = {"type": ["string", "number"], "description": "as it was read: .372, 3/8, 832"}
TEXTS: Final[Form] = {"type": "array", "items": TEXT}
NUMBERS: Final[Form] = {"type": "array", "items": STEP_NUMBER}
MINUTES: Final[Form] = {"type": ["number", "string"], "description": "minutes, as 45 or “45 min”"}
PLACE: Final[Form] = {"type": "string", "description": "bag 3, box B, shelf, kept with drum, away: plater, ..."}
STAMP: Final[Form] = {"type": "string", "format": "date-time", "description": "without quotation marks"}
HOLE: Final[Form] = {
    "type": ["string", "integer"],
    "description": "a place on the face, 1 to 9, laid out like a number pad, with a letter where it holds several: 5a",
}


def _word(words: Iterable[str]) -> Form:
    return {"type": "string", "enum": [word for word in words if word]}


def _rows(of: str, most: int = 0) -> Form:
    items = {"type": "array", "items": {"$ref": f"#/$defs/{of.replace(' ', '_')}"}}
    return {**items, "maxItems": most} if most else items


def _table(names: Iterable[str], values: Mapping[str, Form], *needed: str) -> Form:
    """Return the form of a table with these fields and no others."""
    fields = {name: values[name] for name in names}
    return {"type": "object", "properties": fields, "required": list(needed), "additionalProperties": False}


_COMMON: Final[dict[str, Form]] = {
    **dict.fromkeys(
        ("name", "what", "part", "title", "note", "serial", "why", "box", "origin", "place", "to", "due", "because"),
        TEXT,
    ),
    **dict.fromkeys(("after", "count"), WHOLE),
    **dict.fromkeys(("step", "bag"), STEP_NUMBER),
    **dict.fromkeys(("notes", *LIST_NAMES), TEXTS),
    "hole": HOLE,
    "face": _word(FACES),
    "kind": _word(KINDS),
    "put": PLACE,
    "minutes": MINUTES,
    "adjust": _rows("setting"),
    "todo": _rows("job"),
    "once": FLAG,
}
"""What a field is wherever it stands."""

_MACHINE: Final = _COMMON | dict.fromkeys(PLATE_NAMES, TEXT) | {
    "origin": _word(ORIGINS),
    "unit": _word(("in", "mm")),
    "parts_go": _word(PARTS_GO),
    "first_look": _rows("seen"),
}  # fmt: skip
_SESSION: Final = _COMMON | {
    "start": STAMP,
    "target": MINUTES,
    "breaks": _rows("break"),
    "step": _rows("step"),
    "move": _rows("move"),
    "trouble": _rows("trouble"),
    **{name: _rows(f"session {name}") for name in BETWEEN},
}  # fmt: skip
_STEP: Final = _COMMON | {
    "do": _word(DOINGS),
    "in": TEXT,
    "bag": {"type": "integer", "minimum": 1, "maximum": MOST_BAGS},
    "needs": NUMBERS,
    "fasteners": _rows("fastener", fastener_rows.MOST_AT_A_STEP),
    "loose": _rows("piece", fastener_rows.MOST_AT_A_STEP),
    **dict.fromkeys(("whole", "cover", "in_the_way", "take_up"), FLAG),
    "close": NUMBERS,
    "soak": {"$ref": "#/$defs/soak"},
    **dict.fromkeys(("tag", "state", "on_hold"), TEXT),
}
_FASTENER: Final = _COMMON | {
    **dict.fromkeys(("same", "like"), FLAG),
    **dict.fromkeys(READINGS, READING),
    **{name: _word(words) for name, words in TAKEN_BY.items()},
    **{
        field.name: _word(field.words) if field.words else NUMBER if field.most else TEXT
        for field in FIELDS
    },
    "found": _word(("empty",)),
    "came_out": {"type": "array", "items": _word(CAME_OUT)},
    "freed": TEXT,
}  # fmt: skip
_JOB: Final = _COMMON | {
    "do": _word((*SORTS, *OLD_WORDS)),
    "when": _word(WHENS),
    "takes": _word(TAKES),
    "side": _word(SIDES),
    "state": _word(STATES),
    **dict.fromkeys(("since", "done"), STAMP),
    **dict.fromkeys(("result", "material", "drawing"), TEXT),
    "measures": _rows("dimension"),
    "hours": NUMBER,
}
_SETTING: Final = _COMMON | {
    "turns": {"type": "number"},
    **dict.fromkeys(("mark", "gap", "measure", "should_be", "as_set"), READING),
    "shims": TEXTS,
    "before": FLAG,
    "why_so": TEXT,
}
_TROUBLE: Final = _FASTENER | {"what": _word(TROUBLES), "into": HOLE}
_BETWEEN: Final = _COMMON | {
    "do": _word(SORTS),
    "state": _word(STATES),
    "result": TEXT,
    "things": _rows("thing"),
    "bags": NUMBERS,
    "how": _word(HOW_BACK),
    "mixed": FLAG,
    "unit": _word(UNITS),
    "from": PLACE,
    "size": TEXT,
    "head": _word(HEADS),
}


def session_schema() -> dict[str, Any]:
    """Return the form of a session file."""
    between = {
        f"session_{name}": _table(
            ("after", *table.fields, *(said_rows.JOB if table.has_job else ())),
            _BETWEEN | (_JOB if table.has_job else {}),
            *(("after", "size") if name == "spare" else ("after",)),
        )
        for name, table in BETWEEN.items()
    }
    return {
        "$schema": DIALECT,
        "title": "A session file of Putback",
        "type": "object",
        "properties": {
            "machine": _table(read.MACHINE, _MACHINE, "name"),
            "assemblies": {
                "type": "object",
                "description": "a line for each assembly in which a step is worked: name = {}, or { in = “other” }",
                "additionalProperties": _table(("in",), {"in": TEXT}),
            },
            "session": _rows("session"),
        },
        "required": ["machine", "session"],
        "additionalProperties": False,
        "$defs": {
            "session": _table(read.SESSION, _SESSION),
            "break": _table(("after", "minutes"), _COMMON | {"minutes": NUMBER}, "after", "minutes"),
            "step": _table(read.STEP, _STEP, "do", "part"),
            "fastener": _table(fastener_rows.FASTENER, _FASTENER, "hole"),
            "piece": _table(("name", "count", "put", "note", "once"), _COMMON, "name"),
            "soak": _table(said_rows.SOAK, {"what": TEXT, "hours": NUMBER, "since": STAMP}, "what", "hours"),
            "setting": _table(said_rows.ADJUST, _SETTING, "what"),
            "job": _table(said_rows.JOB, _JOB, "do", "what"),
            "dimension": _table(("of", "measure"), {"of": TEXT, "measure": READING}, "of", "measure"),
            "seen": _table(said_rows.SEEN, {"sort": _word(LOOKED), "what": TEXT, "came_of": TEXT}, "sort", "what"),
            "move": _table(
                read.MOVE, _COMMON | {"from": PLACE, "to": PLACE}, "after", "what", "step", "from", "to"
            ),
            "trouble": _table(fastener_rows.TROUBLE, _TROUBLE, "after", "step", "what"),
            "thing": _table(("step", "what", "count", "put"), _COMMON, "step", "what"),
            **between,
        },
    }  # fmt: skip
