"""Steps that bring the tables of an older version forward, each in the transaction of whoever calls it."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection, func, insert, inspect, select, text

from coreset.store.book.chain import TABLES, close_act
from coreset.store.book.schema import ACT, PEOPLE, READING, REVISION, SESSION, SIGNED_OUT


def _number_sessions(connection: Connection) -> None:
    """To version 2: devices are numbered in the order in which version 1 listed them, by the time of their presses."""
    SESSION.create(connection, checkfirst=True)
    first = func.min(READING.c.received), func.min(READING.c.wall_ms)
    place = READING.c.case_id, READING.c.study, READING.c.device
    heard = select(*place).where(READING.c.device != "").group_by(*place).order_by(*place[:2], *first)
    numbers: dict[tuple[str, str], int] = {}
    for case_id, study, device in connection.execute(heard).all():
        number = numbers[case_id, study] = numbers.get((case_id, study), 0) + 1
        row = {"case_id": case_id, "study": study, "device": device, "number": number}
        connection.execute(insert(SESSION).values(row))


def _add_acts(connection: Connection) -> None:
    """To version 3: rows belong to acts; all that a case holds is its first."""
    ACT.create(connection, checkfirst=True)
    for table in TABLES:
        there = {column["name"] for column in inspect(connection).get_columns(table.name)}
        for column in {"act", "content"} & set(table.c.keys()) - there:
            connection.execute(ADD_COLUMN[table.name, column])
        for index in table.indexes:
            index.create(connection, checkfirst=True)
    for case_id in connection.scalars(select(REVISION.c.case_id).distinct()).all():
        close_act(connection, case_id)


def _add_people(connection: Connection) -> None:
    """To version 4: a list of people, and who signed out when."""
    PEOPLE.create(connection, checkfirst=True)
    SIGNED_OUT.create(connection, checkfirst=True)


ADD_COLUMN = {
    ("revision", "act"): text("ALTER TABLE revision ADD COLUMN act INTEGER"),
    ("part", "act"): text("ALTER TABLE part ADD COLUMN act INTEGER"),
    ("reading", "act"): text("ALTER TABLE reading ADD COLUMN act INTEGER"),
    ("sitting", "act"): text("ALTER TABLE sitting ADD COLUMN act INTEGER"),
    ("correction", "act"): text("ALTER TABLE correction ADD COLUMN act INTEGER"),
    ("signature", "act"): text("ALTER TABLE signature ADD COLUMN act INTEGER"),
    ("signature", "content"): text("ALTER TABLE signature ADD COLUMN content TEXT"),
}

MIGRATIONS: dict[int, Callable[[Connection], None]] = {1: _number_sessions, 2: _add_acts, 3: _add_people}
"""Steps forward: MIGRATIONS[n] brings tables of version n to n + 1."""
