"""Two records that grew apart from one beginning, made one: the second's changes, done again on top of the first's.

What the second made gets numbers that nobody has: in its table always, and where the first used them, too, as steps,
bags and sessions of a machine. What both changed differently stays as the first has it, and is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from putback.errors import Refused
from putback.trade.files.importing import POINTS_TO
from putback.trade.record.change import Change, Document, Edit
from putback.trade.record.phrases import counted, quoted
from putback.trade.record.place import MOST_BAGS, bag_number, in_bag

Documents = Mapping[str, Mapping[int, Document]]
"""All documents of a record by table and number."""

Stamped = tuple[int, str, str, Change]
"""A change with its number in the logbook, its stamp and its person."""

NUMBERED = {"steps": "step", "bags": "bag", "sessions": "session"}
"""What is numbered on its machine, and what it is called."""

TABLES_BY_WORD = {word: table for table, word in NUMBERED.items()}
"""The same, the other way."""

_NUMBER = re.compile(rf"\b({'|'.join(TABLES_BY_WORD)}) (\d{{1,9}})\b")

PLACES = {"steps": ("put",), "things": ("start",), "moves": ("source", "target")}
"""For each table the fields that hold a place."""

JOIN = "Join"
"""The name of the change that ends what both left going on."""


class Different(Struct, frozen=True):
    """A document that both changed, each in its way; it stays as the first has it."""

    where: str
    """Machine and document."""
    what: str
    """What the second has otherwise."""


class Joined(Struct, frozen=True):
    """What joining comes to."""

    changes: tuple[tuple[Change, str, str], ...]
    """The changes to do on top of the first record, with stamp and person."""
    renewed: tuple[str, ...]
    """Numbers and codes that are others now, a line each."""
    different: tuple[Different, ...]
    """What is to be looked at."""


def join(
    before: Documents,
    first: Documents,
    second: Documents,
    tail: Sequence[Stamped],
    *,
    next_number: int,
    last_ids: Mapping[str, int],
    codes: Iterator[str],
) -> Joined:
    """Return how the `tail` of the second record is done again on top of the first.

    `before` is what both had in common; `first` and `second` are what they are now; `last_ids` is the highest number
    of each table that was ever given away in the first; `codes` gives bag codes that neither has. The first change gets
    `next_number` in the logbook. Raises Refused where the two cannot be one.
    """
    return _Joining(before, first, second, tail, next_number, last_ids, codes).join()


class _Joining:
    def __init__(
        self,
        before: Documents,
        first: Documents,
        second: Documents,
        tail: Sequence[Stamped],
        next_number: int,
        last_ids: Mapping[str, int],
        codes: Iterator[str],
    ) -> None:
        self.before, self.first, self.second, self.tail = before, first, second, tail
        self.next_number, self.last_ids, self.codes = next_number, last_ids, codes
        self.fresh: dict[tuple[str, int], int] = {}
        self.made: dict[tuple[str, int], Document] = {}
        self.numbers: dict[tuple[str, int, int], int] = {}  # table, machine, number there: number now
        self.new_codes: dict[tuple[str, int], str] = {}
        self.renewed: list[str] = []

    def join(self) -> Joined:
        self._find_made()
        self._refuse_twins()
        for table in NUMBERED:
            self._refuse_moved(table)
            self._renumber(table)
        self._renew_codes()
        kept, different = self._kept()
        different += self._same_tags()
        changes = list(self._changes(kept))
        changes += self._ended(changes)
        return Joined(tuple(changes), tuple(self.renewed), tuple(different))

    def _find_made(self) -> None:
        """Give each document that the second made a number of its own."""
        last = dict(self.last_ids)
        for edit in _edits(self.tail):
            key = (edit.table, edit.id)
            if edit.new is None or _at(self.before, *key) is not None:
                continue
            self.made[key] = edit.new
            if key not in self.fresh:
                last[edit.table] = self.fresh[key] = last.get(edit.table, 0) + 1

    def _refuse_twins(self) -> None:
        here = {_name(m): number for number, m in self.first.get("machines", {}).items()}
        for (table, _), made in self.made.items():
            if table == "machines" and _name(made) in here:
                raise Refused(
                    f"Both have made {self._caption(made)} as a new machine; "
                    "give one of the two another name or serial first."
                )

    def _refuse_moved(self, table: str) -> None:
        """Raise Refused where one gave a number of both away again, and the other went on with that machine."""
        for now, others in ((self.first, self._touched(self.second)), (self.second, self._touched(self.first))):
            for number, was in self.before.get(table, {}).items():
                is_now = _at(now, table, number)
                if was["machine"] in others and (is_now is None or is_now["number"] != was["number"]):
                    what = f"{NUMBERED[table]} {was['number']} of {self._machine(was)}"
                    raise Refused(
                        f"At one computer {what}, which both had, was taken back or got another number, and the other "
                        "went on with that machine: the two cannot be made one."
                    )

    def _touched(self, now: Documents) -> set[int]:
        """The machines of which something is not as it was."""
        return {
            number if table == "machines" else int((row or other or {}).get("machine", 0))
            for table in now.keys() | self.before.keys()
            for number in now.get(table, {}).keys() | self.before.get(table, {}).keys()
            if (row := _at(now, table, number)) != (other := _at(self.before, table, number))
        }

    def _renumber(self, table: str) -> None:
        """Give steps, bags and sessions of the second numbers on their machine that the first has not used."""
        machines = {int(made["machine"]) for (of, _), made in self.made.items() if of == table}
        for machine in sorted(machines & set(self.before.get("machines", {})) & self._touched(self.first)):
            mine = {
                int(made["number"]) for (of, _), made in self.made.items() if of == table and made["machine"] == machine
            }
            was = _numbers(self.before, table, machine)
            here = _numbers(self.first, table, machine)
            if table == "bags":
                new = _spread(mine, here)
            else:
                # in their order, behind the first's, without a gap
                by = max(max(here, default=0) - max(was, default=0), 0)
                new = {number: number + by for number in mine}
            moved = {old: now for old, now in sorted(new.items()) if old != now}
            self.numbers.update({(table, machine, old): now for old, now in moved.items()})
            named = {int(made["number"]) for n, made in self.second.get(table, {}).items() if (table, n) in self.made}
            for old, now in moved.items():
                if old in named:
                    caption = self._caption(_at(self.first, "machines", machine) or {})
                    hint = "; write it on the bag" if table == "bags" else ""
                    self.renewed.append(
                        f"{caption}: {NUMBERED[table]} {old} of the second is {NUMBERED[table]} {now}{hint}"
                    )

    def _renew_codes(self) -> None:
        here = {str(bag.get("code")): bag for bag in self.first.get("bags", {}).values()}
        for (table, number), bag in self.made.items():
            held = here.get(str(bag.get("code"))) if table == "bags" else None
            if held is None:
                continue
            self.new_codes[table, number] = now = next(self.codes)
            what = f"bag {bag['number']} of the second came with the code {bag['code']}, which bag {held['number']} has"
            self.renewed.append(f"{self._machine(bag)}: {what}; now {now}, print a new label")

    def _kept(self) -> tuple[set[tuple[str, int]], list[Different]]:
        """What the first changed since: it stays; and what of it the second changed otherwise."""
        kept, different = set(), []
        touched = {(edit.table, edit.id) for edit in _edits(self.tail)}
        for key in sorted(touched - set(self.fresh)):
            was, mine, theirs = _at(self.before, *key), _at(self.first, *key), _at(self.second, *key)
            if mine == was:
                continue
            kept.add(key)
            theirs = self._moved(key[0], theirs) if theirs is not None else None
            if theirs not in (was, mine):
                what = "was taken back by the second" if theirs is None else _differences(mine, theirs)
                different.append(Different(self._where(key[0], mine or was or {}), what))
        return kept, different

    def _same_tags(self) -> Iterator[Different]:
        """Hang-tags of one letter that both hung on something of one machine since."""
        for table in ("steps", "things"):
            mine = {
                (row["machine"], row.get("tag")): row
                for number, row in self.first.get(table, {}).items()
                if row.get("tag") and _at(self.before, table, number) is None
            }
            for number, row in self.second.get(table, {}).items():
                twin = mine.get((row["machine"], row.get("tag"))) if (table, number) in self.made else None
                if twin is not None:
                    names = f"{quoted(twin.get('name', ''))} and on {quoted(row.get('name', ''))}"
                    what = f"hangs on {names}; give one another"
                    yield Different(f"{self._machine(row)}, hang-tag {row['tag']}", what)

    def _changes(self, kept: set[tuple[str, int]]) -> Iterator[tuple[Change, str, str]]:
        """The second's changes, each going on from the one before."""
        now: dict[tuple[str, int], Document | None] = {}
        numbers = {number: self.next_number + at for at, (number, *_) in enumerate(self.tail)}
        for _, at, who, change in self.tail:
            edits = []
            for edit in change.edits:
                key = (edit.table, edit.id)
                if key in kept:
                    continue
                new = self._moved(edit.table, edit.new, self.new_codes.get(key, "")) if edit.new is not None else None
                if key in self.fresh:
                    key = (edit.table, self.fresh[key])
                old = now[key] if key in now else _at(self.first, *key)
                if new is not None and "id" in new:
                    new["id"] = key[1]
                edits.append(Edit(*key, old, new))
                now[key] = new
            yield (
                Change(
                    did=change.did,
                    said=self._said(change),
                    edits=tuple(edits),
                    machine=self.fresh.get(("machines", change.machine), change.machine),
                    undoes=numbers.get(change.undoes, change.undoes),
                ),
                at,
                who,
            )

    def _ended(self, changes: Sequence[tuple[Change, str, str]]) -> Iterator[tuple[Change, str, str]]:
        """End what both left going on at one machine: a session of the second. Raises Refused for half a step."""
        now = {(e.table, e.id): e.new for change, _, _ in changes for e in change.edits}
        for table in ("sessions", "steps"):
            # what both had in common and the second has ended goes on no longer
            here = (now.get((table, number), row) for number, row in self.first.get(table, {}).items())
            going = {row["machine"] for row in here if row is not None and not row.get("ended")}
            for (of, number), new in now.items():
                if of != table or new is None or new.get("ended") or new["machine"] not in going:
                    continue
                if number <= self.last_ids.get(table, 0):
                    continue
                if table == "steps":
                    raise Refused(
                        f"Both are in the middle of a step of {self._machine(new)}; finish it in one of them first."
                    )
                at = max(stamp for change, stamp, _ in changes if change.machine == new["machine"])
                segments = [{**s, "end": s.get("end") or at} for s in new.get("segments", ())]
                done = {**new, "ended": at, **({"segments": segments} if segments else {})}
                said = f"session {new['number']} of the other computer ended with the last thing done in it"
                yield (
                    Change(did=JOIN, said=said, edits=(Edit(table, number, new, done),), machine=new["machine"]),
                    at,
                    changes[-1][2],
                )

    def _moved(self, table: str, document: Document, code: str = "") -> Document:
        """A document of the second with the numbers that things have now."""
        new = dict(document)
        for field, of in POINTS_TO.get(table, {}).items():
            if new.get(field):
                new[field] = self.fresh.get((of, new[field]), new[field])
        machine = int(document.get("machine", 0))
        if table in NUMBERED:
            new["number"] = self._number(table, machine, document["number"])
        if table == "steps":
            if "needs" in new:
                new["needs"] = [self._number("steps", machine, number) for number in new["needs"]]
            if new.get("bag"):
                new["bag"] = self._number("bags", machine, new["bag"])
        for field in PLACES.get(table, ()):
            if field in new:
                new[field] = self._place(machine, new[field])
        if table == "sessions" and "walked" in new:
            new["walked"] = [self._answer(machine, answer) for answer in new["walked"]]
        if code:
            new["code"] = code
        return new

    def _said(self, change: Change) -> str:
        """The sentence of a change with the numbers of now."""

        def now(found: re.Match[str]) -> str:
            return f"{found[1]} {self._number(TABLES_BY_WORD[found[1]], change.machine, int(found[2]))}"

        return _NUMBER.sub(now, change.said)

    def _answer(self, machine: int, answer: Document) -> Document:
        new = {**answer, "step": self._number("steps", machine, answer["step"])}
        if new.get("step_id"):
            new["step_id"] = self.fresh.get(("steps", new["step_id"]), new["step_id"])
        return new

    def _number(self, table: str, machine: int, number: int) -> int:
        return self.numbers.get((table, machine, number), number)

    def _place(self, machine: int, place: str) -> str:
        number = bag_number(place)
        return place if number is None else in_bag(self._number("bags", machine, number))

    def _caption(self, machine: Document) -> str:
        return " ".join(filter(None, (str(machine.get("name", "")), str(machine.get("serial", "")))))

    def _machine(self, document: Document) -> str:
        number = int(document.get("machine", 0))
        found = _at(self.first, "machines", number) or _at(self.second, "machines", number) or {}
        return self._caption(found)

    def _where(self, table: str, document: Document) -> str:
        if table == "machines":
            return self._caption(document)
        what = document.get("number") if table in NUMBERED else quoted(document.get("name") or document.get("at") or "")
        return f"{self._machine(document)}, {NUMBERED.get(table, table.rstrip('s'))} {what}"


def _edits(tail: Iterable[Stamped]) -> Iterator[Edit]:
    for _, _, _, change in tail:
        yield from change.edits


def _at(documents: Documents, table: str, number: int) -> Document | None:
    return documents.get(table, {}).get(number)


def _numbers(documents: Documents, table: str, machine: int) -> set[int]:
    return {int(row["number"]) for row in documents.get(table, {}).values() if row["machine"] == machine}


def _spread(mine: set[int], here: set[int]) -> dict[int, int]:
    """Each number as it is where nobody has it, else the next that is free above all."""
    last, new = max(mine | here, default=0), {}
    for number in sorted(mine):
        if number in here:
            last += 1
            if last > MOST_BAGS:
                raise Refused("There is no bag number left above those of both.")
        new[number] = last if number in here else number
    return new


def _name(machine: Document) -> tuple[str, str]:
    return str(machine.get("name", "")).casefold(), str(machine.get("serial", "")).casefold()


def _differences(mine: Document | None, theirs: Document) -> str:
    """What the second has otherwise, field by field."""
    if mine is None:
        return "was taken back by the first, and changed by the second"
    fields = sorted(field for field in mine.keys() | theirs.keys() if mine.get(field) != theirs.get(field))
    told = [f"{field} {_value(mine.get(field))}, in the second {_value(theirs.get(field))}" for field in fields[:6]]
    return "; ".join(told) + (f"; and {counted(len(fields) - 6, 'field')} more" if len(fields) > 6 else "")


def _value(value: Any) -> str:
    return "nothing" if value in (None, "", [], {}) else quoted(value)
