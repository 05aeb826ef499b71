"""Tasks for tests: random ones, every order of them by brute force, and those of a session file."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from putback.planning.tasks import Task

SAMPLES = Path(__file__).parents[2] / "sample_sessions"


@st.composite
def machines(draw: st.DrawFn, largest: int = 9, bags: int = 4) -> list[Task]:
    """Up to `largest` tasks, each needing some of the earlier ones."""
    size = draw(st.integers(1, largest))
    labels = st.sets(st.integers(1, bags), max_size=2)
    tasks = []
    for number in range(1, size + 1):
        needs = draw(st.sets(st.integers(1, number - 1), max_size=2)) if number > 1 else set()
        tasks.append(
            Task(
                number=number,
                needs=frozenset(needs),
                bags=frozenset(draw(labels)),
                tools=frozenset(f"tool {n}" for n in draw(st.sets(st.integers(1, 3), max_size=2))),
                area=draw(st.sampled_from(["", "frame", "bell"])),
                minutes=draw(st.integers(1, 9)),
                good_stop=draw(st.booleans()),
                lies=draw(st.sampled_from([None, "upright", "on its side"])),
            )
        )
    return tasks


def every_order(tasks: list[Task]) -> Iterator[tuple[int, ...]]:
    """Every order in which each task comes after all that need it."""
    needed_by = {task.number: {other.number for other in tasks if task.number in other.needs} for task in tasks}

    def grow(done: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if len(done) == len(tasks):
            yield done
        for number, wanted in needed_by.items():
            if number not in done and wanted <= set(done):
                yield from grow((*done, number))

    yield from grow(())


def walked(sets: list[frozenset[Any]]) -> int:
    """Openings counted as a person would: by what lies open on the bench."""
    total = 0
    on_bench: set[Any] = set()
    for wanted in sets:
        if wanted:
            total += sum(1 for thing in wanted if thing not in on_bench)
            on_bench = set(wanted)
    return total


def sample(name: str) -> list[Task]:
    """The tasks of a session file, read by its published rules and nothing else of Putback."""
    with (SAMPLES / f"{name}.toml").open("rb") as file:
        book = tomllib.load(file)
    tasks: list[Task] = []
    for session in book["session"]:
        for step in session["step"]:
            number = len(tasks) + 1
            loose = step.get("loose", [])
            went_in = [row for row in step.get("fasteners", []) if row.get("found") != "empty"]
            went_in += [row for row in loose if "put" not in row]
            bags = {step["bag"]} if "bag" in step and went_in else set()
            for put in [step.get("put", ""), *(row.get("put", "") for row in loose)]:
                if put.startswith("bag "):
                    bags.add(int(put[4:]))
            tasks.append(
                Task(
                    number=number,
                    needs=frozenset(step.get("needs", [number - 1] if number > 1 else [])),
                    bags=frozenset(bags),
                    tools=frozenset(step.get("tools", [])),
                    area=step.get("in", ""),
                    minutes=step.get("minutes", 0),
                )
            )
    return tasks
