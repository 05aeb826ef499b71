"""The fasteners of a step in the order in which they go in, those that are alike in one row."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct

from putback.reports.size_letters import Looks, length_value, looks_of, size_letters
from putback.trade.checks.ledger import left_empty, wanting
from putback.trade.record.fastener import ASIDE, THREADED, Thing, came_out_words, said_words
from putback.trade.record.holes import by_face, face_of
from putback.trade.record.place import SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import going_in, place_words
from putback.trade.refit.confirmations import is_used
from putback.trade.refit.hole_pattern import ROWS_OF, hung_on_its_upper
from putback.trade.sizes.reading_words import FIELD_WORDS

CROSSWISE = 4
"""So many screws are tightened crosswise (common practice, no source)."""

LONGER = "longer: see that it does not bottom or foul"
"""What is said of a screw that goes in where a shorter one was (common practice, no source)."""

TOLD_APART = 0.01
"""Inches, or a quarter of a millimetre, by which two readings of a length must differ to tell two screws apart."""


class FastenerRow(Struct, frozen=True, kw_only=True):
    """Fasteners of a step that are alike and lie in one place."""

    letter: str
    """The letter of their size on the face."""
    holes: tuple[str, ...]
    """Their holes, in the order in which they are filled."""
    count: int
    """How many."""
    what: str
    """What one of them is: kind, size, head, drive, hand."""
    remarks: tuple[str, ...]
    """What else is to be known of them."""
    place: str
    """Where they lie, as it is told; `fitted` for what is in already."""
    left: bool
    """Whether the thread is left-hand."""


def there_now(record: Record, thing: Thing) -> dict[str, int]:
    """Return where a thing stands that is to go in, or that is in: place to count.

    What is scrapped counts only where nothing stands in for it.
    """
    standing = record.standing(thing.id)
    if SCRAPPED in standing:
        standing = {place: n for place, n in standing.items() if place != SCRAPPED}
        standing |= {held.place: held.count for held in wanting(record, thing) if held.place == SCRAPPED}
    return standing


def looks(thing: Thing) -> str:
    """Return what a fastener looks like beside its size: head, drive, a left hand. Empty where nothing was said."""
    return ", ".join(filter(None, (thing.head, thing.drive, "LEFT-HAND thread" if thing.hand == "left" else "")))


def holes_in_order(record: Record, step: Step, lies: str) -> tuple[str, ...]:
    """Return the holes of a step in the order in which they are filled.

    What came out last goes in first, and its face is done first; on a face that stands upright an upper hole is the
    first; four or more on one are gone through crosswise (common practice, no source). `lies` is how the machine lies
    for the step.
    """
    without = left_empty(record, step)
    out = [t.goes_in for t in going_in(record, step) if not t.found and t.id not in without]
    faces: dict[str, list[str]] = {}
    for at in dict.fromkeys(reversed(out)):
        faces.setdefault(face_of(at), []).append(at)
    filled: list[str] = []
    for face, left in faces.items():
        if hung_on_its_upper(record, step, lies, face or step.face):
            top = max(ROWS_OF[hole[0]] for hole in left)
            left.sort(key=lambda hole: ROWS_OF[hole[0]] != top)
        filled += left if len(left) < CROSSWISE else _crosswise(left)
    return tuple(filled)


def _crosswise(holes: Sequence[str]) -> Iterator[str]:
    """Give holes so that each pair lies opposite, and each new pair far from those before; the first stays first."""
    left, done = list(holes), list[str]()
    while left:
        here = left[0] if not done else max(left, key=lambda hole: (min(_apart(hole, d) for d in done),))
        across = str(10 - int(here[0]))
        pair = [here, *[hole for hole in left if hole[0] == across and hole != here][:1]]
        for hole in pair:
            left.remove(hole)
            done.append(hole)
            yield hole


def _apart(one: str, other: str) -> float:
    (x, y), (u, v) = (divmod(int(hole[0]) - 1, 3) for hole in (one, other))
    return float((x - u) ** 2 + (y - v) ** 2)


def order_words(record: Record, step: Step, holes: Sequence[str], lies: str) -> str:
    """Return how several screws of one part are started and tightened, or nothing for fewer than two."""
    without = left_empty(record, step)
    out = [t for t in going_in(record, step) if not t.found and t.id not in without]
    screws = {t.goes_in for t in out if t.name in THREADED}
    mine = [hole for hole in holes if hole in screws]
    if len(mine) < 2 or step.do == "loosen":
        return ""
    first, faces, several = "", by_face(mine), len(by_face(holes)) > 1
    face = face_of(mine[0])
    if hung_on_its_upper(record, step, lies, face or step.face):
        beside = f", {step.face}" if several and step.face and not face else ""
        first = f", hole {mine[0]}{beside} first: it hangs"
    words = f"start all {len(mine)} by hand{first}; tighten none before all have caught"
    crossed = {face: " ".join(places) for face, places in faces.items() if len(places) >= CROSSWISE}
    if not crossed:
        return words
    names = {face: face or step.face if several else face for face in crossed}
    told = ", ".join(f"{names[face]}: {places}" if names[face] else places for face, places in crossed.items())
    return f"{words}, then crosswise: {told}"


_Alike = tuple[int, str, Looks, tuple[str, ...], str]
"""What fasteners of one row share: how deep in its hole, name, looks, remarks, place."""


def rows_in_order(record: Record, step: Step, holes: Sequence[str]) -> list[FastenerRow]:
    """Return the fasteners of a step in the order in which they go in: in each hole what came out last goes first."""
    without = left_empty(record, step)
    things = [t for t in record.things_of(step) if t.sort == "fastener" and t.id not in without]
    letters = size_letters(going_in(record, step))
    apart = _readings_that_tell(things)
    groups: dict[_Alike, list[tuple[str, int]]] = {}
    like: dict[_Alike, Thing] = {}
    for hole in holes:
        here = [t for t in things if t.goes_in == hole and not t.found]
        for depth, thing in enumerate(sorted(here, key=lambda t: -_came_out(record, t))):
            for place, count in sorted(there_now(record, thing).items()):
                remarks = tuple(_remarks(record, thing, step, apart(thing)))
                key = (depth, thing.called, looks_of(thing), remarks, place_words(thing, place))
                groups.setdefault(key, []).append((hole, count))
                like.setdefault(key, thing)
    rows = []
    for alike, filled in groups.items():
        thing = like[alike]
        *_, remarks, place = alike
        named = looks(thing)
        rows.append(
            FastenerRow(
                letter=letters.get(looks_of(thing), ""),
                holes=tuple(hole for hole, _ in filled),
                count=sum(count for _, count in filled),
                what=f"{thing.called.removesuffix(' left-hand')}{f', {named}' if named else ''}",
                remarks=remarks,
                place=place,
                left=thing.hand == "left",
            )
        )
    return rows


def _came_out(record: Record, thing: Thing) -> int:
    return record.first_of(thing).id


def _remarks(record: Record, thing: Thing, step: Step, read: str) -> Iterator[str]:
    """Give what else is to be known of a fastener before it goes in."""
    if thing.replaces:
        old = record.get(Thing, thing.replaces)
        new = "" if is_used(record, thing) else "new"
        instead = f"in place of {old.called}" if old.called != thing.called else ""
        instead = "its hole was found empty" if old.found else instead
        longer = length_value(thing) > length_value(old) > 0
        yield from filter(None, (new, instead, LONGER if longer else ""))
    if thing.goes_into:
        yield f"out of hole {thing.spot}"
    if step.do == "loosen" or thing.turns:
        yield times_turned(thing.turns)
    yield from said_words(thing, "back", ASIDE)
    if read:
        yield read
    if words := came_out_words(thing):
        yield words
    if thing.note:
        yield thing.note
    if thing.tag:
        yield f"hang-tag {thing.tag}"


def times_turned(turns: float) -> str:
    """Return a number of turns in words: `1 turn`, `2.5 turns`."""
    return f"{turns:g} turn{'' if turns == 1 else 's'}"


def _readings_that_tell(things: Sequence[Thing]) -> Callable[[Thing], str]:
    """Return what gives the reading that tells a fastener from another of its name in the step, or nothing."""
    by_name: dict[object, list[Thing]] = {}
    for thing in things:
        by_name.setdefault((thing.called, looks_of(thing)), []).append(thing)

    def distinct_reading(thing: Thing) -> str:
        same = by_name[thing.called, looks_of(thing)]
        for reading, text in thing.readings.items():
            others = {t.readings[reading] for t in same if reading in t.readings}
            if reading in FIELD_WORDS and _differ(others):
                return f"{FIELD_WORDS[reading]} read {text}"
        return ""

    return distinct_reading


def _differ(texts: set[str]) -> bool:
    """Tell whether some readings, as typed, differ by more than one pair of hands would find of one thing."""
    try:
        values = [float(text) for text in texts]
    except ValueError:
        return False
    return len(values) > 1 and max(values) - min(values) > max(TOLD_APART, 0.02 * max(values))
