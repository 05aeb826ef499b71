"""What a refit order costs the hands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from putback.trade.needs import Job, by_number


class Cost(Struct, frozen=True):
    """What one order costs, each counted in the same walk."""

    bag_openings: int
    """Times a bag is opened."""
    tool_changes: int
    """Times a tool is taken up."""
    turns: int
    """Times the machine is turned over: each is a lift."""
    area_moves: int
    """Times work moves to another assembly."""


def openings(walk: Iterable[frozenset[int] | frozenset[str]]) -> int:
    """How often something is opened on a walk over sets.

    At a set B that is not empty, what B has and the last such set had not is added; then B is open.
    An empty set changes nothing.
    """
    count = 0
    held: frozenset[int] | frozenset[str] = frozenset()
    for wanted in walk:
        if wanted:
            count += len(wanted - held)
            held = wanted
    return count


def turns(walk: Iterable[str | None], lying: str | None = None, finally_: str | None = None) -> int:
    """How often the machine is turned for jobs that want it lying so (None: no matter).

    `lying`: how it lies at the start, None when it lies right for the first job. `finally_`: how it
    has to lie in the end, None for no matter.
    """
    count = 0
    for wanted in [*walk, finally_]:
        if wanted is not None:
            count += lying is not None and wanted != lying
            lying = wanted
    return count


def cost(order: Sequence[int], jobs: Iterable[Job]) -> Cost:
    """What `order`, a valid refit order of the jobs, costs."""
    found = by_number(jobs)
    walk = [found[number] for number in order]
    return Cost(
        bag_openings=openings(job.bags for job in walk),
        tool_changes=openings(job.tools for job in walk),
        turns=turns(job.lies for job in walk),
        area_moves=openings(frozenset({job.area} if job.area else ()) for job in walk),
    )
