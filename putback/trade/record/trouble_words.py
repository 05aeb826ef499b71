"""What went wrong with a fastener or its hole, in words: said at refit, on cards and at the end."""

from __future__ import annotations

from collections.abc import Iterator

from putback.trade.record.fastener import LEFT_OVER, Thing
from putback.trade.record.place import FITTED, MISSING, SCRAPPED
from putback.trade.record.record import Record
from putback.trade.record.step import Step


def kin_of(record: Record, thing: Thing) -> list[Thing]:
    """Return a fastener with everything that came in its place and in the place of that, in order."""
    kin = [thing]
    for one in kin:
        kin += record.stand_ins(one.id)
    return kin


def in_its_place(record: Record, thing: Thing) -> Thing:
    """Return what goes into a fastener's hole: the last that came in its place, else the fastener itself."""
    return kin_of(record, thing)[-1]


def going_in(record: Record, step: Step) -> list[Thing]:
    """Return what goes into the holes of a step, as entered: in the place of what was replaced the new one."""
    return [thing for thing in record.things_of(step) if thing.hole and not record.stand_ins(thing.id)]


def trouble_of(record: Record, thing: Thing) -> str:
    """Return what went wrong with a fastener, and what is done about it: `M5x0.8 x 16 mm lost; M5x0.8 x 20 mm goes in`.

    `thing` is the first of its hole; of what stands in for another nothing is said, nor of what has no trouble.
    """
    if thing.sort != "fastener" or thing.replaces:
        return ""
    if _is_fine(record, thing):
        return ""
    kin = kin_of(record, thing)
    last = kin[-1]
    wrong = [text for one in kin if (text := _wrong(record, one))]
    words = [*(["thread gone"] if any("thread gone" in one.trouble for one in kin) else []), *wrong]
    verb = "is" if record.standing(last.id).get(FITTED) else "goes"
    if last is not thing:
        if not wrong and thing.size != last.size:
            words.append(f"{thing.brief} goes out" if verb == "goes" else f"{thing.brief} came out")
        if words:
            words.append(f"{last.brief} {verb} in" + (f" ({last.note})" if last.note else ""))
    if last.goes_in != thing.spot:
        words.append(f"its {last.brief} {verb} in hole {last.goes_in}")
    return "; ".join(words)


def _is_fine(record: Record, thing: Thing) -> bool:
    """Tell at once that nothing went wrong with a fastener, as with most of them."""
    if thing.trouble or thing.found or thing.goes_into or thing.went_into or record.stand_ins(thing.id):
        return False
    return not {MISSING, SCRAPPED}.intersection(record.standing(thing.id))


def _wrong(record: Record, thing: Thing) -> str:
    """Return what became of one fastener itself, with what was said of it."""
    if thing.found:
        return "found empty" if record.stand_ins(thing.id) else ""
    standing = record.standing(thing.id)
    if thing.went_into:
        return f"{thing.brief} went into {thing.went_into}"
    troubles: list[str] = [word for word in thing.trouble if word != "thread gone"]
    if not troubles and MISSING in standing:
        troubles = ["missing"]
    if not troubles and SCRAPPED in standing and not record.stand_ins(thing.id):
        troubles = ["scrapped"]
    return f"{thing.brief} {' and '.join(troubles)}" + (f" ({thing.note})" if thing.note else "") if troubles else ""


def place_words(thing: Thing, place: str) -> str:
    """Return a place of a thing as it is told: of what ended as scrapped whether it was lost, or went elsewhere."""
    if place == SCRAPPED and thing.went_into:
        return f"went into {thing.went_into}"
    return "lost, another goes in" if place == SCRAPPED and "lost" in thing.trouble else place


def troubles_of(record: Record, step: Step) -> Iterator[str]:
    """Give a line for each hole of a step with trouble: `hole 3: M5x0.8 x 16 mm lost; M5x0.8 x 20 mm goes in`."""
    for thing in record.things_of(step):
        texts = trouble_of(record, thing)
        if texts:
            yield f"hole {thing.spot}: {texts}"


def troubled_holes(record: Record, step: Step) -> frozenset[str]:
    """Return the holes of a step with trouble: those it is about, and those that get another one's fastener."""
    found = set()
    for thing in record.things_of(step):
        if trouble_of(record, thing):
            found |= {thing.spot, in_its_place(record, thing).goes_in}
    return frozenset(found)


def left_overs(record: Record, machine: int) -> list[Thing]:
    """Return the fasteners of a machine that have no hole and are at hand, as they were noted."""
    found = [thing for thing in record.all(Thing, machine) if thing.sort == LEFT_OVER]
    return [thing for thing in found if not {MISSING, SCRAPPED}.intersection(record.standing(thing.id))]
