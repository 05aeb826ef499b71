"""The words of a refusal."""

from __future__ import annotations

from putback.trade.record.phrases import counted, few, instead, quoted, times, whole_in


def test_what_was_said_is_quoted_on_one_short_line() -> None:
    assert quoted("lid") == "“lid”"
    assert quoted("a\n  b\tc") == "“a b c”"
    assert quoted("x" * 100) == f"“{'x' * 57}...”"
    assert quoted(7) == "“7”"


def test_the_nearest_word_is_offered_else_all_there_are() -> None:
    known = ("take off", "let down", "Undo")
    assert instead("take of", known) == "; did you mean “take off”?"
    assert instead("UNDOO", known) == "; did you mean “Undo”?"
    assert instead("smash", known) == "; there is Undo, let down, take off."
    assert instead("smash", ()) == "."
    assert instead("zzz", [f"word {n}" for n in range(41)]) == "."


def test_counts_are_said_as_a_person_does() -> None:
    assert (times(1, "ball"), times(3, "ball")) == ("ball", "3 x ball")
    assert (counted(1, "step"), counted(0, "step"), counted(2, "step")) == ("1 step", "0 steps", "2 steps")
    assert few(["a", "b"]) == "a, b" and few(list("abcdefghij"), 3) == "a, b, c and 7 more" and few([]) == ""


def test_a_whole_number_is_one_in_plain_figures() -> None:
    assert [whole_in(text) for text in ("3", " 12 ", "0", "00000007")] == [3, 12, 0, 7]
    assert not [
        text for text in ("", "3.5", "-1", "½", "\u0663", "1e3", "123456789", "a") if whole_in(text) is not None
    ]
