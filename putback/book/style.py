"""How the book looks in a browser and printed from one, and the few lines of script for ticks in pencil.

Letters, colours, order and signs are those of the PDF; printed, it takes no more pages than that.
"""

from __future__ import annotations

from putback.book.colours import DAY, NIGHT, variables

STYLE = (
    f"""
:root {{ {variables(DAY)} }}
@media screen and (prefers-color-scheme: dark) {{ :root {{ {variables(NIGHT)} }} }}
"""
    + """
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 15px/1.45 "DejaVu Sans Condensed", "DejaVu Sans", Verdana, Roboto, sans-serif; }
main { max-width: 54rem; margin: 0 auto; padding: 2.5rem 1.5rem 5rem; }
h1 { font-size: 2.2rem; line-height: 1.15; margin: 0 0 .2em; font-weight: normal; }
h2 { font-size: 1.4rem; font-weight: normal; margin: 3rem 0 .8rem; padding-bottom: .3rem;
  border-bottom: 2px solid var(--brass); }
h3 { font-size: 1.05rem; margin: 1rem 0 .2rem; line-height: 1.3; } .step h3, .bag h3 { margin: 0; }
p { margin: .25rem 0; } ul { margin: .25rem 0; padding-left: 1.2rem; } li::marker { color: var(--brass); }
a { color: var(--blue); text-underline-offset: .15em; text-decoration-thickness: 1px; }
.rule { height: 18px; margin: 1.1rem 0 .2rem; border-top: 1px solid var(--ink);
  background: repeating-linear-gradient(90deg, var(--ink) 0 1px, transparent 1px 10mm) 0 0/100% 12px no-repeat,
    repeating-linear-gradient(90deg, var(--quiet) 0 1px, transparent 1px 5mm) 0 0/100% 8px no-repeat,
    repeating-linear-gradient(90deg, var(--quiet) 0 1px, transparent 1px 1mm) 0 0/100% 5px no-repeat; }
.quiet, .where, figcaption { color: var(--quiet); font-size: .87rem; }
dl { display: grid; grid-template-columns: fit-content(45%) minmax(0, 1fr); gap: .1rem 1rem; margin: .7rem 0; }
dt { color: var(--quiet); } dd { margin: 0; }
.figures { display: flex; flex-wrap: wrap; gap: 1.6rem; margin: 1.2rem 0; }
.figures b { display: block; font-size: 1.9rem; font-weight: normal; line-height: 1; color: var(--brass); }
.figures span { color: var(--quiet); font-size: .85rem; }
nav { columns: 2; margin: 1rem 0; } nav a { display: block; }
.wide { overflow-x: auto; } .rule, .bar, .letter, .caution, .face svg { print-color-adjust: exact; }
td, dd, li, p, h1, h3 { overflow-wrap: anywhere; } img, svg { max-width: 100%; } .bar { max-width: 100%; }
.tick { font-size: .9rem; } .tick input { width: 1.4rem; height: 1.4rem; vertical-align: middle; }
.pencil { border: 1px dashed var(--blue); padding: .4rem .8rem; }
.parts { columns: 15rem; margin: .3rem 0; padding: 0; list-style: none; } .parts li { break-inside: avoid; }
.step { display: grid; grid-template-columns: 3.2rem minmax(0, 1fr); padding: .9rem 0;
  border-top: 1px solid var(--line); break-inside: avoid; }
.number { font-size: 1.6rem; line-height: 1.1; color: var(--brass); }
.caution { background: var(--wash); color: var(--rust); border-left: 4px solid var(--rust); padding: .2rem .6rem;
  margin: .25rem 0; }
.caution::before { content: "\\25B2\\00a0 Caution: "; font-weight: bold; }
.set { border-left: 4px solid var(--blue); padding: .05rem .6rem; margin: .25rem 0; }
.face { display: flex; gap: .2rem 1.4rem; align-items: flex-start; margin: .5rem 0; }
.face svg { flex: none; width: 9rem; height: auto; } .plates { flex: none; width: 9rem; }
.plates svg { display: block; width: 9rem; margin-bottom: .4rem; } .beside { flex: 1 1 12rem; min-width: 0; }
table { border-collapse: collapse; } td, th { padding: .1rem .8rem .1rem 0; text-align: left;
  vertical-align: top; font-weight: normal; } th { color: var(--quiet); font-size: .87rem; }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
.sizes td { border-top: 1px solid var(--line); overflow-wrap: break-word; }
.letter { display: inline-block; min-width: 1.5em; text-align: center; border-radius: 50%; background: var(--ink);
  color: var(--paper); font-weight: bold; font-size: .75rem; line-height: 1.5em; }
.bar { display: block; height: 4px; margin: 2px 0; background: var(--quiet); border-left: 3px solid var(--ink); }
.photos { display: flex; flex-wrap: wrap; gap: .8rem; margin: .6rem 0; }
figure { margin: 0; width: 15rem; } .large figure { width: 100%; }
figure img { width: 100%; height: auto; border: 1px solid var(--line); display: block; }
.state { font-size: .8rem; border: 1px solid currentColor; border-radius: .7em; padding: 0 .5em; color: var(--blue);
  font-weight: normal; }
.bag { break-inside: avoid; padding: .35rem 0; }
.mono { font-family: "DejaVu Sans Mono", Consolas, monospace; font-size: .85em; font-weight: normal; }
@media screen and (max-width: 36rem) { main { padding: 1.2rem .9rem 4rem; } nav { columns: 1; }
  nav a { padding: .3rem 0; } h1 { font-size: 1.8rem; }
  .step { grid-template-columns: 2.3rem minmax(0, 1fr); } .number { font-size: 1.3rem; }
  td, th { padding-right: .45rem; } .face { flex-wrap: wrap; } .beside { flex-basis: 100%; } figure { width: 100%; } }
@media print { figcaption { font-size: 8pt; } :root { --paper: #fff; } body { font-size: 9.5pt; line-height: 1.3; }
  main { max-width: none; padding: 0; }
  h1 { font-size: 24pt; } h2 { font-size: 14pt; margin: 6mm 0 2.5mm; break-after: avoid; }
  h3 { font-size: 11pt; margin: 3mm 0 1mm; break-after: avoid; }
  h2 + p, h2 + p + p { break-after: avoid; } a { color: inherit; } .tick, .pencil { display: none; }
  .step { padding: 1.5mm 0; }
  .face { margin: 1mm 0; gap: 1mm 6mm; } .face svg, .plates, .plates svg { width: 34mm; } figure { width: 48mm; }
  .large figure { width: 102mm; } .photos { gap: 1.5mm 3mm; margin: 1mm 0; }
  figcaption { line-height: 1.15; } figure { break-inside: avoid; }
  .step:has(.large figure:nth-of-type(3)) { break-inside: auto; }
  dl { margin: 1mm 0; } p { margin: .3mm 0; } .figures { margin: 3mm 0; }
  .bag, .sizes { font-size: 9pt; } .bag { padding: .8mm 0; } td, th { padding-top: .1mm; padding-bottom: .1mm; } }
@page { margin: 15mm 18mm; }
"""
)
"""The style sheet of the page."""

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
