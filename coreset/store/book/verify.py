"""A backup or a database examined: hashes, counts, references, every case opened."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import create_engine

from coreset.errors import BookError
from coreset.store.book.backup import snapshot
from coreset.store.book.chain import other_than
from coreset.store.book.engine import open_engine
from coreset.store.book.proof import faults
from coreset.store.book.refusals import refused
from coreset.store.book.restore import fill, opened, rows_of
from coreset.store.book.schema import ACT, METADATA


def verify_file(file: Path) -> None:
    """Check every hash, count and reference of a backup, and open every case in it.

    Raises
    ------
    BookError
        If it is damaged, or does not make a whole database.
    """
    with opened(file) as (archive, manifest), TemporaryDirectory(prefix="coreset-") as place:
        engine = create_engine(f"sqlite:///{Path(place) / 'restored.sqlite'}")
        try:
            with engine.begin() as connection:
                METADATA.create_all(connection)
                fill(connection, archive, manifest)
        finally:
            engine.dispose()


def verify_store(url: str, since: Path | None = None) -> list[str]:
    """What does not hold in a database, as of one moment, while people work in it.

    Parameters
    ----------
    url : str
        The database.
    since : Path, optional
        A backup of it: whoever can write in a database can write all its hashes anew, but not those of a copy that
        lies elsewhere.

    Raises
    ------
    BookError
        If it cannot be read, or `since` is of tables that had no acts.
    """
    engine = open_engine(url)
    try:
        with (
            refused(url),
            TemporaryDirectory(prefix="coreset-") as place,
            snapshot(engine, Path(place)) as connection,
        ):
            wrong = faults(connection)
            if since:
                with opened(since) as (archive, manifest):
                    if ACT.name not in manifest["rows"]:
                        raise BookError("--since must be a backup that holds acts, got one of tables before version 3")
                    wrong += other_than(connection, rows_of(archive, ACT, manifest))
            return wrong
    finally:
        engine.dispose()
