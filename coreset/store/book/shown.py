"""A case as the database shows it: its row, and the value that its parts and readings make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Row

from coreset.case import Case
from coreset.store.book import documents
from coreset.store.book.assembly import built, with_rows


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRow:
    """One case of the book, as a list shows it."""

    case_id: str
    title: str
    revision: int
    who: str
    when: str
    why: str
    shows: int
    """The revision whose change undo takes back: this one, or where this is an undo, the one it went back to."""
    plant: str = ""


def opened(connection: Connection, case_id: str, revision: int | None = None) -> Case:
    """The case as shown, or as of a revision, with the readings that belong to it."""
    at = documents.shown(connection, case_id) if revision is None else revision
    case = built(documents.join(documents.parts_at(connection, case_id, at)), case_id=case_id)
    return with_rows(connection, case_id, case)


def case_rows(connection: Connection, rows: Sequence[Row]) -> tuple[CaseRow, ...]:
    """Rows of the database with the title and plant that each revision had."""
    return tuple(
        CaseRow(
            case_id=row.case_id,
            title=ground.get("title", ""),
            plant=ground.get("plant", ""),
            revision=row.revision,
            who=row.who,
            when=row.at,
            why=row.why,
            shows=row.shows,
        )
        for row, ground in zip(rows, documents.grounds(connection, rows), strict=True)
    )
