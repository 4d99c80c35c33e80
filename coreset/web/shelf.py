"""Cases on their way into the book: a folder read in, and the case that a server opens first."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from threading import Lock

from coreset.case.people import PROGRAM
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.text import say

_ONE = Lock()
"""Sessions that begin at once bring the demo in once."""


def shelve(book: Book, folder: Path) -> str:
    """Read a case folder into the book, under the folder's name, unless it is there; its name in the book.

    A folder whose case the book already has is not read again: what was typed since stays.
    """
    name = folder.resolve().name
    if not book.revision(name):
        try:
            reread(book, folder)
        except BookError:
            if not book.revision(name):  # else another server has just read it in
                raise
    return name


def reread(book: Book, folder: Path) -> str:
    """Read a case folder into the book as a new revision of the case of its name; no person is behind that."""
    from coreset.store.folder import read

    name = folder.resolve().name
    book.keep(name, read(folder), who=PROGRAM, why=say("front.from_folder"))
    return name


def demo_folder() -> Path:
    """Folder of the case that comes with the program.

    Raises
    ------
    BookError
        If none came with it.
    """
    root = Path(str(files("coreset.studies")))
    found = sorted(item.parent for item in root.glob("*/case.toml"))
    if not found:
        raise BookError(f"a demo case must lie in {root.name}, got none")
    return found[0]


def first_case(book: Book, *, wanted: str = "") -> str:
    """The wanted case if the book has it, else the demo, read in if need be."""
    if wanted and book.revision(wanted):
        return wanted
    with _ONE:
        return shelve(book, demo_folder())
