"""An account drawn as rows, and cut into pages: no row of it is left out, and no hole of its map."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from itertools import pairwise, takewhile, zip_longest

from msgspec import Struct
from msgspec.structs import replace
from textual.content import Content

from putback.reports.account import Account, Block
from putback.reports.account.lines import LEADS, holes_text, where
from putback.trade.record.place import LOOSE
from putback.tui.draw.glyphs import GlyphSet
from putback.tui.draw.heads import HoleView
from putback.tui.draw.holes import Turn, even, hole_map, is_large, longest_thread
from putback.tui.draw.legend import SizeView, signs_text, size_sign
from putback.tui.draw.palette import CAUTION, LOOK
from putback.tui.draw.signs import signed
from putback.tui.draw.text import plain, wrapped
from putback.tui.draw.threads import SHORT
from putback.tui.draw.words import face_in_words

LEAST_MAP, SMALL_MAP, LARGE_MAP = 5, 9, 13
"""Rows of a hole map: the least that can be read, one with air, and one with heads of three rows."""
NARROW_MAP, WIDE_MAP = 27, 41
"""Columns of a small and of a large hole map."""
HUGE_MAP = (65, 25)
"""Columns and rows of the largest."""
BESIDE = 34
"""Columns beside a map from which the rows of its fasteners stand there."""

STYLES = {
    "caution": CAUTION, "usual": CAUTION, "rules": CAUTION, "waits": LOOK,
    "first": LOOK, "covered": LOOK, "skipped": LOOK, "lie": "bold $pb-text",
    "open": "bold $pb-text", "trouble": "bold $pb-text", "finding": "bold $pb-text",
    "tools": "$pb-muted", "fits": "$pb-muted",
    "frees": "$pb-muted", "known": "$pb-muted",
}  # fmt: skip
"""The style of a sort of block; any other is plain text."""

SIGNS = {
    "caution": "caution", "usual": "caution", "rules": "caution", "waits": "waits", "first": "waits",
    "covered": "waits", "skipped": "skipped", "open": "finding", "trouble": "finding", "finding": "finding",
    "look": "finding",
    "unit": "finding", "lie": "adjustment", "job": "adjustment", "new": "adjustment", "clip": "adjustment",
    "work": "adjustment", "setting": "adjustment", "after": "adjustment", "place": "bag", "piece": "loose",
}  # fmt: skip
"""The sign of a sort of block, as the palette knows it; any other is a note."""

BARE = ("note", "move", "photo", "finding", "unit", "soak", "order")
"""Sorts whose sign says enough, so that no word stands before them on a screen."""


class Chunk(Struct, frozen=True):
    """Rows that belong together: one sentence, one picture, one sort of fastener."""

    rows: tuple[Content, ...]
    """The rows."""
    item: str = ""
    """What confirming it confirms; empty where it asks for nothing that is still open."""
    sort: str = ""
    """What it is about, as the block."""
    tall: Callable[[int], tuple[Content, ...]] | None = None
    """Draws it again with so many rows, where it is a picture that can use more."""
    beside: bool = False
    """Whether it belongs to the picture before it, and stands on its page where both fit on one."""


class Page(Struct, frozen=True):
    """What stands on the screen at once."""

    rows: tuple[Content, ...]
    """The rows."""
    items: frozenset[str]
    """What it asks for."""
    sorts: frozenset[str]
    """What it is about."""


class FaceView(Struct, frozen=True):
    """One face of a step, as the map has it."""

    name: str
    """What it is called; empty where that was not said."""
    holes: Sequence[HoleView]
    """Its holes."""
    elsewhere: str = ""
    """How many holes lie on other faces."""
    turn: Turn = 0
    """How far it is turned now against how it was recorded."""


class AccountDrawing(Struct, frozen=True):
    """How an account is drawn."""

    width: int
    """Columns."""
    glyphs: GlyphSet
    """The signs of the terminal."""
    faces: Sequence[FaceView] = ()
    """The faces, as the map has them."""
    sizes: Sequence[SizeView] = ()
    """The sorts of fasteners, for the signs before their rows."""
    hushed: Collection[str] = ()
    """Causes of the usual cautions that were shown in this session already."""
    scanned: Collection[str] = ()
    """Places that were proved by a scan."""
    keys: Sequence[tuple[str, str]] = ()
    """Sorts of blocks, and the words with the key that leads on from them."""

    def chunks(self, account: Account) -> list[Chunk]:
        """Return what stands on an account, in its order; its heading, and what the heading says, is left out."""
        todo, out = account.todo, list[Chunk]()
        held = account.state in ("waits", "first", "covered")
        fastening = account.of("face", "order", "fastener", "loosened")
        tools = account.of("tools", "fits")
        for block in account.blocks[1:]:
            if block in fastening:
                out += self._fastening(fastening) if block is fastening[0] else []
            elif block.sort == "inside" or (block.sort == "place" and block.words == account.step.name):
                continue
            elif block.sort not in ("usual", "rules") or not self._is_hushed(block, account):
                out.append(self._chunk(block, here=not held and block == todo))
            if tools and block is tools[-1]:
                out += self._take_up(account)
        if not tools:
            at = next((i for i, chunk in enumerate(out) if chunk.sort not in _FIRST), len(out))
            out[at:at] = self._take_up(account)
        return out

    def _is_hushed(self, block: Block, account: Account) -> bool:
        causes = {b.cause for b in account.of("usual", "rules") if b.cause}
        return block.cause in self.hushed if block.cause else causes <= set(self.hushed)

    def _take_up(self, account: Account) -> list[Chunk]:
        """The places where what goes in lies, bags first, those that were scanned said so."""
        if not account.places or account.state in ("open", "back"):
            return []
        named = {place: "what is loose on the bench" if place == LOOSE else place for place in account.places}
        texts = [f"{name} (scanned)" if place in self.scanned else name for place, name in named.items()]
        bags = [place for place in account.places if place.startswith("bag ")]
        right = bool(bags) and set(bags) <= set(self.scanned)
        rows = self._signed("done" if right else "bag", f"take up: {', '.join(texts)}", "bold $pb-text")
        return [Chunk(tuple(rows), sort="place")]

    def _chunk(self, block: Block, *, here: bool) -> Chunk:
        """One sentence behind its sign; the marked one begins with *now*."""
        lead = "" if block.sort in BARE and not self.glyphs.words else LEADS.get(block.sort, "")
        words = f"{lead}{block.words}"
        if block.sort in ("place", "piece"):
            words = f"{words}, {where(block)}"
        if block.rules:
            words += f"; rules: {block.rules}"
        key = next((key_text for sort, key_text in self.keys if sort == block.sort), "")
        words += f"; {key}" if key else ""
        asks = block.kind == "question" and not block.done
        sign = "done" if block.kind == "question" and block.done else SIGNS.get(block.sort, "note")
        style = STYLES.get(block.sort, "$pb-text")
        if block.kind == "question":
            style = "$pb-muted" if block.done else "bold $pb-text" if here else style
            lead = "now: " if here else "confirmed: " if block.done and self.glyphs.words else ""
            words = lead + words
        return Chunk(tuple(self._signed(sign, words, style)), block.item if asks else "", block.sort)

    def _signed(self, word: str, words: str, style: str) -> list[Content]:
        return signed(word, words, self.width, self.glyphs, style)

    # -- the face and its fasteners ------------------------------------------------------------------

    def _fastening(self, blocks: Sequence[Block]) -> list[Chunk]:
        """Map after map with what goes in there: side by side where there is width for it, else one below the other."""
        starts = [at for at, block in enumerate(blocks) if block.sort == "face"]
        out = self._fastener_chunks(blocks[: starts[0]] if starts else blocks, self.width)
        for at, end in pairwise([*starts, len(blocks)]):
            out += self._one_face(blocks[at], blocks[at + 1 : end])
        return out

    def _one_face(self, picture: Block, others: Sequence[Block]) -> list[Chunk]:
        alone = self.faces[0] if len(self.faces) == 1 else None
        face = next((face for face in self.faces if face.name == picture.face), alone)
        if face is None or not face.holes:
            return self._fastener_chunks(others, self.width)
        if self.glyphs.words:
            drawn = face_in_words(
                face.holes, self.sizes, self.width, 99, title=face.name, elsewhere=face.elsewhere, turn=face.turn
            )
            return [Chunk(tuple(drawn), sort="face"), *self._fastener_chunks(others, self.width)]
        if self.width - NARROW_MAP - 2 >= BESIDE:
            return [self._side_by_side(face, others)]
        most = min(longest_thread(self._across(rows), rows) for rows in (LEAST_MAP, LARGE_MAP))
        below = self._fastener_chunks(others, self.width, most)
        return [self._map_above(face, most), *(replace(chunk, beside=True) for chunk in below)]

    def _across(self, rows: int) -> int:
        """Columns of a map of so many rows that stands above its fasteners."""
        return even(min(self.width, WIDE_MAP if rows >= LARGE_MAP else max(NARROW_MAP, self.width * 2 // 3)))

    def _map(self, face: FaceView, wide: int, rows: int, most: int) -> list[Content]:
        """The map with what its signs mean below it, in so many rows; a thread has `most` cells at most."""
        signs = signs_text(face.holes, wide, large=is_large(wide, rows - 1), glyphs=self.glyphs)
        drawn = hole_map(
            face.holes,
            wide,
            max(LEAST_MAP, even(rows - len(signs))),
            title=face.name,
            elsewhere=face.elsewhere,
            turn=face.turn,
            glyphs=self.glyphs,
            longest=max((size.long for size in self.sizes), default=0),
            most=most,
        )
        return [*drawn, *signs]

    def _map_above(self, face: FaceView, most: int) -> Chunk:
        def drawn(rows: int) -> tuple[Content, ...]:
            return tuple(self._map(face, self._across(rows - 1), min(rows, LARGE_MAP + 3), most))

        sign_count = len(signs_text(face.holes, self._across(LEAST_MAP), glyphs=self.glyphs))
        return Chunk(drawn(LEAST_MAP + sign_count), sort="face", tall=drawn)

    def _side_by_side(self, face: FaceView, others: Sequence[Block]) -> Chunk:
        def drawn(rows: int) -> tuple[Content, ...]:
            for wide, high in (HUGE_MAP, (WIDE_MAP, LARGE_MAP)):
                if rows > high and self.width - wide - 2 >= BESIDE:
                    large = self._beside(face, others, wide, min(rows, high + 3))
                    if len(large) <= rows:
                        return large
            return self._beside(face, others, NARROW_MAP, max(LEAST_MAP + 1, min(rows, SMALL_MAP + 2)))

        return Chunk(drawn(LEAST_MAP + 2), sort="face", tall=drawn)

    def _beside(self, face: FaceView, others: Sequence[Block], wide: int, rows: int) -> tuple[Content, ...]:
        """A map of so many columns and rows, and right of it what goes in there, with threads of the same scale."""
        most = longest_thread(wide, rows)
        left = self._map(face, wide, rows, most)
        beside = self._fastener_chunks(others, self.width - wide - 2, most)
        right = [row for chunk in beside for row in chunk.rows]
        pairs = zip_longest(left, right, fillvalue=Content(""))
        return tuple(Content.assemble(row.pad_right(wide - row.cell_length), "  ", last) for row, last in pairs)

    def _fastener_chunks(self, blocks: Sequence[Block], width: int, most: int = SHORT) -> list[Chunk]:
        """How they are started, and a row for each sort, behind its letter and its length as the map has them.

        `most` are the cells of its threads at most.
        """
        known = {size.mark: size for size in self.sizes}
        longest = max((size.long for size in self.sizes), default=0)
        out = []
        for block in blocks:
            size = known.get(block.letter)
            if block.kind != "row":
                words, sign = block.words if not self.glyphs.words else f"{LEADS[block.sort]}{block.words}", None
            else:
                holes = holes_text(block)
                lies = "" if block.done else f"; {where(block)}"
                words, sign = f"{'tighten ' if block.sort == 'loosened' else ''}{holes}: {block.words}{lies}", size
            style = "$pb-muted" if block.done and block.sort == "fastener" else "$pb-text"
            if self.glyphs.words or sign is None:
                out.append(Chunk(tuple(signed("note", words, width, self.glyphs, style)), sort=block.sort))
                continue
            drawn = size_sign(sign, self.glyphs, longest=longest, room=most)
            inset = " " * (drawn.cell_length + 1)
            first, *more = wrapped(words, width - len(inset), style)
            rows = [Content.assemble(drawn, " ", first), *(Content.assemble(inset, line) for line in more)]
            out.append(Chunk(tuple(rows), sort=block.sort))
        return out


_FIRST = ("skipped", "waits", "first", "covered", "lie", "caution", "usual", "rules")
"""Sorts that stand before the places to take up, where no tool is known."""


def paged(chunks: Sequence[Chunk], height: int) -> list[Page]:
    """Return chunks on pages of `height` rows, in their order; pictures take the rows that are left over.

    A chunk is kept whole where it fits on a page. There is at least one page.
    """
    height = max(1, height)
    pages: list[list[Chunk]] = [[]]
    left = height
    for at, chunk in enumerate(chunks):
        with_it = [c.rows for c in takewhile(lambda c: c.beside, chunks[at + 1 :])] if not chunk.beside else []
        together = len(chunk.rows) + sum(map(len, with_it))
        if pages[-1] and (len(chunk.rows) > left or (left < together <= height and left < height)):
            pages.append([])
            left = height
        rest = chunk
        while len(rest.rows) > left:
            pages[-1].append(Chunk(rest.rows[:left], sort=rest.sort))
            rest = Chunk(rest.rows[left:], rest.item, rest.sort)
            pages.append([])
            left = height
        pages[-1].append(rest)
        left -= len(rest.rows)
    return [_page(page, height) for page in pages]


def _page(chunks: Sequence[Chunk], height: int) -> Page:
    spare = height - sum(len(chunk.rows) for chunk in chunks)
    rows: list[Content] = []
    for chunk in chunks:
        drawn = chunk.rows
        if chunk.tall is not None and spare > 0:
            drawn = chunk.tall(len(chunk.rows) + spare)
        rows += drawn
    return Page(
        tuple(rows),
        frozenset(chunk.item for chunk in chunks if chunk.item),
        frozenset(chunk.sort for chunk in chunks),
    )


def heading_rows(account: Account, width: int, inside: str) -> list[Content]:
    """Return the rows above every page: what is done, and at which step, face and assembly."""
    step = account.step
    beside = ", ".join(filter(None, (f"step {step.number}", account.faces, inside)))
    return [*wrapped(account.heading, width, "bold $pb-text"), plain(beside, width, "$pb-muted")]
