"""Refit in the fewest sessions of a wanted length, with good places to stop.

Over all valid refit orders this is the simple assembly line balancing problem, type 1: steps are
the tasks, sessions the stations, the session's length is the cycle time. The number of sessions comes before
any other cost. Among ways with that number, stops at good places are preferred (after a task whose
`good_stop` is true; the last session ends with the work and asks for nothing), and then the order
nearest to the one asked for, counted as in `nearby.distance`. The last two are the best that was
found, not proved.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import gcd, isfinite

from msgspec import Struct

from putback.errors import BadInput
from putback.planning.masks import Work, bits
from putback.planning.session_row import TaskRow
from putback.planning.session_search import SessionCount
from putback.planning.tasks import Task, by_number, is_valid_refit_order, strict_reverse

LOADS = 250
"""Ways to fill a session that are looked at from each state, when stops are chosen."""

WIDTH = 40
"""States kept after each session, when stops are chosen."""

STOPS = 40_000
"""Steps of work for choosing the stops, once the number of sessions is known."""


class Stretches(Struct, frozen=True):
    """A refit order cut into sessions."""

    sessions: tuple[tuple[int, ...], ...]
    """Step numbers of each session, in the order they go on."""
    minutes: tuple[float, ...]
    """What each session takes."""
    at_least: int
    """No valid order can be cut into fewer sessions."""
    proved: bool
    """Whether the number of sessions is proved to be the fewest."""
    poor_stops: int
    """Sessions but the last that do not end at a good place."""

    @property
    def order(self) -> tuple[int, ...]:
        """All step numbers in the order they go on."""
        return tuple(number for session in self.sessions for number in session)


def fewest_sessions(
    tasks: Iterable[Task], limit: float, work: Work | None = None, like: Sequence[int] | None = None
) -> Stretches:
    """The fewest sessions of at most `limit` minutes in which all the tasks go on again.

    `like`: the valid refit order to stay near to; the strict reverse if None. `work`: how much may be done
    for it; `proved` is False when the number could not be proved by then. Lengths are counted in hundredths
    of a minute, a task's rounded up and the limit down. Raises `BadInput` for a limit of nothing, a task
    longer than the limit or of less than no time, a circle, a need that is not there, and a `like` that is
    no valid refit order.
    """
    found = by_number(tasks)
    order = strict_reverse(found.values())
    if like is not None:
        if not is_valid_refit_order(like, found.values()):
            raise BadInput("These steps cannot go on in that order.")
        order = tuple(like)
    lengths, room = _whole(found, order, limit)
    if not order:
        return Stretches((), (), 0, True, 0)
    place = {number: item for item, number in enumerate(order)}
    first = [0] * len(order)
    for item, number in enumerate(order):
        for need in found[number].needs:
            first[place[need]] |= 1 << item
    row = TaskRow(lengths, first, room)
    work = work or Work()
    count = SessionCount(row, work)
    good = [found[number].good_stop for number in order]
    loads = _Stops(row, good, count.best).chosen(Work(min(STOPS, work.allowed)))
    sessions = [[order[item] for item in load] for load in loads]
    return Stretches(
        sessions=tuple(map(tuple, sessions)),
        minutes=tuple(round(sum(found[number].minutes for number in session), 2) for session in sessions),
        at_least=count.at_least,
        proved=len(sessions) == count.at_least,
        poor_stops=sum(not found[session[-1]].good_stop for session in sessions[:-1]),
    )


def _whole(found: dict[int, Task], order: Sequence[int], limit: float) -> tuple[list[int], int]:
    """Lengths and limit as whole numbers of one unit, the largest that divides all lengths."""
    if not isfinite(limit) or limit <= 0:
        raise BadInput(f"A session of {limit:g} minutes is too short for any work.")
    for number in order:
        if not isfinite(found[number].minutes) or found[number].minutes < 0:
            raise BadInput(f"Step {number} cannot take {found[number].minutes:g} minutes.")
    lengths = [_hundredths(found[number].minutes, ROUND_CEILING) for number in order]
    room = _hundredths(limit, ROUND_FLOOR)
    too_long = sorted(number for number, length in zip(order, lengths, strict=True) if length > room)
    if too_long:
        longest = max(too_long, key=lambda number: found[number].minutes)
        others = [str(number) for number in too_long if number != longest]
        also = f" (also too long: {', '.join(others)})" if others else ""
        raise BadInput(
            f"Step {longest} takes {found[longest].minutes:g} minutes, longer than a session of {limit:g}{also}."
        )
    unit = gcd(*lengths) or room or 1
    return [length // unit for length in lengths], room // unit


def _hundredths(minutes: float, rounding: str) -> int:
    return int((Decimal(str(minutes)) * 100).to_integral_value(rounding))


class _State(Struct, frozen=True):
    """What is left after some sessions, and how it came to that."""

    poor: int
    turned: int
    left: int
    last: _State | None
    session: tuple[int, ...]


class _Stops:
    """Sessions of a known number, chosen for their stops and for the order."""

    def __init__(self, row: TaskRow, good: Sequence[bool], known: Sequence[int]) -> None:
        self.row = row
        self.good = good
        self.known = known
        self.slack = len(known) * row.limit - sum(row.lengths)

    def chosen(self, work: Work) -> list[tuple[int, ...]]:
        """The items of each session, in order."""
        everything = self.row.everything
        start = _State(0, 0, everything, None, ())
        states = [start]
        sure = start
        for done, load in enumerate(self.known):
            sessions_left = len(self.known) - done - 1
            sure = self._after(sure, load)
            found = {sure.left: sure}
            for state in states:
                if not work.left:
                    break
                for load_too in self._loads(state.left, sessions_left, work):
                    new = self._after(state, load_too)
                    old = found.get(new.left)
                    if old is None or (new.poor, new.turned) < (old.poor, old.turned):
                        found[new.left] = new
            sure = found[sure.left]
            states = sorted(found.values(), key=lambda state: (state.poor, state.turned))[:WIDTH]
        best = min(states, key=lambda state: (state.poor, state.turned))
        sessions: list[tuple[int, ...]] = []
        link: _State | None = best
        while link is not None and link.last is not None:
            sessions.insert(0, link.session)
            link = link.last
        return [session for session in sessions if session]

    def _after(self, state: _State, load: int) -> _State:
        """The state after a session of the items `load`, which ends at a good place if it can."""
        left = state.left & ~load
        session = list(bits(load))
        poor = state.poor
        turned = state.turned
        for item in session:
            turned += (left & (1 << item) - 1).bit_count()
        if left and not self.good[session[-1]]:
            for item in reversed(session):
                if self.good[item] and not self.row.after[item] & load:
                    turned += len(session) - 1 - session.index(item)
                    session.remove(item)
                    session.append(item)
                    break
            else:
                poor += 1
        return _State(poor, turned, left, state, tuple(session))

    def _loads(self, left: int, sessions_left: int, work: Work) -> list[int]:
        """Ways to fill the next session that leave no more than the sessions after it can hold."""
        row = self.row
        most_looks = min(40 * LOADS, work.left)
        least = row.length(left) - sessions_left * row.limit
        found: list[int] = []
        todo = [(0, 0, row.ready(left), left)]
        looked_at = 0
        while todo and len(found) < LOADS and looked_at < most_looks:
            load, length, open_, rest = todo.pop()
            looked_at += 1
            while open_:
                low = open_ & -open_
                item = low.bit_length() - 1
                open_ ^= low
                if length + row.lengths[item] <= row.limit:
                    todo.append((load, length, open_, rest))
                    load |= low
                    length += row.lengths[item]
                    rest ^= low
                    for other in bits(row.next[item]):
                        if not row.before[other] & rest:
                            open_ |= 1 << other
            if not load or length < least:
                continue
            if not rest or (sessions_left and row.fits(rest, row.ready(rest), sessions_left)):
                found.append(load)
        work.spend(looked_at + len(found) * (row.fitting + 4))
        return found
