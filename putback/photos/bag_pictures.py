"""Which bags the pictures of a folder show."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from putback.errors import BadInput
from putback.photos.codes_in_pictures import squares_in_folder
from putback.trade.record.machine import Machine
from putback.trade.record.record import Record


@dataclass(frozen=True, slots=True)
class BagPicture:
    """What one picture shows."""

    file: str
    """The picture's name."""
    bags: tuple[tuple[str, int, str], ...]
    """Code, number and machine of each bag seen in it."""
    strange: tuple[str, ...]
    """Bag codes in it that no bag of this workshop has."""
    why: str
    """Why it was not read; empty where it was."""

    def to_json(self) -> dict[str, Any]:
        """Return it as the command line prints it."""
        bags = [{"code": code, "number": number, "machine": machine} for code, number, machine in self.bags]
        return {"file": self.file, "bags": bags, "strange": list(self.strange), "why": self.why or None}


def bags_in_folder(record: Record, folder: Path) -> list[BagPicture]:
    """Return what each picture of a folder shows, by name.

    Raises BadInput when it is not a folder, holds no picture, or the reader is not installed.
    """
    rows = []
    for path, found in squares_in_folder(folder):
        if isinstance(found, BadInput):
            rows.append(BagPicture(path.name, (), (), str(found)))
            continue
        codes = list(dict.fromkeys(one.code for one in found if one.code))
        bags = [
            (code, bag.number, record.get(Machine, bag.machine).caption)
            for code in codes
            for bag in record.bags_by_code(code)
        ]
        known = {code for code, _, _ in bags}
        rows.append(BagPicture(path.name, tuple(bags), tuple(code for code in codes if code not in known), ""))
    if not rows:
        raise BadInput(f"{folder} holds no pictures")
    return rows


def bag_pictures_text(rows: list[BagPicture], folder: Path) -> str:
    """Return what the pictures show as lines of text."""
    lines = []
    for row in rows:
        texts = [f"bag {number} of {machine}, {code}" for code, number, machine in row.bags]
        texts += [f"{code}, on no bag of this workshop" for code in row.strange]
        lines.append(f"{row.file}: {row.why or '; '.join(texts) or 'no bag code'}")
    with_bag = sum(bool(row.bags) for row in rows)
    lines.append(f"{folder}: {len(rows)} pictures, {with_bag} with a bag of this workshop")
    return "\n".join(lines)
