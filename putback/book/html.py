"""The book as one HTML file: pictures and styles are inside it, nothing is fetched."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator
from html import escape

from putback.book.contents import Book, Chapter, Leaf, Return, Size
from putback.book.faces import PrintedHole, free_places, spots
from putback.book.fastener_list import numbers
from putback.progress import each
from putback.reports.account import Block
from putback.reports.account.lines import CAUTIONS, HELD, UNSAID, block_text, holes_text, where
from putback.reports.bags import BagCard
from putback.reports.todo import left_to_do
from putback.trade.record.phrases import one_way
from putback.trade.refit.orientation import lay_it

STYLE = """
:root { --paper: #fbf8f1; --ink: #23211d; --quiet: #6d675c; --line: #d8d0c0; --brass: #8a5a00;
  --rust: #96300f; --rust-wash: #f9e9e0; --blue: #1f5580; --steel: #e7eaec; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 16px/1.5 Georgia, "Times New Roman", serif; }
main { max-width: 54rem; margin: 0 auto; padding: 2.5rem 1.5rem 5rem; }
h1 { font-size: 2.5rem; line-height: 1.15; margin: 0 0 .2em; font-weight: normal; }
h2 { font-size: 1.5rem; font-weight: normal; margin: 3.2rem 0 .9rem; padding-bottom: .35rem;
  border-bottom: 2px solid var(--brass); }
h3 { font-size: 1.1rem; margin: 0; line-height: 1.3; }
p { margin: .3rem 0; } ul { margin: .3rem 0; padding-left: 1.2rem; }
a { color: var(--blue); text-underline-offset: .15em; text-decoration-thickness: 1px; }
.rule { height: 18px; margin: 1.1rem 0 1.3rem; border-top: 1px solid var(--ink);
  background: repeating-linear-gradient(90deg, var(--ink) 0 1px, transparent 1px 10mm) 0 0/100% 12px no-repeat,
    repeating-linear-gradient(90deg, var(--quiet) 0 1px, transparent 1px 5mm) 0 0/100% 8px no-repeat,
    repeating-linear-gradient(90deg, var(--quiet) 0 1px, transparent 1px 1mm) 0 0/100% 5px no-repeat; }
.quiet, .where, figcaption { color: var(--quiet); font-size: .9rem; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .1rem 1rem; margin: .8rem 0; }
dt { color: var(--quiet); } dd { margin: 0; }
.figures { display: flex; flex-wrap: wrap; gap: 1.6rem; margin: 1.2rem 0; }
.figures b { display: block; font-size: 2rem; font-weight: normal; line-height: 1; color: var(--brass); }
.figures span { color: var(--quiet); font-size: .85rem; }
nav { columns: 2; font-size: .95rem; margin: 1rem 0; } nav a { display: block; }
.wide { overflow-x: auto; } .rule, .bar, .letter, .caution, .face svg { print-color-adjust: exact; }
td, dd, li, p, h1, h3 { overflow-wrap: anywhere; } img, svg { max-width: 100%; } .bar { max-width: 100%; }
.tick { font-size: .9rem; } .tick input { width: 1.4rem; height: 1.4rem; vertical-align: middle; }
.pencil { border: 1px dashed var(--blue); padding: .4rem .8rem; }
@media (max-width: 36rem) { main { padding: 1.2rem .9rem 4rem; } nav { columns: 1; } h1 { font-size: 1.8rem; }
  .step { grid-template-columns: 2.3rem 1fr; } .number { font-size: 1.3rem; } dl { grid-template-columns: 1fr; }
  dd { margin: 0 0 .4rem; } .face table { flex-basis: 100%; } figure { width: 100%; }
  td, th { padding-right: .45rem; } }
.step { display: grid; grid-template-columns: 3.4rem 1fr; padding: 1.1rem 0; border-bottom: 1px solid var(--line);
  break-inside: avoid-page; }
.number { font-size: 1.7rem; line-height: 1.1; color: var(--brass); }
.caution { background: var(--rust-wash); border-left: 4px solid var(--rust); padding: .3rem .7rem; margin: .4rem 0; }
.caution::before { content: "\\25B2\\00a0 Caution: "; color: var(--rust); font-weight: bold; }
.set { border-left: 4px solid var(--blue); padding: .1rem .7rem; margin: .4rem 0; }
.face { display: flex; flex-wrap: wrap; gap: 1.4rem; align-items: flex-start; margin: .6rem 0; }
.face svg { flex: none; width: 11rem; height: auto; }
.face table { flex: 1 1 18rem; }
table { border-collapse: collapse; font-size: .95rem; } td, th { padding: .15rem .8rem .15rem 0; text-align: left;
  vertical-align: top; font-weight: normal; } th { color: var(--quiet); font-size: .85rem; }
td.n { text-align: right; font-variant-numeric: tabular-nums; }
.letter { display: inline-block; min-width: 1.4em; text-align: center; border-radius: 50%; background: var(--ink);
  color: var(--paper); font: bold .8rem/1.4em Arial, sans-serif; }
.bar { display: block; height: 5px; margin-top: 3px; background: var(--quiet); border-left: 3px solid var(--ink); }
.photos { display: flex; flex-wrap: wrap; gap: .8rem; margin: .6rem 0; }
figure { margin: 0; width: 15rem; } figure img { width: 100%; border: 1px solid var(--line); display: block; }
.state { font-size: .8rem; border: 1px solid currentColor; border-radius: .7em; padding: 0 .5em; color: var(--blue); }
.bag { break-inside: avoid; padding: .5rem 0; border-bottom: 1px solid var(--line); }
.mono { font-family: Consolas, "DejaVu Sans Mono", monospace; font-size: .85em; }
@media (prefers-color-scheme: dark) { @media screen { :root { --paper: #191b1c; --ink: #e7e3d9; --quiet: #a3a29a;
  --line: #3a3d3f; --brass: #e9b04b; --rust: #f39270; --rust-wash: #3a241c; --blue: #86b8de; --steel: #2a3035; } } }
@media print { body { font-size: 10.5pt; background: #fff; } main { max-width: none; padding: 0; }
  h2 { break-after: avoid; } a { color: inherit; } .tick, .pencil { display: none; } }
@page { margin: 16mm; }
"""


PENCIL = """
(function () {
  var told = document.getElementById("pencil"), boxes = document.querySelectorAll(".tick input");
  if (!told || !boxes.length) return;
  var key = "putback " + told.dataset.book, ticked = [];
  try { ticked = JSON.parse(localStorage.getItem(key)) || []; } catch (fault) { ticked = []; }
  function tell() {
    var list = ticked.length ? " Ticked so far: steps " + ticked.join(", ") + ". Enter them at the bench." : "";
    told.textContent = "The boxes are pencil marks: they stay in this browser, Putback does not know of them." + list;
  }
  boxes.forEach(function (box) {
    var step = Number(box.dataset.step);
    box.checked = ticked.indexOf(step) >= 0;
    box.parentElement.hidden = false;
    box.addEventListener("change", function () {
      ticked = ticked.filter(function (one) { return one !== step; });
      if (box.checked) ticked.push(step);
      try { localStorage.setItem(key, JSON.stringify(ticked)); } catch (fault) { told.hidden = false; }
      tell();
    });
  });
  told.hidden = false;
  tell();
})();
"""
"""Ticks on the way back, kept in that browser alone; the page is whole without it."""


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
    yield '<div class="rule" role="presentation"></div>'
    if book.plate:
        yield "<dl>" + "".join(f"{_tag('dt', word)}{_tag('dd', value)}" for word, value in book.plate) + "</dl>"
    counts = "".join(f"<div><b>{count}</b><span>{_e(word)}</span></div>" for count, word in book.figures)
    yield f'<div class="figures">{counts}</div>'
    yield '<nav aria-label="Contents"><a href="#stand">How it stands</a>'
    for chapter in book.chapters:
        yield f'<a href="#session-{chapter.number}">{_e(_chapter_name(chapter))}</a>'
    yield '<a href="#back">The way back</a><a href="#bags">Bags</a><a href="#sizes">Fasteners</a>'
    yield '<a href="#todo">Left to do</a></nav>'


def _chapter_name(chapter: Chapter) -> str:
    name = f"Session {chapter.number}" if chapter.number else "Steps"
    return f"{name}: {chapter.title}" if chapter.title else name


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
        yield "<h3>Its parts</h3><p>"
        for depth, name, state in book.tree:
            text = f' <span class="quiet">{_e(state)}</span>' if state else ""
            yield f'<span style="padding-left:{1.4 * depth:g}rem">{_e(name)}{text}</span><br>'
        yield "</p>"


def _off(book: Book) -> Iterator[str]:
    for chapter in book.chapters:
        yield f'<h2 id="session-{chapter.number}">{_e(_chapter_name(chapter))}</h2>'
        yield _tag("p", chapter.when, "quiet")
        if chapter.note:
            yield _tag("p", chapter.note)
        for leaf in each(chapter.leaves, "steps set"):
            yield from _leaf(leaf)


def _leaf(leaf: Leaf) -> Iterator[str]:
    state = f' <span class="state">{_e(leaf.state)}</span>' if leaf.state else ""
    yield f'<section class="step" id="step-{leaf.number}"><div class="number">{leaf.number}</div><div>'
    yield f"<h3>{_e(leaf.text)}{state}</h3>{_tag('p', leaf.where, 'where')}"
    for caution in leaf.cautions:
        yield _tag("p", caution, "caution")
    if leaf.needs:
        yield f'<p class="quiet">came after {"; ".join(map(_step_link, leaf.needs))}</p>'
    yield from _face(leaf)
    for setting in leaf.settings:
        yield f'<p class="set"><b>Setting:</b> {_e(setting)}</p>'
    for task in leaf.at_refit:
        yield f'<p class="set"><b>On the way back, first:</b> {_e(task)}</p>'
    facts = (
        ("loose pieces", ", ".join(leaf.pieces)),
        ("bag" if len(leaf.bags) == 1 else "bags", ", ".join(map(str, leaf.bags))),
        ("the part went to", leaf.put),
        ("tools", ", ".join(leaf.tools)),
    )
    pairs = "".join(f"{_tag('dt', word)}{_tag('dd', value)}" for word, value in facts if value)
    if pairs:
        yield f"<dl>{pairs}</dl>"
    yield from _list((*leaf.notes, *leaf.todo))
    if leaf.photos:
        yield '<div class="photos">'
        for shown in leaf.photos:
            if shown.path is None:
                yield f"<figure>{_tag('figcaption', shown.text)}</figure>"
            else:
                data = b64encode(shown.path.read_bytes()).decode()
                alt = _e(f"step {leaf.number}, {shown.text}")
                yield f'<figure><img alt="{alt}" loading="lazy" src="data:image/jpeg;base64,{data}">'
                yield f"{_tag('figcaption', shown.text)}</figure>"
        yield "</div>"
    if leaf.more_photos:
        yield _tag("p", f"and {leaf.more_photos} more photos in the workshop", "quiet")
    yield "</div></section>"


def _step_link(words: str) -> str:
    number = words.removeprefix("step ").partition(",")[0]
    return f'<a href="#step-{number}">{_e(words)}</a>'


def _face(leaf: Leaf) -> Iterator[str]:
    if not leaf.sizes and not leaf.faces:
        return
    yield '<div class="face">'
    for face in leaf.faces:
        yield face_svg(face.holes, face.name)
    yield "<table>" + "".join(map(_size, leaf.sizes)) + "</table></div>"


def _size(size: Size) -> str:
    letter = f'<span class="letter">{size.letter}</span>' if size.letter else ""
    # As long as the screw itself where the screen or the print is true to size.
    bar = f'<span class="bar" style="width:{size.length:.2f}mm"></span>' if size.length and size.length <= 90 else ""
    remarks = f'<br><span class="quiet">{_e("; ".join(size.remarks))}</span>' if size.remarks else ""
    count = f"{size.count}\u00a0\u00d7" if size.count else ""
    holes = _e(size.at)
    return (
        f'<tr><td>{letter}</td><td class="n">{count}</td><td>{_e(size.called)}{bar}{remarks}</td>'
        f'<td class="quiet">{holes}</td></tr>'
    )


def face_svg(holes: tuple[PrintedHole, ...], title: str) -> str:
    """Return a face with its holes as an SVG picture; it says in words what it shows."""
    text = "; ".join(
        f"hole {h.place}: {'found empty' if h.empty else h.letter}{', trouble' if h.trouble else ''}" for h in holes
    )
    out = [
        f'<svg viewBox="0 0 316 {346 if title else 316}" role="img" aria-label="{_e(text)}" '
        'font-family="Arial, sans-serif" text-anchor="middle">'
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
            f'<text x="{8 + 100 * x:g}" y="{top + 100 * y + 7:g}" font-size="20" fill="var(--quiet)"'
            f' opacity=".45">{key}</text>'
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
                f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="none" stroke="var(--rust)" stroke-width="2.5"'
                f' stroke-dasharray="5 4"/><path d="M{x - reach:g} {y - reach:g}l{2 * reach:g} {2 * reach:g}m0'
                f' {-2 * reach:g}l{-2 * reach:g} {2 * reach:g}" stroke="var(--rust)" stroke-width="2.5"/>'
            )
        else:
            out.append(
                f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="currentColor"/><text x="{x:g}" y="{y + r * 0.36:g}"'
                f' font-size="{r:g}" font-weight="bold" fill="var(--paper)">{_e(hole.letter)}</text>'
            )
        if hole.trouble:
            out.append(
                f'<text x="{x + r + 3:g}" y="{y - r * 0.4:g}" font-size="26" font-weight="bold"'
                ' fill="var(--rust)">*</text>'
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
    rows: list[Block] = []
    for block in one.account.blocks[1:]:
        if block.kind == "row":
            rows.append(block)
            continue
        if rows:
            yield _rows_back(rows)
            rows = []
        if block.kind == "picture" and (face := one.face_of(block)) is not None:
            yield f'<div class="face">{face_svg(face.holes, face.name)}</div>'
        elif block.sort in CAUTIONS:
            yield _tag("p", block_text(block), "caution")
        elif block.sort not in UNSAID:
            yield _tag("p", block_text(block), "set" if block.kind == "question" or block.sort in HELD else "")
    if rows:
        yield _rows_back(rows)
    yield "</div></section>"


def _rows_back(rows: list[Block]) -> str:
    """Fasteners in the order in which they go in, each sort behind its letter."""
    out = []
    for row in rows:
        letter = f'<span class="letter">{_e(row.letter)}</span>' if row.letter else ""
        holes = holes_text(row)
        lead = "tighten " if row.sort == "loosened" else ""
        out.append(
            f'<tr><td>{letter}</td><td class="quiet">{_e(lead + holes)}</td><td>{_e(row.words)}</td>'
            f'<td class="quiet">{_e(where(row))}</td></tr>'
        )
    return f"<table>{''.join(out)}</table>"


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
    rows = []
    for row in card.contents:
        what = row.called
        hole = f", hole {row.spot}" if row.hole else ""
        rows.append(
            f'<tr><td class="n">{row.count}\u00a0\u00d7</td><td>{_e(what)}</td>'
            f'<td class="quiet"><a href="#step-{row.step}">step {row.step}</a>, {_e(row.part + hole)}</td></tr>'
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
    yield f'<div class="wide"><table><tr>{head}</tr>{rows}</table></div>' if rows else "<p>None yet.</p>"
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
