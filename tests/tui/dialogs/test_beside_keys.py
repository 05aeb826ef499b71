"""What takes long goes on beside the keys, and says how far it is."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from putback.labels.bag_facts import to_print_anew
from putback.progress import each
from putback.trade.record.bag import Bag
from putback.tui.dialogs import beside_keys, label_printing
from tests.tui.conftest import Opened


async def test_what_takes_long_says_how_far_it_is_unless_something_else_was_said(
    demo: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside_keys, "AGAIN", 0.0)
    async with opened(demo) as bench:
        host, heard = bench.app, list[str]()
        say = host.say

        def listen(sort: str, words: str, back: str = "", *, rings: str | None = None) -> None:
            heard.append(words)
            say(sort, words, back, rings=rings)

        monkeypatch.setattr(host, "say", listen)
        make = partial(each, "abc", "labels")
        beside_keys.beside_keys(host, "making 3 labels", lambda: "".join(make()), lambda made: say("note", made))
        await bench.settle()
        assert bench.said == "abc" and heard[0] == "making 3 labels; the keys go on"
        assert heard[-1] == "making 3 labels: labels, 2 of 3"
        heard.clear()
        beside_keys.beside_keys(host, "making more", lambda: "".join(make()), lambda made: None)
        host.say("recorded", "step 4 is back")
        await bench.settle()
        assert heard == ["making more; the keys go on", "step 4 is back"] and bench.said == "step 4 is back"


async def test_many_labels_are_made_beside_the_keys_and_are_told_as_printed(demo: Path, opened: Opened) -> None:
    async with opened(demo) as bench:
        record = bench.app.workshop.record
        machine = bench.app.machine
        assert machine is not None and bench.app.workshop.store.folder is not None
        numbers = sorted(bag.number for bag in record.all(Bag, machine.id))
        assert len(numbers) > label_printing.AT_ONCE
        label_printing.print_labels(bench.app, numbers)
        assert "the keys go on" in bench.said
        await bench.settle()
        assert bench.said.startswith(f"made {len(numbers)} labels") and not to_print_anew(record, machine)
        assert len(list((bench.app.workshop.store.folder / "out").glob("*.png"))) == len(numbers)
