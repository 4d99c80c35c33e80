"""A case on its way into the database by the command: one that is there is replaced only where that was asked for."""

from __future__ import annotations

from typing import Literal

from coreset.case import Case
from coreset.case.digest import digest
from coreset.case.people import COMMAND
from coreset.errors import BookError, CoresetError
from coreset.store.book import Book
from coreset.text import say


def take_in(book: Book, name: str, case: Case, *, replace: bool) -> Literal["done", "same", "replaced"]:
    """Store a case under a name.

    Parameters
    ----------
    book : Book
    name : str
        Name of the case in the database.
    case : Case
        As it was read.
    replace : bool
        Whether a case of that name gets this content as a new revision.

    Returns
    -------
    str
        `done` if the case is new; `same` if the database holds exactly this content, readings and corrections
        included, so that nothing is stored; `replaced` if it is a new revision of the case of that name.

    Raises
    ------
    CoresetError
        If the database has another content under that name and `replace` is not set, or refuses the case.
    """
    base = book.revision(name)
    if base:
        if digest(book.open(name)) == digest(case):
            return "same"
        newest = book.trail(name)[0]
        if not replace:
            held = {"title": newest.title, "revision": newest.revision, "who": newest.who, "when": newest.when[:16]}
            raise CoresetError(say("cli.import.taken", name=name, **held))
    try:
        book.keep(name, case, who=COMMAND, why="import", base=base)
    except BookError as error:
        raise CoresetError(say("cli.import.refused", name=name, error=error)) from error
    return "replaced" if base else "done"
