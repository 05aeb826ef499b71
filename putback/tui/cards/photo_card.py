"""A photo as large as it goes, with the steps it may show as numbers: a doubtful one is settled by one key."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from textual.content import Content

from putback.errors import BadInput
from putback.trade import commands as c
from putback.trade.record.machine import Machine
from putback.trade.record.photo import WHENS, Photo, When
from putback.trade.record.phrases import counted, whole_in
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.tui.dialogs.photo_beside import GAP, photo_caption
from putback.tui.dialogs.sheet import TO_THE_BENCH, CardFrame
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.palette import KEY, LOOK
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped

BESIDE = 60
"""Columns from which the words stand beside the photo, and not above it."""

_OTHER: dict[str, When] = {"before": "after", "after": "before", "during": ""}


class PhotoGuess(Struct, frozen=True):
    """A step that a photo may show."""

    step: int
    """Its number; 0 for none."""
    when: When
    """Where in it the photo would fall."""
    text: str
    """What it is, in a line."""


def guesses(record: Record, photo: Photo) -> list[PhotoGuess]:
    """Return up to three steps that a photo may show, the likeliest first, and none as the last choice.

    They are the one it was filed with, the other one it may belong to, and the neighbours of these.
    """
    first, other = record.find(Step, photo.step), record.find(Step, photo.instead)
    found: list[tuple[Step, When]] = []
    if first is not None:
        found.append((first, photo.when))
    if other is not None:
        found.append((other, _OTHER.get(photo.when, "")))
    if first is not None:
        # What was done next follows in time; on the way back that is the lower number.
        onward = -1 if photo.back else 1
        beside: tuple[tuple[int, When], ...] = ((onward, "before"), (-onward, "after"))
        for by, when in beside:
            near = record.step(photo.machine, first.number + by)
            if near is not None and all(near.id != step.id for step, _ in found):
                found.append((near, when))
    choices = []
    for step, when in found[:3]:
        falls = f"{when}, at refit" if photo.back and when else "at refit" if photo.back else when
        choices.append(
            PhotoGuess(step.number, when, f"step {step.number}: {step.text}" + (f"  ({falls})" if falls else ""))
        )
    return [*choices, PhotoGuess(0, "", "none of these steps")]


class PhotoScreen(CardFrame):
    """Some photos, one at a time."""

    def __init__(self, photos: Sequence[int], at: int = 0, *, settling: bool = False) -> None:
        """`photos` are their numbers in the workshop; `settling` leaves when the last one is settled."""
        super().__init__()
        self._photos = list(photos)
        self.photo_at = at
        self._settling = settling

    def photos(self) -> list[Photo]:
        found = (self.record.find(Photo, number) for number in self._photos)
        return [photo for photo in found if photo is not None]

    @property
    def here(self) -> Photo | None:
        """The photo that the keys are about, shown or not."""
        found = self.photos()
        return found[min(self.photo_at, len(found) - 1)] if found else None

    def is_ours(self, photo: Photo) -> bool:
        """Tell whether it shows the machine on the bench."""
        return photo.machine == self.host.machine_id

    def redraw(self) -> None:
        """Draw the photo and its steps."""
        width, height = inner_width(self.app.size.width), inner_height(self.app.size.height, self.app.size.height)
        photo = self.here
        if photo is None:
            gone = plain("There is no photo here any more: it was taken back.", width, LOOK)
            self._draw(Content("\n").join([gone, plain(f"{self.key_of('photo.leave')} back", width, "$pb-muted")]))
            self.place_photo(0, 0, 0, 0)
            return
        answer = self._answer(width)
        foot = feet(self._keys(photo), width)
        room = height - len(answer) - len(foot)
        drawn = self.photo is not None and not self.host.pictures.in_words
        beside = width * 3 // 5 if drawn and width >= BESIDE else 0
        words = self._words(photo, width - beside - GAP if beside else width)
        if beside:
            indent = Content(" " * (beside + GAP))
            words = [Content.assemble(indent, line) for line in words]
        lines = [*words, *[Content("")] * (room - len(words)), *answer, *foot]
        self._draw(Content("\n").join(lines))
        if beside:
            self.place_photo(0, 0, beside, room)
        else:
            self.place_photo(0, len(words) + 1, width, room - len(words) - 1)

    def _words(self, photo: Photo, width: int) -> list[Content]:
        """What is to be said of a photo, and the steps it may show."""
        owner = self.record.get(Machine, photo.machine).caption
        style = "$pb-muted" if self.is_ours(photo) else LOOK
        return [
            *wrapped(photo.name or photo.file, width, "bold $pb-text"),
            *([plain(self._count(), width, "$pb-muted")] if self._count() else []),
            *wrapped(f"of {owner}", width, style),
            *self.in_words(width),
            *([] if self.host.pictures.shown else [plain("Pictures are off.", width, "$pb-muted")]),
            Content(""),
            *self._steps(photo, width),
        ]

    def _count(self) -> str:
        return f"{self.photo_at + 1} of {len(self._photos)}" if len(self._photos) > 1 else ""

    def photo_text(self, photo: Photo) -> str:
        return photo_caption(photo)

    def _steps(self, photo: Photo, width: int) -> list[Content]:
        if photo.doubt:
            rows = wrapped("Which step does it show?", width, "bold $pb-text")
            for number, guess in enumerate(guesses(self.record, photo), 1):
                rows += self._choice(number, guess.text, width)
            return rows
        step = self.record.find(Step, photo.step)
        if step is None:
            return wrapped("It shows no step.", width, "$pb-muted")
        falls = f"{photo.falls}, " if photo.falls else ""
        return self._choice(1, f"{falls}step {step.number}: {step.text}", width)

    def _choice(self, number: int, message: str, width: int) -> list[Content]:
        """A numbered choice on as many lines as it needs."""
        first, *rest = wrapped(message, width - 3)
        rows = [
            Content.assemble((f" {number} ", KEY), first),
            *(Content.assemble("   ", row) for row in rest),
        ]
        return [tapped(row, "press", number) for row in rows]

    def _keys(self, photo: Photo) -> list[tuple[str, str]]:
        pair = self.host.keymap.pair
        keys = [pair("photo.go", "that step" if photo.doubt else "its card")]
        if self.is_ours(photo):
            keys += [pair("photo.mend"), pair("photo.back")]
        picture = pair("photo.off", "picture off" if self.host.pictures.shown else "picture on")
        return [*keys, pair("photo.next", "next"), picture, pair("photo.leave"), pair("photo.help")]

    @property
    def places(self) -> tuple[str, ...]:
        """On a photo."""
        return ("photo",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "photo")
        photo = self.here
        if command_id == "photo.bench":
            self.leave(TO_THE_BENCH)
        elif command_id == "photo.leave" or photo is None:
            self.leave(None)
        elif command_id == "photo.go":
            self._go(photo, int(key) - 1)
        elif command_id in ("photo.next", "photo.before"):
            self._turn(1 if command_id == "photo.next" else -1)
        elif command_id == "photo.off":
            self.host.pictures.shown = not self.host.pictures.shown
            self.redraw()
        elif command_id == "photo.help":
            self.show_keys("photo")
        elif command_id and not self.is_ours(photo):
            self._of_another(photo.machine)
        elif command_id == "photo.back":
            self.host.take_back()
            self.redraw()
        elif command_id == "photo.mend":
            self.run_worker(self._mend(photo), exclusive=True)

    def _turn(self, by: int) -> None:
        if 0 <= self.photo_at + by < len(self._photos):
            self.photo_at += by
            self.redraw()
        else:
            self.host.refuse("There is no next one.")

    def _go(self, photo: Photo, index: int) -> None:
        """Settle a doubtful photo; open the step's card of any other."""
        if not photo.doubt:
            step = self.record.find(Step, photo.step)
            if index == 0 and step is not None:
                self.open_card(self.host.screen_named("step", step.id))
            else:
                self.host.ring("refused")
            return
        choices = guesses(self.record, photo)
        if index >= len(choices):
            self.host.ring("refused")
        elif not self.is_ours(photo):
            self._of_another(photo.machine)
        else:
            self._settle(photo, choices[index].step, choices[index].when)

    def _settle(self, photo: Photo, step: int, when: When, back: bool | None = None) -> None:
        """Write down which step it shows, and go on to the next that is in doubt."""
        if self.host.do(c.SettlePhoto(photo=photo.id, step=step, when=when, back=back)) is None:
            return
        doubtful = [at for at, one in enumerate(self.photos()) if one.doubt]
        onward = [at for at in doubtful if at > self.photo_at] or doubtful
        if self._settling and not doubtful:
            self.leave(None)
            self.host.call_later(self.host.say, "recorded", f"{counted(len(self._photos), 'photo')} settled", "this")
            return
        if self._settling:
            self.photo_at = onward[0]
        self.redraw()

    async def _mend(self, photo: Photo) -> None:
        """Ask for the step's number, and where in it the photo falls."""

        def a_step(text: str) -> None:
            number = whole_in(text)
            if text and number != 0 and (number is None or self.record.step(photo.machine, number) is None):
                raise BadInput(f"There is no step “{text}” on this machine.")

        hint = "its number; 0 for none of this machine"
        text = await self.questions.ask_line("Which step does it show?", hint=hint, reads=a_step)
        if not text:
            return
        if not int(text):
            self._settle(photo, 0, "")
            return
        words = {when + refit: (when, bool(refit)) for refit in ("", ", at refit") for when in WHENS}
        falls = await self.questions.pick("At which moment of the step was it taken?", tuple(words), here=photo.falls)
        if falls is not None:
            self._settle(photo, int(text), *words[falls])
