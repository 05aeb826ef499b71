"""The tables in data/: CSV with their source in the first line, read on first use."""

from __future__ import annotations

from functools import cache

from msgspec import Struct


class ReferenceTable(Struct, frozen=True):
    """One table as it stands in its file."""

    source: str
    """Where its numbers come from."""
    rows: tuple[dict[str, str], ...]
    """One mapping a line, by column name."""


@cache
def table(name: str) -> ReferenceTable:
    """The table in the file `name` of putback/sizing/data."""
    import csv  # only where a table is read: the screen is there before
    from importlib.resources import files  # the same

    first, _, rest = files("putback.sizing").joinpath("data", name).read_text("utf-8").partition("\n")
    return ReferenceTable(first.removeprefix("# source: "), tuple(csv.DictReader(rest.splitlines())))


def rows(name: str) -> tuple[dict[str, str], ...]:
    """The lines of a table."""
    return table(name).rows
