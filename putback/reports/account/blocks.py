"""An account as a value: a list of blocks, each of one kind and about one sort of thing."""

from __future__ import annotations

from typing import Any, Literal

import msgspec
from msgspec import Struct

from putback.trade.record.holes import faces_text
from putback.trade.record.place import bag_number, is_at_hand
from putback.trade.record.step import Step

Kind = Literal["heading", "fact", "row", "picture", "question"]
"""heading: what is done. fact: a sentence. row: fasteners that are alike, with their holes. picture: a face with
its holes. question: what one key confirms."""

Sort = Literal[
    "do", "skipped", "waits", "first", "covered", "job", "lie", "caution", "usual", "rules", "tools", "fits", "place",
    "inside", "tag", "unit", "note", "soak", "piece", "move", "trouble", "finding", "todo", "photo", "new", "clip",
    "work", "open", "known", "look", "face", "order", "fastener", "loosened", "setting", "after", "frees",
]  # fmt: skip
"""What a block is about, in the order in which the sorts stand in an account."""

State = Literal["open", "back", "waits", "first", "covered", "job", "ready"]
"""open: still coming off. back: it is on again. waits: for a thing, or for a job of another step. first, covered: other
steps come first. job: work is to be done first. ready: it can go on."""

Next = Literal["waits", "first", "covered", "turn", "job", "new", "clip", "look", "setting", "confirm", "put"]
"""What one does next at a step."""


class Block(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One sentence, row or picture of an account."""

    kind: Kind
    """What it is to a renderer."""
    sort: Sort
    """What it is about."""
    words: str = ""
    """What it says, in one line."""
    rules: str = ""
    """Where the rules of a usual caution are."""
    cause: str = ""
    """The cause of harm that a usual caution is about; of a finding, that the record leaves it open."""
    item: str = ""
    """What confirming it confirms, as the record keeps it."""
    done: bool = False
    """Whether it is confirmed."""
    letter: str = ""
    """The letter of a row's size on the face."""
    holes: tuple[str, ...] = ()
    """A row's holes on one face, in the order in which they are filled."""
    face: str = ""
    """The face of a picture or of a row's holes, where the step has several or it is another than the step's."""
    count: int = 0
    """How many pieces a row or a place is about."""
    place: str = ""
    """Where they lie, as it is told."""


class Account(Struct, frozen=True, kw_only=True):
    """Everything said of one step, as the way back needs it."""

    step: Step
    """The step."""
    state: State
    """Whether it can go back, and if not why."""
    blocks: tuple[Block, ...]
    """What is said, in the order in which it is needed."""

    @property
    def heading(self) -> str:
        """What is done at the step, in words."""
        return self.blocks[0].words

    @property
    def faces(self) -> str:
        """The faces worked on, in words, the step's own first: `left face`, `left and top faces`; empty: not said."""
        return faces_text((self.step.face, *(block.face for block in self.of("face"))))

    @property
    def asked(self) -> tuple[Block, ...]:
        """What has to be confirmed, in order."""
        return tuple(block for block in self.blocks if block.kind == "question")

    @property
    def todo(self) -> Block | None:
        """What is to be confirmed next, or None."""
        return next((block for block in self.asked if not block.done), None)

    @property
    def next(self) -> Next:
        """What is to do next."""
        if self.state in ("waits", "first", "covered"):
            return self.state
        todo = self.todo
        if todo is None:
            return "put"
        if any(todo.item == setting.text for setting in self.step.adjust):
            return "setting"
        known = {"lie": "turn", "job": "job", "new": "new", "clip": "clip", "look": "look"}
        return known.get(todo.sort, "confirm")  # type: ignore[return-value]

    def of(self, *sorts: Sort) -> tuple[Block, ...]:
        """Return the blocks about some sorts of thing, in their order."""
        return tuple(block for block in self.blocks if block.sort in sorts)

    @property
    def why(self) -> str:
        """What holds the step up, in words, or nothing."""
        return "; ".join(block.words for block in self.of("waits", "first", "covered"))

    @property
    def line(self) -> str:
        """The one thing to do next, in words."""
        if self.state in ("waits", "first", "covered"):
            return self.why
        todo = self.todo
        return todo.words if todo is not None else "it is back"

    @property
    def places(self) -> tuple[str, ...]:
        """Where what goes in lies, bags first."""
        lies = (b.place for b in self.of("place", "piece", "fastener") if b.place and not b.done)
        found = dict.fromkeys(place for place in lies if is_at_hand(place))
        return tuple(sorted(found, key=lambda place: bag_number(place) is None))

    def to_json(self) -> dict[str, Any]:
        """Return the account as the command line prints it."""
        blocks: Any = msgspec.to_builtins(self.blocks)
        return {"step": self.step.number, "heading": self.heading, "state": self.state, "blocks": blocks}
