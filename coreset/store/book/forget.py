"""A person's code deleted wherever the book holds it: documents of every revision, rows, reasons and notes."""

from __future__ import annotations

import json
import re

from sqlalchemy import Connection, Table, select, update

from coreset.errors import BookError
from coreset.store.book import people
from coreset.store.book.schema import CORRECTION, PART, READING, REVISION, SESSION, SIGNATURE

REMOVED = "removed"
"""What stands in the place of a deleted code."""
TEXTS: tuple[tuple[Table, tuple[str, ...]], ...] = (
    (REVISION, ("who", "why")),
    (CORRECTION, ("who", "why", "value")),
    (SIGNATURE, ("who",)),
    (READING, ("note", "device")),
    (SESSION, ("device",)),
)


def forget(connection: Connection, code: str) -> tuple[int, set[str]]:
    """Put REMOVED in the place of a code, as a word of its own, everywhere; the rows changed, and their cases.

    Raises
    ------
    BookError
        If the code is empty or the word that takes its place.
    """
    if not code.strip() or code == REMOVED:
        raise BookError(f"code to delete must be a person's code, got {code!r}")
    word = re.compile(rf"(?<![\w-]){re.escape(code)}(?![\w-])")
    changed = [one for table, names in TEXTS for name in names for one in _in_column(connection, table, name, word)]
    changed += _in_documents(connection, word)
    return len(changed) + people.forget(connection, code, REMOVED), set(changed)


def _in_column(connection: Connection, table: Table, name: str, word: re.Pattern[str]) -> list[str]:
    """Cases of the rows changed, one a row."""
    column, keys = table.c[name], list(table.primary_key.columns)
    texts = select(*keys, table.c.case_id.label("of_case"), column.label("text"))
    found = [row for row in connection.execute(texts) if word.search(row.text or "")]
    for row in found:
        same = [key == getattr(row, key.name) for key in keys]
        connection.execute(update(table).where(*same).values({name: word.sub(REMOVED, row.text)}))
    return [row.of_case for row in found]


def _in_documents(connection: Connection, word: re.Pattern[str]) -> list[str]:
    keys = list(PART.primary_key.columns)
    changed = []
    for row in connection.execute(select(PART).where(PART.c.body.is_not(None))).all():
        new = json.dumps(_cleared(json.loads(row.body), word), ensure_ascii=False, allow_nan=False)
        if new != row.body:
            changed.append(row.case_id)
            same = [key == getattr(row, key.name) for key in keys]
            connection.execute(update(PART).where(*same).values(body=new))
    return changed


PEOPLE = {"observer", "operator", "approver", "taken_by", "signed", "owner", "assessor", "who", "note", "why"}
"""Fields of documents in which a code may stand; others (a pattern, a task) may be called the same."""


def _cleared(body: object, word: re.Pattern[str], *, name: str = "") -> object:
    if isinstance(body, dict):
        return {key: _cleared(value, word, name=key) for key, value in body.items()}
    if isinstance(body, list):
        return [_cleared(value, word, name=name) for value in body]
    return word.sub(REMOVED, body) if isinstance(body, str) and name in PEOPLE else body
