"""How the machine lies: turns are not work to be undone one by one, only made where the next work needs them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from putback.trade.record.machine import Machine
from putback.trade.record.record import Record
from putback.trade.record.step import Step
from putback.trade.record.tree import around

UPRIGHT = "upright"
"""How a machine lies before its first turn."""


def lies_now(machine: Machine) -> str:
    """Return how the machine lies."""
    return machine.lies or UPRIGHT


def on_the_bench(record: Record, step: Step) -> bool:
    """Tell whether a step was done inside an assembly that was off by then."""
    return any(
        s.takes_off and s.number < step.number
        for part in around(record, step.area)
        for s in record.steps_of_part(part.id)
    )


def lay_before(record: Record, machine: int) -> dict[int, str]:
    """Return how the machine lay when each of its steps was begun, by number; under 0 how it lay at last.

    It is how the last turn that said so left it, and upright ahead of all turns.
    """
    lay, now = {}, UPRIGHT
    for step in record.all(Step, machine):
        lay[step.number] = now
        if step.do == "turn" and step.state:
            now = step.state
    return lay | {0: now}


def minds_lying(record: Record, step: Step) -> bool:
    """Tell whether it matters for a step how the machine lies.

    Work inside an assembly lying on the bench does not care, and a turn or a soak asks for nothing itself.
    """
    return step.do not in ("turn", "soak") and not on_the_bench(record, step)


def lies_for(record: Record, step: Step) -> str:
    """Return how the machine has to lie for a step, or nothing where that does not matter."""
    return lay_before(record, step.machine)[step.number] if minds_lying(record, step) else ""


def turn_first(record: Record, step: Step) -> str:
    """Return what to do with the machine before a step can go back, or nothing where it lies right."""
    wanted = lies_for(record, step)
    machine = record.get(Machine, step.machine)
    if not wanted or wanted.casefold() == lies_now(machine).casefold():
        return ""
    return f"turn {machine.name}: {wanted}"


_ROOTS = {"tipped": "tip", "tilted": "tilt", "turned": "turn", "rolled": "roll", "laid": "lay", "stood": "stand"}
"""Words with which a person says how a machine was laid, and what one is told to do: `tipped` is `tip it`."""


def lay_it(state: str) -> str:
    """Return how the machine has to lie, in the person's words, as an instruction: `lay it on its left cheek`."""
    first, _, rest = state.strip().partition(" ")
    low = first.casefold()
    if low in _ROOTS:
        return f"{_ROOTS[low]} it {rest}".rstrip()
    if low in ("lying", "resting"):
        return f"lay it {rest}".rstrip()
    if low in ("standing", "upright"):
        return f"stand it {rest if low == 'standing' else state.strip()}".rstrip()
    return f"lay it {state.strip()}"


def walk_lying(record: Record, machine: int, order: Sequence[int]) -> tuple[dict[int, str], str]:
    """Walk a plan: return how the machine has to be laid at each step, by number, and how at last.

    `order` are the numbers of the steps that are still off. It is said at the step that wants it, or at the turn of the
    record that stands right before one; where it lies right already, nothing is said. At last it stands upright.
    """
    lay = lay_before(record, machine)
    now, out = lies_now(record.get(Machine, machine)), dict[int, str]()
    turn = 0
    for number in order:
        step = record.step(machine, number)
        if step is None or step.back:
            continue
        if step.do == "turn":
            turn = number
        elif minds_lying(record, step):
            wanted = lay[number]
            if wanted.casefold() != now.casefold():
                out[turn or number] = wanted
                now = wanted
            turn = 0
    return out, "" if now.casefold() == UPRIGHT else UPRIGHT


def turning_cautions(record: Record, machine: int) -> tuple[str, ...]:
    """Return what was said to beware of at the machine's turns, each once."""
    found = (caution for s in record.all(Step, machine) if s.do == "turn" for caution in s.cautions)
    return tuple(dict.fromkeys(found))


_DOWN = (
    ("left side", ("left", "right")), ("right side", ("left", "right")), ("on its back", ("front", "back")),
    ("on its front", ("front", "back")), ("on its face", ("front", "back")), ("upside down", ("top", "bottom")),
    ("on its head", ("top", "bottom")), (UPRIGHT, ("top", "bottom")),
)  # fmt: skip
"""Words for how a machine lies, and the two faces that then look up and down."""


def hangs(face: str, lies: str) -> bool | None:
    """Tell whether a face stands upright, so that a panel on it hangs; None where that is not known.

    `lies` says how the machine lies, in the person's words; empty is upright. A panel that looks up or down lies; of
    what is inside nobody can tell.
    """
    folded = (lies or UPRIGHT).casefold()
    flat = next((faces for words, faces in _DOWN if words in folded), None)
    return None if flat is None or face in ("", "inside") else face not in flat


_SIDES = (("its left side", 270), ("the left side", 270), ("its right side", 90), ("the right side", 90))

_ROLLED = (("upside down", 180), ("on its head", 180), *_SIDES)
"""Words for a machine rolled about the line from front to back, and how far clockwise as one faces its front."""

_TIPPED = (("upside down", 180), ("on its head", 180), ("on its back", 270), ("on its front", 90), ("on its face", 90))
"""The same about the line from side to side, clockwise as one faces its left side."""

_SEEN = {"front": (_ROLLED, 1), "back": (_ROLLED, -1), "left": (_TIPPED, 1), "right": (_TIPPED, -1)}


def face_turned(face: str, lay: str, lies: str) -> Literal[0, 90, 180, 270]:
    """Return how far clockwise a face has turned before one's eyes between two ways of lying.

    `lay` is how the machine lay when the face was recorded, `lies` how it lies now, in the person's words. 0 where
    the words do not tell, and for the top and the bottom, which turn out of sight.
    """
    words, sense = _SEEN.get(face, ((), 1))
    turned = sense * (_angle(lies, words) - _angle(lay, words)) % 360
    return {0: 0, 90: 90, 180: 180, 270: 270}[turned]  # type: ignore[return-value]


def _angle(message: str, words: Sequence[tuple[str, int]]) -> int:
    folded = message.casefold()
    return next((angle for word, angle in words if word in folded), 0)


_ROUND = "78963214"
"""The places of a face, clockwise as one faces it."""


def place_turned(hole: str, turn: int) -> str:
    """Return where a hole is seen once its face has turned so far clockwise, in degrees: 7a turned by 180 is 3a."""
    if not hole or hole[0] not in _ROUND:
        return hole
    return _ROUND[(_ROUND.index(hole[0]) + turn // 45) % len(_ROUND)] + hole[1:]


def names_turned(record: Record, step: Step, face: str | None = None) -> Literal[0, 90, 180, 270]:
    """Return how far a face of a step is turned now against how its holes were named, as `face_turned`.

    `face` None is the step's own.

    Holes are named as they are seen when they are entered. A part that was worked on before keeps the names that
    its holes had then: of one that was only loosened upright, 1 2 3 are up once the machine stands upside down.
    """
    if not step.part or on_the_bench(record, step):
        return 0
    face = step.face if face is None else face
    for earlier in record.steps_of_part(step.part):
        if earlier.number < step.number and any((t.face or earlier.face) == face for t in record.things_of(earlier)):
            lay = lay_before(record, step.machine)[earlier.number]
            return face_turned(face, lay, lies_now(record.get(Machine, step.machine)))
    return 0


def map_turned(record: Record, step: Step, face: str | None = None) -> Literal[0, 90, 180, 270]:
    """Return how far a face of a step, its own for None, is turned now against how it was recorded: `face_turned`."""
    if not minds_lying(record, step):
        return 0
    return face_turned(
        step.face if face is None else face, lies_for(record, step), lies_now(record.get(Machine, step.machine))
    )
