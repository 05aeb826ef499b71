"""How the machine lies: one answer for the card of a step and for the plan of them all."""

from __future__ import annotations

import pytest

from putback.planning.orders import fewest
from putback.trade import commands as c
from putback.trade.record.step import Step
from putback.trade.refit.orientation import face_turned, lay_before, lies_for
from putback.trade.refit.way_back import tasks
from tests.trade.hands import Hands


def test_the_machine_lies_as_the_record_left_it() -> None:
    hands = Hands()
    hands.do(c.AddAssembly(name="drum"))
    hands.take_off("lid")
    hands.do(c.Begin(do="turn", name="press", state="on its left cheek"))
    hands.do(c.Finish())
    hands.take_off("drum")
    hands.take_off("pawl", inside="drum")  # on the bench: it does not mind
    hands.do(c.Begin(do="turn", name="press", state="upright"))
    hands.do(c.Finish())
    hands.do(c.Begin(do="turn", name="press"))  # turned, and not said how it lies: as before
    hands.do(c.Finish())
    hands.take_off("foot", needs=(5,))
    work = tasks(hands.record, 1)
    assert [task.lies for task in work] == ["upright", None, "on its left cheek", None, None, None, "upright"]
    assert [task.lies or "" for task in work] == [lies_for(hands.record, s) for s in hands.record.all(Step, 1)]
    at_last = lay_before(hands.record, 1)[0]
    assert at_last == "upright"
    plan = fewest("turns", work, lying=at_last, at_last="upright")
    assert (plan.turns, plan.proved_best) == (2, True)


# Axes: x to the right of one who faces the front, y away from him, z up.
FACING = {"front": (0, -1, 0), "back": (0, 1, 0), "left": (-1, 0, 0), "right": (1, 0, 0)}
"""The way each face looks on an upright machine."""

MOVES = {
    "on its left side": lambda x, y, z: (-z, y, x),
    "on its right side": lambda x, y, z: (z, y, -x),
    "upside down": lambda x, y, z: (-x, y, -z),
    "on its back, on felt": lambda x, y, z: (x, z, -y),
    "on its front": lambda x, y, z: (x, -z, y),
}
"""Where a direction of the upright machine points once it lies so."""


@pytest.mark.parametrize("lies", MOVES)
@pytest.mark.parametrize("face", FACING)
def test_a_face_turns_before_ones_eyes_as_space_has_it(face: str, lies: str) -> None:
    facing, up = MOVES[lies](*FACING[face]), MOVES[lies](0, 0, 1)
    if facing[2]:
        assert face_turned(face, "upright", lies) == 0, "it looks up or down: one walks round to see it as it was"
        return
    # One stands before the face and looks along -facing; what is on the right hand there is facing x up.
    right = (-facing[1], facing[0], 0)
    across, along = sum(a * b for a, b in zip(up, right, strict=True)), up[2]
    clockwise = {(0, 1): 0, (1, 0): 90, (0, -1): 180, (-1, 0): 270}[across, along]
    assert face_turned(face, "upright", lies) == clockwise
    assert face_turned(face, lies, lies) == 0 and (face_turned(face, lies, "upright") + clockwise) % 360 == 0


def test_what_the_words_do_not_tell_is_drawn_as_recorded() -> None:
    assert face_turned("front", "upright", "right side up again") == face_turned("front", "upright", "on blocks") == 0
    assert face_turned("top", "upright", "upside down") == face_turned("", "upright", "upside down") == 0
