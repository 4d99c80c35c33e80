"""A mark that changes whenever a case of the book does: cheap to ask for, so that an opened case can be used again."""

from __future__ import annotations

from uuid import uuid4

from sqlalchemy import Connection, Select, func, select

from coreset.store.book import documents, mapping
from coreset.store.book.rows import TABLE
from coreset.store.book.schema import CORRECTION, READING, SIGNATURE

FORGOTTEN = "forgotten"
"""Under this name it is remembered when a code was last deleted: that alone changes what is stored already."""
TYPED = "typed readings of {case_id}"
"""Under this name it is remembered when readings without a clock were last added: there may be a million to count."""


def stamp(connection: Connection, case_id: str) -> str:
    """Newest revision, presses, corrections and signatures by number, last typed readings, last deletion of a code."""
    counts = [
        connection.scalar(_presses(case_id)),
        *(
            connection.scalar(select(func.count()).select_from(table).where(table.c.case_id == case_id))
            for table in (CORRECTION, SIGNATURE)
        ),
    ]
    names = (TYPED.format(case_id=case_id), FORGOTTEN)
    last = [mapping.remembered(connection, name) or "" for name in names]
    return " ".join([str(documents.head(connection, case_id)), *map(str, counts), *last])


def typed_now(connection: Connection, case_id: str) -> None:
    """Typed or imported readings were added to the case."""
    mapping.remember(connection, TYPED.format(case_id=case_id), uuid4().hex)


def _presses(case_id: str) -> Select[tuple[int]]:
    """How many presses of clocks a case has: study after study by the key of the table, past all typed readings."""
    own = READING.c.case_id == case_id
    study = select(func.min(READING.c.study).label("study")).where(own).cte("study", recursive=True)
    following = select(func.min(READING.c.study)).where(own, READING.c.study > study.c.study).correlate(study)
    study = study.union_all(select(following.scalar_subquery()).where(study.c.study.is_not(None)))
    pressed = select(func.count()).where(own, READING.c.study == study.c.study, READING.c.device > TABLE)
    return select(func.sum(pressed.correlate(study).scalar_subquery())).select_from(study)
