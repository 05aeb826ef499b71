"""What has to be got for a machine, hole by hole and part by part, with the size that belongs there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from putback.trade.checks.all_jobs import jobs_kept
from putback.trade.checks.ledger import all_wanting, reachable
from putback.trade.commands.getting import get_job
from putback.trade.record.fastener import LEFT_OVER, WORN, Thing, sized_name
from putback.trade.record.job import DONE, TO_DO
from putback.trade.record.machine import Machine
from putback.trade.record.place import sort_of
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import in_its_place, place_words
from putback.trade.refit.confirmations import spent

LEAST_FELLOWS = 2
"""How many fasteners of one size beside an empty hole tell its size: one alone may be the odd one."""

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


class WantedThing(Struct, frozen=True):
    """One thing to be got: for a hole, or in the place of a part or of pieces."""

    machine: int
    """The machine it is for."""
    step: int
    """The number of the step it belongs to."""
    thing: int
    """What it goes in for, by its number in the workshop."""
    count: int
    """How many."""
    kind: str
    """The kind of a fastener; empty for a part or a piece."""
    size: str
    """The size of a fastener, or what it is."""
    head: str = ""
    """The head."""
    drive: str = ""
    """What turns it."""
    hand: str = ""
    """`left` for a left-hand thread."""
    thread: str = ""
    """The name of its thread where one is known."""
    hole: str = ""
    """The hole; empty for a part or a piece."""
    why: str = ""
    """scrapped, missing, found empty, slot chewed, thread worn, or goes in new."""
    likely: str = ""
    """Why that size is likely, where the hole was empty: `as the three beside it`."""
    caption: str = ""
    """The machine's name and serial."""
    state: str = TO_DO
    """How it stands: to do, in hand (ordered), or done (one is in the drawer)."""

    @property
    def called(self) -> str:
        """What it is, with its size: `screw #8-32 UNC x 3/8`."""
        return sized_name(self.kind, self.size)

    @property
    def where(self) -> str:
        """What it is for, beside others of its machine: `step 3, hole 5: missing`."""
        hole = f", hole {self.hole}" if self.hole else ""
        likely = f", {self.likely}: likely" if self.likely else ""
        at = f"step {self.step}" if self.step else "the machine"
        return f"{at}{hole}: {self.why}{likely}"


def wanted_things(record: Record, machine: int) -> list[WantedThing]:
    """Return what has to be got for a machine, by step; what is in the drawer is among it, as done."""
    found = [_wanted(record, thing, count, why) for thing, count, why in _things(record, machine)]
    return sorted(found, key=lambda one: (one.step, one.thing))


def _things(record: Record, machine: int) -> Iterator[tuple[Thing, int, str]]:
    seen: set[int] = set()
    for held in all_wanting(record, machine):
        if sort_of(held.place) in ("scrapped", "missing"):
            seen.add(held.thing.id)
            yield held.thing, held.count, place_words(held.thing, sort_of(held.place))
    for step in record.all(Step, machine):
        for thing in spent(record, step):
            seen.add(thing.id)
            yield thing, sum(reachable(record, thing).values()), "goes in new"
    for thing in record.all(Thing, machine):
        if thing.id in seen or record.stand_ins(thing.id):
            continue
        worn = [word for word in thing.came_out if word in WORN]
        if thing.found:
            yield thing, 1, "found empty"
        elif worn and reachable(record, thing) and not record.get(Step, thing.step).back:
            yield thing, 1, worn[0]


def _wanted(record: Record, thing: Thing, count: int, why: str) -> WantedThing:
    step = record.get(Step, thing.step)
    like, likely = _fellow(record, thing, step) if thing.found and not thing.should_be else (thing, "")
    fastener = thing.sort in ("fastener", LEFT_OVER)
    size = thing.should_be or (like.size if fastener else " ".join(filter(None, (like.name, like.size))))
    if not size and like.readings:
        size = f"{', '.join(like.readings.values())} (as read)"
    job = get_job(step, thing)
    return WantedThing(
        machine=thing.machine,
        step=step.number,
        thing=thing.id,
        count=count,
        kind=like.name if fastener else "",
        size=size,
        head=like.head,
        drive=like.drive,
        hand=like.hand,
        thread="" if thing.should_be else like.thread,
        hole=thing.hole,
        why=why,
        likely=likely,
        caption=record.get(Machine, thing.machine).caption,
        state=job.state if job is not None else TO_DO,
    )


def _fellow(record: Record, thing: Thing, step: Step) -> tuple[Thing, str]:
    """Return the fastener that an empty hole's own was like, most likely, and why: itself where nothing tells.

    All beside it have to be of one size, at least two of them.
    """
    beside = [in_its_place(record, t) for t in record.things_of(step) if t.alone and not t.replaces]
    sizes = Counter((t.name, t.size) for t in beside if t.size and t.verdict != "none")
    if len(sizes) != 1 or sizes.total() < LEAST_FELLOWS:
        return thing, ""
    like = next(t for t in beside if t.size)
    count = sizes.total()
    return like, f"as the {_NUMBERS[count] if count < len(_NUMBERS) else count} beside it"


def noted_to_get(record: Record, machine: int) -> list[WantedThing]:
    """Return the open jobs that are to get something, as things to be got; those that `wanted_things` has left out."""
    caption = record.get(Machine, machine).caption
    known = {(one.step, one.hole) for one in wanted_things(record, machine)}
    found = []
    for one in jobs_kept(record, machine):
        step = one.step.number if one.step is not None else 0
        handled = one.job.what.startswith("for ") and (step, one.job.hole) in known
        if one.job.do == "get" and one.job.open and not handled:
            found.append(
                WantedThing(
                    machine,
                    step,
                    0,
                    1,
                    "",
                    one.job.what,
                    hole=one.job.hole,
                    why="noted as a job",
                    caption=caption,
                    state=one.job.state,
                )
            )
    return found


def is_open(one: WantedThing) -> bool:
    """Tell whether it is still to be got, or to come: not where one was said to be in the drawer."""
    return one.state != DONE
