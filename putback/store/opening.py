"""The words and the first steps of opening a workshop: its lock, its making, why it may only be read."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from putback.errors import DiskTrouble, InUse, NotAWorkshop, StoreError
from putback.store import folding
from putback.store.disk import Disk, reason, trouble
from putback.store.folder import Folder
from putback.store.loading import StoreFinding
from putback.store.lock import Busy, Holder, Lock, Mark

_EFFECTIVE = os.access in os.supports_effective_ids


def take_lock(folder: Folder, disk: Disk, at: str, who: str) -> tuple[Lock | None, StoreError | None]:
    """The lock, or why this copy may only read."""
    try:
        disk.make_folder(folder.path)
        if not os.access(folder.path, os.W_OK, effective_ids=_EFFECTIVE):
            return None, DiskTrouble(f"{folder.path} may not be written; it is open to read only.")
        return Lock.take(folder.lock, at=at, who=who), None
    except Busy as busy:
        return None, in_use(folder.path, busy.holder)
    except OSError as error:
        return None, may_not_write(folder.path, error)


def make(folder: Folder, disk: Disk) -> None:
    """Make an empty workshop with an id of its own. Raises DiskTrouble."""
    try:
        folding.create(folder, disk, secrets.token_hex(4))
    except OSError as error:
        raise trouble("could not be made a workshop", folder.path, error) from error


def none_can_be_made(folder: Folder, refusal: StoreError | None) -> StoreError:
    """Why there is no workshop and none can be made."""
    if isinstance(refusal, InUse):
        return InUse(f"Another copy is just making a workshop in {folder.path}; try again.")
    if refusal is not None:
        return DiskTrouble(f"{folder.path} holds no workshop, and none can be made there: it may not be written.")
    return NotAWorkshop(f"There is no workshop in {folder.path}.")


def may_not_write(path: Path, error: OSError) -> DiskTrouble:
    """Why a copy may only read: the system said so."""
    return DiskTrouble(f"{path} may not be written ({reason(error)}); it is open to read only.")


def in_use(path: Path, holder: Holder | None) -> InUse:
    """Why a copy may only read: another one writes."""
    if holder is None:
        return InUse(f"Another copy has {path} open; here it is open to read only.")
    return InUse(
        f"{holder.who or 'Somebody'} has had {path} open since {holder.at[:16].replace('T', ' ')} "
        f"(process {holder.process} on {holder.host}); here it is open to read only."
    )


def taken_over(holder: Holder) -> str:
    """What to say of a copy that ended without closing."""
    who = f"{holder.who}, " if holder.who else ""
    since = f"open since {holder.at[:16].replace('T', ' ')}"
    return f"The program was cut off last time ({who}{since}); everything it confirmed is here."


def damage(folder: Folder, found: StoreFinding, number: int, *, lost: bool = False) -> str:
    """Why a copy may only read: something is damaged, or `lost`, and this is how far the record goes."""
    mending = "goes on from there in a new folder" if lost else "saves what follows into a new folder"
    return (
        f"{folder.path}: {found.where} {found.what}. Shown is the record up to change {number}, "
        f"to read only; `putback check --mend DIR` {mending}."
    )


def torn_text(where: str, mark: Mark | None, left_by: Holder | None) -> str:
    """What to say of a last line without its end that is left out, by what is known of the last time."""
    if mark is not None or left_by is not None:
        return f"{where} was cut short before it was confirmed, and is left out."
    return f"{where} was cut short, and is left out; whether it had been confirmed cannot be told."
