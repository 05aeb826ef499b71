"""Rules for photos: filed with the step they show, and the doubtful ones settled."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from putback.errors import BadInput, Refused
from putback.trade.commands.command import Command
from putback.trade.commands.draft import Draft
from putback.trade.record.change import Change
from putback.trade.record.photo import Photo, When, is_photo_file
from putback.trade.record.phrases import quoted, times
from putback.trade.record.step import Step


class FiledPhoto(Struct, frozen=True, kw_only=True):
    """One picture and the step it shows; steps are told by their numbers on the machine, 0 for none."""

    file: str
    """The picture's name in the photos folder, made from its content."""
    name: str = ""
    """What the file was called in the camera; empty where not known."""
    taken: str = ""
    """When it was taken, a stamp by a clock that goes right; empty where not known."""
    step: int = 0
    """The number of the step that it shows."""
    when: When = ""
    """Where in the step it falls, one of WHENS; empty where not known."""
    back: bool = False
    """True where it shows the step being put back."""
    doubt: bool = False
    """True where a person should still say which step it is."""
    instead: int = 0
    """The number of the other step that it may belong to."""


class FilePhotos(Command, frozen=True, kw_only=True):
    """File pictures that lie in the workshop's photos folder with the steps they show."""

    is_work = False

    photos: tuple[FiledPhoto, ...]
    """The pictures; one that is filed already is passed over."""


class SettlePhoto(Command, frozen=True, kw_only=True):
    """Say which step a photo shows, by its number on the machine; 0 means none.

    `when` is one of WHENS, `back` whether it was put back then; what is left out stays for the same step. For another
    step, `when` is not known then and `back` is as it was.
    """

    is_work = False

    photo: int
    """The photo's number in the workshop."""
    step: int
    """The number of the step that it shows."""
    when: When = ""
    """Where in the step it falls; empty as said above."""
    back: bool | None = None
    """True where it shows the step being put back; None as said above."""


LONGEST_FILE_NAME = 300
"""How much of a camera's file name is kept."""


def _step_of(draft: Draft, number: int) -> Step | None:
    """Return the step numbered so on this machine, or None for 0. Raises Refused where there is none."""
    if not number:
        return None
    step = draft.record.step(draft.machine, number)
    if step is None:
        raise Refused(f"There is no step {number}.")
    return step


def file_photos(draft: Draft, command: FilePhotos) -> Change:
    """File photos with the steps they show; those that are filed already are passed over."""
    new: dict[str, Photo] = {}
    for shown in command.photos:
        if not is_photo_file(shown.file):
            raise BadInput(f"{quoted(shown.file)} is not the name of a photo in the workshop.")
        step, instead = _step_of(draft, shown.step), _step_of(draft, shown.instead)
        if shown.file in new or draft.record.photo_of_file(draft.machine, shown.file) is not None:
            continue
        photo = Photo(
            id=draft.new_id(Photo),
            machine=draft.machine,
            file=shown.file,
            name=shown.name[:LONGEST_FILE_NAME],
            taken=shown.taken,
            step=step.id if step else 0,
            when=shown.when if step else "",
            back=shown.back and step is not None,
            doubt=shown.doubt,
            instead=instead.id if instead else 0,
        )
        new[shown.file] = draft.put(photo)
    return draft.change("FilePhotos", f"{times(len(new), 'photo')} filed" if new else "these photos are filed already")


def settle_photo(draft: Draft, command: SettlePhoto) -> Change:
    """Say which step a photo shows; step 0: none of this machine."""
    photo = draft.record.find(Photo, command.photo)
    if photo is None or photo.machine != draft.machine:
        raise Refused(f"There is no photo {command.photo} of this machine.")
    step = _step_of(draft, command.step)
    if step is None:
        draft.put(replace(photo, step=0, when="", back=False, doubt=False, instead=0))
        return draft.change("SettlePhoto", f"{photo.name or photo.file} shows no step")
    when = command.when or (photo.when if photo.step == step.id else "")
    back = photo.back if command.back is None else command.back
    draft.put(replace(photo, step=step.id, when=when, back=back, doubt=False, instead=0))
    return draft.change("SettlePhoto", f"{photo.name or photo.file} shows step {step.number}, {step.name}")


RULES: dict[type[Command], Callable[[Draft, Any], Change]] = {
    FilePhotos: file_photos,
    SettlePhoto: settle_photo,
}
