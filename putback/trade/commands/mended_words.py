"""What is new once something was mended, in words: the value that stands now, and what of a list came or went."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from putback.trade.record.job import Job
from putback.trade.record.machine import Part
from putback.trade.record.making import making_words
from putback.trade.record.phrases import cut, few, minutes_text
from putback.trade.record.record import Record
from putback.trade.record.step import LISTS, Step

TAKEN_OUT = "taken out"
"""What is said of words that stand no more."""

_VALUES: dict[str, tuple[str, Callable[[Step], str]]] = {
    "name": ("name", lambda step: step.name),
    "face": ("face", lambda step: step.face or "not said"),
    "note": ("note", lambda step: cut(step.note) or TAKEN_OUT),
    "minutes": ("minutes", lambda step: minutes_text(step.minutes or 0)),
    "cover": ("cover", lambda step: "yes" if step.cover else "no"),
    "put": ("where the part went", lambda step: step.put),
    "state": ("how it lies", lambda step: step.state or TAKEN_OUT),
    "tag": ("hang-tag", lambda step: step.tag or TAKEN_OUT),
}
"""Fields of a step that hold one value: what they are called, and how it is told."""

_LISTS: dict[str, tuple[str, Callable[[Step], list[str]]]] = {
    "adjust": ("settings", lambda step: [one.text for one in step.adjust]),
    "todo": ("jobs", lambda step: [job.whole for job in step.todo]),
}
"""Fields of a step that hold several, in the same way."""


def step_mended(record: Record, old: Step, new: Step, fields: Collection[str]) -> str:
    """Return what is new of a step of which some fields were mended: `where the part went: bag 3; jobs: to get: felt`.

    Empty where none was.
    """
    return "; ".join(_of_step(record, old, new, fields))


def _of_step(record: Record, old: Step, new: Step, fields: Collection[str]) -> Iterator[str]:
    if "inside" in fields:
        yield f"inside: {record.get(Part, new.area).name if new.area else 'the machine'}"
    for name, (called, value) in _VALUES.items():
        if name in fields:
            yield f"{called}: {value(new)}"
    for name, (called, values) in _LISTS.items():
        if name in fields:
            yield f"{called}: {_came_and_went(values(old), values(new))}"
    for row in LISTS:
        if row.name in fields:
            yield f"{row.in_mending}: {_came_and_went(getattr(old, row.name), getattr(new, row.name))}"


def _came_and_went(old: Collection[str], new: Collection[str]) -> str:
    """Return what is new in a list, then what stands there no more."""
    came = [text for text in new if text not in old]
    went = [f"{TAKEN_OUT}: {text}" for text in old if text not in new]
    return few([*came, *went]) or "as they were"


def job_mended(old: Job, new: Job) -> str:
    """Return what is new of a job: `to make: hinge pin; diameter 6 mm`; another name stands beside the one it had."""
    called = new.called if new.called == old.called else f"{new.called}, not {old.called}"
    measures = [one for one in new.measures if one not in old.measures]
    came = making_words(
        measures,
        new.material if new.material != old.material else "",
        new.drawing if new.drawing != old.drawing else "",
        new.count if new.count != old.count else 1,
    )
    kept = {one.of for one in new.measures}
    went = [f"{TAKEN_OUT}: {one.text}" for one in old.measures if one.of not in kept]
    went += [f"{TAKEN_OUT}: {had}" for had, has in _words(old, new) if had and not has]
    return "; ".join(filter(None, (called, new.how if new.how != old.how else "", came, *went)))


def _words(old: Job, new: Job) -> tuple[tuple[str, str], ...]:
    """Return the words of how a thing is made, each as it was and as it is."""
    return (old.material, new.material), (old.drawing, new.drawing)
