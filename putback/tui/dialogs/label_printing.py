"""Printing the labels of bags from a card or from the list of bags."""

from __future__ import annotations

from putback.errors import PutbackError
from putback.labels.bag_facts import to_print_anew
from putback.labels.sheets import as_set
from putback.labels.whose import set_aside
from putback.trade import commands as c
from putback.trade.record.phrases import counted
from putback.tui.dialogs.beside_keys import beside_keys
from putback.tui.host import Host


def print_labels(host: Host, numbers: list[int]) -> None:
    """Print the labels of bags of the machine on the bench into the folder `out`, and keep what they say."""
    # The PDF and picture libraries, only where something is printed.
    from putback.labels.bag_labels import bag_label_facts, write_bag_labels

    workshop, machine = host.workshop, host.machine
    if machine is None or workshop.store.folder is None:
        host.refuse("This workshop has no folder to print into.")
        return
    out = workshop.store.folder / "out"
    try:
        on, printer = as_set(host.settings.labels)
        anew = to_print_anew(workshop.record, machine, numbers)
        facts = bag_label_facts(workshop.record, machine, numbers)
        aside = set_aside(out, "labels", machine.caption)
    except PutbackError as fault:
        host.refuse(str(fault))
        return

    def done() -> None:
        recorded = not anew or host.do(c.LabelsPrinted(says=anew), quiet=True, machine=machine.id) is not None
        if recorded:
            what = f"the label of bag {numbers[0]}" if len(numbers) == 1 else counted(len(numbers), "label")
            host.say("note", f"made {what}: print {out / 'labels.pdf'} at 100 %" + (f". {aside}" if aside else ""))

    beside_keys(
        host,
        f"making {counted(len(facts), 'label')}",
        lambda: write_bag_labels(facts, out, on, printer),
        lambda printed: done(),
        at_once=len(facts) <= AT_ONCE,
    )


AT_ONCE = 3
"""Labels that are made in the key's way: each takes some hundredths of a second."""
