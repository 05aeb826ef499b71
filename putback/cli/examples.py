"""Examples for every command, as `--help` and the manual page show them; a test runs each on the samples."""

from __future__ import annotations

EXAMPLES: dict[str, tuple[str, ...]] = {
    "demo": ("putback demo",),
    "size": (
        "putback size --gauge 832 --length .372 --origin us",
        "putback size --od .164 --tpi 32",
        "putback size --kind nut --gauge m5",
    ),
    "replay": ("putback replay sample_sessions/skein_winder.toml",),
    "bag": ("putback bag 3", "putback bag 3 --label", "putback bag PB3K7M2Q4"),
    "bags": ("putback bags", "putback bags --sheet"),
    "card": ("putback card step 5", "putback card 5 hole 1", "putback card left panel", "putback card bag 3"),
    "where": ("putback where left panel", "putback where 6-32 --json"),
    "walk-back": ("putback walk-back",),
    "summary": ("putback summary --session 1",),
    "refit": (
        "putback refit",
        "putback refit --order fewest-bags --sessions 40",
        "putback refit --next",
        "putback refit --graph dot",
    ),
    "reach": ("putback reach left panel --now",),
    "todo": ("putback todo", "putback todo --get", "putback todo --csv > to-get.csv", "putback todo --make-sheet"),
    "sent": ("putback sent", "putback sent --list", "putback sent --sheet"),
    "spares": ("putback spares",),
    "machines": ("putback machines",),
    "alike": ("putback alike",),
    "photos": ("putback photos ~/camera",),
    "book": (
        "putback book --out press.pdf",
        "putback book --out press.html --photos large",
        "putback book --order fewest-bags --sessions 60",
        "putback book --last-page",
    ),
    "labels": (
        "putback labels --pool 21",
        "putback labels --bag 3 --bag 4",
        'putback labels --paper "roll 62x29" --dpi 300',
        "putback labels --changed",
    ),
    "keys": ("putback keys",),
    "log": ("putback log --last 20",),
    "export": (
        "putback export --out all.json",
        "putback export --csv tables",
        "putback export --session-file press.toml",
        "putback export --schema",
        "putback export --schema todo",
    ),
    "import": ("putback import all.json",),
    "backup": ("putback backup copy",),
    "check": ("putback check", "putback check --mend saved"),
    "about": ("putback about",),
    "settings": ("putback settings", "putback settings --template"),
    "completion": ("putback completion bash > ~/.local/share/bash-completion/completions/putback",),
    "manual": ("putback manual > putback.1",),
}
"""The command lines, by command."""
