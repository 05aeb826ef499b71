"""What makes a story cheaper without telling less: the suite opens the app many hundred times.

A terminal that nobody looks at is painted when the screen has come to rest, not after each key on the way there; and
style sheets, which are the same in every story, are parsed once.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from rich.console import RenderableType
from textual._compositor import Compositor
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.screen import Screen

_paint = Compositor.render_update
_parse = Stylesheet._parse_rules
_parsed: dict[tuple[object, ...], list[RuleSet]] = {}


def _later(self: Compositor, full: bool = False, **kwargs: Any) -> RenderableType | None:
    """Paint only where the whole was asked for; what is to be painted stays noted."""
    return _paint(self, full, **kwargs) if full else None


def _parse_once(self: Stylesheet, css: str, *args: Any, **kwargs: Any) -> list[RuleSet]:
    key = (css, args, *sorted(kwargs.items()), frozenset(self._variables.items()))
    if key not in _parsed:
        _parsed[key] = _parse(self, css, *args, **kwargs)
    return _parsed[key]


def paint(screen: Screen[object]) -> None:
    """Paint what was to be painted since the last time, as the terminal would have had it."""
    _paint(screen._compositor, screen_stack=screen.app._background_screens)


@contextmanager
def quicker() -> Iterator[None]:
    """Paint at rest and parse once, for as long as this holds."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Compositor, "render_update", _later)
        patch.setattr(Stylesheet, "_parse_rules", _parse_once)
        yield
