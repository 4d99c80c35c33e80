"""Tables of the book, and the number that says which form they have."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Float,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

VERSION = 4
"""Form of the tables that this coreset writes."""

METADATA = MetaData()

FORM = Table("form", METADATA, Column("version", Integer, primary_key=True))
"""One row: the version of the tables."""


def _act(name: str) -> tuple[Column[int], Index]:
    """Number of the act that added a row, and an index of the rows that have none yet: those of the act under way."""
    act: Column[int] = Column("act", Integer)
    new = act.is_(None)
    return act, Index(f"{name}_new", "case_id", sqlite_where=new, postgresql_where=new)


ACT = Table(
    "act",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("sha256", String(64), nullable=False),
)
"""One row each act on a case: the hash of the rows that it added and of the act before it (`chain`)."""

REVISION = Table(
    "revision",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("shows", Integer, nullable=False),
    Column("who", String(80), nullable=False),
    Column("at", String(40), nullable=False),
    Column("why", Text, nullable=False),
    *_act("revision"),
)
"""One row each time a case was kept. `shows` is the revision whose parts hold: its own, or an earlier one (undo)."""

PART = Table(
    "part",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("name", String(120), primary_key=True),
    Column("body", Text),
    *_act("part"),
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
    *_act("reading"),
)
"""One row each press of a clock, or each reading that was typed or imported (device empty). Never changed."""

AFTER = "@late"
"""Ending of the device under which presses stand that came after their study was signed: it has no number as a session,
so that no reading comes of them. No device of a browser can have it."""

SESSION = Table(
    "sitting",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("study", String(80), primary_key=True),
    Column("device", String(80), primary_key=True),
    Column("number", Integer, nullable=False),
    *_act("sitting"),
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
    *_act("correction"),
)

SIGNATURE = Table(
    "signature",
    METADATA,
    Column("case_id", String(80), primary_key=True),
    Column("study", String(80), primary_key=True),
    Column("who", String(80), nullable=False),
    Column("at", String(40), nullable=False),
    Column("content", Text),
    *_act("signature"),
)
"""One row each signed study. `content` holds the hash of each of its sessions as signed, by code; NULL before 0.3."""

PEOPLE = Table(
    "people",
    METADATA,
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("who", String(80), nullable=False),
    Column("at", String(40), nullable=False),
    Column("body", Text, nullable=False),
)
"""One row each time the list of people was saved: the whole list as CSV text; the newest holds."""

SIGNED_OUT = Table(
    "signed_out",
    METADATA,
    Column("subject", String(255), primary_key=True),
    Column("at_s", Float, nullable=False),
)
"""One row each person who signed out: sign-ins from before that moment count no longer, on any device. [s, 1970]"""

MAPPING = Table(
    "mapping",
    METADATA,
    Column("name", String(200), primary_key=True),
    Column("body", Text, nullable=False),
)
"""How the columns of a readings file were read last time, by the heads that it had."""
