"""A photo on a card: beside the words where there is room, one after the other by a key, and off by the same key."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.css.query import NoMatches

from putback.trade.record.photo import Photo
from putback.tui.dialogs.keyed import Keyed
from putback.tui.draw.text import wrapped
from putback.tui.widgets.picture import PictureView

LEAST = 56
"""Columns from which a photo stands beside the words."""
NARROWEST, WIDEST = 24, 38
"""Columns of a photo beside the words."""
GAP = 3
"""Columns between the words and the photo."""


class PhotoBeside(Keyed):
    """A screen over the bench with a photo on it. It has a PictureView in the box that its words stand in."""

    photo_at = 0
    """Which of its photos is shown."""

    def photos(self) -> Sequence[Photo]:
        """Return the photos of what the screen is about, the most telling first."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Draw what is."""
        raise NotImplementedError

    @property
    def photo(self) -> Photo | None:
        """The photo to show now; None where there is none, or they are off."""
        found = self.photos()
        if not found or not self.host.pictures.shown:
            return None
        return found[min(self.photo_at, len(found) - 1)]

    def photo_width(self, width: int) -> int:
        """Return how many columns a photo takes of `width`, with the gap; 0 where none is shown beside the words."""
        if self.photo is None or width < LEAST or self.host.pictures.in_words:
            return 0
        return GAP + max(NARROWEST, min(WIDEST, width * 2 // 5))

    def in_words(self, width: int) -> list[Content]:
        """Return the sentence that stands for a photo on a screen that shows no pictures."""
        photo = self.photo
        if photo is None or not self.host.pictures.in_words:
            return []
        return wrapped(f"photo {self.photo_text(photo)}: {photo.name}, as photos/{photo.file}", width, "$pb-muted")

    def photo_text(self, photo: Photo) -> str:
        """Return what is to be said under a photo."""
        count = len(self.photos())
        which = f"{min(self.photo_at, count - 1) + 1} of {count}, " if count > 1 else ""
        return which + photo_caption(photo)

    def place_photo(self, left: int, top: int, columns: int, rows: int) -> None:
        """Show the photo in a box of cells of the card; nothing where there is none."""
        photo = self.photo
        try:
            view = self.query_one(PictureView)  # type: ignore[attr-defined]
        except NoMatches:  # the screen is being made, or left
            return
        if photo is None or columns < 4 or rows < 3 or self.host.pictures.in_words:
            view.hide()
        else:
            caption = f"photo: {self.photo_text(photo)}".removesuffix(": ")
            view.show(photo.file, photo.name or photo.file, caption, left, top, columns, rows)

    def turn_photo(self) -> None:
        """Show the next photo; after the last one none, on any card, until the key is pressed again."""
        pictures = self.host.pictures
        count = len(self.photos())
        if not count:
            self.host.refuse("There is no photo here.")
            return
        if not pictures.shown:
            pictures.shown, self.photo_at = True, 0
        elif self.photo_at + 1 < count:
            self.photo_at += 1
        else:
            pictures.shown, self.photo_at = False, 0
            self.host.say("note", "pictures are off; V shows them again")
        self.redraw()


def photo_caption(photo: Photo) -> str:
    """Return where in its step a photo falls and when it was taken, in a few words."""
    when = photo.falls
    day = photo.taken[:16].replace("T", " ")
    return ", ".join(filter(None, (when, "in doubt" if photo.doubt else "", day)))
