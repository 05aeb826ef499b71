"""The record: every noun of a workshop in memory, with the indexes that panes and rules read.

The record changes in one way only, by absorbing a Change; rules read it and never write it. No question
that a key or a pane asks costs more in a larger workshop.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from msgspec import Raw

from putback.errors import Refused
from putback.trade.record.bag import Bag, Move
from putback.trade.record.change import Change, Document, Written
from putback.trade.record.fastener import Thing
from putback.trade.record.indexes import Numbered
from putback.trade.record.kept import TABLE_OF as TABLE_OF
from putback.trade.record.kept import TABLES as TABLES
from putback.trade.record.kept import Kept, N, read_owner
from putback.trade.record.kept import Noun as Noun
from putback.trade.record.kept import document as document
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import Photo
from putback.trade.record.place import FITTED, bag_number, in_bag
from putback.trade.record.rows import Rows
from putback.trade.record.session import Session
from putback.trade.record.step import Step

if TYPE_CHECKING:
    from putback.trade.record.length_groups import LengthBook


class Record:
    """Everything known of every machine in a workshop: the tables of its documents, and lists over them.

    It follows its tables. Where they are a store's, whoever changes them is the store, and the record hears of
    it; where they are its own, `load` and `absorb` change them.
    """

    def __init__(self, tables: Callable[[str], Rows] | None = None) -> None:
        """Follow the tables that are given, by name; else begin with empty ones of its own. Raises as `Kept`."""
        self.own_tools: tuple[str, ...] = ()
        """The person's own tools, as the settings beside the workshop have them; of the record they are not."""
        self._kept = Kept(tables)
        self._rows = self._kept.rows
        self._of = self._kept.of
        self._of_noun = self._kept.of_noun

    def load(self, table: str, documents: Mapping[int, Written], last_id: int = 0) -> None:
        """Take a whole table into one of its own; `last_id` is the highest number it ever gave away.

        Raises Damaged, naming table and document, where one is not a noun; text is believed and read later.
        """
        self._kept.load(table, documents, last_id)

    def absorb(self, change: Change) -> None:
        """Make a change in tables of its own. Raises Damaged where a document is not a noun."""
        self._kept.absorb(change)

    # -- asking ------------------------------------------------------------------------------------

    def next_id(self, table: str) -> int:
        """Return the number the next new document of `table` takes."""
        return self._rows[table].last_id + 1

    def documents(self, table: str) -> dict[int, Document]:
        """Return a whole table as documents."""
        rows = self._rows[table]
        return {number: document(rows[number]) for number in sorted(rows)}

    def glances(self, table: str) -> Iterator[Noun]:
        """Give every noun of a table by number; those that are still text are read for this once."""
        rows = self._rows[table]
        return (rows.glance(number) for number in sorted(rows))

    def get(self, kind: type[N], number: int) -> N:
        """Return one noun. Raises Refused where there is none of that number."""
        noun = self._rows[TABLE_OF[kind]].get(number)
        if noun is None:
            raise Refused(f"There is no {kind.__name__.lower()} {number} in this workshop.")
        found: N = noun
        return found

    def find(self, kind: type[N], number: int) -> N | None:
        """Return one noun, or None."""
        found: N | None = self._rows[TABLE_OF[kind]].get(number)
        return found

    def all(self, kind: type[N], machine: int | None = None) -> Iterator[N]:
        """Give every noun of a kind, of one machine or of all, in the order of their numbers.

        Steps of one machine come in the order they were done.
        """
        table = TABLE_OF[kind]
        rows = self._rows[table]
        if machine is None:
            return iter(rows.many(sorted(rows)))
        if kind is Step:
            return iter(rows.many([number for _, number in self._of(machine).steps]))
        return iter(rows.many(self._of(machine).numbers.get(table, [])))

    def count(self, kind: type[Noun], machine: int) -> int:
        """Return how many nouns of a kind a machine has."""
        return len(self._of(machine).numbers.get(TABLE_OF[kind], ()))

    def _pick(self, table: str, numbers: Collection[int]) -> list[Any]:
        if not numbers:
            return []
        return self._rows[table].many(numbers if type(numbers) is list else list(numbers))

    def _pick_steps(self, numbered: Iterable[Numbered]) -> list[Step]:
        return self._rows["steps"].many([number for _, number in numbered])

    def _last(self, table: str, numbers: list[int] | None) -> Any:
        return self._rows[table][numbers[-1]] if numbers else None

    # steps

    def step(self, machine: int, number: int) -> Step | None:
        """Return step `number` of a machine, or None."""
        found: Step | None = self._last("steps", self._of(machine).step_of.get(number))
        return found

    def last_step(self, machine: int) -> Step | None:
        """Return the machine's last step, or None before the first."""
        numbered = self._of(machine).steps
        found: Step | None = self._rows["steps"][numbered[-1][1]] if numbered else None
        return found

    def latest_steps(self, machine: int) -> Iterator[Step]:
        """Give the machine's steps by when something was done at them last, newest first."""
        rows = self._rows["steps"]
        return (rows[number] for _, _, number in reversed(self._of(machine).latest))

    def tree_changes(self, machine: int) -> int:
        """Return how often a step or a part of a machine came, changed or went; none did as long as it is the same."""
        return self._of(machine).tree_changes

    def changes(self, machine: int) -> int:
        """Return how often anything of a machine came, changed or went; nothing did as long as it is the same."""
        return self._of(machine).changes

    def machines_soaked(self) -> set[int]:
        """Return the machines that have something that soaks: at a step, in a bag, or of the machine itself.

        Steps and bags that are still text are not read for it.
        """
        found = {machine.id for machine in self.all(Machine) if any(job.soaks for job in machine.todo)}
        for held in self._rows["bags"].held().values():
            if type(held) is not Raw:
                found |= {held.machine} if any(job.soaks for job in held.todo) else set()
            elif b'"hours"' in bytes(held):
                found.add(read_owner(held).machine)
        for held in self._rows["steps"].held().values():
            if type(held) is not Raw:
                if held.soak is not None or any(job.soaks for job in held.todo):
                    found.add(held.machine)
            elif b'"soak"' in bytes(held):
                found.add(read_owner(held).machine)
        return found

    def soaked_steps(self, machine: int) -> list[Step]:
        """Return the steps with a soak, in order."""
        return self._pick_steps(self._of(machine).soaked)

    def soaking_by_jobs(self, machine: int) -> tuple[list[Step], list[Bag]]:
        """Return the steps and the bags with a job that soaks, in order."""
        index = self._of(machine)
        return self._pick_steps(index.soaking_steps), self._pick("bags", index.soaking_bags)

    def next_step_number(self, machine: int) -> int:
        """Return the number that a machine's next step gets; steps count from 1."""
        last = self.last_step(machine)
        return last.number + 1 if last else 1

    def open_step(self, machine: int) -> Step | None:
        """Return the step that is still being done, or None. Only the last one can be; one on hold is not."""
        last = self.last_step(machine)
        return last if last is not None and last.is_open and not last.on_hold else None

    def held_steps(self, machine: int) -> list[Step]:
        """Return the steps that are on hold, with their parts still on, in order."""
        return self._pick_steps(self._of(machine).on_hold)

    def covers_on(self, machine: int) -> list[Step]:
        """Return the steps on covers that are on again, in order."""
        return self._pick_steps(self._of(machine).covers_on)

    def steps_needing(self, machine: int, number: int) -> list[Step]:
        """Return the steps that say they need step `number`, in order."""
        return self._pick_steps(self._of(machine).needing.get(number, ()))

    def steps_of_part(self, part: int) -> list[Step]:
        """Return the steps done on a part, in order."""
        return self._pick_steps(self._of_noun("parts", part).steps_of_part.get(part, ()))

    def steps_of_session(self, session: int) -> list[Step]:
        """Return the steps done in a session, in order."""
        return self._pick_steps(self._of_noun("sessions", session).steps_of_session.get(session, ()))

    def off_at(self, part: int) -> Step | None:
        """Return the step that took a part off and was not put back since, or None while it is on."""
        for _, number in reversed(self._of_noun("parts", part).steps_of_part.get(part, ())):
            step: Step = self._rows["steps"][number]
            if step.takes_off and step.ended and not step.back:
                return step
        return None

    # things and moves

    def things_of(self, step: Step) -> list[Thing]:
        """Return what a step has to put back, as entered: what it released, and what stands in for that."""
        return self._pick("things", self._of(step.machine).things_of_step.get(step.id, ()))

    def stand_ins(self, thing: int) -> list[Thing]:
        """Return what was put in the place of a thing, in the order it came."""
        return self._pick("things", self._of_noun("things", thing).stand_ins.get(thing, ()))

    def first_of(self, thing: Thing) -> Thing:
        """Return the thing that one stands in for, from the beginning; itself where it replaces nothing."""
        while thing.replaces:
            thing = self.get(Thing, thing.replaces)
        return thing

    def last_taken_out(self, machine: int) -> Thing | None:
        """Return the fastener entered last on a machine, or None; holes found empty do not count."""
        found: Thing | None = self._last("things", self._of(machine).taken_out)
        return found

    def moves_of(self, step: int) -> list[Move]:
        """Return the moves made at a step, in order."""
        return self._pick("moves", self._of_noun("steps", step).moves_of_step.get(step, ()))

    def noted_moves_of(self, step: Step) -> list[Move]:
        """Return the moves of a step's things of which something was said, in the order they were made."""
        noted = self._of(step.machine).noted_moves
        numbers = (number for thing in self.things_of(step) for number in noted.get(thing.id, ()))
        moves: list[Move] = self._pick("moves", sorted(numbers))
        return moves

    def released_by(self, step: int) -> dict[int, int]:
        """Return what left its place on the machine at a step: thing number to count."""
        out: dict[int, int] = {}
        for move in self.moves_of(step):
            if move.source == FITTED:
                out[move.thing] = out.get(move.thing, 0) + move.count
        return out

    def bags_filled_by(self, step: int) -> frozenset[int]:
        """Return the numbers of the bags that a step's own moves filled."""
        numbers = (bag_number(move.target) for move in self.moves_of(step))
        return frozenset(number for number in numbers if number is not None)

    def steps_filling(self, bag: Bag) -> list[Step]:
        """Return the steps whose own moves put something into a bag, in order."""
        moves = self._pick("moves", self._of(bag.machine).moves_into.get(in_bag(bag.number), ()))
        steps: list[Step] = self._pick("steps", {move.step for move in moves})
        return sorted(steps, key=lambda step: step.number)

    # bags

    def bag(self, machine: int, number: int) -> Bag | None:
        """Return bag `number` of a machine, or None."""
        found: Bag | None = self._last("bags", self._of(machine).bag_of.get(number))
        return found

    def bag_by_code(self, code: str) -> Bag | None:
        """Return the bag with that code, of whichever machine, or None."""
        found: Bag | None = self._last("bags", self._kept.bag_by_code.get(code))
        return found

    def bags_by_code(self, code: str) -> list[Bag]:
        """Return every bag with that code, in order: more than one only where an error let them in."""
        return self._pick("bags", self._kept.bag_by_code.get(code, ()))

    def highest_bag(self, machine: int) -> int:
        """Return the highest number among a machine's bags; 0 where it has none."""
        numbers = self._of(machine).bag_numbers
        return numbers[-1] if numbers else 0

    # places

    def standing(self, thing: int) -> dict[str, int]:
        """Return how many of a thing are at which place."""
        return self._of_noun("things", thing).accounts.standing(thing)

    def account(self, machine: int, place: str) -> dict[int, int]:
        """Return what is at a place: thing number to count."""
        return self._of(machine).accounts.held(place)

    def total(self, machine: int, place: str) -> int:
        """Return how many things are at a place."""
        return self._of(machine).accounts.total(place)

    def places(self, machine: int) -> list[str]:
        """Return every place at which the machine has something."""
        return self._of(machine).accounts.places()

    def in_bag(self, bag: Bag) -> dict[int, int]:
        """Return what is in a bag: thing number to count."""
        return self.account(bag.machine, in_bag(bag.number))

    # photos

    def photos_of(self, step: Step) -> list[Photo]:
        """Return the photos that show a step, as filed."""
        return self._pick("photos", self._of(step.machine).photos_of_step.get(step.id, ()))

    def photo_of_file(self, machine: int, file: str) -> Photo | None:
        """Return the photo of a machine that lies in that file, or None."""
        found: Photo | None = self._last("photos", self._of(machine).photo_of_file.get(file))
        return found

    # the rest

    def threads(self, machine: int) -> dict[str, int]:
        """Return which threads the machine has shown so far, and how often; replacements do not count."""
        return {name: times for name, times in self._of(machine).threads.items() if times > 0}

    def length_book(self, machine: int) -> LengthBook:
        """Return a machine's lengths as they were last gathered, with what changed since; `length_groups` reads it."""
        # The sizing floor behind it is large, and seldom wanted.
        from putback.trade.record.length_groups import LengthBook

        indexes = self._of(machine)
        if indexes.lengths is None:
            indexes.lengths = LengthBook(indexes.remeasured)
        return indexes.lengths

    def part_named(self, machine: int, name: str, inside: int) -> Part | None:
        """Return the part of that name in that assembly, or None. Capitals do not matter."""
        return self._first_part(self._of(machine).part_named.get((inside, name.casefold())))

    def assembly_named(self, machine: int, name: str) -> Part | None:
        """Return the assembly of that name, or None. Capitals do not matter."""
        return self._first_part(self._of(machine).assembly_named.get(name.casefold()))

    def _first_part(self, numbers: list[int] | None) -> Part | None:
        return self._rows["parts"][numbers[0]] if numbers else None

    def open_session(self, machine: int) -> Session | None:
        """Return the machine's session that goes on, or None."""
        found: Session | None = self._last("sessions", self._kept.open_sessions.get(machine))
        return found
