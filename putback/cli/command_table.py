"""Every command in one row: where it stands in the help, what runs it, what it does, and examples that a test runs."""

from __future__ import annotations

from typing import NamedTuple


class CommandRow(NamedTuple):
    """One command of the command line."""

    group: str
    """The part of the help that it stands in."""
    runs: str
    """Its module in `putback.cli`, and the function there."""
    about: str
    """What it does."""
    examples: tuple[str, ...]
    """Command lines, as `--help` and the manual page show them."""


def _row(group: str, runs: str, about: str, *examples: str) -> CommandRow:
    return CommandRow(group, runs, about, examples)


COMMANDS: dict[str, CommandRow] = {
    "demo": _row("at the bench", "workbench.demo", "the workbench screen on a throwaway copy of the demo workshop",
        "putback demo"),
    "size": _row("at the bench", "size.size", "name a size from readings",
        "putback size --gauge 832 --length .372 --origin us", "putback size --od .164 --tpi 32",
        "putback size --kind nut --gauge m5"),
    "keys": _row("at the bench", "workbench.keys",
        "the commands of the screen, with their keys as the settings have them", "putback keys"),
    "bag": _row("what is where", "bags.bag", "what is in a bag and which steps it belongs to", "putback bag 3",
        "putback bag 3 --label", "putback bag PB3K7M2Q4"),
    "bags": _row("what is where", "bags.bags", "the bag ledger", "putback bags", "putback bags --sheet"),
    "card": _row("what is where", "cards.card", "all that is known of a step, a part, a fastener or a bag",
        "putback card step 5", "putback card 5 hole 1", "putback card left panel", "putback card bag 3"),
    "where": _row("what is where", "program.where", "where a thing is now: its bag and box, its shelf, who has it",
        "putback where left panel", "putback where 6-32 --json"),
    "alike": _row("what is where", "reporting.alike", "which fasteners interchange and which only look alike",
        "putback alike"),
    "walk-back": _row("the way back", "cards.walk_back",
        "the last three steps, newest first, what is open, and where to start", "putback walk-back"),
    "summary": _row("the way back", "reporting.summary", "the end-of-session summary", "putback summary --session 1"),
    "refit": _row("the way back", "reporting.refit", "the refit plan, step by step", "putback refit",
        "putback refit --order fewest-bags --sessions 40", "putback refit --next", "putback refit --graph dot"),
    "reach": _row("the way back", "reporting.reach", "the least that must come off to reach a part",
        "putback reach left panel --now"),
    "machines": _row("between sessions", "between.machines",
        "the machines: how each stands, what is due, what it waits for", "putback machines"),
    "todo": _row("between sessions", "between.todo",
        "what is left to do on all machines: jobs, soaks, what is sent or to be got", "putback todo",
        "putback todo --get", "putback todo --csv > to-get.csv", "putback todo --make-sheet"),
    "sent": _row("between sessions", "between.sent",
        "what is out of the house: who has it, since when, what waits for it", "putback sent", "putback sent --list",
        "putback sent --sheet"),
    "spares": _row("between sessions", "between.spares", "the spares of the workshop, by size and count",
        "putback spares"),
    "labels": _row("on paper", "labels_and_photos.labels", "labels of all bags, or blank ones, as PDF and PNG",
        "putback labels --pool 21", "putback labels --bag 3 --bag 4", 'putback labels --paper "roll 62x29" --dpi 300',
        "putback labels --changed"),
    "book": _row("on paper", "book.book", "the machine's book, as HTML, PDF or Markdown by the file's ending",
        "putback book --out press.pdf", "putback book --out press.html --photos large",
        "putback book --order fewest-bags --sessions 60", "putback book --last-page"),
    "photos": _row("on paper", "labels_and_photos.photos", "pair a folder of camera files with steps, and file them",
        "putback photos ~/camera"),
    "replay": _row("files", "replay.replay", "play a session file into the workshop",
        "putback replay sample_sessions/skein_winder.toml"),
    "export": _row("files", "maintenance.export", "the whole record as JSON, or as CSV for spreadsheets",
        "putback export --out all.json", "putback export --csv tables", "putback export --session-file press.toml",
        "putback export --schema", "putback export --schema todo"),
    "import": _row("files", "maintenance.take_in", "take in machines that putback export wrote, all or nothing",
        "putback import all.json"),
    "backup": _row("files", "maintenance.backup", "copy the workshop, open or not, whole and proved",
        "putback backup copy"),
    "check": _row("files", "maintenance.check", "prove every line, every reference and the balance", "putback check",
        "putback check --mend saved"),
    "log": _row("files", "maintenance.log", "the logbook: who did what when, newest last", "putback log --last 20"),
    "about": _row("the program", "program.about", "the workshop's folder, the settings file, and versions",
        "putback about"),
    "settings": _row("the program", "program.settings", "the settings in force", "putback settings",
        "putback settings --template"),
    "completion": _row("the program", "program.completion", "a completion script for your shell",
        "putback completion bash > ~/.local/share/bash-completion/completions/putback"),
    "manual": _row("the program", "program.manual", "the manual page, for man", "putback manual > putback.1"),
}  # fmt: skip
"""The commands by name, as help and manual page group them."""
