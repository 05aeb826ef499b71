"""The command `book`: the machine's book as HTML, PDF or Markdown, by the file's ending.

A command loads what it needs when it runs: an import inside a function is for that.
"""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from putback.book.contents import PHOTO_SIZES, Book, gather
from putback.cli.access import chosen, open_workshop, show, tell, workshop_folder
from putback.cli.streams import path_from, print_json, print_text, wants_json
from putback.errors import BadInput
from putback.store.disk import put_made
from putback.store.loading import bulk

ENDINGS = (".html", ".htm", ".pdf", ".md", ".markdown")
"""Endings a book's file can have."""


def book(args: argparse.Namespace) -> int:
    """Write the book of a machine, or tell its last page."""
    if args.last_page:
        return last_page(args)
    from putback.photos.thumbnails import Thumbnails

    path = path_from(args.out) if args.out is not None else None
    if path is not None and not path.is_dir() and path.suffix.lower() not in ENDINGS:
        raise BadInput(f"{path.name}: a book is written as .html, .pdf or .md; end the file's name so.")
    with bulk(), open_workshop(args) as workshop:  # what is gathered stays until it is written
        machine = chosen(args, workshop)
        folder = workshop_folder(args)
        made = gather(
            workshop.record,
            machine,
            now=workshop.now(),
            look=Thumbnails(folder, PHOTO_SIZES[args.photos]).path,
            order=args.order,
            minutes=args.sessions,
            photo_size=args.photos,
        )
    if path is None or path.is_dir():
        path = (path or folder / "out") / f"book-{_file_name(machine.caption)}.html"
    with bulk():
        data = _set(made, path, args.paper)
    _put(path, data)
    if wants_json(args):
        steps = sum(len(chapter.leaves) for chapter in made.chapters)
        told = {"file": str(path), "machine": made.caption, "steps": steps, "photos": made.photos}
        print_json(told | {"photo_bytes": made.photo_bytes})
    else:
        print_text("\n".join(filter(None, (str(path), made.photos_text))))
    return 0


def last_page(args: argparse.Namespace) -> int:
    """Tell the last page of a machine, or write it to a file by its ending."""
    from putback.book.report_pages import in_form
    from putback.reports.last_page import last_page as made_of

    with open_workshop(args) as workshop:
        page = made_of(workshop.record, chosen(args, workshop), now=workshop.now())
    if args.out is None:
        show(args, page.to_json, page.blocks)
        return 0
    path = path_from(args.out)
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise BadInput(f"{path.name}: a last page is written as .html, .pdf or .md; end the file's name so.")
    _put(path, in_form(page.blocks(), ending, args.paper))
    tell(args, lambda: {"file": str(path), **page.to_json()}, lambda: str(path), lambda: str(path))
    return 0


def _file_name(words: str) -> str:
    return re.sub(r"[^\w-]+", "-", words.casefold()).strip("-_")[:60] or "machine"


def _set(made: Book, path: Path, paper: str) -> bytes:
    """The book as the ending of its file asks for. Photos of a Markdown book are copied beside it."""
    ending = path.suffix.lower()
    if ending == ".pdf":
        from putback.book.pdf import pdf_of

        return pdf_of(made, paper)
    if ending in (".html", ".htm"):
        from putback.book.html import html_of

        return html_of(made).encode()
    from urllib.parse import quote

    from putback.book.markdown import markdown_of

    folder = path.with_name(f"{path.stem}-photos")

    def beside(photo: Path) -> str:
        _put(folder / photo.name, photo.read_bytes())
        return quote(f"{folder.name}/{photo.name}")

    return markdown_of(made, beside).encode()


def _put(path: Path, data: bytes) -> None:
    """Write a file for its owner only, as the workshop is; an old one stays whole until then. Raises BadInput."""
    try:
        put_made(path, data)
    except OSError as fault:
        raise BadInput(f"{path} cannot be written: {fault.strerror or fault}.") from fault
