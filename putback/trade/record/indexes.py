"""One machine's nouns by what is asked of them: the lists that panes and rules read at every key.

Every list holds document numbers in ascending order. Lists of steps go by the steps' own numbers, since a
forgotten step is written in between with a later document number.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter, defaultdict
from collections.abc import Hashable, Sequence
from datetime import datetime
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar

from putback.trade.record.accounts import Accounts
from putback.trade.record.bag import Bag, Move
from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.machine import Part
from putback.trade.record.photo import Photo
from putback.trade.record.step import Step

if TYPE_CHECKING:
    from putback.trade.record.kept import Noun
    from putback.trade.record.length_groups import LengthBook

Numbered = tuple[int, int]
"""A step's number on its machine, and its document's."""

K = TypeVar("K", bound=Hashable)
V = TypeVar("V", int, Numbered, tuple[float, int, int])


class Indexes:
    """The lists of one machine; `add` and `drop` keep them."""

    def __init__(self) -> None:
        self.accounts = Accounts()
        self.threads: Counter[str] = Counter()
        self.remeasured: set[int] = set()
        """Fasteners that came, changed or went since the machine's lengths were last gathered."""
        self.lengths: LengthBook | None = None
        """Those, once they were asked for."""
        self.numbers: dict[str, list[int]] = defaultdict(list)
        """All of a table."""
        self.changes = 0
        """How often anything of the machine came, changed or went."""
        self.tree_changes = 0
        """How often a step or a part came, changed or went."""
        self.steps: list[Numbered] = []
        self.latest: list[tuple[float, int, int]] = []
        """All steps by when something was done at them last: `done_last`."""
        self.soaked: list[Numbered] = []
        self.soaking_steps: list[Numbered] = []
        """Steps with a job that soaks."""
        self.soaking_bags: list[int] = []
        """Bags with a job that soaks."""
        """Steps with a soak."""
        self.covers_on: list[Numbered] = []
        """Steps on covers that are on again."""
        self.on_hold: list[Numbered] = []
        """Steps on hold."""
        self.step_of: dict[int, list[int]] = defaultdict(list)
        self.needing: dict[int, list[Numbered]] = defaultdict(list)
        self.steps_of_part: dict[int, list[Numbered]] = defaultdict(list)
        self.steps_of_session: dict[int, list[Numbered]] = defaultdict(list)
        self.things_of_step: dict[int, list[int]] = defaultdict(list)
        self.stand_ins: dict[int, list[int]] = defaultdict(list)
        self.taken_out: list[int] = []
        self.bag_of: dict[int, list[int]] = defaultdict(list)
        self.bag_numbers: list[int] = []
        self.part_named: dict[tuple[int, str], list[int]] = defaultdict(list)
        """By the assembly it is in and its name in small letters."""
        self.assembly_named: dict[str, list[int]] = defaultdict(list)
        self.moves_of_step: dict[int, list[int]] = defaultdict(list)
        self.moves_into: dict[str, list[int]] = defaultdict(list)
        self.noted_moves: dict[int, list[int]] = defaultdict(list)
        """Moves of which something was said, by the thing that was moved."""
        self.photos_of_step: dict[int, list[int]] = defaultdict(list)
        self.photo_of_file: dict[str, list[int]] = defaultdict(list)

    def add(self, table: str, noun: Noun) -> None:
        """Add a noun of `table`."""
        self._mark(table, noun, +1)

    def drop(self, table: str, noun: Noun) -> None:
        """Take a noun out that was added."""
        self._mark(table, noun, -1)

    def fill(self, table: str, nouns: Sequence[Noun]) -> None:
        """Add many nouns of a table, in the order of their numbers, where there is none of it yet: at opening."""
        if self.numbers.get(table) or any(one.id >= other.id for one, other in pairwise(nouns)):
            for noun in nouns:
                self.add(table, noun)
            return
        self.numbers[table] = [noun.id for noun in nouns]
        rest = self._mark_as_such
        post, shift = self.accounts.post, self.accounts.shift
        things, moves, into = self.things_of_step, self.moves_of_step, self.moves_into
        threads, taken_out, remeasured = self.threads, self.taken_out, self.remeasured
        for noun in nouns:
            if isinstance(noun, Thing):
                post(noun.id, noun.start, noun.count)
                if noun.sort != LEFT_OVER:  # no step has to put it back
                    things[noun.step].append(noun.id)
                if noun.replaces:
                    mark_in(self.stand_ins, noun.replaces, noun.id, +1)
                elif noun.sort == "fastener" and not noun.found:
                    taken_out.append(noun.id)
                    remeasured.add(noun.id)
                    if noun.thread:
                        threads[noun.thread] += 1
            elif isinstance(noun, Move):
                shift(noun.thing, noun.source, noun.target, noun.count)
                if noun.note:
                    self.noted_moves[noun.thing].append(noun.id)
                if noun.step:
                    moves[noun.step].append(noun.id)
                    into[noun.target].append(noun.id)
            else:
                rest(noun, +1)

    def _mark(self, table: str, noun: Noun, sign: int) -> None:
        mark(self.numbers[table], noun.id, sign)
        self._mark_as_such(noun, sign)

    def _mark_as_such(self, noun: Noun, sign: int) -> None:
        self.changes += 1
        self.tree_changes += isinstance(noun, Part | Step)
        if isinstance(noun, Thing):
            self._mark_thing(noun, sign)
        elif isinstance(noun, Move):
            source, target = (noun.source, noun.target) if sign > 0 else (noun.target, noun.source)
            self.accounts.shift(noun.thing, source, target, noun.count)
            if noun.note:
                mark_in(self.noted_moves, noun.thing, noun.id, sign)
            if noun.step:
                mark_in(self.moves_of_step, noun.step, noun.id, sign)
                mark_in(self.moves_into, noun.target, noun.id, sign)
        elif isinstance(noun, Part):
            name = noun.name.casefold()
            mark_in(self.part_named, (noun.inside, name), noun.id, sign)
            if noun.assembly:
                mark_in(self.assembly_named, name, noun.id, sign)
        elif isinstance(noun, Step):
            numbered = noun.number, noun.id
            mark(self.steps, numbered, sign)
            mark(self.latest, done_last(noun), sign)
            if noun.soak is not None:
                mark(self.soaked, numbered, sign)
            if noun.todo and any(job.soaks for job in noun.todo):
                mark(self.soaking_steps, numbered, sign)
            if noun.on_hold:
                mark(self.on_hold, numbered, sign)
            if noun.cover and noun.back:
                mark(self.covers_on, numbered, sign)
            mark_in(self.step_of, noun.number, noun.id, sign)
            mark_in(self.steps_of_session, noun.session, numbered, sign)
            if noun.part:
                mark_in(self.steps_of_part, noun.part, numbered, sign)
            for need in set(noun.needs):
                mark_in(self.needing, need, numbered, sign)
        elif isinstance(noun, Bag):
            mark_in(self.bag_of, noun.number, noun.id, sign)
            mark(self.bag_numbers, noun.number, sign)
            if noun.todo and any(job.soaks for job in noun.todo):
                mark(self.soaking_bags, noun.id, sign)
        elif isinstance(noun, Photo):
            mark_in(self.photo_of_file, noun.file, noun.id, sign)
            if noun.step:
                mark_in(self.photos_of_step, noun.step, noun.id, sign)

    def _mark_thing(self, thing: Thing, sign: int) -> None:
        self.accounts.post(thing.id, thing.start, sign * thing.count)
        if thing.sort != LEFT_OVER:
            mark_in(self.things_of_step, thing.step, thing.id, sign)
        if thing.replaces:
            mark_in(self.stand_ins, thing.replaces, thing.id, sign)
        elif thing.sort == "fastener" and not thing.found:
            mark(self.taken_out, thing.id, sign)
            self.remeasured.add(thing.id)
            if thing.thread:
                self.threads[thing.thread] += sign


def done_last(step: Step) -> tuple[float, int, int]:
    """Return when something was done at a step last, so that they sort by it: put back, taken off, or begun.

    Of steps put back in one second the lowest went on last, as a rule. The document's number is the last.
    """
    stamp = step.back or step.ended or step.began
    try:
        at = datetime.fromisoformat(stamp).timestamp()
    except ValueError:  # none, or one that `putback check` has something to say of
        at = float("-inf")
    return at, -step.number if step.back else step.number, step.id


def mark(numbers: list[V], number: V, sign: int) -> None:
    """Put a number into its list, or with sign -1 take it out; the list stays in order."""
    if sign > 0:
        if not numbers or number > numbers[-1]:  # as at opening, where they come in order
            numbers.append(number)
        else:
            insort(numbers, number)
        return
    at = bisect_left(numbers, number)
    if at < len(numbers) and numbers[at] == number:
        del numbers[at]


def mark_in(index: dict[K, list[V]], key: K, number: V, sign: int) -> None:
    """As `mark` for the list of `key`; an empty one goes."""
    numbers = index[key]
    if sign > 0 and (not numbers or number > numbers[-1]):
        numbers.append(number)
        return
    mark(numbers, number, sign)
    if not numbers:
        del index[key]
