"""The break: tools counted back in, nothing loose without a tag, soaks that are due, a note for the next time."""

from __future__ import annotations

from textual import work
from textual.content import Content

from putback.reports.soaking import Bath, soaks
from putback.trade import commands as c
from putback.trade.checks.hang_tags import free_tag, untagged
from putback.trade.checks.ledger import bench_check, holdings
from putback.trade.checks.tools_out import NONE_OUT, ToolOut, notes_since, tools_out, tools_text
from putback.trade.record.phrases import minutes_text, times
from putback.trade.record.session import Session
from putback.tui.dialogs.job_doing import lifting
from putback.tui.dialogs.sheet import END, GO_ON, CardFrame
from putback.tui.draw.frame import feet, inner_height, inner_width
from putback.tui.draw.palette import KEY, LOOK, QUIET
from putback.tui.draw.rule import time_rule
from putback.tui.draw.signs import sign, signed
from putback.tui.draw.text import plain, wrapped
from putback.tui.keyboard.keys import command_for
from putback.tui.keyboard.tapping import tapped

PAGE = 9
"""How many tools stand on a page: as many as there are number keys."""


class BreakScreen(CardFrame):
    """One look over the bench before one leaves it. `ending`: the session ends behind it."""

    def __init__(self, *, ending: bool = False) -> None:
        super().__init__()
        self._ending = ending
        self._first = 0
        self._page = 0
        self._pages = 1

    # -- what there is -------------------------------------------------------------------------------

    @property
    def session(self) -> Session | None:
        """The session that goes on."""
        return self.record.open_session(self.host.machine_id)

    def tools(self) -> list[ToolOut]:
        """Return the tools of this page: those a number key is for."""
        return tools_out(self.record, self.host.machine_id)[self._first : self._first + PAGE]

    def due(self) -> list[Bath]:
        """Return the soaks that are due."""
        found = soaks(self.record, self.host.machine_id, now=self.host.workshop.now())
        return [bath for bath in found if bath.hours_left <= 0]

    # -- drawing -------------------------------------------------------------------------------------

    def redraw(self) -> None:
        """Draw the card."""
        width, height = inner_width(self.app.size.width), inner_height(self.app.size.height)
        answer = self._answer(width)
        foot = feet(self._keys(), width)
        head = self._head(width)
        parts = [self._tools(width), self._loose(width), self._soaks(width), self._notes(width)]
        room = height - len(head) - len(answer) - len(foot)
        body = [row for part in parts if part for row in (Content(""), *part)]
        if len(body) > room:  # no blank lines, then a page at a time
            body = [row for part in parts for row in part]
        self._pages = 1 if len(body) <= room else -(-len(body) // max(1, room - 1))
        if self._pages > 1:
            self._page = min(self._page, self._pages - 1)
            first = self._page * max(1, room - 1)
            text = f"page {self._page + 1} of {self._pages}: {self.key_of('break.page')} shows more"
            body = [*body[first : first + max(1, room - 1)], plain(f"   {text}", width, QUIET)]
        lines = [*head, *body[:room]]
        lines += [Content("")] * (height - len(lines) - len(answer) - len(foot))
        self._draw(Content("\n").join([*lines, *answer, *foot]))

    def _head(self, width: int) -> list[Content]:
        session, now = self.session, self.host.workshop.now()
        words = "Before the session ends" if self._ending else "A break"
        if session is None:
            return [plain(words, width, "bold $pb-text")]
        text = f"hands on so far {minutes_text(session.minutes(now))}"
        gap = " " * max(1, width - len(words) - len(text))
        rule = time_rule(width, session.segment_minutes(now), session.target, paused=True, glyphs=self.host.glyphs)
        return [Content.assemble((words, "bold $pb-text"), gap, (text, "$pb-muted")), rule]

    def _tools(self, width: int) -> list[Content]:
        out = tools_out(self.record, self.host.machine_id)
        if not out:
            text = tools_text(self.record, self.host.machine_id)
            return self._line("note" if text == NONE_OUT else "done", text, width, "$pb-muted")
        rows = [plain("Tools: are they all back in their place?", width, "bold $pb-text")]
        for number, tool in enumerate(self.tools(), 1):
            beside = "missing" if tool.missing else f"step {tool.step}"
            shape = sign("missing" if tool.missing else "loose", self.host.glyphs)
            style = LOOK if tool.missing else "$pb-text"
            name, *further = wrapped(tool.tool, width - len(beside) - 8, style)
            row = Content.assemble((f" {number} ", KEY), shape, " ", name)
            gap = " " * max(1, width - row.cell_length - len(beside))
            row = Content.assemble(row, gap, (beside, LOOK if tool.missing else "$pb-muted"))
            rows += [
                tapped(each, "press", number)
                for each in (row, *(Content.assemble("     ", words) for words in further))
            ]
        if len(out) > PAGE:
            more = f"   and {len(out) - len(self.tools())} more, {self.key_of('break.page')}"
            rows.append(plain(more, width, "$pb-muted"))
        return rows

    def _loose(self, width: int) -> list[Content]:
        loose = bench_check(self.record, self.host.machine_id)
        rows = self._line("done", "nothing is loose on the bench", width, "$pb-muted") if not loose else []
        for held in loose:
            tag = held.thing.tag
            words = f"loose{f', tag {tag}' if tag else ', no tag'}: {times(held.count, held.thing.called)}"
            rows += self._line("done" if tag else "loose", words, width, "" if tag else LOOK)
        for held in holdings(self.record, self.host.machine_id, "borrowed"):
            rows += self._line("borrowed", f"{held.place}: {held.thing.called}", width)
        step = self.record.open_step(self.host.machine_id)
        if step is not None:
            rows += self._line("now", f"step {step.number}, {step.name}, is half done", width)
        return rows

    def _soaks(self, width: int) -> list[Content]:
        lifts = self.key_of("break.soak")
        found = [f"soak {bath.text}: {bath.what}, {bath.where}; {lifts} lifts it out" for bath in self.due()]
        rows = [row for words in found for row in self._line("asks", words, width, LOOK)]
        running = soaks(self.record, self.host.machine_id, now=self.host.workshop.now())
        due = self.due()
        texts = [f"soak, {bath.text}: {bath.what}, {bath.where}" for bath in running if bath not in due]
        return [*rows, *(row for words in texts for row in self._line("note", words, width, "$pb-muted"))]

    def _notes(self, width: int) -> list[Content]:
        notes = notes_since(self.record, self.host.machine_id)
        return [row for note in notes for row in self._line("note", f"for next time: {note}", width, "")]

    def _line(self, word: str, words: str, width: int, style: str = "$pb-text") -> list[Content]:
        return signed(word, words, width, self.host.glyphs, style, inset=1)

    def _keys(self) -> list[tuple[str, str]]:
        wanted = {"break.note", "break.back", "break.bench", "break.end", "break.help"}
        if not self._ending:
            wanted.add("break.go")
        if tools_out(self.record, self.host.machine_id):
            wanted |= {"break.there", "break.missing"}
        if untagged(self.record, self.host.machine_id):
            wanted.add("break.tag")
        if self.due():
            wanted.add("break.soak")
        return [(key.shown, key.label) for key in self.host.keymap.keys_of("break") if key.id in wanted]

    # -- keys ----------------------------------------------------------------------------------------

    @property
    def places(self) -> tuple[str, ...]:
        """At a break."""
        return ("break",)

    def press(self, key: str) -> None:
        """Take one key."""
        command_id = command_for(key, "break")
        if command_id == "break.bench" or (command_id == "break.go" and self._ending):
            self.leave(None)
        elif command_id in ("break.go", "break.end"):
            self.leave(GO_ON if command_id == "break.go" else END)
        elif command_id == "break.help":
            self.show_keys("break")
        elif command_id == "break.there":
            self.all_there()
        elif command_id == "break.missing":
            self.not_there(int(key) - 1)
        elif command_id == "break.tag":
            self.tag()
        elif command_id == "break.soak":
            self.lift()
        elif command_id == "break.note":
            self.note()
        elif command_id == "break.back":
            self.host.take_back()
        elif command_id == "break.page":
            self.turn()

    def turn(self) -> None:
        """Show the next page; behind the last one the next nine tools, or the first again."""
        self._page += 1
        if self._page >= self._pages:
            self._page = 0
            tools = len(tools_out(self.record, self.host.machine_id))
            self._first = self._first + PAGE if self._first + PAGE < tools else 0
        self.redraw()

    def all_there(self) -> None:
        """Count every tool that is not known to be missing as back."""
        out = tools_out(self.record, self.host.machine_id)
        there = tuple(tool.tool for tool in out if not tool.missing)
        if not there:
            text = tools_text(self.record, self.host.machine_id)
            missing = f"{out[0].tool} is still missing: 1 when it is found" if out else text
            self.host.refuse(f"{missing[0].upper()}{missing[1:]}.")
            return
        self.host.do(c.CountTools(tools=there))

    def not_there(self, index: int) -> None:
        """Say that one tool is missing; a second time that it is found."""
        tools = self.tools()
        if index >= len(tools):
            self.host.ring("refused")
            return
        tool = tools[index]
        self.host.do(c.CountTools(tools=(tool.tool,), missing=() if tool.missing else (tool.tool,)))

    def tag(self) -> None:
        """Hang the next free tag on the first thing that lies loose without one."""
        loose = untagged(self.record, self.host.machine_id)
        if not loose:
            self.host.refuse("Nothing lies loose without a tag.")
        else:
            self.host.do(c.HangTag(thing=loose[0].thing.id, tag=free_tag(self.record, self.host.machine_id)))

    @work
    async def lift(self) -> None:
        """Say that the soak most overdue is lifted out, and how long that took."""
        due = self.due()
        if not due:
            self.host.refuse("No soak is due.")
            return
        asked = f"{due[0].what} is out: how many minutes of work did it take?"
        took = await self.questions.ask_minutes(asked)
        if took is not None:
            self.host.do(lifting(due[0], took[0]))

    @work
    async def note(self) -> None:
        """Ask for a note that the next return shows first."""
        words = await self.questions.ask("What should you know next time?", note=True)
        if words:
            self.host.do(c.LeaveNote(note=words))
