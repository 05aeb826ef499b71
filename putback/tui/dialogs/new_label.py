"""The offer to make a label printed ahead the next bag's."""

from __future__ import annotations

from putback.tui.dialogs.prompts import Pick


class NewLabel(Pick):
    """Asks whether a good code that no bag has becomes a new bag's. Scanning it once more says yes."""

    def __init__(self, code: str, number: int) -> None:
        self.code = code
        """The code on the label."""
        super().__init__(f"{code} is on no bag yet", (f"make it bag {number}: what comes off goes into it", "leave it"))
