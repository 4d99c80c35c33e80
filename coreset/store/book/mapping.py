"""Texts under names of their own, such as the columns of a file that was read in: the last one holds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, Table, select

from coreset.store.book.schema import MAPPING


def remembered(connection: Connection, name: str) -> str | None:
    """A text kept under a name."""
    return connection.scalar(select(MAPPING.c.body).where(MAPPING.c.name == name))


def remember(connection: Connection, name: str, body: str) -> None:
    """Keep a text under a name, in the place of an earlier one.

    Parameters
    ----------
    name : str
        What it is found by.
    body : str
        The text.
    """
    new = own_insert(connection)(MAPPING).values(name=name, body=body)
    connection.execute(new.on_conflict_do_update(index_elements=[MAPPING.c.name], set_={"body": body}))


def own_insert(connection: Connection) -> Callable[[Table], Any]:
    """`insert` of the database, which says what to do with a row that is there already."""
    if connection.dialect.name == "postgresql":  # its part of the library is large, and loaded only where it is used
        from sqlalchemy.dialects.postgresql import insert as own
    else:
        from sqlalchemy.dialects.sqlite import insert as own
    return own
