"""How far a long piece of work has come: who listens hears of each item, and nobody else pays for it."""

from __future__ import annotations

import pytest

from putback.progress import each, listening, teller


def test_without_a_listener_the_items_are_given_as_they_are() -> None:
    items = [1, 2, 3]
    assert type(each(items, "steps")) is type(iter(items)) and list(each(items, "steps")) == items
    assert teller("bytes", 9) is None


def test_a_listener_hears_what_is_done_and_of_how_much() -> None:
    heard: list[tuple[str, int, int]] = []
    with listening(lambda *told: heard.append(told)):
        assert list(each("ab", "letters")) == ["a", "b"]
        assert list(each(iter("c"), "others", 7)) == ["c"]
        tell = teller("bytes", 9)
        assert tell is not None
        tell(4)
        with listening(None):
            assert list(each("d", "unheard")) == ["d"]
    assert heard == [("letters", 0, 2), ("letters", 1, 2), ("others", 0, 7), ("bytes", 4, 9)]
    assert teller("bytes") is None


def test_a_listener_may_break_the_work_off() -> None:
    def stop(what: str, done: int, of: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    seen: list[int] = []
    with listening(stop), pytest.raises(KeyboardInterrupt):
        seen.extend(each(range(9), "items"))
    assert seen == [0, 1]
