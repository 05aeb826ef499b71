"""The machine on the bench and the parts it is made of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Literal

from msgspec import Struct

from putback.trade.record.face import FACES as FACES
from putback.trade.record.face import face_named as face_named
from putback.trade.record.first_look import Seen
from putback.trade.record.job import Job
from putback.trade.record.step import Adjustment
from putback.trade.record.words import OneOf, words_of

Origin = OneOf[Literal["us", "uk", "metric", "unknown"], "an origin"]
"""Where the threads of a machine come from."""
ORIGINS: tuple[Origin, ...] = words_of(Origin)
Unit = OneOf[Literal["in", "mm"], "a unit of a machine"]
"""The unit of a bare number."""
UNITS: tuple[Unit, ...] = words_of(Unit)
UnitSaid = OneOf[Literal["", "in", "mm"], "a unit of a machine"]
"""The same where it may be left to the origin."""
PartsGo = OneOf[Literal["shelf", "box"], "where parts go"]
"""Where the parts of a machine go unless said otherwise."""
PARTS_GO: dict[PartsGo, str] = {"shelf": "to the shelf", "box": "into the box now open"}
"""Where the parts of a machine go unless said otherwise, in words."""


class OfMachine(Struct, frozen=True, kw_only=True):
    """What a person says of a machine beside its name, serial and origin; None where it is not said.

    The commands that bring one to the bench or mend it have these fields, and so has `Machine`; PLATE tells all else
    of each.
    """

    maker: str | None = None
    """The maker; empty where not known."""
    model: str | None = None
    """The model; empty where not known."""
    country: str | None = None
    """The country it was made in; empty where not known. It shifts what its threads may be."""
    decade: str | None = None
    """When it was made: `1920s`, `1923`, `before 1925`; empty where not known."""
    trade: str | None = None
    """Its trade, one of `sizing.background.TRADES`; empty where it is of none or not known."""
    mass: str | None = None
    """Its mass as said, with the unit: `12 kg`; empty where not known."""
    intent: str | None = None
    """What it is restored for: run, show or keep as found; empty where not said."""
    orientation: str | None = None
    """What front and right mean on it, as `front faces you`; empty where not said."""


class PlateField(Struct, frozen=True, kw_only=True):
    """One field of `OfMachine`: how it is asked and told of, on screen, in session files and reports."""

    name: str
    """Its name in the record, in the commands and in session files."""
    called: str = ""
    """The word for it where it is told of; empty: its name."""
    asked: str = ""
    """The question for it; empty: `What is its maker?`."""
    listed: bool = False
    """Whether it is asked by a question of its own after the plain lines, since not every answer would do."""
    says: Callable[[str], str] = str
    """How what is known of it reads."""
    said: Callable[[str], str] | None = None
    """What is said where it is entered; None: the name and what is known."""

    @property
    def question(self) -> str:
        """The question for it."""
        return self.asked or f"What is its {self.name}?"

    def entered(self, value: str) -> str:
        """Return what is said where it is entered."""
        return f"{self.name} {value or 'not known'}" if self.said is None else self.said(value)


def meant(intent: str) -> str:
    """Return what a machine is restored for, in words: `to be restored to run`."""
    if not intent or intent.startswith("keep"):
        return intent or "what it is restored for is not known"
    return f"to be restored {'to run' if intent == 'run' else f'for {intent}'}"


PLATE: Final = (
    PlateField(name="maker"),
    PlateField(name="model"),
    PlateField(name="country", asked="In which country was it made?"),
    PlateField(name="decade", called="made", asked="When was it made? (1920s, 1923, before 1925)", listed=True),
    PlateField(name="trade", asked="What trade is it of? Its threads go by that, too.", listed=True),
    PlateField(name="mass"),
    PlateField(
        name="intent", called="meant", said=meant,
        says=lambda intent: {"run": "to run", "show": "to be shown"}.get(intent, intent),
    ),
    PlateField(name="orientation"),
)  # fmt: skip
"""What can be said of a machine beside its name, serial and origin, one row a field."""

PLATE_NAMES: Final = tuple(field.name for field in PLATE)
"""The names of these."""


class Machine(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One object on the bench."""

    id: int
    """Its number in the workshop."""
    name: str
    """What the person calls it."""
    maker: str = ""
    """The maker, as far as known."""
    model: str = ""
    """The model, as far as known."""
    serial: str = ""
    """The serial; `?` stands before a digit that is doubtful."""
    origin: Origin = "unknown"
    """Where its threads come from: us, uk, metric or unknown."""
    unit: Unit = "in"
    """The unit of a bare number: in or mm."""
    country: str = ""
    """The country it was made in; empty where not known."""
    decade: str = ""
    """When it was made, as said: 1920s, 1923, before 1925."""
    trade: str = ""
    """The trade it is of, one of `sizing.background.TRADES`; empty where it is of none of them or not known."""
    mass: str = ""
    """Its mass with the unit, as said."""
    intent: str = ""
    """run, show or keep as found."""
    orientation: str = ""
    """What front and right mean on this machine."""
    lies: str = ""
    """How it stands now, where it was turned."""
    first_bag: int = 0
    """The number of its first bag, where the bags at hand do not begin with 1."""
    parts_go: PartsGo = "shelf"
    """Where its parts go unless said otherwise, one of PARTS_GO."""
    notes: tuple[str, ...] = ()
    """What was noted of the machine itself, each by itself, oldest first."""
    cautions: tuple[str, ...] = ()
    """What one must beware of at the machine itself, said again on every return."""
    adjust: tuple[Adjustment, ...] = ()
    """Settings of the machine itself as they were found."""
    todo: tuple[Job, ...] = ()
    """The jobs on the machine itself, done ones too."""
    first_look: tuple[Seen, ...] = ()
    """What was seen of it before anything came off, and what became of that."""
    next_time: tuple[str, ...] = ()
    """What the person would do differently another time, of the machine as a whole."""
    looked_back: str = ""
    """When it was asked at the end what one would do differently; empty while it was not."""

    @property
    def caption(self) -> str:
        """Name and serial, as a person tells two machines apart."""
        return f"{self.name} {self.serial}".strip()

    def answers_to(self, words: str) -> bool:
        """Tell whether `words` is this machine's name, its serial (with or without `?`) or both."""
        wanted = _loose(words)
        return bool(wanted) and wanted in map(_loose, (self.name, self.serial, self.caption))

    def is_exactly(self, words: str) -> bool:
        """Tell whether `words` is its name, its serial or both to the last `?`, capitals aside."""
        wanted = _folded(words)
        return bool(wanted) and wanted in map(_folded, (self.name, self.serial, self.caption))

    def begins_with(self, words: str) -> bool:
        """Tell whether its name or serial, or a word of one, begins with `words`: `press`, `skein`, `4417`."""
        wanted, mine = _loose(words), _loose(self.caption)
        return bool(wanted) and any(rest.startswith(wanted) for rest in _tails(mine))

    def is_twin_of(self, name: str, serial: str) -> bool:
        """Tell whether a machine of that name and serial would be this one over again."""
        return (_folded(self.name), _folded(self.serial)) == (_folded(name), _folded(serial))


def _tails(words: str) -> list[str]:
    """Return what stands from each word on: `proof press 12`, `press 12`, `12`."""
    parts = words.split()
    return [" ".join(parts[at:]) for at in range(len(parts))]


def _folded(words: str) -> str:
    return " ".join(words.casefold().split())


def _loose(words: str) -> str:
    return _folded(words.replace("?", ""))


class Part(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A node of the assembly tree."""

    id: int
    """Its number in the workshop."""
    machine: int
    """The machine it belongs to."""
    name: str
    """What the person calls it."""
    inside: int = 0
    """The assembly it sits in, or 0 for the machine itself."""
    assembly: bool = False
    """Whether other parts sit in it."""
