"""What a label can say. Plain frozen facts; where they come from is somebody else's business."""

from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True)
class Contents:
    """One line of what is in a bag."""

    count: int
    """How many."""
    size: str
    """What they are, as the bench names them: `#8-32 x 3/8`, `taper pin 1/8 x 1`, `stop spring`."""
    sort: str = "fastener"
    """fastener, piece or part: what can be lost unseen stands before the sizes."""


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """A bag's label. With nothing but `code` it is a blank one from the pool, to be written on."""

    code: str
    """The bag code."""
    machine: str = ""
    """The machine's name."""
    serial: str = ""
    """Its serial, `?` standing before each doubtful character: `2041?7`."""
    bag: int | None = None
    """The bag's number on this machine."""
    box: str = ""
    """The box it lies in, as in `A`."""
    parts: tuple[str, ...] = ()
    """The part or parts whose fasteners are in the bag."""
    steps: tuple[int, ...] = ()
    """The numbers of the steps that filled it."""
    contents: tuple[Contents, ...] = field(default=())
    """What is in it, most important line first."""
    day: date | None = None
    """The day of the segment in which it was closed."""
    model: str = ""
    """Its model, as far as known."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing is known yet but the code."""
        return self == LabelFacts(self.code)

    @property
    def count(self) -> int:
        """Everything in the bag."""
        return sum(line.count for line in self.contents)


@dataclass(frozen=True, slots=True)
class TagFacts:
    """A hang-tag: on a part too big for a bag, or on a step left half done."""

    letter: str
    """The tag's letter, as in `A`."""
    what: str
    """The part it hangs on: `tray lock`."""
    note: str = ""
    """What is still open: `cam 3 turns loose`."""
    machine: str = ""
    """The machine's name."""
    serial: str = ""
    """Its serial, `?` standing before each doubtful character."""
    step: int | None = None
    """The step that hung it."""
    day: date | None = None
    """The day it was hung."""
    code: str = ""
    """A code to scan, or nothing."""


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """A box's label: its letter, and the bags that lie in it."""

    letter: str
    """The box's letter, as in `A`."""
    machine: str = ""
    """The machine's name."""
    serial: str = ""
    """Its serial, `?` standing before each doubtful character."""
    bags: tuple[tuple[int, str], ...] = ()
    """Number of each bag and what it holds, in a word or two."""
    code: str = ""
    """A code to scan, or nothing."""


@dataclass(frozen=True, slots=True)
class StrokeFacts:
    """One line of a command sheet: a stroke of the bench to scan with an elbow."""

    name: str
    """The command's name; its code is drawn from it (`command_code`)."""
    key: str
    """The key that does the same, as in `+`."""
    words: str
    """What it does: `another just like it`."""
    text: str = ""
    """The same in a sentence, printed small."""
