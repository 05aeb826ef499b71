"""A fastener that is just like the one before it: taken out by its looks, and not measured."""

from __future__ import annotations

from putback.trade.record.fastener import FIELDS, Thing
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def one_before(record: Record, step: Step, kind: str) -> Thing | None:
    """Return the fastener that the next of its kind is like: the last of the step, else the last taken out at all."""
    for thing in reversed(record.things_of(step)):
        if thing.sort == "fastener" and thing.name == kind and not thing.found and not thing.replaces:
            return thing
    last = record.last_taken_out(step.machine)
    return last if last is not None and last.name == kind else None


def measured(record: Record, thing: Thing) -> Thing | None:
    """Return the fastener that was measured where this one was taken to be like it; None where it was itself."""
    return record.find(Thing, thing.like) if thing.like and thing.like != thing.id else None


def like_text(record: Record, thing: Thing, step: Step) -> str:
    """Return what a fastener was taken to be like: `as the one from hole 7, not measured itself`; else nothing."""
    other = measured(record, thing)
    if other is None:
        return ""
    there = "" if other.step == step.id else f" of step {record.get(Step, other.step).number}"
    return f"as the one from hole {other.spot}{there}, not measured itself"


def same_again(record: Record, step: Step) -> list[Thing]:
    """Return the fasteners at the end of a step that were taken one by one to be like the same one."""
    run: list[Thing] = []
    for thing in reversed(record.things_of(step)):
        if not thing.like or (run and (thing.like, thing.name) != (run[0].like, run[0].name)):
            break
        run.insert(0, thing)
    return run


def alike_in_step(record: Record, thing: Thing) -> list[Thing]:
    """Return the other fasteners of a step that are as one of it: of its kind, size and looks."""
    looks = _looks(thing)
    others = record.things_of(record.get(Step, thing.step)) if thing.sort == "fastener" and not thing.found else []
    return [
        other
        for other in others
        if other.id != thing.id
        and other.sort == "fastener"
        and not other.found
        and not other.replaces
        and _looks(other) == looks
    ]


def _looks(thing: Thing) -> tuple[str, ...]:
    return thing.name, thing.size, *(getattr(thing, field.name) for field in FIELDS if field.looks)
