"""A database of 0.1.0 upgraded on either store: a backup first, nothing lost, the old program's backups restored."""

import json
import shutil
import sys
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import MetaData, create_engine, insert, select, text

from coreset.case.digest import digest
from coreset.cli import main
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.store.book.restore import restore
from coreset.store.book.schema import VERSION
from coreset.store.book.verify import verify_file, verify_store
from coreset.store.folder import read

OLD = Path(__file__).parents[1] / "version_0_1_0"
NAME = "tamarack_flat"


@pytest.fixture
def old(url):
    """URL of a database with the tables and rows that 0.1.0 wrote."""
    if url.startswith("sqlite"):
        path = Path(url.removeprefix("sqlite:///"))
        path.parent.mkdir()
        shutil.copy(OLD / "database.db", path)
        return url
    tables = MetaData()
    written, server = create_engine(f"sqlite:///{OLD / 'database.db'}"), create_engine(url)
    with written.connect() as source, server.begin() as target:
        tables.reflect(source)
        tables.create_all(target)
        for table in tables.sorted_tables:
            if rows := [dict(row) for row in source.execute(select(table)).mappings()]:
                target.execute(insert(table), rows)
    written.dispose()
    server.dispose()
    return url


def run(words):
    """Exit status of the command."""
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(words))
    return ended.value.code


def case_in(url):
    """The case that a database holds."""
    with closing(Book(url)) as book:
        return book.open(NAME)


def test_a_database_of_0_1_0_is_upgraded_after_a_backup(old, tmp_path, capsys):
    """The backup has the old tables, holds together and restores into this version; a second run has nothing to do."""
    file, other = tmp_path / "before.zip", f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert run(["database", "upgrade", str(file), "--book", old]) == 0
    assert f"from version 1 to {VERSION}" in capsys.readouterr().out
    assert run(["database", "upgrade", str(tmp_path / "again.zip"), "--book", old]) == 0
    assert "Nothing to do" in capsys.readouterr().out and not (tmp_path / "again.zip").exists()
    with zipfile.ZipFile(file) as archive:
        manifest = json.loads(archive.read("manifest.json"))
        assert manifest["tables"] == 1 and "act" not in json.loads(archive.read("reading.jsonl").splitlines()[0])
    verify_file(file)
    restore(file, other, tmp_path / "videos")
    expected = digest(read(OLD / NAME))
    assert [digest(case_in(one)) for one in (old, other)] == [expected] * 2
    assert (verify_store(old), verify_store(other)) == ([], [])
    with pytest.raises(BookError, match="holds acts"):
        verify_store(old, file)


def test_an_upgrade_without_a_backup_is_none(old, tmp_path):
    """A file that is there, or a folder that is not, leaves the tables as they were."""
    there = tmp_path / "there.zip"
    there.write_bytes(b"mine")
    for file in (there, tmp_path / "nowhere" / "before.zip"):
        assert run(["database", "upgrade", str(file), "--book", old]) == 2
    engine = create_engine(old)
    with engine.connect() as connection:
        assert connection.scalar(text("select max(version) from form")) == 1
    engine.dispose()
    assert there.read_bytes() == b"mine"


def test_old_tables_on_a_server_wait_for_the_command(old):
    """Other servers may use a PostgreSQL database: opening it changes nothing and says what to do."""
    if old.startswith("sqlite"):
        assert case_in(old) and Path(f"{old.removeprefix('sqlite:///')}.v1").exists()
        return
    with pytest.raises(BookError, match="got 1: stop the servers, then `coreset database upgrade FILE`"):
        Book(old)
