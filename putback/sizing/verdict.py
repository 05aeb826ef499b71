"""The answer to a set of readings: a verdict with its candidates, and the one reading that would settle it."""

from __future__ import annotations

from typing import Any, Literal

from msgspec import Struct, to_builtins

Word = Literal["sure", "likely", "either", "none"]
"""How certain a verdict is."""

Reading = Literal["gauge", "od", "pitch", "tpi", "ten-pitches", "length", "flank-angle", "nut"]
"""What can be measured or tried next."""

Half = Literal["thread", "length", "standard"]
"""A thread's name, a stocked length, or the standard size of a pin, washer or ring."""

SURE = 0.95
"""A name is sure from this probability on, when no other thread explains the readings."""

LIKELY = 0.8
"""A name is likely from this probability on."""

_ORDER: dict[Word, int] = {"sure": 3, "likely": 2, "either": 1, "none": 0}


class Candidate(Struct, frozen=True):
    """One standard size that the readings may stand for."""

    name: str
    """#8-32 UNC; for a length 3/8 or 12 mm."""
    probability: float
    """0 to 1; what the candidates lack to 1 belongs to none of these."""
    also: tuple[str, ...] = ()
    """Threads of the same diameter, pitch and flank angle: one and the same to any gauge."""
    fit: str = ""
    """How the reading lies to its limits: within 2A, worn by .0006 in, .0015 in over."""
    behind: str = ""
    """For the runner-up, what puts it behind the first: the pitch fits it less."""
    house: bool = False
    """True for a length of the machine's own: .385, in no list."""


class NextReading(Struct, frozen=True):
    """The reading to take next."""

    reading: Reading
    """Which."""
    why: str
    """What it would settle, as a short sentence."""


class Members(Struct, frozen=True):
    """The fasteners of one length."""

    name: str
    """What they are called: 3/8, .385, 5/8 short."""
    count: int
    """How many."""
    low: float
    """The shortest reading, in inches for a list in inches, else in mm."""
    high: float
    """The longest."""


class Verdict(Struct, frozen=True):
    """What one half of the question, the thread or the length, comes to."""

    word: Word
    """How certain."""
    candidates: tuple[Candidate, ...]
    """Best first."""
    ask: NextReading | None = None
    """What would settle it; None when nothing is needed."""
    note: str = ""
    """One more sentence for the person: odd, only fits the other system, contradicts."""
    half: Half = "thread"
    """What it is a verdict on."""
    against: str = ""
    """For a length, the list of stocked lengths it was held against."""
    text: str = ""
    """For a length, as it stands in a size: 3/8, .385, 1/2 or .475 as measured."""
    datum: str = ""
    """For a length, where it is taken to have been measured."""
    group: Members | None = None
    """For a length, the fasteners of the machine that share it."""

    @property
    def best(self) -> Candidate | None:
        """The likeliest candidate."""
        return self.candidates[0] if self.candidates else None

    def to_json(self) -> dict[str, Any]:
        """As `putback size --json` prints it; a length has its datum and its group, too."""
        found: dict[str, Any] = {
            "verdict": self.word,
            "candidates": [
                {"name": c.name, "probability": round(c.probability, 4), "also": list(c.also), "fit": c.fit}
                | ({"house": True} if c.house else {})
                for c in self.candidates
            ],
            "ask": None if self.ask is None else {"reading": self.ask.reading, "why": self.ask.why},
        }
        if self.note:
            found["note"] = self.note
        if self.datum:
            found["datum"] = self.datum
        if self.group is not None:
            found["group"] = to_builtins(self.group)
        return found


def weaker(*words: Word) -> Word:
    """The least certain of several; sure of nothing when there are none."""
    return min(words, key=_ORDER.__getitem__, default="sure")
