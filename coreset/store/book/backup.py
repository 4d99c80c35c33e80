"""A backup of the whole database in one ZIP: every row of every table as of one moment, the videos, their hashes."""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory, mkstemp
from typing import BinaryIO, cast

from sqlalchemy import Connection, Engine, MetaData, Table, create_engine, inspect, select

from coreset.errors import BookError
from coreset.store.book.engine import open_engine, reading, tables_version
from coreset.store.book.refusals import refused
from coreset.store.book.schema import METADATA

FORMAT = 1
"""Form of the backup file that this coreset writes."""
MANIFEST = "manifest.json"
VIDEOS = "videos/"
BLOCK = 1024**2


def backup(url: str, file: Path, videos: Sequence[Path] = ()) -> dict[str, int]:
    """Write a backup while people work in the database; the file has its name only when it is whole.

    Parameters
    ----------
    url : str
        The database.
    file : Path
        ZIP to write; must not be there yet.
    videos : sequence of Path
        Videos to put into it, each name once.

    Returns
    -------
    dict
        Rows of each table, and videos, by name.

    Raises
    ------
    BookError
        If the file is there, the disk does not take it, a video cannot be read, or the database cannot.
    """
    if file.exists():
        raise BookError(f"backup must be a new file, got {file}, which is there already")
    engine = open_engine(url)
    try:
        with refused(url), snapshot(engine, file.absolute().parent) as connection:
            return write(connection, file, videos)
    except OSError as error:
        raise BookError(f"backup must be writable and videos readable, got {error.strerror} for {file}") from error
    finally:
        engine.dispose()


@contextmanager
def snapshot(engine: Engine, folder: Path) -> Iterator[Connection]:
    """A connection that reads one state of the database for as long as it is open and stops nobody from writing.

    A SQLite file is copied first, by the driver's own online copy: a long reader of the file would stop its writers.
    """
    if engine.dialect.name != "sqlite":
        with reading(engine).execution_options(postgresql_readonly=True).begin() as connection:
            yield connection
        return
    with TemporaryDirectory(dir=folder, prefix=".coreset-") as place:
        copy = Path(place) / "copy.sqlite"
        raw, target = engine.raw_connection(), sqlite3.connect(copy)
        try:
            cast("sqlite3.Connection", raw.driver_connection).backup(target, sleep=0.01)
        finally:
            target.close()
            raw.close()
        copied = create_engine(f"sqlite:///{copy}")
        try:
            with copied.connect() as connection:
                yield connection
        finally:
            copied.dispose()


def write(connection: Connection, file: Path, videos: Sequence[Path] = ()) -> dict[str, int]:
    """Write what a connection reads, of this version of the tables or an older one, and the videos, as a backup.

    Parameters
    ----------
    file : Path
        The backup, readable by its owner alone.
    videos : sequence of Path
        Files that go with it.

    Returns
    -------
    dict
        Rows written, by table.

    Raises
    ------
    FileExistsError
        If there is a file of that name.
    """
    handle, part = mkstemp(dir=file.absolute().parent, prefix=".coreset-", suffix=".part")  # mode 0600
    try:
        with os.fdopen(handle, "wb") as out:
            counts = _write(connection, out, videos)
            out.flush()
            os.fsync(out.fileno())
        os.link(part, file)  # never over a file that came meanwhile
    finally:
        with suppress(FileNotFoundError):
            os.unlink(part)
    return counts


def _write(connection: Connection, out: BinaryIO, videos: Sequence[Path]) -> dict[str, int]:
    hashes: dict[str, str] = {}
    counts: dict[str, int] = {}
    archive = zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED)
    try:
        for table in _tables(connection):
            name = f"{table.name}.jsonl"
            hashes[name], counts[table.name] = _member(archive, name, _lines(connection, table))
        for video in videos:
            with video.open("rb") as file:
                blocks = iter(lambda: file.read(BLOCK), b"")
                hashes[VIDEOS + video.name], _ = _member(archive, VIDEOS + video.name, blocks, zipfile.ZIP_STORED)
        manifest = {
            "format": FORMAT,
            "tables": tables_version(connection),
            "written": datetime.now(UTC).isoformat(timespec="seconds"),
            "rows": counts,
            "sha256": hashes,
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
        archive.close()
    except BaseException:
        archive.fp = None  # it is not closed: a central directory must not make half a file look whole
        raise
    return counts | {"videos": len(videos)}


def _tables(connection: Connection) -> list[Table]:
    """Our tables as they are in the database: those of an older version have fewer columns."""
    there = set(inspect(connection).get_table_names())
    found = MetaData()
    found.reflect(connection, only=[table.name for table in METADATA.sorted_tables if table.name in there])
    return found.sorted_tables


def _lines(connection: Connection, table: Table) -> Iterator[bytes]:
    ordered = select(table).order_by(*table.primary_key.columns).execution_options(yield_per=1000)
    for row in connection.execute(ordered).mappings():  # the option is the statement's: what follows is not streamed
        yield (json.dumps(dict(row), ensure_ascii=True) + "\n").encode()


def _member(
    archive: zipfile.ZipFile, name: str, blocks: Iterable[bytes], kind: int = zipfile.ZIP_DEFLATED
) -> tuple[str, int]:
    """Write one member; its SHA-256 and the number of its blocks."""
    digest, count = hashlib.sha256(), 0
    info = zipfile.ZipInfo(name)
    info.compress_type = kind
    with archive.open(info, "w", force_zip64=True) as member:
        for block in blocks:
            member.write(block)
            digest.update(block)
            count += 1
    return digest.hexdigest(), count
