"""Work that cannot be undone, by what a person says of it: on a machine kept as found it is asked about.

The words are those of the trade (common practice, no source).
"""

from __future__ import annotations

import re

KEPT_AS_FOUND = "keep as found"
"""What a machine is restored for that stays as it came."""

INTENTS = ("run", "show", KEPT_AS_FOUND)
"""What a machine is restored for."""

_ACTS = re.compile(
    r"\b(re-?paint\w*|(?:paint|spray)(?:ing)? (?:it|them|the|over)\b|re-?plat(?:e|ing|ed)\b"
    r"|plat(?:e|ing) (?:it|them|the)\b|(?:chrome|nickel|zinc|tin)[- ]plat\w*|re-?chrom\w*|polish\w*|buff(?:ing)?\b"
    r"|(?:sand|bead|grit)-?blast\w*|strip (?:off )?the paint|drill\w*|ream\w*|re-?tap(?:ped|ping)?\b|grind\w*"
    r"|throw\b[\w ]{0,40}\baway|discard\w*|scrap (?:it|them|the)\b)",
    re.IGNORECASE,
)


def cannot_be_undone(words: str) -> str:
    """Return the first word of an act that cannot be undone, as it was said; empty where there is none."""
    found = _ACTS.search(words)
    return found[1] if found else ""


def is_kept_as_found(intent: str) -> bool:
    """Tell whether what was said of a machine's intent is that it stays as it came."""
    return "as found" in intent.casefold()


def with_reason(what: str, reason: str) -> str:
    """Return a job's words with the reason why it is done all the same."""
    return f"{what} (kept as found; done because: {reason})"
