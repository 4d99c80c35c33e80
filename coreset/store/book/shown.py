"""A case as the database shows it: its row, and the value that its parts and readings make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Row, func, select

from coreset.case import Case
from coreset.store.book import documents
from coreset.store.book.assembly import with_rows
from coreset.store.book.plain import built
from coreset.store.book.schema import READING, REVISION


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
    """The case as shown, or as of a revision, with the readings that belong to it.

    Parameters
    ----------
    revision : int, optional
        One that shows itself; the one shown now if left out.
    """
    at = documents.shown(connection, case_id) if revision is None else revision
    case = built(documents.join(documents.parts_at(connection, case_id, at)), case_id=case_id)
    return with_rows(connection, case_id, case)


def every_case(connection: Connection) -> tuple[CaseRow, ...]:
    """Every case with its newest revision, by name."""
    newest = select(REVISION.c.case_id, func.max(REVISION.c.revision).label("revision"))
    latest = newest.group_by(REVISION.c.case_id).subquery()
    same = (REVISION.c.case_id == latest.c.case_id) & (REVISION.c.revision == latest.c.revision)
    of_all = select(REVISION).join(latest, same).order_by(REVISION.c.case_id)
    return case_rows(connection, connection.execute(of_all).all())


def trail(connection: Connection, case_id: str) -> tuple[CaseRow, ...]:
    """Every revision of a case, newest first."""
    of_case = select(REVISION).where(REVISION.c.case_id == case_id).order_by(REVISION.c.revision.desc())
    return case_rows(connection, connection.execute(of_case).all())


def only_here(connection: Connection, case_id: str) -> dict[str, int]:
    """Revisions of a case, and presses of clocks: of every device and study, those that came late among them."""
    changes = select(func.count()).select_from(REVISION).where(REVISION.c.case_id == case_id)
    presses = select(func.count()).select_from(READING).where(READING.c.case_id == case_id, READING.c.device != "")
    return {
        "changes": connection.execute(changes).scalar_one(),
        "presses": connection.execute(presses).scalar_one(),
    }


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
