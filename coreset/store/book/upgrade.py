"""A database of an older coreset brought to the tables of this one, after a backup of it was written."""

from __future__ import annotations

from pathlib import Path

from coreset.errors import BookError
from coreset.store.book import backup, schema
from coreset.store.book.engine import engine_for, migrate, refuse_newer, tables_version
from coreset.store.book.refusals import refused


def upgrade(url: str, file: Path) -> tuple[int, int]:
    """Write a backup, then upgrade the tables in one transaction; nothing is done to tables of this version.

    A server of the older coreset that still runs reads and writes no more from then on.

    Parameters
    ----------
    url : str
        The database.
    file : Path
        Backup to write before; must not be there yet.

    Returns
    -------
    tuple of int
        Version of the tables before and now.

    Raises
    ------
    BookError
        If the backup cannot be written, or the database is empty, newer than this coreset, or not to be read.
    """
    if file.exists():
        raise BookError(f"backup must be a new file, got {file}, which is there already")
    engine = engine_for(url)
    try:
        with refused(url):
            with engine.connect() as connection:
                found = tables_version(connection)
            if found is None:
                raise BookError("database must hold cases to be upgraded, got an empty one")
            refuse_newer(found)
            if found < schema.VERSION:
                with backup.snapshot(engine, file.absolute().parent) as connection:
                    backup.write(connection, file)
                migrate(engine)
    except OSError as error:
        raise BookError(f"backup must be writable, got {error.strerror} for {file}") from error
    finally:
        engine.dispose()
    return found, schema.VERSION
