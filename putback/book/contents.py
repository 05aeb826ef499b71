"""What stands in a machine's book, gathered from the record as plain data. Nothing here knows how it is set."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct

from putback.book.faces import PrintedFace
from putback.book.fastener_list import MixedUp, SizeRow, mixed_up, size_rows
from putback.book.leaves import Leaf, Look, leaf_of
from putback.dates import day_and_time, from_to
from putback.errors import BadInput
from putback.progress import each
from putback.reports.account import Account, Block
from putback.reports.account.lines import CAUTIONS, HELD
from putback.reports.account.step_words import setting_words
from putback.reports.alike import alike
from putback.reports.bags import BagCard, bag_cards
from putback.reports.first_look import plate
from putback.reports.plan import plan_accounts
from putback.reports.planning import refit_plan
from putback.reports.summary import open_questions, where_to_start
from putback.reports.todo import ToDo, to_do
from putback.trade.checks.ledger import trial_balance
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing
from putback.trade.record.first_look import LEADS
from putback.trade.record.machine import Machine
from putback.trade.record.photo import Photo
from putback.trade.record.phrases import counted
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.record.tree import in_tree
from putback.trade.refit.orientation import walk_lying
from putback.trade.refit.pace import time_left

PHOTO_SIZES = {"small": 640, "large": 1600, "none": 0}
"""How photos can be asked for, with the pixels of their longer side."""

TRUE = "Lay a rule beside this one: where they agree, this is true to size, and so are the bars of the screws."
"""What stands below the rule of the first page."""


class Chapter(Struct, frozen=True):
    """One session."""

    number: int
    """The session's number on the machine."""
    title: str
    """What it was about; empty where that was not said."""
    when: str
    """Begin, end and time at the bench."""
    note: str
    """The person's note on it; empty for none."""
    leaves: tuple[Leaf, ...]
    """The steps done in it, in order."""

    @property
    def name(self) -> str:
        """What stands above it."""
        name = f"Session {self.number}" if self.number else "Steps"
        return f"{name}: {self.title}" if self.title else name

    @property
    def listed(self) -> str:
        """How the contents list it, with the steps that are found in it."""
        numbers = [leaf.number for leaf in self.leaves]
        if not numbers:
            return self.name
        return f"{self.name} (step{f's {numbers[0]} to' if len(numbers) > 1 else ''} {numbers[-1]})"


class Return(Struct, frozen=True):
    """One step of the way back."""

    account: Account
    """Everything that is said of it, in the order in which it is needed."""
    faces: tuple[PrintedFace, ...]
    """Its faces with their holes."""
    begins: str = ""
    """The session that begins with it, where the plan is cut into sessions."""

    @property
    def number(self) -> int:
        """The step's number."""
        return self.account.step.number

    def face_of(self, block: Block) -> PrintedFace | None:
        """Return the face that a picture of the account is of; None where nothing came out of a hole of it."""
        alone = self.faces[0] if len(self.faces) == 1 else None
        return next((face for face in self.faces if face.name == block.face), alone)

    def shares(self) -> Iterator[tuple[tuple[Block, ...], PrintedFace | None]]:
        """Give what is said below the heading, in its order, in shares with the face that each stands beside.

        What holds the step up, is confirmed first or may do harm stands above the first face, over the whole width.
        """
        rest = self.account.blocks[1:]
        starts = [at for at, block in enumerate(rest) if block.kind == "picture" and self.face_of(block) is not None]
        if not starts:
            yield rest, None
            return
        before = rest[: starts[0]]
        above = max((at + 1 for at, block in enumerate(before) if _comes_first(block)), default=0)
        yield before[:above], None
        for at, end in pairwise([*starts, len(rest)]):
            begin = above if at == starts[0] else at
            yield rest[begin:end], self.face_of(rest[at])

    @property
    def text(self) -> str:
        """What is done, in a line."""
        return ", ".join(filter(None, (self.account.heading, self.account.faces)))


def _comes_first(block: Block) -> bool:
    return block.kind == "question" or block.sort in CAUTIONS or block.sort in HELD


class Book(Struct, frozen=True, kw_only=True):
    """Everything known of one machine."""

    caption: str
    """Name and serial of the machine."""
    plate: tuple[tuple[str, str], ...]
    """Maker, model, serial and the like."""
    as_of: str
    """The day and time up to which the record goes."""
    figures: tuple[tuple[int, str], ...]
    """The whole in numbers."""
    next: str
    """Where to start next time."""
    balance: tuple[tuple[int, str], ...]
    """How many things are at each sort of place, with the place in words."""
    things: int
    """How many things there are in all; the balance adds up to it."""
    questions: tuple[str, ...]
    """What is still open, one a text."""
    tree: tuple[tuple[int, str, str], ...]
    """Depth, name and state of each part."""
    chapters: tuple[Chapter, ...]
    """The sessions, in order."""
    plan: str
    """What the plan costs and claims."""
    time_left: str
    """How long the way back may take, in words; empty where nothing was learned yet."""
    returns: tuple[Return, ...]
    """The steps of the way back, in the order of the plan."""
    at_last: str
    """How the machine is laid at the end; empty where it lies so."""
    bags: tuple[BagCard, ...]
    """A card for each bag."""
    sizes: tuple[SizeRow, ...]
    """All fasteners by size, most first."""
    mixed: tuple[MixedUp, ...]
    """What only looks alike, by size."""
    todo: ToDo
    """What is left to do, by its sorts."""
    photo_size: str = "small"
    """How its photos were asked for, of PHOTO_SIZES."""
    photo_bytes: int = 0
    """What the photos that are shown take, in bytes."""

    @property
    def plan_text(self) -> str:
        """What the plan costs and claims and how long it takes, as sentences."""
        return f"{self.plan[:1].upper()}{self.plan[1:]}. Time left: {self.time_left}."

    @property
    def photos_text(self) -> str:
        """How many photos are shown and what they take, or that they were left out; empty where there are none."""
        filed = sum(len(leaf.photos) + leaf.more_photos for c in self.chapters for leaf in c.leaves)
        if not filed:
            return ""
        if self.photo_size == "none":
            return f"{counted(filed, 'photo')} left out"
        more = f" of {filed}" if filed > self.photos else ""
        return f"{self.photos}{more} photos shown, {self.photo_size}: {self.photo_bytes / 1e6:.1f} MB in all"

    @property
    def photos(self) -> int:
        """How many photos are shown."""
        return sum(shown.path is not None for c in self.chapters for leaf in c.leaves for shown in leaf.photos)


def gather(
    record: Record,
    machine: Machine,
    *,
    now: str,
    look: Look,
    order: str = "reverse",
    minutes: float | None = None,
    photo_size: str = "small",
) -> Book:
    """Return the book of a machine as it stands at the stamp `now`, with the way back in the order asked for.

    With `minutes` that is cut into the fewest sessions of such a length. Of photos left out (`none`) the words stay.
    """
    if photo_size not in PHOTO_SIZES:
        raise BadInput(f"{photo_size} is not a size of photos; there is {', '.join(PHOTO_SIZES)}")
    steps = list(record.all(Step, machine.id))
    taken = [t for t in record.all(Thing, machine.id) if t.sort == "fastener" and not t.found and not t.replaces]
    plan = refit_plan(record, machine.id, order, session_minutes=minutes)
    begins = {session[0]: f"Session {n} of {len(plan.sessions)}" for n, session in enumerate(plan.sessions, 1)}
    off = {step.number: step for step in steps if not step.back and not step.is_open}
    bags = sorted(record.all(Bag, machine.id), key=lambda bag: bag.number)
    chapters = tuple(_chapters(record, machine, now, look if photo_size != "none" else None))
    leaves = {leaf.number: leaf for chapter in chapters for leaf in chapter.leaves}
    shown = [photo.path for leaf in leaves.values() for photo in leaf.photos]
    return Book(
        caption=machine.caption,
        plate=tuple(_plate(machine)),
        as_of=day_and_time(now),
        figures=(
            (len(steps), "steps"),
            (len(off), "still off"),
            (len(taken), "fasteners"),
            (len(bags), "bags"),
            (record.count(Session, machine.id), "sessions"),
            (record.count(Photo, machine.id), "photos"),
        ),
        next=where_to_start(record, machine.id),
        balance=tuple((count, sort) for sort, count in trial_balance(record, machine.id).items()),
        things=sum(thing.count for thing in record.all(Thing, machine.id)),
        questions=tuple(open_questions(record, machine.id, now=now)),
        tree=tuple(_tree(record, machine.id)),
        chapters=chapters,
        plan=plan.text,
        time_left=time_left(record, machine.id).text if off else "",
        returns=tuple(
            Return(account, leaves[account.step.number].faces, begins.get(account.step.number, ""))
            for account in plan_accounts(record, machine.id, plan)
            if account.step.number in off
        ),
        at_last=walk_lying(record, machine.id, plan.order)[1] if off else "",
        bags=tuple(bag_cards(record, bags)),
        sizes=size_rows(record, taken),
        mixed=mixed_up(alike(record, machine).look_alike),
        todo=to_do(record, machine, now=now),
        photo_size=photo_size,
        photo_bytes=sum(path.stat().st_size for path in shown if path is not None),
    )


def _plate(machine: Machine) -> Iterator[tuple[str, str]]:
    yield from plate(machine)
    yield from (("caution", caution) for caution in machine.cautions)
    yield from (("note", note) for note in machine.notes)
    yield from (("as found", setting_words(setting, machine)) for setting in machine.adjust)
    yield from (("next time", words) for words in machine.next_time)
    for seen in machine.first_look:
        yield LEADS[seen.sort], f"{seen.what}; now: {seen.came_of}" if seen.came_of else seen.what


def _tree(record: Record, machine: int) -> Iterator[tuple[int, str, str]]:
    for depth, part, _ in in_tree(record, machine):
        back = any(step.back for step in record.steps_of_part(part.id))
        yield depth, part.name, "off" if record.off_at(part.id) else "back on" if back else ""


def _chapters(record: Record, machine: Machine, now: str, look: Look | None) -> Iterator[Chapter]:
    by_session: dict[int, list[Step]] = {}
    for step in record.all(Step, machine.id):
        by_session.setdefault(step.session, []).append(step)
    for session in record.all(Session, machine.id):
        minutes = f"{session.minutes(session.ended or now):.0f} min at the bench"
        when = f"{from_to(session.start, session.ended)}, {minutes}"
        leaves = tuple(leaf_of(record, step, look) for step in each(by_session.pop(session.id, ()), "steps"))
        yield Chapter(session.number, session.title, when, session.note, leaves)
    rest = [step for steps in by_session.values() for step in steps]
    if rest:
        yield Chapter(0, "in no session", "", "", tuple(leaf_of(record, step, look) for step in each(rest, "steps")))


def figures_text(book: Book) -> str:
    """Return the whole in numbers as one line, noughts left out."""
    return ", ".join(
        counted(count, word[:-1]) if word.endswith("s") else f"{count} {word}" for count, word in book.figures if count
    )
