"""Every command of the screen, described once: footer, help and bindings come from here.

A command's first key is on the numeric keypad where it belongs to the taking-off loop. `P` is free
everywhere: it begins a bag code.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct


class Key(Struct, frozen=True):
    """One command: where it works, what to press, and what it does."""

    id: str
    """Its name in a keymap."""
    where: str
    """The place it belongs to, one of `keys_told.PLACES`."""
    keys: tuple[str, ...]
    """Keys as Textual names them; the first is shown. None for what is only in the list of GROUPS."""
    shown: str
    """How the first key is printed."""
    label: str
    """A word or two for the footer."""
    help: str
    """One sentence for the help; commands in it stand as `{name}`."""


FACE_OF_KEY = {"7": "inside", "8": "top", "4": "left", "5": "front", "6": "right", "2": "bottom", "0": "back"}
"""The face that each figure of the choice of a face means, as they lie on the number pad."""


KEYS: tuple[Key, ...] = (
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
    Key("bag.part", "part", ("*",), "*", "bag", "What comes off with the next part goes into a new bag."),
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
        "Choose the assembly to work in, or go out of it; the last line adds one that is still on the machine.",
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
    # refit
    Key(
        "refit.next",
        "refit",
        ("enter",),
        "Enter",
        "done",
        "Confirm the line marked, or read on; when all is read and confirmed, the step is back. A setting counts as "
        "set as it was to be. At the end: what you would do differently.",
    ),
    Key("refit.other", "refit", ("+",), "+", "other step", "The next step that can go on now."),
    Key("refit.before", "refit", ("*",), "*", "step before", "The step before that can go on now."),
    Key("refit.back", "refit", ("-",), "-", "take back", "Take back the last thing done."),
    Key(
        "refit.book",
        "refit",
        ("/",),
        "/",
        "arrived",
        "What this step waits for is here, or what holds up most: it is back, found, or replaced. On a line about a "
        "pin or a clip: the old one again, or a new one; about a setting: what it came to, where that is another "
        "reading.",
    ),
    Key("refit.skip", "refit", ("0", "s"), "0", "skip", "Skip this step, with a reason; or take it up again."),
    Key("refit.again", "refit", ("9", "w"), "9", "off again", "A step that is back has to come off again."),
    Key("refit.leave", "refit", (".", "escape", "q"), ".", "bench", "Back to the bench."),
    Key("refit.up", "refit", ("8", "up"), "8", "up", "The step before in the plan, whether it can go on or not."),
    Key("refit.down", "refit", ("2", "down"), "2", "down", "The step after in the plan."),
    Key(
        "refit.order",
        "refit",
        ("5", "o"),
        "5",
        "order",
        "Another order: strict reverse, fewest bag openings, fewest tool changes, fewest turns of the machine.",
    ),
    Key("refit.card", "refit", ("6", "c"), "6", "card", "The step's card: its photos, bags and needs; to mend it."),
    Key(
        "refit.trouble",
        "refit",
        ("7",),
        "7",
        "trouble",
        "Trouble with a screw: lost, found again, broken, thread gone, another goes in, goes in another hole, or left "
        "over.",
    ),
    Key("refit.far", "refit", ("4", "tab"), "4", "from afar", "Bag and holes large, for a metre away; and back."),
    Key("refit.photos", "refit", ("1", "v"), "1", "photos", "The photos of the step."),
    Key(
        "refit.note",
        "refit",
        ("3", "t"),
        "3",
        "note",
        "A note on the step, shown wherever the step is: typed, or a figure and Enter for a phrase.",
    ),
    Key("refit.page", "refit", ("pagedown", "right"), "PgDn", "page", "The next page of what is known of the step."),
    Key("refit.pagebefore", "refit", ("pageup", "left"), "PgUp", "page before", "The page before."),
    Key("refit.pause", "refit", ("space",), "Space", "pause", "Pause, and go on."),
    Key("refit.help", "refit", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    # the choice of a face
    Key(
        "faces.go",
        "faces",
        tuple("8456207"),  # those of FACE_OF_KEY, as they are read
        "8 4 5 6 2 0 7",
        "face",
        "Top, left, front, right, bottom as they lie on the number keys; 0 is the back, 7 the inside.",
    ),
    Key("faces.next", "faces", ("/",), "/", "next", "The next face, once around, then top, bottom and inside."),
    Key("faces.unsaid", "faces", ("*",), "*", "not said", "The face is not said; only while no hole is entered."),
    Key("faces.leave", "faces", (".", "-", "escape"), ".", "as it is", "Leave the face as it is."),
    # a numbered list
    Key("list.go", "list", tuple("123456789"), "1-9", "choose", "Choose the line of that number."),
    Key("list.marked", "list", ("enter",), "Enter", "the marked one", "The line that is marked: as it is now."),
    Key("list.next", "list", ("+", "down", "pagedown", "right"), "+", "next page", "The next nine."),
    Key("list.before", "list", ("-", "up", "pageup", "left"), "-", "page before", "The nine before."),
    Key("list.help", "list", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("list.more", "list", ("/",), "/", "its card", "In the list of machines: the card of the one on the bench."),
    Key("list.leave", "list", (".", "escape", "0"), ".", "back", "Choose nothing."),
    # the summary
    Key("summary.down", "summary", ("+", "down", "pagedown", "enter"), "+", "page down", "The next page."),
    Key("summary.up", "summary", ("-", "up", "pageup"), "-", "page up", "The page before."),
    Key("summary.end", "summary", ("0", "*", "e"), "0", "end session", "End the session, with a note for next time."),
    Key("summary.help", "summary", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("summary.leave", "summary", (".", "escape", "s", "q"), ".", "bench", "Back to the bench."),
    # the search, once its field is left
    Key("find.go", "find", tuple("123456789"), "1-9", "open", "Open the card of that number."),
    Key("find.open", "find", ("enter",), "Enter", "open marked", "Open the card of the line that is marked."),
    Key("find.down", "find", ("down",), "Down", "down", "Mark the next line; also while typing."),
    Key("find.up", "find", ("up",), "Up", "up", "Mark the line before; also while typing."),
    Key("find.next", "find", ("+", "pagedown"), "+", "next page", "The next nine."),
    Key("find.before", "find", ("-", "pageup"), "-", "page before", "The nine before."),
    Key("find.type", "find", ("/", "backspace"), "/", "type", "Type again."),
    Key("find.help", "find", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("find.leave", "find", (".", "escape", "0"), ".", "bench", "Back to where you were."),
    # a card: a step, a part, a fastener
    Key("card.go", "card", tuple("123456789"), "1-9", "go there", "Open the card of that number."),
    Key("card.mend", "card", ("*", "m"), "*", "correct", "Correct what is wrong in the record, from a list."),
    Key("card.next", "card", ("/", "right"), "/", "next one", "The next step, part or fastener in order."),
    Key("card.before", "card", ("left",), "Left", "one before", "The step, part or fastener before."),
    Key("card.page", "card", ("+", "down", "pagedown"), "+", "page", "The next page of this card."),
    Key(
        "card.photo",
        "card",
        ("v",),
        "V",
        "photo",
        "The next photo; after the last one none, until {card.photo} is pressed again.",
    ),
    Key("card.back", "card", ("-", "backspace"), "-", "take back", "Take back the last thing done."),
    Key("card.help", "card", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("card.leave", "card", (".", "escape", "enter"), ".", "back", "Back to where you came from."),
    Key("card.bench", "card", ("0",), "0", "bench", "Straight back to the bench."),
    # a bag's card
    Key("bag.go", "bag", tuple("123456789"), "1-9", "step", "Open the card of the step of that number."),
    Key(
        "bag.mend",
        "bag",
        ("*", "m"),
        "*",
        "count, split",
        "Count one thing, split the bag, or tip it into another.",
    ),
    Key("bag.seal", "bag", ("/",), "/", "close, open", "Close the bag, or open it again."),
    Key("bag.use", "bag", ("+",), "+", "use it now", "Let what comes off from now on go into it."),
    Key("bag.inside", "bag", ("i",), "I", "take apart", "Go inside the part that lies in it, to take it apart."),
    Key("bag.count", "bag", ("c",), "C", "count", "Count one thing in the bag; what is short is missing."),
    Key("bag.down", "bag", ("down", "pagedown"), "Down", "down", "Further down in a long bag."),
    Key("bag.up", "bag", ("up", "pageup"), "Up", "up", "Further up in a long bag."),
    Key("bag.photo", "bag", ("v",), "V", "photo", "The next photo of its steps; after the last one none."),
    Key("bag.back", "bag", ("-", "backspace"), "-", "take back", "Take back the last thing done."),
    Key("bag.help", "bag", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("bag.leave", "bag", (".", "escape", "enter"), ".", "back", "Back to where you came from."),
    Key("bag.bench", "bag", ("0",), "0", "bench", "Straight back to the bench."),
    # the jobs page
    Key("jobs.go", "jobs", tuple("123456789"), "1-9", "open", "Open the card of that number."),
    Key("jobs.done", "jobs", ("+",), "+", "done", "And a number: that is done, or lifted out."),
    Key("jobs.next", "jobs", ("*", "down", "pagedown", "right"), "*", "next page", "The next page."),
    Key("jobs.before", "jobs", ("up", "pageup", "left"), "Up", "page before", "The page before."),
    Key("jobs.new", "jobs", ("/",), "/", "new one", "Note a job of the machine, or spares of the workshop."),
    Key("jobs.back", "jobs", ("-", "backspace"), "-", "take back", "Take back the last thing done."),
    Key("jobs.help", "jobs", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("jobs.leave", "jobs", (".", "escape", "enter"), ".", "back", "Back to where you came from."),
    Key("jobs.bench", "jobs", ("0",), "0", "bench", "Straight back to the bench."),
    # a break
    Key("break.there", "break", ("enter",), "Enter", "all there", "Every tool is back but those marked missing."),
    Key(
        "break.missing",
        "break",
        tuple("123456789"),
        "1-9",
        "not there",
        "That tool is missing; press it again when it is found.",
    ),
    Key("break.tag", "break", ("*",), "*", "hang tag", "Hang the next tag on what lies loose without one."),
    Key("break.soak", "break", ("/",), "/", "lift out", "The soak that is due is lifted out."),
    Key("break.note", "break", ("+",), "+", "note", "A note to yourself, shown first at the next return."),
    Key("break.back", "break", ("-", "backspace"), "-", "take back", "Take back the last thing done."),
    Key("break.page", "break", ("down", "pagedown"), "Down", "more", "The next page."),
    Key("break.go", "break", ("space",), "Space", "go on", "Go on with the work, after the walk-back."),
    Key("break.end", "break", ("0", "e"), "0", "end session", "End the session; from a break the summary comes first."),
    Key("break.help", "break", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("break.bench", "break", (".", "escape"), ".", "bench", "Back to the bench; the time stays paused."),
    # a photo as large as it goes
    Key("photo.go", "photo", tuple("123456789"), "1-9", "that step", "It shows that step; settled, that step's card."),
    Key("photo.mend", "photo", ("*", "m"), "*", "another step", "It shows another step: type its number."),
    Key("photo.next", "photo", ("/", "right", "+"), "/", "next one", "The next photo."),
    Key("photo.before", "photo", ("left",), "Left", "one before", "The photo before."),
    Key("photo.off", "photo", ("v",), "V", "pictures", "Pictures off, on any card, and on again."),
    Key("photo.back", "photo", ("-", "backspace"), "-", "take back", "Take back the last thing done."),
    Key("photo.help", "photo", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("photo.leave", "photo", (".", "escape", "enter"), ".", "back", "Back to where you came from."),
    Key("photo.bench", "photo", ("0",), "0", "bench", "Straight back to the bench."),
    # walk-back
    Key("walk.true", "walk", ("1", "enter"), "1", "right", "It is as recorded at the machine."),
    Key("walk.notso", "walk", ("2",), "2", "wrong", "It is wrong: say what you see, then correct it on its card."),
    Key("walk.cannot", "walk", ("3",), "3", "cannot see", "It cannot be seen now."),
    Key("walk.photo", "walk", ("v",), "V", "photo", "The next photo of the step; after the last one none."),
    Key(
        "walk.page", "walk", ("+", "down", "pagedown"), "+", "page", "The next page of the step; {walk.true} reads on."
    ),
    Key("walk.help", "walk", ("question_mark",), "?", "keys", "The keys of the place you are in."),
    Key("walk.leave", "walk", (".", "escape"), ".", "later", "Go to the bench without it."),
    # the camera clock
    Key("clock.settle", "clock", ("1",), "1", "doubtful photos", "Go through the photos whose step is in doubt."),
    Key("clock.leave", "clock", (".", "escape", "enter", "0"), ".", "back", "Back; so does any other key."),
    # this page
    Key("help.down", "help", ("+", "down", "pagedown"), "+", "page down", "The next page."),
    Key("help.up", "help", ("-", "up", "pageup"), "-", "page up", "The page before."),
    Key("help.leave", "help", (".", "escape", "enter", "0"), ".", "back", "Back; so does any other key."),
)
"""Every key of the screen."""

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("what comes out", ("kind", "head", "drive", "lefthand", "empty", "loose", "resize", "closebag", "further")),
    ("the part", ("name", "put", "note", "caution", "adjust", "anytime", "doing", "inside", "hold")),
    ("the bench", ("bags", "find", "refit", "summary", "pause", "machines", "far", "look", "help")),
    ("the rest", ("hand", "trouble", "again", "clock", "quit", "lengths", "jobs", "came_out")),
)
"""What can be done anywhere on the bench, a page of the numbered list each: at most nine, the commonest first."""

LEFT_OUT: tuple[str, ...] = (
    "closebag", "summary", "refit", "anytime", "pause", "bag", "bag.part", "face.place", "area", "face", "erase",
    "far.field",
)  # fmt: skip
"""What a foot that is too long for its line leaves out, in this order: each is used the least of those that are left.
After these goes what stands last in it."""

NEVER_LEFT_OUT = frozenset(
    {
        "more",
        "more.place",
        "help",
        "refit.help",
        "refit.leave",
        "refit.back",
        "summary.help",
        "summary.leave",
        "back",
        "back.place",
    }
)
"""What a foot keeps to the last: the ways to everything else, out, and back."""


def least_needed(keys: Sequence[Key]) -> Key:
    """Return the key that a foot leaves out first, of those it still has."""
    least = next((key for id in LEFT_OUT for key in keys if key.id == id), None)
    others = [key for key in keys if key.id not in NEVER_LEFT_OUT]
    return least or (others or list(keys))[-1]


PAD = {
    "add": "+",
    "plus": "+",
    "subtract": "-",
    "minus": "-",
    "multiply": "*",
    "asterisk": "*",
    "divide": "/",
    "slash": "/",
    "full_stop": ".",
    "decimal": ".",
    "comma": ".",
    "separator": ".",
    "return": "enter",
    "kp_enter": "enter",
}
"""Names of keypad keys, and what they mean here. The decimal key may send a comma."""


def plain_key(key: str, character: str | None) -> str:
    """Return a key as the forms know it: a character, or a name such as `enter`."""
    if key in PAD:
        return PAD[key]
    if character is not None and len(character) == 1 and character.isprintable():
        return character
    return pressed(key)


_SENT = {sign: name for name, sign in reversed(PAD.items()) if name not in ("full_stop", "comma")} | {
    ".": "full_stop",
    "enter": "enter",
    " ": "space",
}
"""Keys that have a name, as a terminal gives them."""


def sent(key: str) -> tuple[str, str | None]:
    """Return a plain key as a terminal sends it: its name, and the character it types if it types one."""
    return _SENT.get(key, key), key if len(key) == 1 else None


def keys_of(*places: str) -> list[Key]:
    """Return the commands of the given places, in order."""
    return [key for place in places for key in KEYS if key.where == place]


def command_for(key: str, *places: str) -> str:
    """Return the id of the command that `key` gives at these places, or nothing."""
    for known in keys_of(*places):
        if key in map(pressed, known.keys):
            return known.id
    return ""


_PRESSED = {"space": " ", "question_mark": "?"}


def pressed(key: str) -> str:
    """Return a key of the table as `press` is given it."""
    return _PRESSED.get(key, key)
