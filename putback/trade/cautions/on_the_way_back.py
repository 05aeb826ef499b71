"""The usual cautions on the way back: a spring to be loaded, a weight to be turned, the mains before a trial run.

They are called up by what the record says of a step, tell of the risk and give no instructions. Sources stand beside
the causes in `dangers`; what is said otherwise here than at taking off is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from putback.trade.cautions.dangers import (
    CLOCKWORK,
    DANGERS,
    FIRST,
    LIFTING,
    MOTOR,
    SPRING,
    WIRING,
    CalledCaution,
    dangers_in,
)
from putback.trade.cautions.lifting import lifting_caution
from putback.trade.record.machine import Machine, Part
from putback.trade.record.record import Record
from putback.trade.record.step import Step

TRIAL = "trial run"
"""Power comes back; the words are for a machine that has the mains in it."""

_MAINS = "mains: plug out and in sight until the last cover is on; rewiring by a licensed person"
BACK = {
    SPRING.cause: "a spring is loaded here: eyes covered, stand aside, by counted turns; a barrel stays closed",
    "mains": _MAINS,
    MOTOR: _MAINS,
    "stored motion": "stored motion: block it until the last thing that holds it is on again; hands clear",
    TRIAL: "before it runs on the mains: every cover on, cord and earth looked at by someone licensed",
}
"""What is said on the way back where that is not what is said at taking off."""

AGAIN_ONLY_WHERE_SAID = frozenset(
    {"solvent", "stripper", "acid", "compressed air", "heat", "flying metal", "strong bath", "paint", "cleaner"}
)
"""What was of one time: it is called up again only by work that is still to be done."""

_TRIAL = re.compile(
    r"\b(?:trial|tests?\b|test run|try (?:it|out)|switch(?:ed)? on|plug(?:ged)? (?:it )?in\b|run it)", re.IGNORECASE
)
_LOADING = re.compile(
    r"\b(?:wind(?:ing)? (?:up|the|it)|rewind|wound (?:up|again)|tension (?:the|it)|load the)\b", re.IGNORECASE
)


def called_back(record: Record, step: Step, *, turned: bool = False) -> list[CalledCaution]:
    """Return the cautions that putting a step back calls for, in the order of DANGERS; lifting first.

    `turned`: the machine is to be turned for it.
    """
    machine = record.get(Machine, step.machine)
    todo = [*step.at_refit, *(adjustment.text for adjustment in step.adjust)]
    todo += [job.what for job in step.todo if job.open]
    still = {danger.cause for danger in dangers_in(todo)}
    dangers = dangers_in([*_texts_of(record, step), *todo])
    found = {d.cause: d.words for d in dangers if d.cause in still or d.cause not in AGAIN_ONLY_WHERE_SAID}
    rules = {danger.cause: danger.rules for danger in DANGERS} | {TRIAL: WIRING}
    if MOTOR in found and ("mains" in found or _wound(record, step.machine)):
        del found[MOTOR]
    if step.do == "let down" or any(map(_LOADING.search, todo)):
        found = {SPRING.cause: SPRING.words} | found
    if any(map(_TRIAL.search, todo)) and _on_the_mains(record, step):
        found[TRIAL] = ""
    called = [
        CalledCaution(cause, f"{BACK.get(cause, words)}. {FIRST}", rules[cause]) for cause, words in found.items()
    ]
    heavy = lifting_caution(machine.mass) if turned else ""
    return [CalledCaution(LIFTING.cause, f"{heavy}. {FIRST}", LIFTING.rules), *called] if heavy else called


def _texts_of(record: Record, step: Step) -> Iterator[str]:
    """Give what the record says of a step and of what it released."""
    yield from (step.name, step.note, *step.cautions)
    for thing in record.things_of(step):
        if thing.sort != "part":
            yield from (thing.name, thing.note)


def _wound(record: Record, machine: int) -> bool:
    """Tell whether the motor of a machine is a clockwork, by the names of its parts and the work of its steps."""
    names = (part.name for part in record.all(Part, machine))
    work = (words for step in record.all(Step, machine) for words in (step.name, *step.at_refit))
    return any(map(CLOCKWORK.search, [*names, *work]))


def _on_the_mains(record: Record, step: Step) -> bool:
    """Tell whether anything that was recorded of a machine is on the mains."""
    for other in record.all(Step, step.machine):
        causes = {danger.cause for danger in dangers_in(_texts_of(record, other))}
        if "mains" in causes or (MOTOR in causes and not _wound(record, other.machine)):
            return True
    return False
