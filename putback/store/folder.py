"""What stands where in a workshop folder."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from putback.errors import DiskTrouble, NotAWorkshop
from putback.store.disk import ASIDE, reason

SNAPSHOT = "workshop.json"
JOURNAL = "workshop.journal"
LOCK = "workshop.lock"
HISTORY = "history"

DAMAGED = "damaged.txt"
PHOTOS = "photos"
SETTINGS = "settings.toml"

OURS = frozenset(
    (
        SNAPSHOT,
        JOURNAL,
        LOCK,
        HISTORY,
        DAMAGED,
        PHOTOS,
        SETTINGS,
        "out",
        SNAPSHOT + ASIDE,
        JOURNAL + ASIDE,
        LOCK + ASIDE,
    )
)
"""The names that may stand in a workshop folder; what is aside means nothing."""


class Folder:
    """The paths of one workshop."""

    def __init__(self, path: Path) -> None:
        """`path` is the workshop folder; nothing is read yet."""
        self.path = path
        self.snapshot = path / SNAPSHOT
        self.journal = path / JOURNAL
        self.lock = path / LOCK
        self.history = path / HISTORY
        self.damaged = path / DAMAGED
        self.photos = path / PHOTOS
        self.settings = path / SETTINGS

    def place(self, path: Path, line: int = 0) -> str:
        """A file of the workshop, and a line of it, as a finding names them."""
        name = path.relative_to(self.path).as_posix()
        return f"{name}, line {line}" if line else name

    def old_journal(self, fold: int) -> Path:
        """Where the journal of a fold lies once it is folded in."""
        return self.history / f"{fold:06}.journal"

    def old_snapshot(self, fold: int) -> Path:
        """Where the snapshot at the start of a fold lies once a newer one took its place."""
        return self.history / f"{fold:06}.json"

    def old_snapshots(self) -> list[tuple[int, Path]]:
        """The snapshots kept in history with their folds, newest first."""
        found = [(int(p.stem), p) for p in self.history.glob("*.json") if p.stem.isdecimal()]
        return sorted(found, reverse=True)

    def old_journals(self) -> list[tuple[int, Path]]:
        """The journals in the history with their folds, oldest first."""
        return sorted((int(p.stem), p) for p in self.history.glob("*.journal") if p.stem.isdecimal())

    def holds_workshop(self) -> bool:
        """Whether a workshop stands here. Raises NotAWorkshop, or DiskTrouble where one may not look."""
        try:
            if self.path.exists() and not self.path.is_dir():
                raise NotAWorkshop(f"{self.path} is a file; a workshop is a folder.")
            self._refuse_links()
            return self.snapshot.exists() or self.journal.exists()
        except OSError as error:
            raise DiskTrouble(f"{self.path} could not be looked at: {reason(error)}.") from error

    def _refuse_links(self) -> None:
        """Raise NotAWorkshop where a file of ours is a link, a pipe or the like: nothing may lead elsewhere."""
        files = (self.snapshot, self.journal, self.lock, self.damaged)
        asides = tuple(path.with_name(path.name + ASIDE) for path in (self.snapshot, self.journal))
        for path in (*files, *asides, self.history, self.photos):
            try:
                mode = path.lstat().st_mode
            except FileNotFoundError:
                continue
            wanted = stat.S_ISDIR if path in (self.history, self.photos) else stat.S_ISREG
            if not wanted(mode):
                kind = "folder" if wanted is stat.S_ISDIR else "file"
                raise NotAWorkshop(f"{path} is not a plain {kind}, so {self.path} is not opened.")

    def refuse_foreign(self) -> None:
        """Raise NotAWorkshop where the folder is used for something else (hidden files do not count)."""
        try:
            names = sorted(n for n in os.listdir(self.path) if not n.startswith(".") and n not in OURS)
        except FileNotFoundError:
            return
        except OSError as error:
            raise DiskTrouble(f"{self.path} could not be looked at: {reason(error)}.") from error
        if names:
            raise NotAWorkshop(
                f"{self.path} holds other things ({names[0]}) and no workshop; name a new or an empty folder."
            )
