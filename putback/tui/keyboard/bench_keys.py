"""The keys of the bench: taking off, in a field, and everything else there."""

from __future__ import annotations

from putback.tui.keyboard.key import Key

BENCH_KEYS: tuple[Key, ...] = (
    # taking off, no part begun
    Key(
        "begin",
        "part",
        ("enter",),
        "Enter",
        "name",
        "Begin the next part and type its name; without a name it gets a number.",
    ),
    Key(
        "begin.place",
        "part",
        tuple("123456789"),
        "1-9",
        "begin",
        "Begin the next part at once with a screw at that place; name it later with {name}.",
    ),
    Key("face", "part", ("/",), "/", "face", "Which face the next part comes off; {faces.next} again is the next one."),
    Key(
        "area",
        "part",
        ("+",),
        "+",
        "inside",
        "Go inside what came off last, to take it apart; inside, out again, or into what came off there last in one "
        "piece. {inside} chooses any other.",
    ),
    Key("bag.part", "part", ("*",), "*", "bag", "The next part begins a new bag; said again, it does not."),
    Key("jobs.open", "part", ("0",), "0", "jobs", "The jobs of all machines: what can be done now, what waits."),
    Key(
        "back",
        "part",
        ("-", "backspace"),
        "-",
        "take back",
        "Take back the last thing done. It works without limit, after a restart too.",
    ),
    Key("more", "part", (".",), ".", "more", "Everything else, as a numbered list."),
    # taking off, a place is wanted
    Key("place", "place", tuple("123456789"), "1-9", "place", "The place of the hole, laid out like the number keys."),
    Key(
        "same",
        "place",
        ("+",),
        "+",
        "same again",
        "Another just like the last, from the hole marked as next. A place and then {same} takes that hole.",
    ),
    Key("off", "place", ("0",), "0", "part off", "Nothing more holds it: the part comes off."),
    Key(
        "back.place",
        "place",
        ("-", "backspace"),
        "-",
        "take back",
        "Take back the last thing done. It works without limit, after a restart too.",
    ),
    Key("bag", "place", ("*",), "*", "new bag", "What comes off from now on goes into a new bag."),
    Key(
        "face.place",
        "place",
        ("/",),
        "/",
        "face",
        "Which face the part comes off, or once it has holes the next ones; {faces.next} again is the next face.",
    ),
    Key("more.place", "place", (".",), ".", "more", "Everything else, as a numbered list."),
    # taking off, in a field
    Key(
        "type",
        "field",
        ("0", "1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "/"),
        "0-9 . /",
        "size",
        "The size off the gauge plate, as 832, or over the crests, as .164, with the pitch count behind a blank.",
    ),
    Key(
        "blank",
        "field",
        ("*",),
        "*",
        "space",
        "A blank between two numbers, or the x of a shoulder. Before the first digit: another hole at the same place.",
    ),
    Key(
        "dash",
        "field",
        ("-",),
        "-",
        "dash",
        "A dash, as in 8-32 or 1-1/4. Two in a row erase it and the figure before it, each further one erases one more "
        "until something is typed. In an empty field go back.",
    ),
    Key(
        "enter",
        "field",
        ("enter",),
        "Enter",
        "next",
        "The next field; after the last one it is recorded. In an empty first field: the size of the one before, and "
        "then its own length, or Enter alone for another just like it.",
    ),
    Key(
        "same.field",
        "field",
        ("+",),
        "+",
        "same here",
        "In an empty field: another just like the last, in this hole. Behind figures: taken roughly, + by rule, "
        "++ by eye.",
    ),
    Key("leave.field", "field", ("escape",), "Esc", "cancel", "Let go of this hole; nothing is recorded."),
    Key("help.field", "field", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key(
        "erase",
        "field",
        ("backspace",),
        "Backspace",
        "erase",
        "Erase the last character at once; in an empty field go back.",
    ),
    Key("far.field", "field", ("tab",), "Tab", "from afar", "The size in tall figures, for a metre away; and back."),
    # a hole is asked for, away from the bench
    Key("hole.place", "hole", tuple("123456789"), "1-9", "which hole", "The hole it is about, as it lies on the face."),
    Key("hole.face", "hole", ("/",), "/", "face", "On which face the hole is, where the part is held from several."),
    Key("hole.help", "hole", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("hole.leave", "hole", (".", "escape", "0"), ".", "back", "Back to where you came from; nothing is changed."),
    # anywhere on the bench
    Key("name", "bench", ("n",), "N", "name", "Name or rename the part."),
    Key("kind", "bench", ("k",), "K", "kind", "Nut, washer, pin, ring: what comes out of the hole."),
    Key("head", "bench", ("h",), "H", "head", "The head, carried over until it changes."),
    Key("drive", "bench", ("d",), "D", "drive", "What turns it, carried over until it changes."),
    Key("lefthand", "bench", ("v",), "V", "left-hand", "This one has a left-hand thread."),
    Key("empty", "bench", ("e",), "E", "found empty", "This hole was found empty; note what is in it."),
    Key(
        "loose",
        "bench",
        ("l",),
        "L",
        "loose piece",
        "Loose pieces that came out, and how many; one without a name gets a number.",
    ),
    Key(
        "resize",
        "bench",
        (),
        "",
        "size again",
        "Correct the size of one that came out in this step, or in the last: its hole, then the size.",
    ),
    Key(
        "note",
        "bench",
        ("t",),
        "T",
        "note",
        "A note on this step: typed, or a figure and {enter} for one of nine phrases, your last ones first.",
    ),
    Key(
        "caution",
        "bench",
        ("c",),
        "C",
        "caution",
        "A caution, shown at refit before the hand moves: typed, or a figure and {enter} for one of nine phrases.",
    ),
    Key(
        "adjust",
        "bench",
        ("a",),
        "A",
        "adjustment",
        "A setting to restore: turns, a mark, a gap, shims, or any measure.",
    ),
    Key("anytime", "bench", ("f",), "F", "any time", "It could have come off any time: it needs no step before it."),
    Key(
        "put",
        "bench",
        ("w",),
        "W",
        "goes where",
        "Where this part goes when it is off. Where all parts go otherwise is set behind {machines}.",
    ),
    Key(
        "doing",
        "bench",
        ("o",),
        "O",
        "other step",
        "Another sort of step: let down, drive out, undo, loosen, mark, measure, turn, soak.",
    ),
    Key("closebag", "bench", ("b",), "B", "close bag", "Close the bag in hand."),
    Key("bags", "bench", ("g",), "G", "bags", "All bags; choose one to see what is in it."),
    Key(
        "hold",
        "bench",
        (),
        "",
        "on hold",
        "The part does not come off yet: something is in its way and comes off first, or it has to wait. Between "
        "parts: take it up again.",
    ),
    Key(
        "inside",
        "bench",
        ("i",),
        "I",
        "inside",
        "Choose the assembly to work in, or go out of it; the last lines add one that is still on the machine, or take "
        "a part apart that is off.",
    ),
    Key("hand", "bench", ("u",), "U", "into bag", "The bag that things go into from now on, by its number."),
    Key(
        "further",
        "bench",
        ("x",),
        "X",
        "say more",
        "Tools, needs, what is left to do, work at refit, a pin's small end, a remark, moves, bell and session.",
    ),
    Key("pause", "bench", ("space",), "Space", "pause", "The break: tools counted in, nothing loose; and go on."),
    Key("refit", "bench", ("r",), "R", "refit", "The way back, one step at a time."),
    Key(
        "trouble",
        "bench",
        (),
        "",
        "trouble",
        "Trouble with a screw: lost, found again, broken, thread gone, another goes in, goes in another hole, or left "
        "over.",
    ),
    Key("summary", "bench", ("s",), "S", "summary", "The summary so far; from there the session ends."),
    Key(
        "lengths",
        "bench",
        (),
        "",
        "name lengths",
        "Give all screws the names of their lengths' groups, as one change: those named by an earlier version, too.",
    ),
    Key("machines", "bench", ("m",), "M", "machine", "Another machine, or a new one."),
    Key("clock", "bench", ("z",), "Z", "camera clock", "A code with the time, to photograph once for each camera."),
    Key(
        "find",
        "bench",
        ("=", "ctrl+f"),
        "=",
        "find",
        "Find anything of any machine as you type: part, size, bag, step, note or code.",
    ),
    Key("far", "bench", ("tab",), "Tab", "from afar", "The size in tall figures, for a metre away; and back."),
    Key("again", "bench", ("ctrl+y",), "Ctrl+Y", "bring again", "Do again what was taken back last."),
    Key(
        "came_out",
        "bench",
        ("y",),
        "Y",
        "came out",
        "How the last one came out: easy, tight, seized, loose, chewed, worn, painted over, fitted to its hole.",
    ),
    Key("jobs", "bench", ("j",), "J", "jobs", "The jobs of all machines: what can be done now, what waits."),
    Key("look", "bench", (), "", "theme", "Dark, light, or high contrast."),
    Key("help", "bench", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("quit", "bench", ("q", "ctrl+q"), "Q", "leave", "Leave. Everything is on disk already."),
)
"""The keys of the bench, by the place where they work."""

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("what comes out", ("kind", "head", "drive", "lefthand", "empty", "loose", "resize", "closebag", "further")),
    ("the part", ("name", "put", "note", "caution", "adjust", "anytime", "doing", "inside", "hold")),
    ("the bench", ("bags", "find", "refit", "summary", "pause", "machines", "far", "look", "help")),
    ("the rest", ("hand", "trouble", "again", "clock", "quit", "lengths", "jobs", "came_out")),
)
"""What can be done anywhere on the bench, a page of the numbered list each: at most nine, the commonest first."""


def in_the_list(id: str) -> tuple[int, int]:
    """Return on which page of the numbered list a command stands, and in which line, from 1 on; KeyError for none."""
    for page, (_, ids) in enumerate(GROUPS, 1):
        if id in ids:
            return page, ids.index(id) + 1
    raise KeyError(id)
