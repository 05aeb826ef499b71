"""Plays a session file as keystrokes through the real screen, and counts them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from time import monotonic
from typing import Any

from msgspec import Struct
from textual import events
from textual.screen import Screen

from putback.bench_clock import BenchClock
from putback.errors import BadInput, BadSessionFile
from putback.playing.presses import LETTER, KeySequence, Presses, ScreenState, Sort, Where
from putback.playing.strokes import BETWEEN_STEPS, strokes, without_keys
from putback.trade import commands as c
from putback.trade.files.rehearsal import Rehearsal
from putback.trade.files.session_file import TimedCommand
from putback.tui.app import PutbackApp
from putback.tui.bench.bench_screen import BenchScreen
from putback.tui.cards.bag_card import BagScreen
from putback.tui.cards.machine_card import MachineScreen
from putback.tui.dialogs.face_pick import FacePick
from putback.tui.dialogs.prompts import AskLine, Pick
from putback.tui.dialogs.size_screen import SizesScreen
from putback.tui.keyboard.keys import sent
from putback.tui.pages.break_page import BreakScreen
from putback.tui.pages.summary import SummaryScreen
from putback.tui.pages.walk_back import WalkBackScreen
from putback.tui.widgets.text_input import Line
from putback.workshop import Done, Workshop

COUNTED: tuple[Sort, ...] = ("new_fastener", "same_again", "other", "step")
"""What strokes are counted as."""

STUCK = 20.0
"""Seconds after which a screen that should have come is not waited for any more."""

_SCREENS: dict[Where, type[Screen[Any]]] = {
    "bench": BenchScreen,
    "ask": AskLine,
    "pick": Pick,
    "faces": FacePick,
    "size": SizesScreen,
    "card": BagScreen,
    "machine": MachineScreen,
    "walk": WalkBackScreen,
    "break": BreakScreen,
    "summary": SummaryScreen,
}


class StrokeCount(Struct, frozen=True):
    """Strokes of one sort."""

    count: int
    """How many things were entered."""
    strokes_mean: float
    """Strokes for one, in the mean."""
    strokes_max: int
    """Strokes for the one that took most."""


class Report(Struct, frozen=True):
    """Strokes of a whole session file."""

    strokes: int
    """All of them, the machine, sessions and moves among them."""
    new_fastener: StrokeCount
    """Screws and nuts typed in: place, readings, Enter."""
    same_again: StrokeCount
    """Fasteners just like the one before."""
    other: StrokeCount
    """Pins, washers, rings, loose pieces, empty holes, and remarks on a fastener."""
    step: StrokeCount
    """Everything else of a step: its name, where it goes, what is said of it, its end and its bags closed; and
    every change of kind, head and drive."""
    without_keys: tuple[str, ...] = ()
    """What of the file has no keys here and was entered without: `session 1, job 2`."""

    def to_json(self) -> dict[str, Any]:
        """Return the report as the command line prints it."""
        found: dict[str, StrokeCount] = {sort: getattr(self, sort) for sort in COUNTED}
        counts = {
            sort: {"count": n.count, "strokes_mean": round(n.strokes_mean, 2), "strokes_max": n.strokes_max}
            for sort, n in found.items()
        }
        return {**counts, "without_keys": list(self.without_keys)}

    @property
    def text(self) -> str:
        """The report for a person."""
        names = {"new_fastener": "new fastener", "same_again": "same again", "other": "other", "step": "step"}
        lines = [f"{self.strokes} strokes", f"{'':<14}{'count':>7}{'mean':>8}{'most':>6}"]
        for sort, name in names.items():
            n: StrokeCount = getattr(self, sort)
            lines.append(f"{name:<14}{n.count:>7}{n.strokes_mean:>8.1f}{n.strokes_max:>6}")
        if self.without_keys:
            lines.append(f"Entered without keys, since they have none here: {'; '.join(self.without_keys)}")
        return "\n".join(lines)


def play_keys(workshop: Workshop, rehearsal: Rehearsal, on_done: Callable[[Done], None]) -> Report:
    """Play a rehearsed session file into an open workshop by keys; tell each change; return the strokes.

    The workshop's clock follows the file's stamps meanwhile. Raises Refused where the machine is there
    already, BadSessionFile where something cannot be entered by keys: where the file alone tells it, before one is
    pressed.
    """
    workshop.refuse_twin(rehearsal.file)
    for act in rehearsal.file.acts:
        if why := without_keys(act.command):
            raise BadSessionFile(f"{rehearsal.file.name}: {act.where}: {why}")
    before = workshop.clock
    try:
        return asyncio.run(_Player(workshop, rehearsal, on_done).play())
    finally:
        workshop.clock = before


class _Player:
    """One file being played."""

    def __init__(self, workshop: Workshop, rehearsal: Rehearsal, on_done: Callable[[Done], None]) -> None:
        self.workshop = workshop
        self.file = rehearsal.file
        self.on_done = on_done
        self.number = workshop.store.number
        self.app = PutbackApp(workshop)
        self.now = datetime.fromisoformat(self.file.acts[0].at)
        self.began = self.now
        self.strokes = 0
        self.without: list[str] = []
        self.found: dict[Sort, list[int]] = {sort: [] for sort in (*COUNTED, "")}
        workshop.clock = BenchClock(lambda: self.now)

    async def play(self) -> Report:
        """Press everything and return the count."""
        async with self.app.run_test(size=(80, 24)):
            await self.until(lambda: isinstance(self.app.screen, BenchScreen) or self.app.screen.is_current)
            await self.rest()
            while not isinstance(self.app.screen, BenchScreen):
                await self.press(Presses(self.where(), ("escape",)), self.app.screen)
                await self.rest()
            for index, act in enumerate(self.file.acts):
                try:
                    # Painted once for each act: nobody looks on, and a paint for each letter is most of the time.
                    with self.app.batch_update():
                        await self.act(index, act)
                except BadInput as fault:
                    raise BadSessionFile(f"{self.file.name}: {act.where}: {fault}") from fault
        new, same, other, step = (_counted(self.found[sort]) for sort in COUNTED)
        return Report(self.strokes, new, same, other, step, tuple(self.without))

    def where(self) -> Where:
        """Return what sort of screen is on top."""
        return next((where for where, kind in _SCREENS.items() if isinstance(self.app.screen, kind)), "bench")

    # -- an act ------------------------------------------------------------------------------------

    async def act(self, index: int, act: TimedCommand) -> None:
        """Do one act by keys."""
        self.now = max(self.now, datetime.fromisoformat(act.at))
        command = act.command
        if isinstance(command, BETWEEN_STEPS):
            if self.app.do(command, quiet=True) is None:
                raise BadInput(self.app.message.words)
            self.without.append(act.where)
            self.tell()
            return
        if isinstance(command, c.Begin):
            self.began = self.now
            self.found["step"].append(0)
        if isinstance(command, c.Finish) and command.minutes is not None:
            self.now = max(self.now, self.began + timedelta(minutes=command.minutes))
        await self.do(command, index)
        if isinstance(command, c.Begin) and command.needs is not None:
            step = self.workshop.record.last_step(self.app.machine_id)
            if step is not None and step.needs != tuple(sorted(set(command.needs))):
                await self.do(c.SetNeeds(needs=command.needs), index)

    async def do(self, command: c.Command, index: int) -> None:
        """Press what does one command."""
        for stroke in strokes(command, self.standing(command, index)):
            await self.press_all(stroke, self.end_of(command, index))
            self.count(stroke)

    def end_of(self, command: c.Command, index: int) -> datetime | None:
        """Return when a step ends that the screen begins and ends in one go."""
        if not isinstance(command, c.Begin) or command.do not in ("mark", "measure", "soak"):
            return None
        minutes = self.minutes(index)
        return None if minutes is None else self.began + timedelta(minutes=minutes)

    def rest_of_step(self, index: int) -> Iterable[c.Command]:
        """Give the commands of the step that begins at `index`, its end last."""
        for act in self.file.acts[index + 1 :]:
            yield act.command
            if isinstance(act.command, c.Finish):
                return

    def minutes(self, index: int) -> float | None:
        """Return how long the step that begins at `index` takes."""
        return next((done.minutes for done in self.rest_of_step(index) if isinstance(done, c.Finish)), None)

    def standing(self, command: c.Command, index: int) -> ScreenState:
        """Return where the screen stands."""
        screen = self.app.screen
        assert isinstance(screen, BenchScreen)
        begins = isinstance(command, c.Begin)
        fills = begins and any(
            (isinstance(done, c.Enter) and not done.found) or (isinstance(done, c.EnterPiece) and not done.put)
            for done in self.rest_of_step(index)
        )
        return ScreenState(
            record=self.workshop.record,
            machine=self.app.machine_id,
            form=screen.hand.form,
            face=screen.hand.facing.face,
            area=screen.hand.inside.area,
            put=screen.hand.goes_to,
            put_other=screen.hand.put_other,
            fills=fills,
            holes=begins and any(isinstance(done, c.Enter) for done in self.rest_of_step(index)),
            minutes=self.minutes(index) if begins else None,
            settings=tuple(
                setting
                for done in (self.rest_of_step(index) if begins else ())
                if isinstance(done, c.Annotate)
                for setting in done.adjust
            ),
        )

    def count(self, stroke: KeySequence) -> None:
        """Count the keys of a stroke; all of a step are counted together."""
        number = sum(len(presses.keys) for presses in stroke.presses)
        self.strokes += number
        if stroke.sort == "step":
            self.found["step"][-1] += number
        else:
            self.found[stroke.sort].append(number)

    # -- pressing ----------------------------------------------------------------------------------

    async def press_all(self, stroke: KeySequence, end: datetime | None) -> None:
        """Press the keys of a stroke and see what became of them."""
        left: Screen[Any] | None = None
        for number, presses in enumerate(stroke.presses, 1):
            await self.until(lambda presses=presses, left=left: self.takes(presses.where, left))  # type: ignore[misc]
            ends = number == len(stroke.presses) and stroke.presses[0].keys == (LETTER["doing"],)
            if end is not None and ends:
                self.now = max(self.now, end)
            left = self.app.screen
            await self.press(presses, left)
        await self.rest()
        if self.app.message.sort == "refused":
            raise BadInput(self.app.message.words)
        if not isinstance(self.app.screen, BenchScreen):
            raise BadInput(f"the screen asks something that the file does not answer ({self.app.screen.name}).")
        self.tell()

    def takes(self, where: Where, left: Screen[Any] | None) -> bool:
        """Tell whether the screen on top is the one that the next keys are for, and takes keys."""
        screen = self.app.screen
        if not isinstance(screen, _SCREENS[where]) or not screen.is_mounted or not screen.is_current:
            return False
        if left is screen and where != "bench" and where != "summary":
            return False
        return where != "ask" or isinstance(screen.focused, Line)

    async def press(self, presses: Presses, screen: Screen[Any]) -> None:
        """Press keys, and wait until the screen has taken them or gone."""
        for key in presses.keys:
            self.app.post_message(events.Key(*sent(key)))
            if key in ("backspace", "escape"):
                # A line leaves these to its bindings, which run only after the key has come back to the app.
                await self.taken(screen)
        await self.taken(screen)

    async def taken(self, screen: Screen[Any]) -> None:
        """Wait until the keys pressed so far have been through the screen and back."""
        await self.passed(self.app)
        for pump in (screen.focused, screen, self.app):
            if pump is not None and self.app.screen is screen:
                await self.passed(pump)

    async def passed(self, pump: object) -> None:
        """Wait until everything that was in a queue has been taken out."""
        done = asyncio.Event()
        if getattr(pump, "call_later")(done.set):  # noqa: B009 - any message pump
            await asyncio.wait_for(done.wait(), STUCK)

    async def rest(self) -> None:
        """Wait until no key and no question is on its way."""
        await self.until(lambda: all(not worker.is_running for worker in self.app.workers) or self.asks())
        await self.passed(self.app)
        await self.passed(self.app.screen)

    def asks(self) -> bool:
        """Tell whether a prompt is open."""
        return isinstance(self.app.screen, AskLine | Pick) and self.app.screen.is_mounted

    async def until(self, so: Callable[[], bool]) -> None:
        """Wait until something is so."""
        since = monotonic()
        while not so():
            if monotonic() - since > STUCK:
                raise BadInput(f"the screen {type(self.app.screen).__name__} was not left or did not come.")
            await asyncio.sleep(0)

    def tell(self) -> None:
        """Tell the changes that have come to disk."""
        while self.number < self.workshop.store.number:
            self.number += 1
            self.on_done(Done(self.number, self.app.message.words))


def _counted(found: list[int]) -> StrokeCount:
    return StrokeCount(len(found), sum(found) / len(found) if found else 0.0, max(found, default=0))
