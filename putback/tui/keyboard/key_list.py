"""The keys as text: every command with its id, by place, as the settings have them."""

from __future__ import annotations

from putback.tui.keyboard.key import Key
from putback.tui.keyboard.keymap import Keymap, name_of, spoken

PLACES = {
    "part": "no part is begun",
    "place": "a place is wanted",
    "field": "in a field",
    "hole": "a hole is asked for",
    "bench": "anywhere on the bench",
    "refit": "putting back",
    "faces": "on the choice of a face",
    "list": "in a list",
    "summary": "in the summary",
    "find": "in the search, once its field is left",
    "card": "on a card",
    "bag": "on a bag's card",
    "jobs": "on the jobs page",
    "break": "at a break",
    "photo": "on a photo",
    "walk": "walk-back",
    "clock": "camera clock",
    "help": "on the page of keys",
}
"""The places of the key table, in words."""


def keys_json(keymap: Keymap) -> list[dict[str, object]]:
    """Return every command as the command line prints it."""
    return [
        {
            "id": key.id,
            "where": key.where,
            "keys": list(map(spoken, key.keys)),
            "label": key.label,
            "told": keymap.words(key.help),
        }
        for key in keymap.keys
    ]


def keys_text(keymap: Keymap) -> str:
    """Return every command as lines of text: its keys, its id, its sentence."""
    lines = []
    for place, words in PLACES.items():
        lines.append(words)
        lines += [f"  {all_keys(key):<24}{key.id:<18}{keymap.words(key.help)}" for key in keymap.keys_of(place)]
        lines.append("")
    return "\n".join(lines[:-1])


def keys_lines(keymap: Keymap) -> list[str]:
    """Return every command as lines to be spoken: where, its keys by name, its sentence."""
    lines = []
    for place, words in PLACES.items():
        for key in keymap.keys_of(place):
            names = ", ".join(name_of(name) for name in all_keys(key).split()) or f"in the list, {key.label}"
            lines.append(f"{words[:1].upper()}{words[1:]}, {names}: {keymap.words(key.help)}")
    return lines


def all_keys(key: Key) -> str:
    """Return all keys of a command as they are printed; runs of figures as a run."""
    keys = list(map(spoken, key.keys))
    for run in ("0123456789", "123456789"):
        if keys[: len(run)] == list(run):
            keys = [f"{run[0]}-{run[-1]}", *keys[len(run) :]]
    return " ".join(keys)
