"""Opening the database: durable settings, the version of its tables checked, brought forward with a copy kept.

A SQLite book is one file that holds all that was acknowledged, so that a copy of it is a book: a commit is written to
it before it returns, and what it replaces is set aside in a journal only while that goes on.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from sqlalchemy import (
    URL,
    Connection,
    Engine,
    create_engine,
    event,
    func,
    insert,
    inspect,
    make_url,
    select,
    update,
)
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from coreset.errors import BookError
from coreset.store.book import schema
from coreset.store.book.file import OpenFile, make_own, take_rights
from coreset.store.book.migrations import MIGRATIONS
from coreset.store.book.refusals import refused

BUSY_S = 30.0
"""How long a writer waits for another one. [s]"""


CUT = {
    "connect_timeout": 10,
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 25_000,
}
"""Parameters of a connection to PostgreSQL that the URL does not give: a silent network is none after 10 s [s] while
connecting, after 25 s [s, the last one ms] later on."""
CUT_THERE = {
    "tcp_keepalives_idle": "10",
    "tcp_keepalives_interval": "5",
    "tcp_keepalives_count": "3",
    "tcp_user_timeout": "25000",
}
"""The same for the other end, PostgreSQL's own settings: else it would hold the case of an act that was cut off, and
refuse it to all others, until its system finds the connection dead, after two hours where nobody set it."""
OPENING = 0x636F7265
"""Number of the lock on a PostgreSQL database while its tables are made or changed."""
READING = "coreset_reading"
"""Execution option of a transaction that only reads."""


def open_engine(url: str) -> Engine:
    """An engine on that URL whose tables are of this version; an older SQLite file is upgraded, with a copy of it.

    Raises
    ------
    BookError
        If the URL cannot be used, the file is no book or damaged, its tables are newer than this version, or those of a
        PostgreSQL database are older: other servers may use them, so that a person decides when.
    """
    engine = engine_for(url)
    try:
        with refused(url):
            _bring_forward(engine)
            _one_file(engine)
    except BookError:
        engine.dispose()
        raise
    return engine


def engine_for(url: str) -> Engine:
    """An engine on that URL, whatever is there.

    Raises
    ------
    BookError
        If the URL cannot be used.
    """
    try:
        where = make_url(url)
        return _sqlite(url, where.database) if where.get_backend_name() == "sqlite" else _server(where)
    except (ArgumentError, NoSuchModuleError, ImportError) as error:
        shown = re.sub(r"[:/].*@", "://***@", url)  # no library can take such a URL apart to hide its password
        raise BookError(f"book must be the URL of a SQLite file or a PostgreSQL database, got {shown!r}") from error


def _sqlite(url: str, database: str | None) -> Engine:
    if database and database != ":memory:":
        try:
            Path(database).parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            make_own(Path(database))
        except OSError as error:
            raise BookError(f"book must lie in a folder that can be made, got {database} ({error.strerror})") from error
    engine = create_engine(url, connect_args={"timeout": BUSY_S})
    event.listen(engine, "connect", _settings)
    event.listen(engine, "begin", _begin)
    return engine


def _server(where: URL) -> Engine:
    """An engine that notices a server which was started again, or a network that was cut, before an act fails by it."""
    own = {name: value for name, value in CUT.items() if name not in where.query}
    engine = create_engine(where, connect_args=own, pool_pre_ping=True)
    event.listen(engine, "connect", _settings_there)
    return engine


def _settings_there(connection: Any, _record: Any) -> None:
    with connection.cursor() as cursor:
        for name, value in CUT_THERE.items():
            cursor.execute("select set_config(%s, %s, false)", (name, value))
    connection.commit()


def _settings(connection: Any, _record: Any) -> None:
    connection.isolation_level = None
    for setting in ("synchronous=EXTRA", "foreign_keys=ON", "secure_delete=ON"):
        connection.execute(f"PRAGMA {setting}")


def _one_file(engine: Engine) -> None:
    """No log beside the file, and no right for others; older books had both. Only once it is sure that it is a book."""
    if path := sqlite_file(engine.url):
        take_rights(path)
    if engine.dialect.name == "sqlite":
        raw = engine.raw_connection()
        try:
            raw.driver_connection.execute("PRAGMA journal_mode=DELETE")
        finally:
            raw.close()


def compact(engine: Engine) -> None:
    """Leave nothing of deleted rows in the file of a book; a server does that by itself."""
    if engine.dialect.name == "sqlite":
        raw = engine.raw_connection()
        try:
            raw.driver_connection.execute("VACUUM")
        finally:
            raw.close()


def file_of(engine: Engine) -> OpenFile:
    """The file of the book as it is now; of none where there is no file."""
    return OpenFile(sqlite_file(engine.url))


def sqlite_file(url: URL) -> Path | None:
    """The file that a URL names; None for a server or for memory."""
    path = url.database if url.get_backend_name() == "sqlite" else None
    return None if path is None or path in ("", ":memory:") else Path(path)


def reading(engine: Engine) -> Engine:
    """The engine for transactions that only read, each all of one state of the book."""
    level = {} if engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
    return engine.execution_options(**{READING: True}, **level)


def _begin(connection: Connection) -> None:
    reading = connection.get_execution_options().get(READING)
    connection.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")


def _bring_forward(engine: Engine) -> None:
    with engine.begin() as connection:
        _one_at_a_time(connection)
        found = tables_version(connection)
        if found is None:
            schema.METADATA.create_all(connection)
            connection.execute(insert(schema.FORM).values(version=schema.VERSION))
            return
    refuse_newer(found)
    if found == schema.VERSION:
        return
    if engine.dialect.name != "sqlite":
        raise BookError(
            f"database must have tables of version {schema.VERSION}, got {found}: stop the servers, then "
            "`coreset database upgrade FILE` writes a backup and upgrades them"
        )
    _copy(engine, found)
    migrate(engine)


def refuse_newer(found: int) -> None:
    """Nothing, if this coreset knows tables of that version; else a BookError."""
    if found > schema.VERSION:
        raise BookError(
            f"database must have tables of version {schema.VERSION} or older, got {found}: "
            "a newer coreset wrote it, so install that one"
        )


def refuse_other_version(connection: Connection) -> None:
    """Nothing, if the tables are of this version, and stay so until a transaction that writes has ended.

    Raises
    ------
    BookError
        If a newer coreset brought them forward while this one was running.
    """
    reads = connection.get_execution_options().get(READING)
    if connection.dialect.name == "postgresql" and not reads:  # tables are changed under this lock, held by nobody else
        connection.execute(select(func.pg_advisory_xact_lock_shared(OPENING)))
    refuse_newer(connection.scalar(select(func.max(schema.FORM.c.version))) or 0)


def _one_at_a_time(connection: Connection) -> None:
    """Let servers that start together make or change the tables one after another; SQLite has one writer anyway."""
    if connection.dialect.name == "postgresql":
        connection.execute(select(func.pg_advisory_xact_lock(OPENING)))


def tables_version(connection: Connection) -> int | None:
    """Version of the tables; None in an empty database.

    Raises
    ------
    BookError
        If it holds other tables, or does not say.
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if schema.FORM.name not in tables:
        raise BookError("book must be empty or a coreset book, got a database with other tables")
    version = connection.scalar(select(func.max(schema.FORM.c.version)))
    if version is None:
        raise BookError("book must state the version of its tables, got none: it is damaged")
    return version


def _copy(engine: Engine, found: int) -> None:
    """Keep the file that is about to be changed; the coreset that wrote it opens the copy."""
    copy = Path(f"{engine.url.database}.v{found}")
    if not copy.exists():
        make_own(copy)
        raw = engine.raw_connection()
        try:
            raw.driver_connection.execute("VACUUM INTO ?", (str(copy),))
        finally:
            raw.close()


def migrate(engine: Engine) -> None:
    """Bring the tables to the version of this coreset, all of it or nothing."""
    with engine.begin() as connection:
        _one_at_a_time(connection)
        run_steps(connection, tables_version(connection) or 0)  # another server may have done it meanwhile
        connection.execute(update(schema.FORM).values(version=schema.VERSION))


def run_steps(connection: Connection, found: int) -> None:
    """Take the steps from tables of that version to those of this coreset; a table that is there already stays."""
    for version in range(found, schema.VERSION):
        if version not in MIGRATIONS:
            raise BookError(f"book of version {version} must have a way forward, got none in this coreset")
        MIGRATIONS[version](connection)
