"""What stands in a machine's book, gathered from the record as plain data. Nothing here knows how it is set."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

from msgspec import Struct

from putback.book.faces import PrintedFace, faces_of
from putback.book.fastener_list import MixedUp, SizeRow, mixed_up, size_rows
from putback.errors import BadInput
from putback.progress import each
from putback.reports.account import Account, Block
from putback.reports.account.made import setting_words
from putback.reports.alike import alike
from putback.reports.bags import BagCard, bag_cards
from putback.reports.fastener_sheet import length_of
from putback.reports.first_look import plate
from putback.reports.plan import plan_accounts
from putback.reports.planning import refit_plan
from putback.reports.size_letters import Looks, distinct_names, looks_of, size_letters
from putback.reports.summary import clock_text, open_questions, where_to_start
from putback.reports.todo import ToDo, to_do
from putback.trade.checks.ledger import trial_balance
from putback.trade.record.bag import Bag
from putback.trade.record.fastener import Thing, came_out_words, said_words
from putback.trade.record.first_look import LEADS
from putback.trade.record.holes import faces_words, spots_named, spots_text
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import WHENS, Photo
from putback.trade.record.phrases import counted, times
from putback.trade.record.record import Record
from putback.trade.record.session import Session
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import trouble_of
from putback.trade.refit.orientation import walk_lying
from putback.trade.refit.pace import time_left
from putback.trade.sizes.just_like import measured

MOST_PHOTOS = 6
"""Photos shown of one step; how many more there are is said."""

Look = Callable[[str], Path]
"""Gives the small copy of a photo by its name in the workshop; raises BadInput where it cannot."""


class Size(Struct, frozen=True):
    """The fasteners of one size in a step."""

    letter: str
    """Its letter on the face."""
    called: str
    """What they are."""
    count: int
    """How many."""
    holes: str
    """Where they sat."""
    at: str
    """The same with the word before it: `hole 5, right`, `holes 1 3`."""
    length: float | None
    """Their length in millimetres, where a stocked one was found."""
    remarks: tuple[str, ...]
    """How unsure the size is, a left-hand thread, what ought to be there, the person's words."""


class BookPhoto(Struct, frozen=True):
    """One photo."""

    path: Path | None
    """Its small copy; None where it cannot be shown."""
    text: str
    """Where in the step it falls, when it was taken, or why it is not shown."""


class Leaf(Struct, frozen=True, kw_only=True):
    """One step, as taken off."""

    number: int
    """The step's number on the machine."""
    text: str
    """What was done."""
    where: str
    """Face, assembly, day, minutes."""
    state: str
    """`back on`, `coming off`, or nothing for one that is off."""
    cautions: tuple[str, ...]
    """What to beware of, as was said at the step, one a text."""
    needs: tuple[str, ...]
    """What had to come off first."""
    faces: tuple[PrintedFace, ...]
    """Its faces with their holes, for their pictures; none where no hole is known."""
    sizes: tuple[Size, ...]
    """What came out of them, by size."""
    pieces: tuple[str, ...]
    """Loose pieces that came out."""
    bags: tuple[int, ...]
    """Numbers of the bags that it filled."""
    put: str
    """Where the part went."""
    tools: tuple[str, ...]
    """Tools that it takes, by their names."""
    settings: tuple[str, ...]
    """Settings as found and as they should be, one a text."""
    at_refit: tuple[str, ...]
    """Work on the way back, before it goes on."""
    todo: tuple[str, ...]
    """Its jobs and how each stands, one a text."""
    notes: tuple[str, ...]
    """The person's own words, one note a text."""
    photos: tuple[BookPhoto, ...]
    """Its photos, in the order of the work."""
    more_photos: int
    """Photos that are not shown."""


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

    @property
    def text(self) -> str:
        """What is done, in a line."""
        return ", ".join(filter(None, (self.account.heading, self.account.faces)))


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

    @property
    def plan_text(self) -> str:
        """What the plan costs and claims and how long it takes, as sentences."""
        return f"{self.plan[:1].upper()}{self.plan[1:]}. Time left: {self.time_left}."

    @property
    def photos(self) -> int:
        """How many photos are shown."""
        return sum(shown.path is not None for c in self.chapters for leaf in c.leaves for shown in leaf.photos)


def gather(
    record: Record, machine: Machine, *, now: str, look: Look, order: str = "reverse", minutes: float | None = None
) -> Book:
    """Return the book of a machine as it stands at the stamp `now`, with the way back in the order asked for.

    With `minutes` that is cut into the fewest sessions of such a length.
    """
    steps = list(record.all(Step, machine.id))
    taken = [t for t in record.all(Thing, machine.id) if t.sort == "fastener" and not t.found and not t.replaces]
    plan = refit_plan(record, machine.id, order, session_minutes=minutes)
    begins = {session[0]: f"Session {n} of {len(plan.sessions)}" for n, session in enumerate(plan.sessions, 1)}
    off = {step.number: step for step in steps if not step.back and not step.is_open}
    bags = sorted(record.all(Bag, machine.id), key=lambda bag: bag.number)
    return Book(
        caption=machine.caption,
        plate=tuple(_plate(machine)),
        as_of=clock_text(now),
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
        chapters=tuple(_chapters(record, machine, now, look)),
        plan=plan.text,
        time_left=time_left(record, machine.id).text if off else "",
        returns=tuple(
            Return(account, faces_of(record, account.step), begins.get(account.step.number, ""))
            for account in plan_accounts(record, machine.id, plan)
            if account.step.number in off
        ),
        at_last=walk_lying(record, machine.id, plan.order)[1] if off else "",
        bags=tuple(bag_cards(record, bags)),
        sizes=size_rows(record, taken),
        mixed=mixed_up(alike(record, machine).look_alike),
        todo=to_do(record, machine, now=now),
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
    children: dict[int, list[Part]] = {}
    for part in record.all(Part, machine):
        children.setdefault(part.inside, []).append(part)

    def grow(inside: int, depth: int) -> Iterator[tuple[int, str, str]]:
        for part in sorted(children.get(inside, ()), key=lambda p: (not p.assembly, p.id)):
            back = any(step.back for step in record.steps_of_part(part.id))
            yield depth, part.name, "off" if record.off_at(part.id) else "back on" if back else ""
            yield from grow(part.id, depth + 1)

    yield from grow(0, 0)


def _chapters(record: Record, machine: Machine, now: str, look: Look) -> Iterator[Chapter]:
    by_session: dict[int, list[Step]] = {}
    for step in record.all(Step, machine.id):
        by_session.setdefault(step.session, []).append(step)
    for session in record.all(Session, machine.id):
        minutes = f"{session.minutes(session.ended or now):.0f} min at the bench"
        when = f"{clock_text(session.start)} to {clock_text(session.ended)}, {minutes}"
        leaves = tuple(_leaf(record, step, look) for step in each(by_session.pop(session.id, ()), "steps"))
        yield Chapter(session.number, session.title, when, session.note, leaves)
    rest = [step for steps in by_session.values() for step in steps]
    if rest:
        yield Chapter(0, "in no session", "", "", tuple(_leaf(record, step, look) for step in each(rest, "steps")))


def _leaf(record: Record, step: Step, look: Look) -> Leaf:
    things = record.things_of(step)
    area = record.get(Part, step.area).name if step.area else ""
    took = "" if step.minutes is None else f"{step.minutes:g} min"
    where = (faces_words(record, step), area and f"inside {area}", step.began[:10], took)
    needed = (record.step(step.machine, number) for number in step.needs)
    soak = [f"soak, {step.soak.what}: {step.soak.hours:g} h"] if step.soak else []
    photos = sorted(record.photos_of(step), key=lambda p: (p.back, WHENS.index(p.when) if p.when else 3, p.taken))
    return Leaf(
        number=step.number,
        text=step.text,
        where=", ".join(filter(None, where)),
        state="on hold" if step.on_hold else "coming off" if step.is_open else "back on" if step.back else "",
        cautions=step.cautions,
        needs=tuple(f"step {n.number}, {n.text}" for n in needed if n is not None),
        faces=faces_of(record, step),
        sizes=tuple(_sizes(record, things)),
        pieces=tuple(times(t.count, t.name) for t in things if t.sort == "piece"),
        bags=tuple(sorted(record.bags_filled_by(step.id))),
        put=step.put,
        tools=step.tools,
        settings=tuple(setting_words(setting, record.get(Machine, step.machine)) for setting in step.adjust),
        at_refit=step.at_refit,
        todo=tuple(job.text for job in step.todo),
        notes=(*filter(None, step.note.split("\n")), *soak, *(f"next time: {words}" for words in step.next_time)),
        photos=tuple(_shown(photo, look) for photo in photos[:MOST_PHOTOS]),
        more_photos=max(0, len(photos) - MOST_PHOTOS),
    )


def _sizes(record: Record, things: list[Thing]) -> Iterator[Size]:
    letters = size_letters([t for t in things if t.hole and not t.replaces])
    names = distinct_names(things)
    groups: dict[tuple[Looks, str, bool], list[Thing]] = {}
    for thing in things:
        if thing.sort == "fastener":
            groups.setdefault((looks_of(thing), thing.found, bool(thing.replaces)), []).append(thing)
    for (looks, found, stands_in), mine in groups.items():
        called = names[looks]
        remarks = dict.fromkeys(remark for thing in mine for remark in _remarks(thing))
        seen = [thing.spot for thing in mine if measured(record, thing) is not None]
        if seen:
            remarks["not measured" if len(seen) == len(mine) else f"not measured: {spots_text(seen)}"] = None
        troubles = ((thing.spot, trouble_of(record, thing)) for thing in mine)
        came = ((thing.spot, came_out_words(thing)) for thing in mine)
        remarks |= {f"hole {hole}: {words}": None for hole, words in came if words}
        remarks |= {f"* hole {hole}: {trouble}": None for hole, trouble in troubles if trouble}
        if stands_in:
            remarks["a replacement"] = None
        yield Size(
            letter="" if found else letters.get(looks, ""),
            called=f"{called}: found empty" if found else called,
            count=0 if found else sum(thing.count for thing in mine),
            holes=spots_text(thing.spot for thing in mine if thing.hole),
            at=spots_named([thing.spot for thing in mine if thing.hole]),
            length=None if found else length_mm(mine[0].length),
            remarks=tuple(remarks),
        )


def _remarks(thing: Thing) -> Iterator[str]:
    if thing.verdict and thing.verdict != "sure":
        yield {"likely": "likely", "either": "either of these", "none": "no standard size"}.get(thing.verdict, "")
    if thing.hand == "left":
        yield "LEFT-HAND thread"
    yield from said_words(thing, "book")


def length_mm(name: str) -> float | None:
    """Return a stocked length, such as `3/8`, `1 1/4` or `12 mm`, in millimetres; None for no such name."""
    value = length_of(name)
    return None if value is None else float(value * Fraction(127, 5))


def _shown(photo: Photo, look: Look) -> BookPhoto:
    when = photo.falls or "photo"
    if photo.taken:
        when += f", {clock_text(photo.taken)}"
    if photo.doubt:
        when += ", in doubt"
    try:
        return BookPhoto(look(photo.file), when)
    except BadInput as fault:
        return BookPhoto(None, f"{when}: {str(fault).replace(photo.file, photo.name or photo.file)}")


def figures_text(book: Book) -> str:
    """Return the whole in numbers as one line, noughts left out."""
    return ", ".join(
        counted(count, word[:-1]) if word.endswith("s") else f"{count} {word}" for count, word in book.figures if count
    )
