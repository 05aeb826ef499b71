"""The book as one HTML file: pictures and styles are inside it, nothing is fetched."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from html import escape
from itertools import groupby

from putback.book.bag_lines import bag_lines
from putback.book.contents import TRUE, Book, Return
from putback.book.faces import PrintedFace, PrintedHole, free_places, spots
from putback.book.fastener_list import numbers
from putback.book.leaves import BookPhoto, Leaf, Size
from putback.book.style import PENCIL, STYLE
from putback.progress import each
from putback.reports.account import Block
from putback.reports.account.lines import CAUTIONS, HELD, UNSAID, block_text
from putback.reports.bags import BagCard
from putback.reports.todo import left_to_do
from putback.trade.record.phrases import one_way
from putback.trade.refit.orientation import lay_it


def html_of(book: Book) -> str:
    """Return the whole book as HTML."""
    return "\n".join(
        (
            "<!DOCTYPE html>",
            '<html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{_e(book.caption)}</title><style>{STYLE}</style></head><body><main>",
            *_title(book),
            *_stand(book),
            *_off(book),
            *_back(book),
            *_bags(book),
            *_sizes(book),
            *_todo(book),
            f"</main><script>{PENCIL}</script></body></html>",
            "",
        )
    )


def _e(words: object) -> str:
    return escape(one_way(" ".join(str(words).split())))


def _tag(name: str, words: str, kind: str = "") -> str:
    lines = "<br>".join(map(_e, words.splitlines()))  # a note's lines stay lines
    return f"<{name}{f' class={kind}' if kind else ''}>{lines}</{name}>"


def _list(items: Iterable[str]) -> Iterator[str]:
    lines = [_tag("li", item) for item in items]
    if lines:
        yield "<ul>" + "".join(lines) + "</ul>"


def _title(book: Book) -> Iterator[str]:
    yield f'<h1>{_e(book.caption)}</h1><p class="quiet">The machine’s book, as of {_e(book.as_of)}</p>'  # noqa: RUF001 - an apostrophe as printed
    yield f'<div class="rule" role="presentation"></div>{_tag("p", TRUE, "quiet")}'
    if book.plate:
        yield "<dl>" + "".join(f"{_tag('dt', word)}{_tag('dd', value)}" for word, value in book.plate) + "</dl>"
    counts = "".join(f"<div><b>{count}</b><span>{_e(word)}</span></div>" for count, word in book.figures)
    yield f'<div class="figures">{counts}</div>'
    if book.photos_text:
        yield _tag("p", book.photos_text, "quiet")
    yield '<nav aria-label="Contents"><a href="#stand">How it stands</a>'
    for chapter in book.chapters:
        yield f'<a href="#session-{chapter.number}">{_e(chapter.listed)}</a>'
    yield '<a href="#back">The way back</a><a href="#bags">Bags</a><a href="#sizes">Fasteners</a>'
    yield '<a href="#todo">Left to do</a></nav>'


def _stand(book: Book) -> Iterator[str]:
    yield '<h2 id="stand">How it stands</h2>'
    yield f"<p><b>Next time:</b> {_e(book.next)}.</p>"
    rows = "".join(f'<tr><td class="n">{count}</td><td>{_e(sort)}</td></tr>' for count, sort in book.balance)
    yield f'<table><tr><th>things</th><th>where</th></tr>{rows}<tr><td class="n"><b>{book.things}</b></td>'
    yield "<td>in all</td></tr></table>"
    if book.questions:
        yield "<h3>Open</h3>"
        yield from _list(book.questions)
    if book.tree:
        yield '<h3>Its parts</h3><ul class="parts">'
        for depth, name, state in book.tree:
            text = f' <span class="quiet">{_e(state)}</span>' if state else ""
            yield f'<li style="padding-left:{1.2 * depth:g}rem">{_e(name)}{text}</li>'
        yield "</ul>"


def _off(book: Book) -> Iterator[str]:
    for chapter in book.chapters:
        yield f'<h2 id="session-{chapter.number}">{_e(chapter.name)}</h2>'
        yield _tag("p", chapter.when, "quiet")
        if chapter.note:
            yield _tag("p", chapter.note)
        for leaf in each(chapter.leaves, "steps set"):
            yield from _leaf(leaf, large=book.photo_size == "large")


def _leaf(leaf: Leaf, *, large: bool) -> Iterator[str]:
    state = f' <span class="state">{_e(leaf.state)}</span>' if leaf.state else ""
    yield f'<section class="step" id="step-{leaf.number}"><div class="number">{leaf.number}</div><div>'
    yield f"<h3>{_e(leaf.text)}{state}</h3>{_tag('p', leaf.where, 'where')}"
    for caution in leaf.cautions:
        yield _tag("p", caution, "caution")
    if leaf.needs:
        yield f'<p class="quiet">came after {"; ".join(_step_link(*need) for need in leaf.needs)}</p>'
    facts = (
        ("loose pieces", ", ".join(leaf.pieces)),
        ("bag" if len(leaf.bags) == 1 else "bags", ", ".join(map(str, leaf.bags))),
        ("part went to", leaf.put),
        ("tools", ", ".join(leaf.tools)),
    )
    pairs = "".join(f"{_tag('dt', word)}{_tag('dd', value)}" for word, value in facts if value)
    sizes = f"<table>{''.join(map(_size, leaf.sizes))}</table>" if leaf.sizes else ""
    yield _beside_faces(leaf.faces, sizes + (f"<dl>{pairs}</dl>" if pairs else ""))
    for setting in leaf.settings:
        yield f'<p class="set"><b>Setting:</b> {_e(setting)}</p>'
    for task in leaf.at_refit:
        yield f'<p class="set"><b>On the way back, first:</b> {_e(task)}</p>'
    yield from _list((*leaf.notes, *leaf.todo))
    if leaf.photos:
        yield f'<div class="photos{" large" if large else ""}">'
        for shown in leaf.photos:
            yield _photo(shown, f"step {leaf.number}, {shown.text}")
        yield "</div>"
    if leaf.more_photos:
        yield _tag("p", f"and {leaf.more_photos} more photos in the workshop", "quiet")
    yield "</div></section>"


def _photo(shown: BookPhoto, alt: str) -> str:
    """A photo with its words; what lies far down is not drawn before one comes there."""
    caption = _tag("figcaption", shown.text)
    if shown.path is None:
        return f"<figure>{caption}</figure>"
    from PIL import Image  # the picture library, only where there is a picture

    with Image.open(shown.path) as picture:
        size = f'width="{picture.width}" height="{picture.height}"'
    data = b64encode(shown.path.read_bytes()).decode()
    lazy = 'loading="lazy" decoding="async"'
    return f'<figure><img alt="{_e(alt)}" {lazy} {size} src="data:image/jpeg;base64,{data}">{caption}</figure>'


def _step_link(number: int, text: str) -> str:
    return f'<a href="#step-{number}">step {number}, {_e(text)}</a>'


def _beside_faces(faces: Sequence[PrintedFace], words: str) -> str:
    """Faces, and what is said of them beside them."""
    plates = "".join(face_svg(face.holes, face.name) for face in faces)
    if not plates:
        return words
    return f'<div class="face"><div class="plates">{plates}</div><div class="beside">{words}</div></div>'


def _size(size: Size) -> str:
    # As long as the screw itself where the screen or the print is true to size.
    bar = f'<span class="bar" style="width:{size.length:.2f}mm"></span>' if size.length and size.length <= 90 else ""
    remarks = f'<br><span class="quiet">{_e("; ".join(size.remarks))}</span>' if size.remarks else ""
    count = f"{size.count}\u00a0\u00d7" if size.count else ""
    holes = f'<span class="quiet">{_e(size.at)}</span>' if size.at else ""
    name = f"{_e(size.called)}{bar or ('<br>' if holes else '')}{holes}{remarks}"
    return f'<tr><td>{_letter(size.letter)}</td><td class="n">{count}</td><td>{name}</td></tr>'


@lru_cache(256)  # a face is shown twice, and many steps have like ones
def face_svg(holes: tuple[PrintedHole, ...], title: str) -> str:
    """Return a face with its holes as an SVG picture; it says in words what it shows."""
    text = "; ".join(
        f"hole {h.place}: {'found empty' if h.empty else h.letter}{', trouble' if h.trouble else ''}" for h in holes
    )
    out = [
        f'<svg viewBox="0 0 316 {346 if title else 316}" role="img" aria-label="{_e(text)}" '
        'font-family="inherit" text-anchor="middle">'
    ]
    top = 8.0
    if title:
        out.append(f'<text x="158" y="20" font-size="20" fill="currentColor">{_e(title)} face</text>')
        top = 38.0
    out.append(
        f'<rect x="8" y="{top:g}" width="300" height="300" rx="14" fill="var(--steel)" stroke="var(--quiet)"'
        ' stroke-width="2"/>'
    )
    for key, x, y in free_places(holes):
        out.append(
            f'<text x="{8 + 100 * x:g}" y="{top + 100 * y + 7:g}" font-size="20" fill="var(--quiet)">{key}</text>'
        )
    for spot in spots(holes):
        x, y, r = 8 + 100 * spot.x, top + 100 * spot.y, 100 * spot.radius
        hole = spot.hole
        if hole.stacked and not hole.empty:
            out.append(f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="none" stroke="currentColor" stroke-width="2"/>')
            r *= 0.82
        if hole.empty:
            reach = r * 0.45
            out.append(
                f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="none" stroke="currentColor" stroke-width="2.5"'
                f' stroke-dasharray="5 4"/><path d="M{x - reach:g} {y - reach:g}l{2 * reach:g} {2 * reach:g}m0'
                f' {-2 * reach:g}l{-2 * reach:g} {2 * reach:g}" stroke="currentColor" stroke-width="2.5"/>'
            )
        else:
            out.append(
                f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="currentColor"/><text x="{x:g}" y="{y + r * 0.36:g}"'
                f' font-size="{r:g}" font-weight="bold" fill="var(--paper)">{_e(hole.letter)}</text>'
            )
        if hole.trouble:
            out.append(
                f'<text x="{x + r + 3:g}" y="{y - r * 0.4:g}" font-size="26" font-weight="bold"'
                ' fill="currentColor">*</text>'
            )
        if len(hole.place) > 1:
            out.append(
                f'<text x="{x + r + 5:g}" y="{y + r + 2:g}" font-size="13" fill="var(--quiet)">{hole.place[1]}</text>'
            )
    return "".join([*out, "</svg>"])


def _back(book: Book) -> Iterator[str]:
    yield '<h2 id="back">The way back</h2>'
    if not book.returns:
        yield "<p>Nothing is off.</p>"
        return
    yield _tag("p", book.plan_text, "quiet")
    yield f'<p class="pencil" id="pencil" data-book="{_e(book.caption)}" hidden></p>'
    for one in each(book.returns, "steps of the way back set"):
        if one.begins:
            yield _tag("h3", one.begins)
        yield from _return(one)
    if book.at_last:
        yield _tag("p", f"At last, turn the machine: {lay_it(book.at_last)}.")


def _return(one: Return) -> Iterator[str]:
    link = f'<a href="#step-{one.number}">{one.number}</a>'
    yield f'<section class="step"><div class="number">{link}</div><div><h3>{_e(one.text)}</h3>'
    yield f'<label class="tick" hidden><input type="checkbox" data-step="{one.number}"> done</label>'
    for blocks, face in one.shares():
        words = "".join(_blocks_back(blocks))
        yield _beside_faces([face], words) if face is not None else words
    yield "</div></section>"


def _blocks_back(blocks: Sequence[Block]) -> Iterator[str]:
    """What is said of a step on the way back, fasteners next to one another as a table."""
    for are_rows, some in groupby(blocks, lambda block: block.kind == "row"):
        if are_rows:
            yield _rows_back(some)
            continue
        for block in some:
            if block.sort in CAUTIONS:
                yield _tag("p", block_text(block), "caution")
            elif block.sort not in UNSAID:
                yield _tag("p", block_text(block), "set" if block.kind == "question" or block.sort in HELD else "")


def _rows_back(rows: Iterable[Block]) -> str:
    """Fasteners in the order in which they go in, each sort behind its letter."""
    out = (f"<tr><td>{_letter(row.letter)}</td><td>{_e(block_text(row))}</td></tr>" for row in rows)
    return f"<table>{''.join(out)}</table>"


def _letter(letter: str) -> str:
    return f'<span class="letter">{_e(letter)}</span>' if letter else ""


def _bags(book: Book) -> Iterator[str]:
    yield '<h2 id="bags">Bags</h2>'
    if not book.bags:
        yield "<p>No bag yet.</p>"
    for card in book.bags:
        yield from _bag(card)


def _bag(card: BagCard) -> Iterator[str]:
    box = f", box {card.row.box}" if card.row.box else ""
    yield f'<div class="bag"><h3>Bag {card.row.number}{_e(box)} <span class="mono quiet">{card.row.code}</span>'
    yield f' <span class="state">{card.row.state}</span></h3>'
    yield from _list(card.jobs)
    rows = []
    for line in bag_lines(card):
        note = f"; {_e(line.note)}" if line.note else ""
        rows.append(
            f'<tr><td class="n">{line.count}\u00a0\u00d7</td><td>{_e(line.called)}{note}</td>'
            f'<td class="quiet"><a href="#step-{line.step}">step {line.step}</a>, {_e(line.about)}</td></tr>'
        )
    yield f"<table>{''.join(rows)}</table></div>" if rows else '<p class="quiet">empty</p></div>'


def _sizes(book: Book) -> Iterator[str]:
    yield '<h2 id="sizes">Fasteners</h2>'
    rows = "".join(
        f'<tr><td class="n">{row.count}</td><td>{_e(row.called)}</td><td>{_e(row.head)}</td><td>{_e(row.drive)}</td>'
        f"<td>{', '.join(f'<a href=#step-{n}>{n}</a>' for n in row.steps)}</td><td>{numbers(row.bags)}</td></tr>"
        for row in book.sizes
    )
    head = "".join(f'<th scope="col">{word}</th>' for word in ("count", "size", "head", "drive", "steps", "bags"))
    table = f'<div class="wide" tabindex="0"><table class="sizes"><tr>{head}</tr>{rows}</table></div>'
    yield table if rows else "<p>None yet.</p>"
    if book.mixed:
        yield "<h3>Easily mixed up</h3><dl>"
        for one in book.mixed:
            yield f"{_tag('dt', one.size)}<dd>is not {'<br>nor '.join(map(_e, one.others))}</dd>"
        yield "</dl>"


def _todo(book: Book) -> Iterator[str]:
    yield '<h2 id="todo">Left to do</h2>'
    lines = left_to_do(book.todo)
    if lines:
        yield from _list(lines)
    else:
        yield "<p>Nothing.</p>"
