"""Rule for labels that went to the printer: which bags have one, and what it says."""

from __future__ import annotations

from typing import Any

from putback.errors import Refused
from putback.trade.commands.bagging import bag_numbered
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.phrases import counted


class LabelsPrinted(Command, frozen=True, kw_only=True):
    """Say that labels of some bags were printed, and with which words."""

    is_work = False

    says: dict[int, str]
    """What each label says, by the number of its bag on this machine."""


def labels_printed(draft: Draft, command: LabelsPrinted) -> Change:
    """Keep with each bag what its label says, so that one that says something else can be printed anew."""
    if not command.says:
        raise Refused("No label was printed.")
    for number, words in sorted(command.says.items()):
        draft.alter(bag_numbered(draft, number), label=words, printed=draft.at)
    only = f"label of bag {min(command.says)}"
    what = only if len(command.says) == 1 else counted(len(command.says), "label")
    return draft.change("LabelsPrinted", f"{what} printed")


RULES: dict[type[Command], Any] = {
    LabelsPrinted: labels_printed,
}
