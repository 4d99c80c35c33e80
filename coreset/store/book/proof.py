"""Whether a database holds together: rows that refer to what is there, revisions without a gap, cases that open."""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from coreset.errors import CoresetError
from coreset.store.book.chain import broken
from coreset.store.book.schema import AFTER, METADATA, PART, READING, REVISION, SESSION
from coreset.store.book.shown import opened


def faults(connection: Connection) -> list[str]:
    """Everything that does not hold in a database; empty where all does."""
    return [
        *_broken_file(connection),
        *_unknown_cases(connection),
        *_revisions(connection),
        *(words for case_id in _names(connection) for words in broken(connection, case_id)),
        *_cases(connection),
    ]


def _broken_file(connection: Connection) -> list[str]:
    if connection.dialect.name != "sqlite":
        return []
    said = [row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check")]
    return [] if said == ["ok"] else [f"file: {words}" for words in said]


def _unknown_cases(connection: Connection) -> list[str]:
    """Rows of cases that have no revision, parts of revisions that are not there, presses of unknown devices."""
    wrong = []
    for table in METADATA.sorted_tables:
        if "case_id" in table.c and table is not REVISION:
            lost = select(table.c.case_id).where(table.c.case_id.not_in(select(REVISION.c.case_id))).distinct()
            wrong += [f"{table.name}: no case {case_id!r}" for case_id in connection.scalars(lost)]
    revision = (REVISION.c.case_id == PART.c.case_id) & (REVISION.c.revision == PART.c.revision)
    lone = select(PART).outerjoin(REVISION, revision).where(REVISION.c.case_id.is_(None))
    wrong += [f"part {row.name} of {row.case_id!r}: no revision {row.revision}" for row in connection.execute(lone)]
    place = READING.c.case_id, READING.c.study, READING.c.device
    same = (SESSION.c.case_id == place[0]) & (SESSION.c.study == place[1]) & (SESSION.c.device == place[2])
    timed = (place[2] != "") & ~place[2].endswith(AFTER)
    unknown = select(*place).outerjoin(SESSION, same).where(SESSION.c.number.is_(None), timed).distinct()
    return wrong + [f"reading of {row.case_id!r}, {row.study}: no session" for row in connection.execute(unknown)]


def _revisions(connection: Connection) -> list[str]:
    number = REVISION.c.revision
    each = select(REVISION.c.case_id, func.count().label("count"), func.min(number).label("first"))
    each = each.add_columns(func.max(number).label("last"), func.max(REVISION.c.shows - number).label("ahead"))
    rows = connection.execute(each.group_by(REVISION.c.case_id)).all()
    return [
        f"revisions of {row.case_id!r}: must be 1 to {row.last} without a gap"
        for row in rows
        if row.first != 1 or row.last != row[1] or row.ahead > 0
    ]


def _names(connection: Connection) -> list[str]:
    return list(connection.scalars(select(REVISION.c.case_id).distinct().order_by(REVISION.c.case_id)))


def _cases(connection: Connection) -> list[str]:
    wrong = []
    for case_id in _names(connection):
        try:
            opened(connection, case_id)
        except (CoresetError, ValueError, KeyError, TypeError) as error:  # a stored document of any form
            wrong.append(f"case {case_id!r} does not open: {type(error).__name__} {error}")
    return wrong
