"""Tables of the book, and the number that says which form they have."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Column, Connection, Float, Integer, MetaData, String, Table, Text, func, insert, select

VERSION = 2
"""Form of the tables that this coreset writes."""

METADATA = MetaData()

FORM = Table("form", METADATA, Column("version", Integer, primary_key=True))
"""One row: the version of the tables."""

REVISION = Table(
    "revision",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("shows", Integer, nullable=False),
    Column("who", String(80), nullable=False),
    Column("at", String(40), nullable=False),
    Column("why", Text, nullable=False),
)
"""One row each time a case was kept. `shows` is the revision whose parts hold: its own, or an earlier one (undo)."""

PART = Table(
    "part",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("name", String(120), primary_key=True),
    Column("body", Text),
)
"""One JSON document a part of a case, only where it changed in that revision; NULL where the part was dropped."""

READING = Table(
    "reading",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("study", String(80), primary_key=True),
    Column("device", String(80), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(12), nullable=False),
    Column("cycle", Integer, nullable=False),
    Column("element", String(200), nullable=False),
    Column("clock_s", Float),
    Column("wall_ms", Float),
    Column("rating", Float),
    Column("mark", String(12), nullable=False),
    Column("target", Integer),
    Column("note", Text, nullable=False),
    Column("received", String(40), nullable=False),
)
"""One row each press of a clock, or each reading that was typed or imported (device empty). Never changed."""

SITTING = Table(
    "sitting",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("study", String(80), primary_key=True),
    Column("device", String(80), primary_key=True),
    Column("number", Integer, nullable=False),
)
"""One row each device that pressed on a study, numbered as the book first heard of them, by no clock."""

CORRECTION = Table(
    "correction",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("case_id", String(80), nullable=False, index=True),
    Column("study", String(80), nullable=False),
    Column("seq", Integer, nullable=False),
    Column("action", String(12), nullable=False),
    Column("value", Text, nullable=False),
    Column("who", String(80), nullable=False),
    Column("at", String(40), nullable=False),
    Column("why", Text, nullable=False),
)

SIGNATURE = Table(
    "signature",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("study", String(80), primary_key=True),
    Column("who", String(80), nullable=False),
    Column("at", String(40), nullable=False),
)

MAPPING = Table(
    "mapping",
    METADATA,
    Column("name", String(200), primary_key=True),
    Column("body", Text, nullable=False),
)
"""How the columns of a readings file were read last time, by the heads that it had."""


def _number_sittings(connection: Connection) -> None:
    """To version 2: devices are numbered in the order in which version 1 listed them, by the time of their presses."""
    SITTING.create(connection)
    first = func.min(READING.c.received), func.min(READING.c.wall_ms)
    place = READING.c.case_id, READING.c.study, READING.c.device
    heard = select(*place).where(READING.c.device != "").group_by(*place).order_by(*place[:2], *first)
    numbers: dict[tuple[str, str], int] = {}
    for case_id, study, device in connection.execute(heard).all():
        number = numbers[case_id, study] = numbers.get((case_id, study), 0) + 1
        row = {"case_id": case_id, "study": study, "device": device, "number": number}
        connection.execute(insert(SITTING).values(row))


MIGRATIONS: dict[int, Callable[[Connection], None]] = {1: _number_sittings}
"""Steps forward: MIGRATIONS[n] brings tables of version n to n + 1."""
