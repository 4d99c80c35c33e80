"""What an edit of elements may do: once readings stand at a place, the place keeps its meaning and its names."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from sqlalchemy import Connection, select

from coreset.case import Element
from coreset.errors import BookError
from coreset.store.book.schema import CORRECTION, READING

NAMING = ("end", "split", "missed", "reading")
"""Kinds of rows whose element is one of the study's."""


def used_names(connection: Connection, case_id: str, codes: Iterable[str]) -> set[str]:
    """Names under which readings of a study stand, and those that corrections gave them.

    Parameters
    ----------
    codes : iterable of str
        The study and its further sessions.
    """
    codes = list(codes)
    read = select(READING.c.element).where(
        READING.c.case_id == case_id,
        READING.c.study.in_(codes),
        READING.c.kind.in_(NAMING),
        READING.c.mark != "foreign",
    )
    given = select(CORRECTION.c.value).where(
        CORRECTION.c.case_id == case_id, CORRECTION.c.study.in_(codes), CORRECTION.c.action == "relabel"
    )
    return {*connection.scalars(read.distinct()), *connection.scalars(given.distinct())}


def names(element: Element) -> set[str]:
    """The name of an element and every one that it had."""
    return {element.name, *element.earlier}


def refuse_moved(study: str, old: Sequence[Element], new: Sequence[Element], used: Collection[str]) -> None:
    """Nothing, if every reading stays with its element.

    Parameters
    ----------
    study : str
        The study, for the refusal.
    old, new : sequence of Element
        Its elements before and after the edit, in order.
    used : collection of str
        Names that its readings have, see `used_names`.

    Raises
    ------
    BookError
        If an element with readings would leave its place, lose a name, or share one with another.
    """
    for number, element in enumerate(old, start=1):
        own = names(element) & set(used)
        if own and (number > len(new) or not own <= names(new[number - 1])):
            raise BookError(
                f"element {number} of study {study!r} must stay {element.name!r}, which has readings: "
                "Timing renames it in its place; new elements come after the last"
            )
    all_names = [name for element in new for name in sorted(names(element))]
    twice = next((name for name in all_names if all_names.count(name) > 1 and name in used), None)
    if twice is not None:
        raise BookError(
            f"element {twice!r} of study {study!r} has readings and must be one element, got two of that name"
        )
