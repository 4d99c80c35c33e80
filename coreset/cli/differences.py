"""Where two cases of one name differ. In: the case that is held, the case that is given. Out: lines of text."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from coreset.case import Case, column
from coreset.errors import StudyError
from coreset.forms.changes import value_text
from coreset.forms.editing import LISTS, label
from coreset.store.book import Book
from coreset.store.folder import read
from coreset.text import say

MOST = 12
"""Lines that are listed; the rest are counted."""


def differences(held: Case, given: Case) -> tuple[str, ...]:
    """What differs, by the names that the files use, with both values where it is one value.

    Parameters
    ----------
    held, given : Case
        The case of the database; the case of a folder.

    Returns
    -------
    tuple of str
        At most MOST lines, and one that counts the rest; empty if the cases are alike.
    """
    found = list(_differences(held, given))
    if not found and held != given:
        found = [say("cli.differences.order")]
    rest = [say("cli.differences.more", count=len(found) - MOST)] if len(found) > MOST else []
    return (*found[:MOST], *rest)


def told_apart(book: Book, folder: Path) -> tuple[str, ...]:
    """Which case the pages show where the database has one of the folder's name, what differs, and how to bring it in.

    Returns
    -------
    tuple of str
        Lines; empty if the database has no case of that name, or holds exactly the folder's.
    """
    name = folder.resolve().name
    if not book.revision(name):
        return ()
    newest = book.trail(name)[0]
    about = {"title": newest.title, "revision": newest.revision, "who": newest.who, "when": newest.when[:16]}
    held = say("cli.app.held", name=name, folder=folder, **about)
    try:
        found = differences(book.open(name), read(folder))
    except StudyError:
        return (say("cli.app.unreadable", held=held, folder=folder),)
    listed = [f"  {line}" for line in found]
    bring_in = say("cli.app.bring_in", name=name, folder=folder)
    return (say("cli.app.differs", held=held), *listed, bring_in) if found else ()


def _differences(held: Case, given: Case) -> Iterator[str]:
    for field, before, after in _unlike(held, given):
        if field.name in LISTS:
            yield from _rows(field.name, before, after, given.units)
        elif dataclasses.is_dataclass(before):
            for inner, old, new in _unlike(before, after):
                yield _values(f"{field.name}.{column(inner, given.units)}", old, new)
        else:
            yield _values(field.name, before, after)


def _unlike(one: Any, other: Any) -> Iterator[tuple[dataclasses.Field[Any], Any, Any]]:
    """Fields with both values where they differ; what is not known (NaN) is like itself."""
    for field in dataclasses.fields(one):
        before, after = getattr(one, field.name), getattr(other, field.name)
        if before != after and repr(before) != repr(after):
            yield field, before, after


def _values(where: str, before: Any, after: Any) -> str:
    if isinstance(before, tuple):
        return say("cli.differences.changed", where=where, fields=say("cli.differences.rows"))
    return say("cli.differences.value", where=where, held=value_text(before), given=value_text(after))


def _rows(place: str, before: tuple[Any, ...], after: tuple[Any, ...], units: str) -> Iterator[str]:
    held, given = (_named(place, rows) for rows in (before, after))
    for name in dict.fromkeys([*held, *given]):
        where = f"{place}, {name}"
        if name not in given or name not in held:
            yield say(f"cli.differences.only_{'given' if name in given else 'held'}", where=where)
        elif fields := [column(field, units) for field, _, _ in _unlike(held[name], given[name])]:
            yield say("cli.differences.changed", where=where, fields=", ".join(fields))


def _named(place: str, rows: tuple[Any, ...]) -> dict[str, Any]:
    """Rows by what they are called, those of the same name numbered."""
    found: dict[str, Any] = {}
    for row in rows:
        name = label(place, row)
        found[name if name not in found else f"{name} ({len(found) + 1})"] = row
    return found
