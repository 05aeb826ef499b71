"""What a person presses to do one command of a session file: commands in, keys out. Knows no screen.

Keys are named as `keys.plain_key` names them. Each `Presses` goes to one place: the bench itself, a
prompt, a card. What cannot be entered by keys raises BadInput with a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Any, Literal

from msgspec import Struct

from putback.errors import BadInput
from putback.reports.bags import bag_rows
from putback.sizing.background import TRADES
from putback.trade import commands as c
from putback.trade.checks.tools_out import not_seen_to
from putback.trade.record.fastener import CAME_OUT, FIELDS, KINDS, READINGS, SEIZED, Field, spot
from putback.trade.record.first_look import SORTS as LOOKED
from putback.trade.record.holes import spots_in
from putback.trade.record.job import SIDES, TAKES, TO_DO, WHENS
from putback.trade.record.job import SORTS as JOB_SORTS
from putback.trade.record.machine import PARTS_GO, PLATE, PLATE_NAMES, UNITS, Machine, Part, face_named
from putback.trade.record.place import bag_number
from putback.trade.record.record import Record
from putback.trade.record.session import TARGET
from putback.trade.record.step import NO_REVERSE, Adjustment
from putback.trade.refit.hole_pattern import likely_hole
from putback.trade.sizes.just_like import one_before
from putback.tui.bench.part_commands import OTHER_ACTIONS
from putback.tui.bench.rarer_fields import RARER_FIELDS
from putback.tui.dialogs.face_pick import UNSAID
from putback.tui.dialogs.lists import (
    DRIVES_LISTED,
    FOUND_BY,
    HEADS_LISTED,
    NOT_SAID,
    OWN_WORDS,
    PIECES,
    PLACES,
    TURNS,
    answers,
    line_of,
)
from putback.tui.dialogs.machine_fields import MADE_IN
from putback.tui.dialogs.prompts import PAGE
from putback.tui.draw.views import last_steps, taken_holes
from putback.tui.form import entry
from putback.tui.form.typed_readings import as_fields, as_typed
from putback.tui.keyboard.keys import FACE_OF_KEY, KEYS

Where = Literal["bench", "ask", "pick", "faces", "size", "card", "machine", "walk", "break", "summary"]
"""What keys go to."""

Sort = Literal["new_fastener", "same_again", "other", "step", ""]
"""What strokes are counted as; empty for machine, sessions and moves.

Kind, head and drive carry over from one fastener to the next; what changes them counts with the step, as
the face does.
"""

LETTER = {key.id: key.keys[0] for key in KEYS if key.where == "bench" and key.keys}
"""The letter of each command."""

_SAYINGS = tuple(RARER_FIELDS)
_LOOKED = tuple(LOOKED)
_MENDED = ("name", "serial", "made", "unit", *PLATE_NAMES, "parts go")


class Presses(Struct, frozen=True):
    """Keys for one place, in order."""

    where: Where
    """Where they go to."""
    keys: tuple[str, ...]
    """The keys."""


class KeySequence(Struct, frozen=True):
    """Something done with a few keys, and what it counts as."""

    sort: Sort
    """What its keys count as."""
    presses: tuple[Presses, ...]
    """Its keys."""


class ScreenState(Struct, frozen=True, kw_only=True):
    """Where the screen stands before an act."""

    record: Record
    """The record."""
    machine: int
    """The machine on the bench, or 0."""
    form: entry.Form
    """The form."""
    face: str
    """The face."""
    area: int
    """The assembly worked in."""
    put: str
    """Where a part goes."""
    put_other: str
    """Where the part of the step in hand goes, where it is not taking off."""
    fills: bool = True
    """Whether something will go into the bag of the step that begins."""
    holes: bool = False
    """Whether the step that begins has holes."""
    minutes: float | None = None
    """How long the step that begins takes, where the clock cannot tell."""
    settings: tuple[Adjustment, ...] = ()
    """The settings of the step that begins."""

    @property
    def bench(self) -> Machine:
        """The machine on the bench."""
        return self.record.get(Machine, self.machine)


def without_keys(command: c.Command) -> str:
    """Return what of a command has no keys here whatever came before it, as a sentence, or nothing."""
    if isinstance(command, c.Trouble):
        return "Trouble with a screw cannot be entered by keys here; play the file without them."
    if isinstance(command, c.PutOnHold | c.TakeUpHeld | c.DropHeld):
        return "A part on hold cannot be entered by keys here; play the file without them."
    if isinstance(command, c.Enter | c.EnterPiece) and command.once is not None:
        return "That a thing goes in once, or again, cannot be entered by keys as it comes out; leave out “once”."
    if isinstance(command, c.NewMachine) and any(seen.came_of for seen in command.first_look):
        return "What became of a first look cannot be entered by keys when it is said; leave out “came_of”."
    jobs = command.todo if isinstance(command, c.Annotate) else ()
    state = next((job.state for job in jobs if job.state != TO_DO), "")
    if any(job.hole for job in jobs):
        return "The hole of a job cannot be entered by keys at its step; leave out “hole”."
    return f"A job that is {state} cannot be entered by keys at its step; leave out how it stands." if state else ""


def strokes(command: c.Command, at: ScreenState) -> list[KeySequence]:
    """Return what is pressed to do `command` where the screen stands so.

    Raises BadInput where the screen has no way to enter it.
    """
    if without_keys(command):
        raise BadInput(without_keys(command))
    for kind, keys_for in _KEYS_OF.items():
        if isinstance(command, kind):
            return list(keys_for(command, at))
    raise BadInput(f"{type(command).__name__} cannot be entered by keys.")


# -- building blocks ---------------------------------------------------------------------------------


def _bench(keys: Iterable[str]) -> Presses:
    return Presses("bench", tuple(keys))


def _text(text: str) -> Presses:
    """A line typed and entered; it takes the place of what stands there."""
    if any(not letter.isprintable() for letter in text):
        raise BadInput(f"“{text}” cannot be typed: it has a sign that is not a letter.")
    return Presses("ask", (*text, "enter"))


def _said(text: str) -> Presses:
    """A note or caution typed and entered; a blank before a lone figure says that it is no line of the list."""
    return _text(f" {text}" if len(text.strip()) == 1 else text)


def _choice(index: int) -> Presses:
    """One of a numbered list."""
    return Presses("pick", (*("+",) * (index // PAGE), str(index % PAGE + 1)))


def _wish(id: str) -> Presses:
    return _bench(LETTER[id])


def _further(saying: str, *presses: Presses) -> tuple[Presses, ...]:
    return (_wish("further"), _choice(_SAYINGS.index(saying)), *presses)


# -- the machine and its time ------------------------------------------------------------------------

_ITS_CARD = (_wish("machines"), Presses("pick", ("/",)))
_LEFT = Presses("machine", (".",))
"""To the card of the machine on the bench, and back."""


def _new_machine(command: c.NewMachine, at: ScreenState) -> Iterator[KeySequence]:
    known = [m.caption for m in at.record.all(Machine)]
    unit = command.unit or ("mm" if command.origin == "metric" else "in")
    lines = [field.name for field in PLATE if not field.listed]
    plate = (command.serial, *(getattr(command, name) or "" for name in lines), command.decade or "")
    trade = TRADES.index(command.trade) if command.trade else len(TRADES)
    yield KeySequence(
        "",
        (
            _wish("machines"),
            _choice(len(known) + 1),
            _text(command.name),
            _choice(tuple(MADE_IN.values()).index(command.origin)),
            _choice(UNITS.index(unit)),
            *map(_text, plate),
            _choice(trade),
        ),
    )
    if command.parts_go != "shelf":
        answers = (_choice(_MENDED.index("parts go")), _choice(tuple(PARTS_GO).index(command.parts_go)))
        yield KeySequence("", (*_ITS_CARD, Presses("machine", ("*",)), *answers, _LEFT))
    if command.first_look:
        said = [keys for seen in command.first_look for keys in (_choice(_LOOKED.index(seen.sort)), _text(seen.what))]
        yield KeySequence("", (*_ITS_CARD, Presses("machine", ("1",)), *said, Presses("pick", (".",)), _LEFT))
    for caution in command.cautions:
        yield KeySequence("", (_wish("caution"), _said(caution)))
    for note in command.notes:
        yield KeySequence("", (_wish("note"), _said(note)))
    for setting in command.adjust:
        if not _short(setting):
            raise BadInput(f"The machine's setting {setting.what} cannot be entered by keys as it stands.")
        yield KeySequence("", tuple(_setting(setting)))


def _add_assembly(command: c.AddAssembly, at: ScreenState) -> Iterator[KeySequence]:
    yield from _go_inside(command.inside, at, "")
    areas = sum(part.assembly for part in at.record.all(Part, at.machine))
    yield KeySequence("", (_wish("inside"), _choice(areas + 1), _text(command.name)))


def _go_inside(name: str, at: ScreenState, sort: Sort) -> Iterator[KeySequence]:
    areas = [p for p in at.record.all(Part, at.machine) if p.assembly]
    found = at.record.assembly_named(at.machine, name) if name else None
    wanted = found.id if found else 0
    if wanted != at.area:
        ids = [0, *(p.id for p in areas)]
        yield KeySequence(sort, (_wish("inside"), _choice(ids.index(wanted))))


def _start_session(command: c.StartSession, at: ScreenState) -> Iterator[KeySequence]:
    target = "" if command.target == TARGET else f"{command.target:g}"
    answers = (command.title, target, command.box, command.note)
    yield KeySequence("", _further("the bell, the box, what the session is about", *map(_text, answers)))


def _pause(_: c.Pause, at: ScreenState) -> Iterator[KeySequence]:
    yield KeySequence("", (_bench(" "), Presses("break", (".",))))


def _resume(_: c.Resume, at: ScreenState) -> Iterator[KeySequence]:
    walked = (Presses("walk", (".",)),) if last_steps(at.record, at.machine, 1) else ()
    yield KeySequence("", (_bench(" "), *walked))


def _end_session(command: c.EndSession, at: ScreenState) -> Iterator[KeySequence]:
    so = (Presses("break", ("0",)),) if not_seen_to(at.record, at.machine) else ()
    leave = Presses("summary", (".",))
    yield KeySequence("", (_wish("summary"), Presses("summary", ("e",)), *so, _text(command.note), leave))


# -- a step ------------------------------------------------------------------------------------------


def _begin(command: c.Begin, at: ScreenState) -> Iterator[KeySequence]:
    record, machine = at.record, at.machine
    turned = command.do == "turn"
    if turned and (command.inside or command.face):
        raise BadInput("A turn is of the whole machine: on the screen it has no assembly and no face.")
    if not turned:
        yield from _go_inside(command.inside, at, "step")
        named = face_named(command.name)
        if command.face != ((named or at.face) if at.holes else named):
            yield KeySequence("step", _to_face(command.face))
    last = record.last_step(machine)
    bag = record.bag(machine, last.bag) if last else None
    carried = bag.number if bag is not None and not bag.closed and command.do not in NO_REVERSE else 0
    fresh = command.bag == record.highest_bag(machine) + 1 and at.fills
    if command.bag != carried and not fresh:
        yield KeySequence("step", (_wish("hand"), _text(str(command.bag or ""))))
    if at.minutes is not None and turned:
        yield KeySequence("step", _further("how long it took", _text(f"{at.minutes:g}")))
    yield KeySequence("step", tuple(_begun(command, at.settings)))
    if fresh and carried and command.bag != carried:
        yield KeySequence("step", (_bench("*"),))
    if command.whole:
        yield KeySequence("step", _further("comes off in one piece"))


def _to_face(face: str) -> tuple[Presses, ...]:
    """Return the keys that turn to a face; empty: it is not said."""
    return _bench("/"), Presses("faces", (next((key for key, named in FACE_OF_KEY.items() if named == face), UNSAID),))


def _begun(command: c.Begin, settings: Iterable[Adjustment]) -> Iterator[Presses]:
    if command.do == "take off":
        yield from (_bench(("enter",)), _text(command.name))
        return
    yield from (_wish("doing"), _choice(OTHER_ACTIONS.index(command.do)))
    yield _text(command.name)
    if command.do == "turn":
        yield _text(command.state)
    elif command.do in ("let down", "mark", "measure"):
        short = (_short(a) for a in settings if a.what == command.name)
        yield from next(filter(None, short), (Presses("ask", ("escape",)),))
    elif command.do == "soak":
        yield Presses("ask", ("escape",))


def _set_needs(command: c.SetNeeds, at: ScreenState) -> Iterator[KeySequence]:
    if not command.needs and not command.why:
        yield KeySequence("step", (_wish("anytime"),))
    else:
        numbers = _text(" ".join(map(str, command.needs)))
        yield KeySequence("step", _further("needs these steps first", numbers, _text(command.why)))


def _annotate(command: c.Annotate, at: ScreenState) -> Iterator[KeySequence]:
    of_step = () if at.record.open_step(at.machine) is not None else (_choice(0),)  # between parts it is asked
    for text in command.cautions:
        yield KeySequence("step", (_wish("caution"), _said(text), *of_step))
    last = at.record.last_step(at.machine)
    for setting in command.adjust:
        if last is None or setting not in last.adjust:  # it may have been asked for as its step was begun
            yield KeySequence("step", (*_setting(setting), *(of_step if _short(setting) else ())))
    for text in command.at_refit:
        yield KeySequence("step", _further("at refit, before it goes on", _text(text)))
    for job in command.todo:
        when = _choice([*WHENS, *SIDES].index(job.side or job.when))
        takes = _choice(TAKES.index(job.takes) if job.takes else len(TAKES))
        not_yet = (_text(""),) if job.do == "soak" else ()  # it is not in yet
        asked = (_choice(JOB_SORTS.index(job.do)), _text(job.what), *not_yet, when, takes)
        yield KeySequence("step", _further("left to do", *asked))
    if command.tools:
        groups = [command.tools] if not any("," in tool for tool in command.tools) else [(t,) for t in command.tools]
        for group in groups:
            yield KeySequence("step", _further("tools", _text(", ".join(group))))
    if command.soak:
        hours = _text(f"{command.soak.hours:g}")
        yield KeySequence("step", _further("a soak, in full", _text(command.soak.what), hours))
    if command.cover:
        yield KeySequence("step", _further("closes something at refit"))
    if command.note:
        yield KeySequence("step", (_wish("note"), _said(command.note), *of_step))


def _setting(a: Adjustment) -> Iterator[Presses]:
    if _short(a):
        yield from (_wish("adjust"), _text(a.what), *_short(a))
        return
    rest = map(_text, ("", a.should_be, a.why, a.note))
    when = _choice(1) if a.before else Presses("pick", ("enter",))
    yield from _further("a setting, in full", _text(a.what), *chain.from_iterable(_found(a).values()), *rest, when)


def _short(a: Adjustment) -> tuple[Presses, ...]:
    """Return the keys for a setting as found, what it is being asked already; none where more is said of it."""
    found = _found(a)
    if len(found) != 1 or a.why or a.note or a.before or (a.should_be and "a gap" not in found):
        return ()
    return (*chain.from_iterable(found.values()), *([_text(a.should_be)] if "a gap" in found else []))


def _found(a: Adjustment) -> dict[str, tuple[Presses, ...]]:
    """Return the keys for each sort of setting that was found: its line, and what it is."""
    turns = "" if a.turns is None else f"{a.turns:g}"
    known = {"turns": turns, "a mark": a.mark, "a gap": a.gap, "shims": ", ".join(a.shims), "a measure": a.measure}
    found: dict[str, tuple[Presses, ...]] = {}
    for number, sort in enumerate(FOUND_BY, 1):
        straight = sort == "a measure" and line_of(a.measure) < 0 and not TURNS.fullmatch(a.measure)
        if known[sort]:
            found[sort] = (*(() if straight else (_text(str(number)),)), _text(known[sort]))
    return found


def _finish(command: c.Finish, at: ScreenState) -> Iterator[KeySequence]:
    step = at.record.open_step(at.machine)
    if step is None:
        return
    standing = at.put if step.do == "take off" else at.put_other
    if command.put != standing:
        yield KeySequence("step", (_wish("put"), *_place(command.put, step.bag)))
    yield KeySequence("step", (_bench("0"),))


def _place(put: str, hand: int) -> Iterator[Presses]:
    number = bag_number(put)
    if not put or put in PLACES:
        yield _choice(PLACES.index(put or PIECES))
    elif put == "loose":
        yield _choice(PLACES.index("loose on the bench"))
    elif number and number == hand:
        yield _choice(PLACES.index("the bag in hand"))
    else:
        for index, option in enumerate(PLACES):
            start = option.removesuffix("...")
            if option != start and put.startswith(start):
                yield from (_choice(index), _text(put[len(start) :]))
                return
        raise BadInput(f"A part cannot be put to “{put}” by keys.")


def _close_bag(command: c.CloseBag, at: ScreenState) -> Iterator[KeySequence]:
    step = at.record.last_step(at.machine)
    if step is not None and step.bag == command.number:
        yield KeySequence("step", (_wish("closebag"),))
        return
    rows = bag_rows(at.record, at.machine)
    rows.sort(key=lambda row: (row.state == "closed", -row.number))
    index = [row.number for row in rows].index(command.number)
    yield KeySequence("step", (_wish("bags"), _choice(index), Presses("card", ("/", "enter"))))


def _carry_named(command: c.CarryNamed, at: ScreenState) -> Iterator[KeySequence]:
    answers = (command.what, str(command.step), str(command.count), command.source, command.target, command.note)
    yield KeySequence("", _further("a move from place to place", *map(_text, answers)))


# -- what comes out ----------------------------------------------------------------------------------


def _enter(command: c.Enter, at: ScreenState) -> Iterator[KeySequence]:
    step = at.record.open_step(at.machine)
    spots = taken_holes(at.record, step) if step else []
    face = (command.face or step.face) if step else ""
    if command.found:
        said = spot(command.hole, face if step and face != step.face_in_hand else "")
        yield KeySequence("other", (_wish("empty"), _text(said), _text(command.note or "")))
        return
    if step is not None and step.face not in ("", face) and not spots:
        raise BadInput("By keys the first hole of a part says its face; let the first row be on the step's own.")
    taken = spots_in(step, face, spots) if step else []
    if step is not None and spots and face != step.face_in_hand:
        yield KeySequence("step", _to_face(face))
    if command.note:
        yield KeySequence("other", _further("remark on the next fastener", _said(command.note)))
    if command.like and step is not None:
        unlike = tuple(_unlike(command, at))
        if unlike:
            yield KeySequence("step", unlike)
        here = likely_hole(at.record, step, taken, face) == command.hole
        yield KeySequence("same_again", (_bench((*(() if here else _hole(command.hole, taken)), "+")),))
        before = one_before(at.record, step, command.kind)
        yield from _of_last(command, {} if before is None else {f.name: getattr(before, f.name) for f in FIELDS})
        return
    carried = tuple(_carried(command, at.form))
    if carried:
        yield KeySequence("step", carried)
    keys = (*_stated_first(command, at), _bench((*_hole(command.hole, taken), *_fields(command, at))))
    if step is not None and step.do == "loosen":
        keys = (*keys, _text(f"{command.turns:g}"))
    read = [name for name in command.readings if name in ("gauge", "od", "tpi", "pitch", "length")]
    counted = command.kind in ("screw", "nut") and len(read) > (command.kind == "screw")
    yield KeySequence("new_fastener" if counted else "other", keys)
    yield from _of_last(command, {})


def _of_kind(kind: str, form: entry.Form) -> Iterator[Presses]:
    """Give the keys that say a kind."""
    yield from (_wish("kind"), _choice(KINDS.index(kind)))


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
        yield from (_wish("head"), _choice(HEADS_LISTED.index(command.head or NOT_SAID)))
        yield _choice(DRIVES_LISTED.index(command.drive or NOT_SAID))
    elif drive != before.drive:
        yield from (_wish("drive"), _choice(DRIVES_LISTED.index(command.drive or NOT_SAID)))
    left = [hand == "left" for hand in (form.hand, before.hand, command.hand)]
    if left[1] != left[2]:
        yield from [_wish("lefthand")] * (1 if left[0] != left[2] else 2)
    yield from _of_next(command, {field.name: getattr(before, field.name) for field in FIELDS})
    if (command.turns or 0) != before.turns:
        raise BadInput("One just like the one before is loosened as far as that; type its size where it is not.")


def _carried(command: c.Enter, form: entry.Form) -> Iterator[Presses]:
    """Give the keys for kind, head and drive, which carry over until they change."""
    if command.kind != form.kind:
        yield from _of_kind(command.kind, form)
        form = form.with_kind(command.kind)
    head, drive = command.head or "", command.drive or ""
    if head != form.head:
        yield from (_wish("head"), _choice(HEADS_LISTED.index(command.head or NOT_SAID)))
        same = form.with_head(head).drive == drive
        yield Presses("pick", ("enter",)) if same else _choice(DRIVES_LISTED.index(drive or NOT_SAID))
    elif drive != form.drive:
        yield from (_wish("drive"), _choice(DRIVES_LISTED.index(command.drive or NOT_SAID)))


def _stated_first(command: c.Enter, at: ScreenState) -> Iterator[Presses]:
    """Give the keys for what is said of this one before its place is pressed."""
    if (command.hand == "left") != (at.form.hand == "left"):
        yield _wish("lefthand")
    yield from _of_next(command, {})
    typed = as_fields(command.readings, command.kind, at.bench)
    for name, text in as_typed(command.readings).items():
        if name not in entry.FIELDS[command.kind] and typed[name]:
            yield from _further("another reading of the next", _choice(READINGS.index(name)), _size(name, text))


def _of_next(command: c.Enter, before: Mapping[str, Any]) -> Iterator[Presses]:
    """Give the keys for what the bench asks of the next fastener, where it is otherwise than it is without them."""
    for field in FIELDS:
        value = getattr(command, field.name) or ""
        if field.of_next and field.carried and value != before.get(field.name, ""):
            yield from _further(field.of_next, *_answer(field, value))


def _of_last(command: c.Enter, before: Mapping[str, Any]) -> Iterator[KeySequence]:
    """Give the keys for what the bench asks only of the fastener just out."""
    for field in FIELDS:
        value = getattr(command, field.name) or ""
        if field.of_last and not field.of_next and value != before.get(field.name, ""):
            yield KeySequence("other", _further(field.of_last, *_answer(field, value)))


def _answer(field: Field, value: str) -> tuple[Presses, ...]:
    """Return the keys that answer the question for a field."""
    lines = answers(field)
    if not lines:
        return (_text(value),)
    line = value or field.usual
    if line in lines:
        return (_choice(lines.index(line)),)
    if OWN_WORDS in lines:
        return _choice(lines.index(OWN_WORDS)), _text(value)
    raise BadInput(f"That its {field.called} is not said cannot be entered by keys.")


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


def _came_out(command: c.CameOut, at: ScreenState) -> Iterator[KeySequence]:
    for word in command.how:
        freed = (_text(command.freed),) if word == SEIZED else ()
        yield KeySequence("step", (_wish("came_out"), _choice(CAME_OUT.index(word)), *freed))


def _enter_piece(command: c.EnterPiece, at: ScreenState) -> Iterator[KeySequence]:
    count = _text("") if command.count == 1 else _text(str(command.count))
    if command.note:
        answers = (_text(command.name), count, _text(command.put), _text(command.note))
        yield KeySequence("other", _further("a loose piece, in full", *answers))
    else:
        place = _place(command.put, 0) if command.put else (Presses("pick", ("enter",)),)
        yield KeySequence("other", (_wish("loose"), _text(command.name), count, *place))


_KEYS_OF: Mapping[type[c.Command], Callable[[Any, ScreenState], Iterator[KeySequence]]] = {
    c.NewMachine: _new_machine,
    c.AddAssembly: _add_assembly,
    c.StartSession: _start_session,
    c.Pause: _pause,
    c.Resume: _resume,
    c.EndSession: _end_session,
    c.Begin: _begin,
    c.SetNeeds: _set_needs,
    c.Annotate: _annotate,
    c.Finish: _finish,
    c.CloseBag: _close_bag,
    c.CarryNamed: _carry_named,
    c.Enter: _enter,
    c.EnterPiece: _enter_piece,
    c.CameOut: _came_out,
}
