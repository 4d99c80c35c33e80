"""Which plant a video belongs to: that of the case from which it was uploaded, kept in the database."""

from __future__ import annotations

from coreset.store.book import Book
from coreset.web.sign_in.people import OBSERVE, Person

KEY = "video/"
"""Beginning of the names under which the database remembers them."""


def assign(book: Book, name: str, plant: str) -> None:
    """Remember the plant of an uploaded video.

    Parameters
    ----------
    book : Book
        The database.
    name : str
        File name of the video.
    plant : str
        Name of the plant; empty for none.
    """
    book.remember(KEY + name, plant)


def may_see(person: Person | None, name: str, book: Book) -> bool:
    """Whether a video may be seen: by everybody where nobody signs in, else by who has a role at its plant.

    One whose plant is not known, from a folder named at start for example, is for those with a role at every plant.

    Parameters
    ----------
    person : Person or None
        Who asks; None where nobody signs in.
    name : str
        File name of the video.
    book : Book
        The database, which knows the plant.
    """
    return person is None or person.may(OBSERVE, book.mapping(KEY + name) or "")
