"""A mark that changes whenever a case of the book does: cheap to ask for, so that an opened case can be used again."""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from coreset.book import documents
from coreset.book.schema import CORRECTION, READING, SIGNATURE

FORGOTTEN = "forgotten"
"""Under this name it is remembered when a code was last deleted: that alone changes what is stored already."""


def stamp(connection: Connection, case_id: str) -> str:
    """Newest revision, how many readings, corrections and signatures there are, and the last deletion of a code."""
    counts = [
        connection.scalar(select(func.count()).select_from(table).where(table.c.case_id == case_id))
        for table in (READING, CORRECTION, SIGNATURE)
    ]
    forgotten = documents.remembered(connection, FORGOTTEN) or ""
    return " ".join([str(documents.head(connection, case_id)), *map(str, counts), forgotten])
