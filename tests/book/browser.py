"""A browser without a window, driven over its own pipe (the DevTools protocol): what a book looks like to a person.

It wants Chromium, as Debian's package `chromium` has it; nothing else is installed and nothing is fetched.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
from base64 import b64decode
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, BinaryIO

PROGRAM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
"""The browser that is on this machine; None where there is none."""

_OFF = "gpu quic background-networking component-update sync dev-shm-usage"
_FLAGS = ["--headless", "--no-sandbox", "--no-first-run", "--hide-scrollbars", "--remote-debugging-pipe"]
_FLAGS += [f"--disable-{what}" for what in _OFF.split()]


class Page:
    """The one page of a browser."""

    def __init__(self, asks: BinaryIO, answers: BinaryIO) -> None:
        """The browser reads from `asks` and writes to `answers`."""
        self._asks, self._answers = asks, answers
        self._rest, self._last, self._session = b"", 0, ""
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        self._session = self._ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self._ask("Page.enable")

    def _told(self) -> dict[str, Any]:
        while b"\0" not in self._rest:
            more = self._answers.read(1 << 16)
            if not more:
                raise RuntimeError("the browser has ended")
            self._rest += more
        told, _, self._rest = self._rest.partition(b"\0")
        message: dict[str, Any] = json.loads(told)
        return message

    def _ask(self, method: str, **what: Any) -> dict[str, Any]:
        self._last += 1
        message = {"id": self._last, "method": method, "params": what}
        if self._session:
            message["sessionId"] = self._session
        self._asks.write(json.dumps(message).encode() + b"\0")
        while (told := self._told()).get("id") != self._last:
            pass
        if "error" in told:
            raise RuntimeError(f"{method}: {told['error']}")
        answer: dict[str, Any] = told["result"]
        return answer

    def open(self, url: str) -> None:
        """Open a page, and wait until it is loaded."""
        self._go("Page.navigate", url=url)

    def again(self) -> None:
        """Load the page anew."""
        self._go("Page.reload")

    def _go(self, method: str, **what: Any) -> None:
        self.run("window.before = true")
        self._ask(method, **what)
        while not self._loaded():
            self._told()  # it is still loading: something more will be told

    def _loaded(self) -> bool:
        try:
            return bool(self.run("document.readyState === 'complete' && !window.before"))
        except RuntimeError:  # the page before is just going
            return False

    def wide(self, pixels: int, high: int = 844) -> None:
        """Make the window so many CSS pixels wide."""
        self._ask(
            "Emulation.setDeviceMetricsOverride", width=pixels, height=high, deviceScaleFactor=1, mobile=pixels < 600
        )

    def looks(self, *, media: str = "", dark: bool = False) -> None:
        """Show the page as `media` (`print`) has it, or as a person with a dark desktop sees it."""
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self._ask("Emulation.setEmulatedMedia", media=media, features=[scheme])

    def scripts(self, on: bool) -> None:
        """Let the page's own scripts run from the next load on, or not; what `run` is given runs in any case."""
        self._ask("Emulation.setScriptExecutionDisabled", value=not on)

    def run(self, script: str) -> Any:
        """Return what a script comes to; a promise is waited for."""
        answer = self._ask("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in answer:
            raise RuntimeError(str(answer["exceptionDetails"]))
        return answer["result"].get("value")

    def printed(self, inches: tuple[float, float]) -> bytes:
        """Return the page as the browser prints it, at 100 per cent and with the margins that the page asks for."""
        wide, high = inches
        made = self._ask("Page.printToPDF", paperWidth=wide, paperHeight=high, printBackground=False, scale=1)
        return b64decode(made["data"])

    def picture(self, path: Path, *, whole: bool = True, top: float = 0, high: float = 0) -> None:
        """Write a picture of the page; of a strip of it from `top`, where `high` is given."""
        size = self._ask("Page.getLayoutMetrics")["cssContentSize"]
        clip = {"x": 0, "y": top, "width": size["width"], "height": high or size["height"], "scale": 1}
        shot = self._ask("Page.captureScreenshot", captureBeyondViewport=whole, clip=clip)
        path.write_bytes(b64decode(shot["data"]))


@contextmanager
def browser() -> Iterator[Page]:
    """Give a page of a browser that was just started, with a profile of its own."""
    assert PROGRAM is not None
    with TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        asks, to_ask = os.pipe()
        to_answer, answers = os.pipe()
        started = os.posix_spawn(
            PROGRAM,
            [PROGRAM, f"--user-data-dir={profile}", *_FLAGS],
            os.environ,
            file_actions=[
                (os.POSIX_SPAWN_DUP2, asks, 3),  # it reads from 3 and writes to 4
                (os.POSIX_SPAWN_DUP2, answers, 4),
                (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0),
            ],
        )
        os.close(asks)
        os.close(answers)
        with os.fdopen(to_ask, "wb", 0) as ask, os.fdopen(to_answer, "rb", 0) as answer:
            try:
                yield Page(ask, answer)
            finally:
                os.kill(started, signal.SIGTERM)
                os.waitpid(started, 0)


def accessibility_checker() -> str | None:
    """Return axe-core's script as the package `axe-core-python` carries it; None where that is not installed."""
    found = find_spec("axe_core_python")
    if found is None or not found.submodule_search_locations:
        return None
    return (Path(found.submodule_search_locations[0]) / "axe.min.js").read_text(encoding="utf-8")


AXE = """
axe.run(%s, {resultTypes: ["violations"], %s}).then(found => found.violations.map(one => (
  {rule: one.id, impact: one.impact, count: one.nodes.length, help: one.help, first: one.nodes[0].html.slice(0, 160)})))
"""
"""Every finding of the accessibility checker, once it is loaded: rule, impact, how often, and the first place.

It is filled with what is looked at, `document`, and with options, as `runOnly: ["color-contrast"]`.
"""

SIDEWAYS = """
(() => { const room = document.documentElement.clientWidth;
  return {scrolls: document.documentElement.scrollWidth - room,
    out: [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > room + 0.5
      && !e.closest(".wide, svg")).slice(0, 5).map(e => e.outerHTML.slice(0, 120))}; })()
"""
"""How far the page scrolls sideways, and what stands out to the right."""
