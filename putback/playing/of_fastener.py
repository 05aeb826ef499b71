"""What is pressed for what comes out: fasteners, loose pieces. The table of their fields says what is asked of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from putback.errors import BadInput
from putback.playing.presses import (
    KeySequence,
    Presses,
    ScreenState,
    choice,
    further,
    on_bench,
    place_keys,
    said_line,
    to_face,
    typed_line,
    wish,
)
from putback.trade import commands as c
from putback.trade.record.fastener import CAME_OUT, FIELDS, KINDS, READINGS, SEIZED, Field, spot
from putback.trade.record.holes import spots_in
from putback.trade.refit.hole_pattern import likely_hole
from putback.trade.sizes.just_like import one_before
from putback.tui.dialogs.lists import (
    DRIVES_LISTED,
    HEADS_LISTED,
    NOT_SAID,
    OWN_WORDS,
    answers,
)
from putback.tui.draw.views import taken_holes
from putback.tui.form import entry
from putback.tui.form.typed_readings import as_fields, as_typed


def enter(command: c.Enter, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for a fastener: its place and its size, and what else is said of it."""
    step = at.record.open_step(at.machine)
    spots = taken_holes(at.record, step) if step else []
    face = (command.face or step.face) if step else ""
    if command.found:
        said = spot(command.hole, face if step and face != step.face_in_hand else "")
        yield KeySequence("other", (wish("empty"), typed_line(said), typed_line(command.note or "")))
        return
    if step is not None and step.face not in ("", face) and not spots:
        raise BadInput(
            "Entered by keys, the first hole of a part says its face: let the first row be on the step's own face."
        )
    taken = spots_in(step, face, spots) if step else []
    if step is not None and spots and face != step.face_in_hand:
        yield KeySequence("step", to_face(face))
    if command.note:
        yield KeySequence("other", further("remark on the next fastener", said_line(command.note)))
    if command.like and step is not None:
        unlike = tuple(_unlike(command, at))
        if unlike:
            yield KeySequence("step", unlike)
        here = likely_hole(at.record, step, taken, face) == command.hole
        yield KeySequence("same_again", (on_bench((*(() if here else _hole(command.hole, taken)), "+")),))
        before = one_before(at.record, step, command.kind)
        yield from _of_last(command, {} if before is None else {f.name: getattr(before, f.name) for f in FIELDS})
        return
    carried = tuple(_carried(command, at.form))
    if carried:
        yield KeySequence("step", carried)
    keys = (*_stated_first(command, at), on_bench((*_hole(command.hole, taken), *_fields(command, at))))
    if step is not None and step.do == "loosen":
        keys = (*keys, typed_line(f"{command.turns:g}"))
    read = [name for name in command.readings if name in ("gauge", "od", "tpi", "pitch", "length")]
    counted = command.kind in ("screw", "nut") and len(read) > (command.kind == "screw")
    yield KeySequence("new_fastener" if counted else "other", keys)
    yield from _of_last(command, {})


def _of_kind(kind: str, form: entry.Form) -> Iterator[Presses]:
    """Give the keys that say a kind."""
    yield from (wish("kind"), choice(KINDS.index(kind)))


def _unlike(command: c.Enter, at: ScreenState) -> Iterator[Presses]:
    """Give the keys for what is otherwise of a fastener than of the one it is like: its kind first."""
    last, step = at.record.last_taken_out(at.machine), at.record.open_step(at.machine)
    form = at.form
    if last is not None and last.name != command.kind:
        yield from _of_kind(command.kind, form)
        form = form.with_kind(command.kind)
    before = one_before(at.record, step, command.kind) if step is not None else None
    if before is None:
        return  # the rules say so
    head, drive = command.head or "", command.drive or ""
    if head != before.head:
        yield from (wish("head"), choice(HEADS_LISTED.index(command.head or NOT_SAID)))
        yield choice(DRIVES_LISTED.index(command.drive or NOT_SAID))
    elif drive != before.drive:
        yield from (wish("drive"), choice(DRIVES_LISTED.index(command.drive or NOT_SAID)))
    left = [hand == "left" for hand in (form.hand, before.hand, command.hand)]
    if left[1] != left[2]:
        yield from [wish("lefthand")] * (1 if left[0] != left[2] else 2)
    yield from _of_next(command, {field.name: getattr(before, field.name) for field in FIELDS})
    if (command.turns or 0) != before.turns:
        raise BadInput("“The same again” is loosened just as far as the one before; where it is not, type its size.")


def _carried(command: c.Enter, form: entry.Form) -> Iterator[Presses]:
    """Give the keys for kind, head and drive, which carry over until they change."""
    if command.kind != form.kind:
        yield from _of_kind(command.kind, form)
        form = form.with_kind(command.kind)
    head, drive = command.head or "", command.drive or ""
    if head != form.head:
        yield from (wish("head"), choice(HEADS_LISTED.index(command.head or NOT_SAID)))
        same = form.with_head(head).drive == drive
        yield Presses("pick", ("enter",)) if same else choice(DRIVES_LISTED.index(drive or NOT_SAID))
    elif drive != form.drive:
        yield from (wish("drive"), choice(DRIVES_LISTED.index(command.drive or NOT_SAID)))


def _stated_first(command: c.Enter, at: ScreenState) -> Iterator[Presses]:
    """Give the keys for what is said of this one before its place is pressed."""
    if (command.hand == "left") != (at.form.hand == "left"):
        yield wish("lefthand")
    yield from _of_next(command, {})
    typed = as_fields(command.readings, command.kind, at.bench)
    for name, text in as_typed(command.readings).items():
        if name not in entry.FIELDS[command.kind] and typed[name]:
            yield from further("another reading of the next", choice(READINGS.index(name)), _size(name, text))


def _of_next(command: c.Enter, before: Mapping[str, Any]) -> Iterator[Presses]:
    """Give the keys for what the bench asks of the next fastener, where it is otherwise than it is without them."""
    for field in FIELDS:
        value = getattr(command, field.name) or ""
        if field.of_next and field.carried and value != before.get(field.name, ""):
            yield from further(field.of_next, *_answer(field, value))


def _of_last(command: c.Enter, before: Mapping[str, Any]) -> Iterator[KeySequence]:
    """Give the keys for what the bench asks only of the fastener just out."""
    for field in FIELDS:
        value = getattr(command, field.name) or ""
        if field.of_last and not field.of_next and value != before.get(field.name, ""):
            yield KeySequence("other", further(field.of_last, *_answer(field, value)))


def _answer(field: Field, value: str) -> tuple[Presses, ...]:
    """Return the keys that answer the question for a field."""
    lines = answers(field)
    if not lines:
        return (typed_line(value),)
    line = value or field.usual
    if line in lines:
        return (choice(lines.index(line)),)
    if OWN_WORDS in lines:
        return choice(lines.index(OWN_WORDS)), typed_line(value)
    raise BadInput(f"No key says that its {field.called} is not known.")


def _size(name: str, text: str) -> Presses:
    """A further reading, typed as a size is."""
    if "--" in text or text.startswith("-") or entry.ends_in_dash(text):
        raise BadInput(f"“{text}” cannot be typed as a size: a dash stands alone between two figures there.")
    return Presses("size", (*_starred(name, text), "enter"))


def _starred(name: str, text: str) -> str:
    """Return the keys of a reading in its field, where the star is a blank, or the x between two measures."""
    return text.replace(entry.TIMES, "*") if name in entry.BY else text.replace(" ", "*")


def _fields(command: c.Enter, at: ScreenState) -> Iterator[str]:
    typed = as_fields(command.readings, command.kind, at.bench)
    for name in entry.FIELDS[command.kind]:
        text = typed.get(name, "")
        if "--" in text or text.startswith("-") or entry.ends_in_dash(text):
            raise BadInput(f"“{text}” cannot be typed into a field: a dash stands alone between two figures there.")
        yield from _starred(name, text)
        yield "enter"


def _hole(hole: str, taken: Sequence[str]) -> Iterator[str]:
    """Give the keys that choose a hole."""
    yield hole[0]
    at = hole[0]
    while at != hole:
        after = entry.next_letter(at, taken)
        if after == at:
            raise BadInput(f"Hole {hole} cannot be reached by keys.")
        at = after
        yield "*"


def came_out(command: c.CameOut, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for how the last one came out."""
    for word in command.how:
        freed = (typed_line(command.freed),) if word == SEIZED else ()
        yield KeySequence("step", (wish("came_out"), choice(CAME_OUT.index(word)), *freed))


def enter_piece(command: c.EnterPiece, at: ScreenState) -> Iterator[KeySequence]:
    """Give the keys for loose pieces."""
    count = typed_line("") if command.count == 1 else typed_line(str(command.count))
    if command.note:
        answers = (typed_line(command.name), count, typed_line(command.put), typed_line(command.note))
        yield KeySequence("other", further("a loose piece, in full", *answers))
    else:
        place = place_keys(command.put, 0) if command.put else (Presses("pick", ("enter",)),)
        yield KeySequence("other", (wish("loose"), typed_line(command.name), count, *place))
