"""What was worked out last is kept for as long as the same is asked for."""

from __future__ import annotations

from putback.tui.draw.latest import Latest


def test_it_is_worked_out_once_for_each_key_in_a_row() -> None:
    made: list[str] = []
    latest: Latest[str] = Latest()

    def ask(key: int, value: str) -> str:
        return latest.of(key, lambda: made.append(value) or value)  # type: ignore[func-returns-value]

    assert [ask(1, "a"), ask(1, "b"), ask(2, "c"), ask(1, "d")] == ["a", "a", "c", "d"]
    assert made == ["a", "c", "d"]


def test_nothing_is_a_value_too() -> None:
    latest: Latest[None] = Latest()
    latest.of("key", lambda: None)

    def again() -> None:
        raise AssertionError("it was worked out already")

    latest.of("key", again)
