"""What every command exits with; `--help` and the manual page tell it from here."""

from __future__ import annotations

DONE = 0
"""It was done."""
SOMETHING_WRONG = 1
"""A proof found something wrong."""
BAD_INPUT = 2
"""It could not do what was asked."""
BROKEN_OFF = 130
"""Ctrl+C was pressed."""

EXIT_CODES = {
    DONE: "done",
    SOMETHING_WRONG: "something in the workshop is not right (check, backup)",
    BAD_INPUT: "not done; one sentence on standard error says why",
    BROKEN_OFF: "broken off with Ctrl+C",
}
"""Each in words."""
