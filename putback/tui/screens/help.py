"""The keys of the place one is in."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from putback.tui.keys import keys_of
from putback.tui.screens.keyed import KeyedModal

PLACES = {
    "part": "no part is begun",
    "place": "a place is wanted",
    "field": "in a field",
    "bench": "anywhere on the bench",
    "refit": "putting back",
    "find": "in the search, once its field is left",
    "card": "on a card",
    "bag": "on a bag's card",
    "walk": "walk-back",
    "break": "at a break",
}


class HelpScreen(KeyedModal[None]):
    """A page of keys."""

    def __init__(self, places: tuple[str, ...]) -> None:
        super().__init__()
        self._places = places

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="card", can_focus=False):
            yield Static(id="help")

    def on_mount(self) -> None:
        lines = []
        for place in self._places:
            lines.append(Content.styled(PLACES[place], "bold $pb-blue"))
            for key in keys_of(place):
                shown = Content.styled(f"  {key.shown:<8}", "bold $pb-brass")
                lines.append(Content.assemble(shown, Content.styled(f"{key.label:<13}", "bold"), key.told))
            lines.append(Content(""))
        lines.append(Content.styled("a bag's code (PB...), scanned or typed, chooses it while a part", "$pb-muted"))
        lines.append(Content.styled("comes off, proves it at refit, opens its card anywhere else", "$pb-muted"))
        lines.append(Content.styled("+ and - turn the page, any other key goes back", "$pb-muted"))
        self.query_one("#help", Static).update(Content("\n").join(lines))

    def press(self, key: str) -> None:
        """Turn the page or go back."""
        page = self.query_one(VerticalScroll)
        if key in ("+", "down", "pagedown"):
            page.scroll_page_down(animate=False)
        elif key in ("-", "up", "pageup"):
            page.scroll_page_up(animate=False)
        else:
            self.leave(None)

    def on_click(self, event: events.Click) -> None:
        """A click goes back, too."""
        self.leave(None)
