"""The list of what to get, with boxes to tick: what a shop reads, how many, what for, and what else could be done."""

from __future__ import annotations

from collections.abc import Sequence

from putback.reports.to_get import GetLine
from putback.sheets.ticked import Sheet, Ticked, ticked
from putback.sheets.writing import Printed
from putback.trade.cautions.dangers import cautions_told
from putback.trade.record.phrases import counted

ALWAYS = frozenset({"buy", "make"})
"""What can be done about everything: it is not printed where there is nothing else."""


def to_get(lines: Sequence[GetLine], *, of: str = "") -> Printed:
    """Return the list as it is printed; `of` as in `get_sheet`."""
    return ticked("to-get", "Nothing has to be got.", [get_sheet(lines, of=of)] if lines else [])


def get_sheet(lines: Sequence[GetLine], *, of: str = "") -> Sheet:
    """Return the list; `of` is the machine that it is for alone, empty where it is for all."""
    pieces = sum(line.needed + line.over for line in lines)
    machines = list(dict.fromkeys(name for line in lines for name in line.machines))
    return Sheet(
        title="To get",
        under=(f"for {of}" if of else f"for {', '.join(machines)}", *cautions_told(line.what for line in lines)),
        lines=tuple(map(_line, lines)),
        foot=f"{counted(len(lines), 'line')}, {counted(pieces, 'piece')} in all",
    )


def _line(line: GetLine) -> Ticked:
    count = f"{line.needed} needed, {line.over} extra" if line.over else ""
    head = "; ".join(filter(None, (count, "ordered" if line.state == "ordered" else "")))
    wanted = [f"for {one.caption}, {one.where}" for one in line.things]
    ways = f"ways: {'; '.join(line.ways)}" if set(line.ways) - ALWAYS else ""
    return Ticked(str(line.needed + line.over), line.what, tuple(filter(None, (head, *wanted, ways))))
