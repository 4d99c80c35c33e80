"""A backup read back: every hash checked first, then all of it into a database in one transaction, or nothing."""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Table, delete, exists, func, insert, select, text

from coreset.errors import BookError
from coreset.store.book import mapping
from coreset.store.book.backup import BLOCK, FORMAT, MANIFEST, VIDEOS, write
from coreset.store.book.engine import file_of, open_engine, run_steps
from coreset.store.book.proof import faults
from coreset.store.book.refusals import refused
from coreset.store.book.schema import FORM, METADATA, VERSION
from coreset.store.book.stamp import FORGOTTEN

TABLES = tuple(table for table in METADATA.sorted_tables if table is not FORM)
ROWS = 1000
"""Rows that go to the database at once."""


def restore(file: Path, url: str, videos: Path, *, replace: bool = False) -> Path | None:
    """Put a backup into a database, and its videos into a folder: all of it, or nothing.

    Parameters
    ----------
    file : Path
        Backup.
    url : str
        Database that it goes to; either kind, whichever it came from.
    videos : Path
        Folder of videos. A video that is there with the same bytes stays.
    replace : bool
        Whether what the database holds may be replaced; it is written as a backup of its own first.

    Returns
    -------
    Path or None
        The backup of what was replaced.

    Raises
    ------
    BookError
        If the backup is damaged or of a newer version, the database is not empty, or a video of the same name
        has other bytes.
    """
    with opened(file) as (archive, manifest):
        engine = open_engine(url)
        database_file = file_of(engine)
        before = None
        try:
            with refused(url), _videos(archive, manifest, videos), engine.begin() as connection:
                _stop_writers(connection)
                if not empty(connection):
                    before = _set_aside(connection, file, replace=replace)
                fill(connection, archive, manifest)
                mapping.remember(connection, FORGOTTEN, uuid4().hex)  # a running server opens its cases anew
            database_file.refuse_other()
        except OSError as error:
            raise BookError(f"folders of backup and videos must be writable, got {error.strerror}") from error
        finally:
            engine.dispose()
    return before


def _stop_writers(connection: Connection) -> None:
    """Let no server change or add a case until this transaction ends; SQLite has one writer anyway."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("LOCK TABLE revision IN EXCLUSIVE MODE"))


def empty(connection: Connection) -> bool:
    """Whether no table holds a row."""
    return not any(connection.scalar(select(exists().select_from(table))) for table in TABLES)


def _set_aside(connection: Connection, file: Path, *, replace: bool) -> Path:
    """Write what the database holds as a backup, then delete it in this transaction."""
    if not replace:
        raise BookError(
            "database must be empty to restore into it, got one that holds cases: --replace writes them as a backup "
            "next to the file first"
        )
    before = file.with_name(f"{file.stem}.replaced-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.zip")
    write(connection, before)
    for table in reversed(TABLES):
        connection.execute(delete(table))
    return before


def fill(connection: Connection, archive: zipfile.ZipFile, manifest: dict[str, Any]) -> None:
    """Insert every row of a backup, upgrade those of an older version, and check the database that comes of it.

    Parameters
    ----------
    archive : ZipFile
        The backup.
    manifest : dict
        Its version of the tables, and its rows by table.

    Raises
    ------
    BookError
        If a row has other columns than its table, rows are missing, or a reference or a case does not hold.
    """
    for table in TABLES:
        rows: list[dict[str, Any]] = []
        if table.name not in manifest["rows"]:
            continue
        for row in rows_of(archive, table, manifest):
            rows.append(row)
            if len(rows) == ROWS:
                connection.execute(insert(table), rows)
                rows = []
        if rows:
            connection.execute(insert(table), rows)
        count = connection.scalar(select(func.count()).select_from(table))
        if count != manifest["rows"][table.name]:
            raise BookError(f"backup must hold {manifest['rows'][table.name]} rows of {table.name}, got {count}")
        _number_on(connection, table)
    run_steps(connection, manifest["tables"])
    if wrong := faults(connection):
        raise BookError("backup must hold whole cases, got: " + "; ".join(wrong[:5]))


def rows_of(archive: zipfile.ZipFile, table: Table, manifest: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Rows of one table of a backup; those of an older version lack the columns that were added since.

    Parameters
    ----------
    archive : ZipFile
        The backup.
    table : Table
        As this version has it.
    manifest : dict
        Its version of the tables.

    Raises
    ------
    BookError
        If one has other columns than the table.
    """
    columns, older = set(table.columns.keys()), manifest["tables"] < VERSION
    with _whole(archive.filename), archive.open(f"{table.name}.jsonl") as lines:
        for line in lines:
            row = json.loads(line)
            if set(row) != columns and not (older and set(row) < columns):
                raise BookError(f"backup must have the columns of table {table.name}, got {', '.join(sorted(row))}")
            yield row


def _number_on(connection: Connection, table: Table) -> None:
    """Let PostgreSQL number the next row of a table after those that came with their numbers."""
    column = table.autoincrement_column
    if column is None or connection.dialect.name != "postgresql":
        return
    if newest := connection.scalar(select(func.max(column))):
        connection.execute(select(func.setval(func.pg_get_serial_sequence(table.name, column.name), newest)))


@contextmanager
def opened(file: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, Any]]]:
    """A backup whose every member has the hash that its manifest states.

    Raises
    ------
    BookError
        If it is no backup, of a newer form, cut short or altered.
    """
    with _whole(file):
        archive = zipfile.ZipFile(file)
    with archive:
        with _whole(file):
            manifest = json.loads(archive.read(MANIFEST))
            if manifest["format"] != FORMAT or not 1 <= manifest["tables"] <= VERSION:
                raise BookError(
                    f"backup must be of form {FORMAT} with tables of version {VERSION} or older, got "
                    f"{manifest['format']} and {manifest['tables']}: restore it with the coreset that wrote it"
                )
            _check(archive, manifest)
        yield archive, manifest


FORM_ERRORS = (KeyError, TypeError, RuntimeError, json.JSONDecodeError, UnicodeDecodeError)
DAMAGE = (OSError, EOFError, zipfile.BadZipFile, zlib.error, *FORM_ERRORS)
"""What a damaged ZIP makes of its reader; RuntimeError covers an unknown compression."""


@contextmanager
def _whole(file: object) -> Iterator[None]:
    try:
        yield
    except DAMAGE as error:
        raise BookError(f"backup must be whole, got {file}: {error}") from error


def _check(archive: zipfile.ZipFile, manifest: dict[str, Any]) -> None:
    stated = manifest["sha256"]
    held = [name for name in archive.namelist() if name != MANIFEST]
    own = METADATA.tables if manifest["tables"] == VERSION else manifest["rows"]
    if sorted(held) != sorted(stated) or not {f"{name}.jsonl" for name in own} <= set(stated):
        raise BookError("backup must hold the members that its manifest states, got others")
    for name in held:
        if name.startswith(VIDEOS) and Path(name).name != name.removeprefix(VIDEOS):
            raise BookError(f"backup must hold videos by plain names, got {name!r}")
        digest = hashlib.sha256()
        with archive.open(name) as member:
            while block := member.read(BLOCK):
                digest.update(block)
        if digest.hexdigest() != stated[name]:
            raise BookError(f"backup must be as it was written, got other bytes in {name}")


@contextmanager
def _videos(archive: zipfile.ZipFile, manifest: dict[str, Any], folder: Path) -> Iterator[None]:
    """Videos of a backup in their folder for good if what follows succeeds, else taken away again."""
    named = [name for name in manifest["sha256"] if name.startswith(VIDEOS)]
    added: list[Path] = []
    if not named:
        yield
        return
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(dir=folder, prefix=".coreset-") as place:
        try:
            for name in named:
                target = folder / Path(name).name
                if target.exists():
                    if _digest(target) != manifest["sha256"][name]:
                        raise BookError(f"video must be new or the same, got another {target.name} in {folder}")
                    continue
                part = Path(archive.extract(name, place))
                part.chmod(0o600)
                os.link(part, target)
                added.append(target)
            yield
        except BaseException:
            for target in added:
                with suppress(OSError):
                    target.unlink()
            raise


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
