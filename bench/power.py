"""Power cuts: record every write, flush and renaming of a workshop's life, and cut after each of them."""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bench.proving import expected_states, need, state_of
from bench.strokes import AT, WHO, Bench
from putback.store import Store, check_folder
from putback.store.disk import Disk


class Recorder(Disk):
    """The real disk, with every write, flush and renaming noted in order."""

    def __init__(self, root: Path) -> None:
        """Notes are about paths under `root`."""
        self.root = root
        self.steps: list[tuple[Any, ...]] = []
        self._files: dict[int, int] = {}
        self._inodes: dict[Path, int] = {}
        self._next = 0

    def confirm(self, number: int) -> None:
        """Note that a change has been confirmed to the person."""
        self.steps.append(("confirmed", number))

    def make_folder(self, path: Path) -> None:
        super().make_folder(path)
        self.steps.append(("folder", path))

    def create(self, path: Path) -> int:
        file = super().create(path)
        self._next += 1
        self._files[file], self._inodes[path] = self._next, self._next
        self.steps.append(("create", path, self._next))
        return file

    def open_to_append(self, path: Path) -> int:
        file = super().open_to_append(path)
        self._files[file] = self._inodes[path]
        return file

    def write(self, file: int, data: bytes) -> None:
        super().write(file, data)
        self.steps.append(("write", self._files[file], data))

    def flush(self, file: int) -> None:
        super().flush(file)
        self.steps.append(("flush", self._files[file]))

    def cut(self, file: int, length: int) -> None:
        super().cut(file, length)
        self.steps.append(("cut", self._files[file], length))

    def rename(self, old: Path, new: Path) -> None:
        super().rename(old, new)
        self._inodes[new] = self._inodes.pop(old)
        self.steps.append(("name", new, self._inodes[new], old))

    def second_name(self, old: Path, new: Path) -> None:
        super().second_name(old, new)
        self._inodes[new] = self._inodes[old]
        self.steps.append(("name", new, self._inodes[new], None))

    def remove(self, path: Path) -> None:
        super().remove(path)
        if self._inodes.pop(path, None) is not None:
            self.steps.append(("remove", path))

    def flush_folder(self, path: Path) -> None:
        super().flush_folder(path)
        self.steps.append(("flush folder", path))


class Platter:
    """What may lie on the disk when the power goes: what was flushed for sure, the rest perhaps."""

    def __init__(self) -> None:
        """An empty disk."""
        self.folders: list[Path] = []
        self.sure: dict[int, bytes] = {}
        self.maybe: dict[int, list[tuple[Any, ...]]] = {}
        self.names: dict[Path, int] = {}
        self.maybe_names: list[tuple[Any, ...]] = []
        self.confirmed = 0

    def take(self, step: tuple[Any, ...]) -> None:
        """Go one recorded step on."""
        kind = step[0]
        if kind == "confirmed":
            self.confirmed = step[1]
        elif kind == "folder":
            self.folders.append(step[1])
        elif kind == "create":
            self.sure[step[2]], self.maybe[step[2]] = b"", []
            self.maybe_names.append(("name", step[1], step[2], None))
        elif kind in ("write", "cut"):
            self.maybe[step[1]].append(step)
        elif kind == "flush":
            self.sure[step[1]] = self.content(step[1], self.maybe[step[1]])
            self.maybe[step[1]] = []
        elif kind in ("name", "remove"):
            self.maybe_names.append(step)
        elif kind == "flush folder":
            mine = [s for s in self.maybe_names if s[1].parent == step[1]]
            self.maybe_names = [s for s in self.maybe_names if s[1].parent != step[1]]
            self.names = self.named(mine)

    def content(self, inode: int, steps: list[tuple[Any, ...]]) -> bytes:
        """A file with some of its unflushed steps."""
        data = self.sure[inode]
        for step in steps:
            data = data + step[2] if step[0] == "write" else data[: step[2]]
        return data

    def named(self, steps: list[tuple[Any, ...]]) -> dict[Path, int]:
        """The names with some of the unflushed steps."""
        names = dict(self.names)
        for step in steps:
            if step[0] == "remove":
                names.pop(step[1], None)
            else:
                names[step[1]] = step[2]
                if step[3] is not None:
                    names.pop(step[3], None)
        return names

    def cuts(self, rng: random.Random, tears: int, shuffles: int) -> Iterator[dict[Path, bytes]]:
        """Folders that the power cut may leave: all unflushed lost, all there, torn, and in any order."""
        nothing: dict[int, list[tuple[Any, ...]]] = {inode: [] for inode in self.sure}
        yield self._folder(self.named([]), nothing)
        yield self._folder(self.named(self.maybe_names), self.maybe)
        yield self._folder(self.named(self.maybe_names), nothing)
        yield self._folder(self.named([]), self.maybe)
        for inode, steps in self.maybe.items():
            if steps and steps[-1][0] == "write":
                data = steps[-1][2]
                places = range(len(data)) if tears >= len(data) else rng.sample(range(len(data)), tears)
                for place in places:
                    torn = {**self.maybe, inode: [*steps[:-1], ("write", inode, data[:place])]}
                    yield self._folder(self.named(self.maybe_names), torn)
                zeros = {**self.maybe, inode: [*steps[:-1], ("write", inode, bytes(len(data)))]}
                yield self._folder(self.named(self.maybe_names), zeros)
        for _ in range(shuffles if self.maybe_names or any(self.maybe.values()) else 0):
            names = [step for step in self.maybe_names if rng.random() < 0.5]
            some = {inode: steps[: rng.randint(0, len(steps))] for inode, steps in self.maybe.items()}
            yield self._folder(self.named(names), some)

    def _folder(self, names: dict[Path, int], steps: dict[int, list[tuple[Any, ...]]]) -> dict[Path, bytes]:
        return {path: self.content(inode, steps[inode]) for path, inode in names.items()}


def cut_power(work: Path, *, strokes: int = 12, tears: int = 40, shuffles: int = 6, seed: int = 1) -> dict[str, int]:
    """Record a small life of a workshop, then cut the power after every step of it.

    Every folder that may be left must open to write, hold what was confirmed, be one of the states that
    really were, check clean, and take the next change.
    """
    rng = random.Random(seed)
    root = work / "recorded"
    recorder = Recorder(root)
    changes = [change for change, _, _ in Bench(seed, per_step=3).strokes(strokes + 1)]
    states = expected_states(changes)
    done = 0
    for stay in range(3):
        with Store.open(root, at=AT, who=WHO, disk=recorder) as store:
            for _ in range(strokes // 3):
                done = store.commit(changes[done], at=AT, who=WHO)
                recorder.confirm(done)
                if done % 3 == 0:
                    store.fold()
            if stay == 1:
                store.fold()
    counts = {"steps": len(recorder.steps), "cuts": 0, "beyond": 0, "dropped": 0}
    platter = Platter()
    for step in recorder.steps:
        platter.take(step)
        if step[0] in ("confirmed", "folder"):
            continue
        for files in platter.cuts(rng, tears, shuffles):
            target = work / "left"
            _lay_out(target, root, platter.folders, files)
            counts["cuts"] += 1
            with Store.open(target, at=AT, who=WHO) as store:
                need(store.writable, f"after {step[:2]}: {store.notes}")
                need(store.number >= platter.confirmed, f"{platter.confirmed} confirmed, {store.number} there")
                need(state_of(store) == states[store.number], f"documents differ at {store.number}")
                counts["beyond"] += store.number > platter.confirmed
                counts["dropped"] += any("cut short" in note for note in store.notes)
                found = check_folder(target)
                need(not found, f"after {step[:2]}: {found}")
                store.commit(changes[store.number], at=AT, who=WHO)
            shutil.rmtree(target)
    return counts


def _lay_out(target: Path, root: Path, folders: list[Path], files: dict[Path, bytes]) -> None:
    for folder in folders:
        (target / folder.relative_to(root)).mkdir(parents=True, exist_ok=True)
    target.mkdir(exist_ok=True)
    for path, data in files.items():
        place = target / path.relative_to(root)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)
