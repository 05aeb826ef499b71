"""How an account is made of the record: block after block, in the order in which the hands need them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from putback.dates import day, day_in_words
from putback.reports.account.blocks import Account, Block, Sort, State
from putback.reports.account.going_in import FastenerRow, holes_in_order, order_words, rows_in_order, there_now
from putback.reports.account.step_words import at_refit, moves_noted, setting_words, step_named, work_words
from putback.reports.bag_story import photos_text
from putback.trade.cautions.dangers import FIRST, CalledCaution, dangers_in
from putback.trade.cautions.on_the_way_back import called_back
from putback.trade.checks.all_jobs import waived
from putback.trade.checks.last_look import last_look
from putback.trade.checks.oddities import odd_about
from putback.trade.checks.skipped_steps import in_the_way
from putback.trade.checks.soaks import in_soak
from putback.trade.checks.walked import wrong_at
from putback.trade.commands.on_hold import held_because
from putback.trade.commands.putting_back import needed_by, ticks_itself_off
from putback.trade.record.fastener import Thing
from putback.trade.record.holes import by_face, face_of, place_of, spots_of
from putback.trade.record.machine import Machine, Part
from putback.trade.record.photo import in_order
from putback.trade.record.phrases import few, times
from putback.trade.record.place import FITTED
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.trouble_words import troubles_of
from putback.trade.refit.confirmations import Confirmation, asks, is_used, one_use
from putback.trade.refit.orientation import lay_before, lay_it, minds_lying, turn_first, turning_cautions
from putback.trade.refit.way_back import Waits, what_waits
from putback.trade.sizes.step_drivers import drivers_for


class WayBack:
    """Makes the accounts of a machine's steps; what all of them ask of the record is asked once."""

    def __init__(
        self, record: Record, machine: int, waits: Sequence[Waits] | None = None, *, of_machine: bool = True
    ) -> None:
        """`waits` is what `what_waits` gave, where that was asked before.

        Without `of_machine` nothing is said of the machine itself: the walk-back has said it already.
        """
        self.record = record
        self.machine = machine
        self._waits = {w.step: w for w in (what_waits(record, machine) if waits is None else waits)}
        self._lay = lay_before(record, machine)
        self._of_machine = of_machine
        self._first = next((s.id for s in reversed(list(record.all(Step, machine))) if not s.back and not s.is_open), 0)

    def account(self, step: Step, lie: str | None = None) -> Account:
        """Return the account of a step.

        `lie` is how the machine has to be laid first, where that was found by walking a plan, empty for not at all:
        then what comes before the step in that plan is taken as done. By itself the account is that of now.
        """
        turn = turn_first(self.record, step) if lie is None else ""
        lay = lie if lie is not None else self.lies_for(step) if turn else ""
        state, asked = self._state(step, planned=lie is not None), asks(self.record, step)
        blocks = (
            *self._held(step, state, planned=lie is not None),
            *self._of_the_machine(step),
            *self._lie(step, lay, turn),
            *self._cautions(step, asked, turned=bool(lay)),
            *self._tools(step),
            *self._places(step),
            *self._blocks(step, state, planned=lie is not None),
            *self._before(step, asked, looked=state in ("ready", "job") and lie is None),
            *self._fasteners(step),
            *(self._asked(step, ask) for ask in asked if ask.after),
            *self._frees(step),
        )
        return Account(step=step, state=state, blocks=(Block(kind="heading", sort="do", words=at_refit(step)), *blocks))

    def lies_for(self, step: Step) -> str:
        """Return how the machine has to lie for a step; empty where that does not matter."""
        return self._lay[step.number] if minds_lying(self.record, step) else ""

    # -- whether it can go on ------------------------------------------------------------------------

    def _state(self, step: Step, *, planned: bool) -> State:
        if step.is_open:
            return "open"
        if step.back:
            return "back"
        waits = self._waits.get(step.number)
        if waits is not None and (waits.things or any(number != step.number for number, _ in waits.jobs)):
            return "waits"
        if not planned and needed_by(self.record, step):
            return "first"
        if in_the_way(self.record, step)[0]:
            return "covered"
        return "job" if waits is not None else "ready"

    def _held(self, step: Step, state: State, *, planned: bool) -> Iterator[Block]:
        if step.skipped:
            yield Block(kind="fact", sort="skipped", words=f"skipped: {step.skipped}; open until it is done")
        if state in ("open", "back"):
            return
        waits = self._waits.get(step.number)
        if waits is not None and state != "job":
            if waits.things:
                text = replace(waits, jobs=()).text
                yield Block(kind="fact", sort="waits", words=f"waits for {text}")
            for number, job in waits.jobs:
                if number != step.number:
                    yield Block(kind="fact", sort="waits", words=f"waits for step {number}: {job.question}")
        before = needed_by(self.record, step)
        if before and not planned:
            named = few([step_named(other) for other in reversed(before)], 4)
            yield Block(kind="fact", sort="first", words=f"first {named}")
        over = in_the_way(self.record, step)[0]
        if over:
            named = few([step_named(other) for other in over], 4)
            yield Block(kind="fact", sort="covered", words=f"off again first: {named}")
        for job in step.todo:
            if job.first:
                about = ", ".join(filter(None, (job.stands if job.since else "", job.takes, job.at_hole, job.making)))
                words = f"{job.question} ({about})" if about else job.question
                yield Block(kind="question", sort="job", words=words, item=job.question, done=waived(step, job))

    # -- before the hand moves -----------------------------------------------------------------------

    def _lie(self, step: Step, lay: str, turn: str) -> Iterator[Block]:
        if step.do == "turn" and not lay:
            yield Block(kind="fact", sort="lie", words="nothing to do here: it lies right for what comes next")
        if not lay:
            return
        words = f"turn the machine first: {lay_it(lay)}"
        yield Block(kind="question", sort="lie", words=words, item=turn)
        own = step.cautions if step.do == "turn" else ()
        for caution in dict.fromkeys((*own, *turning_cautions(self.record, self.machine))):
            yield Block(kind="fact", sort="caution", words=caution)

    def _of_the_machine(self, step: Step) -> Iterator[Block]:
        """Give what was said of the machine itself, with the step that the way back begins with."""
        if step.id == self._first and self._of_machine:
            machine = self.record.get(Machine, self.machine)
            for caution in machine.cautions:
                yield Block(kind="fact", sort="caution", words=f"the machine: {caution}")
            for note in machine.notes:
                yield Block(kind="fact", sort="note", words=f"the machine: {note}")
            for setting in machine.adjust:
                words = f"the machine, as found: {setting_words(setting, machine)}"
                yield Block(kind="fact", sort="note", words=words)
            for words in machine.next_time:
                yield Block(kind="fact", sort="note", words=f"the machine, next time: {words}")

    def _cautions(self, step: Step, asked: Sequence[Confirmation], *, turned: bool) -> Iterator[Block]:
        for ask in asked:
            if ask.sort == "caution":
                yield self._asked(step, ask)
        if step.do in ("turn", "soak") and not turned:
            for caution in step.cautions:
                yield Block(kind="fact", sort="caution", words=caution)
        for thing in self.record.things_of(step):
            if thing.hand == "left" and not thing.found and there_now(self.record, thing):
                yield Block(kind="fact", sort="caution", words=f"hole {thing.goes_in}: LEFT-HAND thread")
        own = (*step.cautions, *(turning_cautions(self.record, self.machine) if turned else ()))
        yield from usual(called_back(self.record, step, turned=turned), own)

    def _tools(self, step: Step) -> Iterator[Block]:
        if step.tools:
            yield Block(kind="fact", sort="tools", words=", ".join(step.tools))
        fits = drivers_for(self.record, step)
        if fits:
            yield Block(kind="fact", sort="fits", words=fits)

    # -- where it lies, and what was said of it ------------------------------------------------------

    def _places(self, step: Step) -> Iterator[Block]:
        """The part, and the bags of the fasteners."""
        for thing in self.record.things_of(step):
            if thing.sort == "part":
                for place, count in sorted(there_now(self.record, thing).items()):
                    yield Block(
                        kind="fact",
                        sort="place",
                        words=times(count, self._named(thing)),
                        place=place,
                        count=count,
                        done=place == FITTED,
                    )

    def _named(self, thing: Thing) -> str:
        """Return a part or a piece with what was said of it."""
        new = ""
        if thing.replaces:
            old = self.record.get(Thing, thing.replaces)
            new = "" if is_used(self.record, thing) else "new"
            if old.called != thing.called:
                new = f"{new}, in place of {old.called}".removeprefix(", ")
        once = "goes in new" if one_use(thing) and not thing.replaces else ""
        tag = f"hang-tag {thing.tag}" if thing.tag else ""
        should_be = f"should be {thing.should_be}" if thing.should_be else ""
        return "; ".join(filter(None, (thing.called, thing.size, new, once, should_be, thing.note, tag)))

    def _blocks(self, step: Step, state: State, *, planned: bool) -> Iterator[Block]:
        if step.area:
            inside = self.record.get(Part, step.area).name
            yield Block(kind="fact", sort="inside", words=f"inside {inside}")
        if step.tag:
            yield Block(kind="fact", sort="tag", words=f"hang-tag {step.tag}: take it off when it is tight")
        if step.whole and step.do != "turn":
            yield Block(kind="fact", sort="unit", words=self._unit(step, planned=planned))
        if state != "back" and (wrong := wrong_at(self.record, step)) is not None:
            words = f"said to be wrong at the walk-back of {day_in_words(wrong.at)}, and not put right yet"
            yield Block(kind="fact", sort="open", words=words)
        if step.on_hold:
            yield Block(kind="fact", sort="open", words=f"on hold: {held_because(self.record, step)}")
        if step.why_needs:
            needs = ", ".join(map(str, step.needs))
            came = (
                f"came off after step{'s' if len(step.needs) > 1 else ''} {needs}" if needs else "needed no step first"
            )
            yield Block(kind="fact", sort="note", words=f"{came}: {step.why_needs}")
        for line in filter(None, step.note.split("\n")):
            yield Block(kind="fact", sort="note", words=line)
        for words in step.next_time:
            yield Block(kind="fact", sort="note", words=f"next time: {words}")
        if step.soak is not None and not in_soak(self.record, step):
            lifted = f", lifted out {day(step.lifted)}" if step.lifted else ""
            yield Block(kind="fact", sort="soak", words=f"{step.soak.what}, {step.soak.hours:g} h{lifted}")
        for thing in reversed(self.record.things_of(step)):  # the piece that came out last goes back first
            if thing.sort == "piece":
                for place, count in sorted(there_now(self.record, thing).items()):
                    yield Block(
                        kind="fact",
                        sort="piece",
                        words=times(count, self._named(thing)),
                        place=place,
                        count=count,
                        done=place == FITTED,
                    )
        for words in moves_noted(self.record, step):
            yield Block(kind="fact", sort="move", words=words)
        for words in troubles_of(self.record, step):
            yield Block(kind="fact", sort="trouble", words=words)
        for thing in self.record.things_of(step):
            if thing.found and not self.record.stand_ins(thing.id):
                note = f": {thing.note}" if thing.note else ""
                ought = f"; should be {thing.should_be}" if thing.should_be else ""
                yield Block(kind="fact", sort="finding", words=f"hole {thing.spot} was empty when found{note}{ought}")
        for words in odd_about(self.record, step):
            if "found empty" not in words:
                yield Block(kind="fact", sort="finding", words=words, cause=ODD)
        for answer in step.answers:
            yield Block(kind="fact", sort="finding", words=answer)
        for job in step.todo:
            if (not job.first or state in ("open", "back")) and job not in step.on_the_way_back:
                yield Block(kind="fact", sort="todo", words=job.whole)
        photos = photos_text(in_order(self.record.photos_of(step)))
        if photos:
            yield Block(kind="fact", sort="photo", words=photos)

    def _unit(self, step: Step, *, planned: bool) -> str:
        inside = [s for s in self.record.all(Step, self.machine) if step.part and s.area == step.part]
        if not inside:
            return "came off in one piece, to be opened later: nothing in it was taken off"
        out = [s for s in inside if not s.back and not s.is_open]
        if not out or planned:
            return "came off in one piece; what was taken out of it goes back into it first"
        return f"came off in one piece; still out of it: {few([step_named(other) for other in out], 4)}"

    # -- what is asked, and what goes in -------------------------------------------------------------

    def _before(self, step: Step, asked: Sequence[Confirmation], *, looked: bool) -> Iterator[Block]:
        """What is asked for before the part goes on; with `looked`, what the last look finds now."""
        for ask in asked:
            if ask.after or ask.sort == "caution":
                continue
            if ask.sort == "look" and looked and ask.item not in step.confirmed:
                for end in last_look(self.record, step):
                    yield Block(kind="fact", sort="open" if end.open else "known", words=end.words)
            yield self._asked(step, ask)

    def _fasteners(self, step: Step) -> Iterator[Block]:
        lies = self.lies_for(step)
        holes = holes_in_order(self.record, step, lies)
        order = order_words(self.record, step, holes, lies)
        faces = list(dict.fromkeys([*map(face_of, holes), *by_face(spots_of(self.record, step))]))
        for face in faces or [""]:
            named = (face or step.face) if len(faces) > 1 else face
            if faces:
                words = f"{face or step.face} face" if face or step.face else ""
                yield Block(kind="picture", sort="face", words=words, face=named)
            if order and face == (faces or [""])[0]:
                yield Block(kind="fact", sort="order", words=order)
            for row in rows_in_order(self.record, step, [at for at in holes if face_of(at) == face]):
                yield _row(row, step, named)

    def _asked(self, step: Step, ask: Confirmation) -> Block:
        words = ask.item
        if ask.sort == "setting":
            setting = next(a for a in step.adjust if a.text == ask.item)
            words = setting_words(setting, self.record.get(Machine, self.machine))
        elif ask.sort == "work":
            words = work_words(step, ask.item)
        sort: Sort = "after" if ask.after else ask.sort
        return Block(kind="question", sort=sort, words=words, item=ask.item, done=ask.item in step.confirmed)

    def _frees(self, step: Step) -> Iterator[Block]:
        if step.back or step.is_open:
            return
        freed = []
        for number in step.needs:
            need = self.record.step(self.machine, number)
            if need is None or need.back or ticks_itself_off(self.record, need):
                continue
            if [other.id for other in needed_by(self.record, need)] == [step.id]:
                freed.append(step_named(need))
        if freed:
            yield Block(kind="fact", sort="frees", words=few(freed, 6))


def _row(row: FastenerRow, step: Step, face: str) -> Block:
    words = "; ".join((f"{times(row.count, row.what)}", *row.remarks))
    return Block(
        kind="row",
        sort="loosened" if row.place == FITTED and step.do == "loosen" else "fastener",
        words=words,
        letter=row.letter,
        holes=tuple(map(place_of, row.holes)),
        face=face,
        count=row.count,
        place=row.place,
        done=row.place == FITTED,
    )


def usual(called: Sequence[CalledCaution], own: Sequence[str]) -> Iterator[Block]:
    """Give the usual cautions with their rules, and last of all whose rules come first.

    Of a cause that the person's own cautions name only the rules are given: nothing is said twice.
    """
    named = {danger.cause for danger in dangers_in(own)}
    for one in called:
        words = one.text.removesuffix(FIRST).rstrip(" .")
        if one.cause in named:
            yield Block(kind="fact", sort="rules", words=f"rules on {one.cause}: {one.rules}", cause=one.cause)
        else:
            yield Block(kind="fact", sort="usual", words=words, rules=one.rules, cause=one.cause)
    if called:
        yield Block(kind="fact", sort="rules", words=FIRST)


ODD = "odd"
"""The cause of a finding that the record itself leaves open."""
