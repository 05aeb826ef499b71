"""Rows of a session file about fasteners and loose pieces: what came out, and what went wrong with one.

What can be said of a fastener is the table of its fields, in `record.fastener`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from msgspec.structs import replace

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.commands.trouble import TROUBLES
from putback.trade.files.fields import Fields
from putback.trade.record.fastener import (
    CAME_OUT,
    FIELD,
    FIELDS,
    FOUND,
    KINDS,
    NAMELESS,
    READINGS,
    TAKEN_BY,
    THREADED,
    read_hole,
    spot,
)
from putback.trade.record.holes import read_spot
from putback.trade.record.machine import FACES
from putback.trade.record.phrases import quoted

MOST_AT_A_STEP = 1_000
"""How many fasteners, and how many loose pieces, one step may hold: four times what its holes have places for."""

FASTENER = (
    "hole", "face", "same", "like", "kind", *READINGS, *TAKEN_BY, *FIELD, "found", "once", "came_out", "freed",
)  # fmt: skip
CAME = ("came_out", "freed")
UNLIKE = ("hole", "face", "like", "kind", *FIELD, "once", *CAME)
"""What may stand beside `like`: all but readings, since it was not measured."""
NOT_CARRIED: Final = {field.name: None for field in FIELDS if not field.carried}
"""What one just like the one before does not have from it."""
NOUGHT: Final = {field.name: 0.0 for field in FIELDS if field.most}
"""What a row that says no number says."""
OF_ANOTHER = tuple(field.name for field in FIELDS if (field.stays and not field.of) or field.name == "note")
"""What is said of the fastener that goes in for another."""
TROUBLE = ("after", "step", "hole", "face", "kind", "what", *READINGS, *TAKEN_BY, *OF_ANOTHER, "into", "put", "because")
SIZED = ("another goes in", "left over")
"""Troubles that a size belongs to: that of the one which goes in, or is left over."""


class FastenerRows:
    """The rows of the steps of one file, each of which may be like the one before it."""

    def __init__(self) -> None:
        self.last: c.Enter | None = None
        """The last fastener that came out so far."""

    def fasteners(self, step: Fields, *, bag: int, loosened: bool) -> Iterator[c.Enter]:
        """Give what came out of the holes of a step; `bag` is where it goes, 0 where the file does not say."""
        above: dict[str, c.Enter] = {}
        for index, row in enumerate(step.tables("fasteners", default=[], most=MOST_AT_A_STEP), 1):
            entered = self.fastener(row, f"{step.where}, fastener {index}", above)
            if not entered.found:
                above[entered.kind] = above[""] = self.last = entered
                if not bag and not loosened:
                    raise BadInput(f"{step.where}: it has fasteners and no bag; say bag = a number.")
            yield entered

    def came_out(self, step: Fields) -> Iterator[c.CameOut | None]:
        """Give for each row how its fastener came out; None where the row says nothing of it."""
        for index, row in enumerate(step.tables("fasteners", default=[], most=MOST_AT_A_STEP), 1):
            where = f"{step.where}, fastener {index}"
            f = Fields({name: row[name] for name in CAME if name in row}, where, CAME)
            said, freed = f.texts("came_out"), f.text("freed", "")
            how = tuple(word for text in said for word in CAME_OUT if word == text)
            if wrong := next((text for text in said if text not in how), None):
                raise f.fault("came_out", f"{quoted(wrong)} is none of {', '.join(CAME_OUT)}.")
            if (how or freed) and row.get("found"):
                raise f.fault("came_out", "nothing came out of a hole found empty.")
            yield c.CameOut(how=how, freed=freed) if how or freed else None

    def fastener(self, row: dict[str, Any], where: str, above: dict[str, c.Enter]) -> c.Enter:
        """Return one row; `above` has the last one before it of each kind, and the very last under ""."""
        f = Fields(row, where, FASTENER)
        try:
            hole = read_hole(f.reading("hole"))
        except BadInput as fault:
            raise f.fault("hole", str(fault)) from fault
        face = f.word("face", FACES, "")
        if f.flag("same"):
            for name in row:
                if name not in ("hole", "face", "same", "kind", "note", *CAME):
                    raise BadInput(f"{where}: {quoted(name)} and same = true; leave one of them out.")
            wanted = f.word("kind", KINDS, "")
            if wanted not in above:
                raise BadInput(f"{where}: same = true, and there is no {wanted or 'fastener'} above it.")
            return replace(above[wanted], hole=hole, face=face, like=True, **NOT_CARRIED | _said(f, ("note",)))
        if f.flag("like"):
            return self.like(f, row, hole, above)
        found = f.word("found", FOUND, "")
        readings = {name: f.reading(name) for name in READINGS if name in f}
        ways = {name: f.word(name, words) for name, words in TAKEN_BY.items() if name in f}
        kind = f.word("kind", KINDS, "screw")
        if not found and not readings:
            raise BadInput(f"{where}: nothing was read of the {kind}; give one of {', '.join(READINGS)}.")
        if not found and set(readings) <= NAMELESS and kind in THREADED:
            raise BadInput(f"{where}: a length alone does not name a {kind}; give gauge or od as well.")
        return c.Enter(
            hole=hole,
            face=face,
            kind=kind,
            readings=readings | ways,
            found=found,
            once=f.flag("once") if "once" in f else None,
            **NOUGHT | _said(f, FIELD),
        )

    def like(self, f: Fields, row: dict[str, Any], hole: str, above: dict[str, c.Enter]) -> c.Enter:
        """Return a row that is as the last of its kind before it, in this step or, where it has none, an earlier one.

        Its size is that one's; how it looks is so, too, where the row says nothing else.
        """
        for name in row:
            if name not in UNLIKE:
                raise BadInput(f"{f.where}: {quoted(name)} and like = true; leave one of them out.")
        wanted = f.word("kind", KINDS, "")
        before = above.get(wanted) or self.last
        if before is None or wanted not in ("", before.kind):
            raise BadInput(f"{f.where}: like = true, and there is no {wanted or 'fastener'} before it.")
        return replace(
            before,
            hole=hole,
            face=f.word("face", FACES, ""),
            like=True,
            once=f.flag("once") if "once" in f else before.once,
            **NOT_CARRIED | _said(f, FIELD),
        )

    def pieces(self, step: Fields, bag: int) -> Iterator[c.EnterPiece]:
        """Give the loose pieces of a step."""
        for index, row in enumerate(step.tables("loose", default=[], most=MOST_AT_A_STEP), 1):
            f = Fields(row, f"{step.where}, loose {index}", ("name", "count", "put", "note", "once"))
            put = f.place("put")
            if not bag and not put:
                raise BadInput(f"{step.where}: it has loose pieces and no bag; say bag = a number, or put.")
            count = f.whole("count", 1, least=1)
            once = f.flag("once") if "once" in f else None
            yield c.EnterPiece(name=f.text("name"), count=count, put=put, note=f.text("note", ""), once=once)


def trouble(f: Fields, step: int) -> c.Trouble:
    """Return one row of trouble."""
    what = f.word("what", TROUBLES)
    sizes = {name: f.reading(name) for name in READINGS if name in f}
    ways = {name: f.word(name, words) for name, words in TAKEN_BY.items() if name in f}
    kind = f.word("kind", KINDS, "screw")
    if (sizes or ways) and what not in SIZED:
        raise BadInput(f"{f.where}: {quoted(next(iter(sizes | ways)))} is a size, and of one {what} none is said.")
    if what in SIZED and (not sizes or (set(sizes) <= NAMELESS and kind in THREADED)):
        raise BadInput(f"{f.where}: say the size of the one that is meant: give gauge or od.")
    if (what == "goes in another hole") != ("into" in f):
        raise f.fault("into", "it is the hole of one that goes in another hole, and of that only.")
    holes = {name: f.reading(name, "") for name in ("hole", "into")}
    for name, hole in holes.items():
        try:
            if hole or (name == "hole" and what != "left over"):
                holes[name] = read_hole(hole) if name == "hole" else spot(*read_spot(hole))
        except BadInput as fault:
            raise f.fault(name, str(fault)) from fault
    return c.Trouble(
        what=what,
        step=step,
        hole=holes["hole"],
        face=f.word("face", FACES, ""),
        into=holes["into"],
        kind=kind,
        readings=sizes | ways,
        put=f.place("put"),
        because=f.text("because", ""),
        **_said(f, OF_ANOTHER),
    )


def _said(f: Fields, names: Iterable[str]) -> dict[str, Any]:
    """Return what a row says of a fastener, by the fields that it has of these."""
    given = (FIELD[name] for name in names if name in f)
    return {
        field.name: f.number(field.name)
        if field.most
        else f.word(field.name, field.words)
        if field.words
        else f.text(field.name, "")
        for field in given
    }
