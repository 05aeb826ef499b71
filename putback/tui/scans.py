"""What a scan does. It depends on where one is, and is said: taking off, a bag's code chooses the bag; at
refit it proves the bag; anywhere else it opens the bag's card. A command's code does what its key does."""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import monotonic, perf_counter

from textual import events
from textual.screen import Screen
from textual.timer import Timer
from textual.widget import Widget

from putback.errors import BadInput
from putback.scans.bag_code import read_code
from putback.scans.caliper import CaliperWatch
from putback.scans.command_code import is_command_code
from putback.scans.scan import Event, ScanWatch, What, Where
from putback.trade import commands as c
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.step import Step
from putback.tui.dialogs.keyed import Keyed
from putback.tui.dialogs.new_label import NewLabel
from putback.tui.host import Host
from putback.tui.keyboard.command_codes import stroke_of
from putback.tui.keyboard.keys import plain_key
from putback.tui.screens import screen_class
from putback.tui.widgets.text_input import Line

STAMPS: Callable[[], float] = perf_counter if sys.platform == "win32" else monotonic
"""The clock that Textual stamps events with."""


class Scanning(Host):
    """The app as far as scans go: every key passes here first."""

    def __init__(self) -> None:
        super().__init__()
        self.scan = ScanWatch()
        self.pace_clock: Callable[[], float] = STAMPS
        """Seconds of a steady clock, by which a scanner's pace is told."""
        self._lapse: Timer | None = None
        self.caliper: CaliperWatch | None = None
        """Tells a caliper's typing from a hand's; None where a program plays the keys."""

    # -- keys ----------------------------------------------------------------------------------------

    def sift(self, event: events.Key) -> list[str]:
        """Return the keys to act on now, after the scan watch has looked at this one."""
        at = self._came(event)
        keys = self._seen(self.scan.feed(plain_key(event.key, event.character), at, Where.FORM), at)
        return keys if self.caliper is None else self._measured(self.caliper, keys, at)

    def _came(self, event: events.Key) -> float:
        """When a key came: not when its turn is, for the card that a code opens may hold its Enter up by then."""
        return event.time if self.pace_clock is STAMPS else self.pace_clock()

    def _measured(self, caliper: CaliperWatch, keys: list[str], at: float) -> list[str]:
        """The keys to act on, after those of a caliper that types where no measure is wanted were caught."""
        out: list[str] = []
        for key in keys:
            caught = caliper.feed(key, at, wanted="field" in places_of(self.screen))
            out += caught.keys
            if caught.reading:
                text = "; what its keys did, - takes back" if caught.late else ""
                self.refuse(
                    f"{caught.reading} came as from a caliper, and no measure is wanted here: "
                    f"choose the hole first, then measure{text}."
                )
        if caliper.deadline is not None:
            self.set_timer(max(0.01, caliper.deadline - at + 0.01), self._caliper_lapsed)
        return out

    def _caliper_lapsed(self) -> None:
        for key in self.caliper.lapse(self.pace_clock()).keys if self.caliper else ():
            if isinstance(self.screen, Keyed):
                self.screen.take(key)

    def _seen(self, seen: Event, at: float) -> list[str]:
        if self._lapse is not None:
            self._lapse.stop()
            self._lapse = None
        if self.scan.deadline is not None:
            self._lapse = self.set_timer(max(0.01, self.scan.deadline - at + 0.01), self._lapsed)
        if seen.what is What.HELD:
            self.say("note", f"code: {seen.text}")
        elif seen.what is What.CODE:
            self.code_seen(seen.code)
        elif seen.what is What.AGAIN:
            self.say("note", f"{seen.code} once more: counted once")
        elif seen.what is What.BROKEN:
            self._no_code(seen.text)
        return list(seen.keys)

    def _lapsed(self) -> None:
        self._lapse = None
        at = self.pace_clock()
        for key in self._seen(self.scan.lapse(at), at):
            if isinstance(self.screen, Keyed):
                self.screen.take(key)

    def _no_code(self, text: str) -> None:
        try:
            read_code(text, [bag.code for bag in self.workshop.record.all(Bag)])
        except BadInput as fault:
            self.refuse(str(fault))

    def field_key(self, line: Widget, event: events.Key) -> bool:
        """Follow a key typed into free text; True where it must not reach the field."""
        assert isinstance(line, Line)
        seen = self.scan.feed(plain_key(event.key, event.character), self._came(event), Where.TEXT)
        if seen.what in (What.CODE, What.AGAIN):
            at = line.cursor_position
            line.value = line.value[: at - len(seen.text)] + line.value[at:]
            line.cursor_position = at - len(seen.text)
            if seen.what is What.CODE:
                self.code_seen(seen.code)
            return True
        return seen.what is What.SWALLOWED

    # -- codes ---------------------------------------------------------------------------------------

    def code_seen(self, code: str) -> None:
        """Do what a complete code means at the place where one is."""
        if is_command_code(code):
            self._stroke_seen(code)
            return
        bags = self.workshop.record.bags_by_code(code)
        if not bags:
            self._unknown(code)
            return
        ours = [bag for bag in bags if bag.machine == self.machine_id]
        if len(bags) > 1 and len(ours) != 1:
            text = " and ".join(f"bag {bag.number} of {self._owner(bag)}" for bag in bags[:2])
            bags_key = self.keymap.shown("bags")
            self.refuse(f"Two bags have the code {code}: {text}. {bags_key} has them by number; give one a new bag.")
            return
        bag = (ours or bags)[0]
        if isinstance(self.screen, NewLabel):
            # Another bag instead of the label on offer; its answer is told first.
            self.screen.leave(None)
            self.call_later(self.bag_seen, bag)
        else:
            self.bag_seen(bag)

    def bag_seen(self, bag: Bag) -> None:
        """Choose, prove or show a bag that was scanned."""
        place = self._place()
        if place.bag_scanned(bag):
            return
        step = place.step_coming_off
        if step is not None and not self._in_hand(bag, step):
            self._choose(bag)
        else:
            self._show(bag)

    def _place(self) -> Keyed:
        """The screen one works at: a question over it is only passing."""
        return next(s for s in reversed(self.screen_stack) if isinstance(s, Keyed) and not s.passing)

    def _in_hand(self, bag: Bag, step: Step) -> bool:
        return bag.machine == self.machine_id and bag.number == step.bag

    def _owner(self, bag: Bag) -> str:
        return self.workshop.record.get(Machine, bag.machine).caption

    def _choose(self, bag: Bag) -> None:
        """What comes off from now on goes into this bag, if it is of this machine and open."""
        owner = self._owner(bag)
        if bag.machine != self.machine_id:
            here = self.machine.caption if self.machine else "this machine"
            self.refuse(f"Bag {bag.number} belongs to {owner}; what comes off here is of {here}.")
        elif bag.closed:
            bags, seal = self.keymap.shown("bags"), self.keymap.shown("bag.seal")
            self.refuse(f"Bag {bag.number} of {owner} is closed. {bags} and its number, then {seal} opens it again.")
        elif self.do(c.TakeBag(number=bag.number), quiet=True) is not None:
            self._tell(f"bag {bag.number} in hand: what comes off goes into it")

    def _tell(self, words: str) -> None:
        """Say what a scan did; loudly in the view from afar, which leaves out what is only recorded."""
        self.say("asks" if self._place().far else "recorded", words, "this", rings="recorded")

    def _show(self, bag: Bag) -> None:
        if isinstance(self.screen, screen_class("bag")):
            self.pop_screen()
        self.push_screen(self.screen_named("bag", bag.id))

    # -- labels printed ahead ------------------------------------------------------------------------

    def _unknown(self, code: str) -> None:
        """A good code that no bag has: while a part comes off it may become a new bag's."""
        top = self.screen
        if isinstance(top, NewLabel):
            if top.code == code:
                top.leave(0)
                return
            top.leave(None)
        elif self._place().step_coming_off is None:
            self.refuse(f"{code} is a good code, and no bag of this workshop has it.")
            return
        # Not at once: the answer goes to whoever pushes, and the screen that took this key may be gone by then.
        self.call_later(self._offer, code)

    def _offer(self, code: str) -> None:
        number = self.workshop.record.highest_bag(self.machine_id) + 1
        self.push_screen(NewLabel(code, number), lambda chosen: self._bind(code, chosen))

    def _bind(self, code: str, chosen: int | None) -> None:
        if chosen == 0:
            done = self.do(c.TakeBag(code=code), quiet=True)
            if done is not None:
                self._tell(done.said)
        else:
            self.say("note", f"{code} is still on no bag")

    # -- strokes -------------------------------------------------------------------------------------

    def _stroke_seen(self, code: str) -> None:
        """Do what a stroke's key does, where that key works."""
        stroke = stroke_of(code)
        if stroke is None:
            self.refuse(f"{code} is a command of another sheet; print a new one with putback labels --commands.")
            return
        screen, key = self.screen, stroke.key_at(places_of(self.screen))
        if not isinstance(screen, Keyed) or not key:
            words = "; ".join(dict.fromkeys(_WORDS.get(place, place) for place, _ in stroke.keys))
            self.refuse(f"“{stroke.label}” does nothing here. It works: {words}.")
            return
        screen.press(key)


_WORDS = {
    "part": "before a part is begun",
    "place": "where a place is wanted",
    "field": "in a field",
    "hole": "where a hole is asked for",
    "bench": "at the bench, outside a field",
    "refit": "at refit",
    "walk": "in the walk-back",
    "list": "in a list",
    "summary": "in the summary",
    "clock": "at the camera clock",
    "help": "on the page of keys",
    "find": "in the search",
    "card": "on a card",
    "bag": "on a bag's card",
    "break": "at a break",
    "photo": "on a photo",
}


def places_of(screen: Screen[object]) -> frozenset[str]:
    """Return the places, as the key table names them, that a screen stands at now."""
    return frozenset(getattr(screen, "places", ()))
