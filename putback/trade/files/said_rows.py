"""Rows of a session file about what is said of a step, a bag or a machine: jobs, settings, a first look, notes."""

from __future__ import annotations

from datetime import datetime, tzinfo
from typing import Any

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.files.fields import Fields, stamped
from putback.trade.record.fastener import read_hole
from putback.trade.record.first_look import SORTS as LOOKED
from putback.trade.record.first_look import Seen
from putback.trade.record.job import (
    DONE,
    IN_HAND,
    NOW,
    OLD_WORDS,
    SIDES,
    SORTS,
    STATES,
    TAKES,
    WHENS,
    Job,
    in_new_words,
)
from putback.trade.record.making import Dimension
from putback.trade.record.phrases import quoted
from putback.trade.record.step import LIST_NAMES, Adjustment, Soak

JOB = (
    "do", "what", "when", "takes", "side", "hole", "state", "since", "done", "result", "measures", "material",
    "drawing", "count", "hours",
)  # fmt: skip
SOAK = ("what", "hours", "since")
SEEN = ("sort", "what", "came_of")
ADJUST = (
    "what", "turns", "mark", "gap", "shims", "measure", "should_be", "why", "note", "before", "as_set", "why_so",
)  # fmt: skip


class SaidRows:
    """Reads them; a stamp without an offset is in `zone`."""

    def __init__(self, now: datetime, zone: tzinfo | None) -> None:
        self.now = now
        self.zone = zone

    def seen(self, row: dict[str, Any], where: str) -> Seen:
        """Return something that was seen before anything came off."""
        f = Fields(row, where, SEEN)
        return Seen(sort=f.word("sort", LOOKED), what=f.text("what"), came_of=f.text("came_of", ""))

    def annotation(self, step: Fields) -> c.Annotate | None:
        """Return everything else that is said of a step, or None where nothing is."""
        adjust = tuple(self.adjustment(row, f"{step.where}, adjust") for row in step.tables("adjust", default=[]))
        todo = tuple(self.job(row, f"{step.where}, todo") for row in step.tables("todo", default=[]))
        soak = None
        if "soak" in step:
            f = Fields(step.table("soak"), f"{step.where}, soak", SOAK)
            soak = Soak(f.text("what"), f.number("hours"), self.reading_by(f, "since"))
        lists: dict[str, Any] = {name: step.texts(name) for name in LIST_NAMES if name in step}
        note = c.Annotate(
            adjust=adjust,
            todo=todo,
            soak=soak,
            cover=True if step.flag("cover") else None,
            note=step.text("note", "").strip(),
            **lists,
        )
        return None if note == c.Annotate() else note

    def job(self, row: dict[str, Any], where: str) -> Job:
        """Return a job; one in hand or done without a stamp has that of its step."""
        f = Fields(row, where, JOB)
        if f.text("do") in OLD_WORDS:
            f = Fields(in_new_words(row), where, JOB)
        since, done = self.reading_by(f, "since"), self.reading_by(f, "done")
        state = f.word("state", STATES, DONE if done else IN_HAND if since else "")
        if state == DONE:
            done = done or NOW
        elif done or (since and state != IN_HAND):
            raise f.fault("state", f"it is {quoted(state)}, and has a stamp of {'done' if done else 'since'}.")
        elif state == IN_HAND:
            since = since or NOW
        result = f.text("result", "")
        if result and not done:
            raise f.fault("result", "it is entered when the job is done.")
        return Job(
            do=f.word("do", SORTS),
            what=f.text("what"),
            when=f.word("when", WHENS, ""),
            takes=f.word("takes", TAKES, ""),
            side=f.word("side", SIDES, ""),
            hole=self.hole_of(f),
            since=since,
            done=done,
            result=result,
            hours=f.number("hours", None) or 0,
            measures=tuple(
                self.dimension(g, f"{where}, measures {k}") for k, g in enumerate(f.tables("measures", default=[]), 1)
            ),
            material=f.text("material", ""),
            drawing=f.text("drawing", ""),
            count=f.whole("count", 1, least=1),
        )

    def dimension(self, row: dict[str, Any], where: str) -> Dimension:
        """Return one measure of what is to be made."""
        f = Fields(row, where, ("of", "measure"))
        return Dimension(f.text("of"), f.reading("measure"))

    def hole_of(self, f: Fields) -> str:
        """Return the hole that a row names, empty where it is absent."""
        try:
            return read_hole(f.reading("hole")) if "hole" in f else ""
        except BadInput as fault:
            raise f.fault("hole", str(fault)) from fault

    def reading_by(self, f: Fields, name: str) -> str:
        """Return a stamp of a table, empty where it is absent."""
        return stamped(f.stamp(name, self.now, self.zone)) if name in f else ""

    def adjustment(self, row: dict[str, Any], where: str) -> Adjustment:
        """Return a setting."""
        f = Fields(row, where, ADJUST)
        return Adjustment(
            what=f.text("what"),
            turns=f.number("turns", None),
            mark=f.text("mark", ""),
            gap=f.reading("gap", ""),
            shims=f.texts("shims"),
            measure=f.reading("measure", ""),
            should_be=f.reading("should_be", ""),
            why=f.text("why", ""),
            note=f.text("note", ""),
            before=f.flag("before"),
            as_set=f.reading("as_set", ""),
            why_so=f.text("why_so", ""),
        )
