"""Which machine or bag is meant by what a person says, and codes that no bag has yet."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterator

from putback.errors import BadInput
from putback.trade.record.bag import Bag
from putback.trade.record.machine import Machine
from putback.trade.record.phrases import few, instead, quoted
from putback.trade.record.record import Record
from putback.trade.record.step import Step

CodeMaker = Callable[[Container[str]], str]
"""Gives an unused bag code, told which are taken."""


def machine_named(known: list[Machine], words: str, where: str) -> Machine:
    """Return the machine among `known` that `words` names; `where` says for a sentence where they are.

    Its name, its serial or both name it, and so does the beginning of any word of them that no other has.
    Raises BadInput where there is none or more than one, naming each of those there are once.
    """
    ways: tuple[Callable[[Machine, str], bool], ...] = (Machine.is_exactly, Machine.answers_to, Machine.begins_with)
    named: list[Machine] = next(filter(None, ([m for m in known if way(m, words)] for way in ways)), [])
    if len(named) > 1:
        several = few([m.caption for m in named])
        raise BadInput(f"More than one machine answers to {quoted(words)}: {several}; say name and serial.")
    if not named:
        captions = {name: m.caption for m in known for name in (m.name, m.serial, m.caption) if name}
        raise BadInput(f"There is no machine {quoted(words)} {where}{instead(words, captions, captions)}")
    return named[0]


def steps_named(record: Record, machine: int, words: str) -> list[Step]:
    """Return the steps that are not back and whose part some words name in full, the longest name first."""
    said = words.casefold()
    found = [
        step
        for step in record.all(Step, machine)
        if step.part and not step.back and re.search(rf"(?<!\w){re.escape(step.name.casefold())}(?!\w)", said)
    ]
    return sorted(found, key=lambda step: -len(step.name))


def bag_coded(record: Record, code: str, machine: Machine | None = None) -> Bag:
    """Return the bag of that code, on a machine where one is given.

    Raises BadInput where there is none, or where an error gave two bags one code.
    """
    found = record.bags_by_code(code)
    if machine is not None:
        ours = [bag for bag in found if bag.machine == machine.id]
        if found and not ours:
            owner = record.get(Machine, found[0].machine).caption
            raise BadInput(f"{code} is bag {found[0].number} of {owner}, not of {machine.caption}.")
        found = ours
    if not found:
        raise BadInput(f"No bag in this workshop has the code {code}.")
    if len(found) > 1:
        text = " and ".join(f"bag {b.number} of {record.get(Machine, b.machine).caption}" for b in found[:2])
        raise BadInput(f"Two bags have the code {code}: {text}; tell them apart by machine, or give one a new bag.")
    return found[0]


def fresh_codes(record: Record, codes: CodeMaker) -> Iterator[str]:
    """Give unused bag codes; none is drawn before it is wanted."""
    fresh: set[str] = set()
    while True:
        code = codes(_Taken(record, fresh))
        fresh.add(code)
        yield code


class _Taken:
    """Every code in use, and those just made."""

    def __init__(self, record: Record, fresh: set[str]) -> None:
        self._record = record
        self._fresh = fresh

    def __contains__(self, code: object) -> bool:
        return code in self._fresh or (isinstance(code, str) and self._record.bag_by_code(code) is not None)
