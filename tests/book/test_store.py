"""The store below the book: codes deleted to the last byte, versions, what is no book, many writers at once."""

import dataclasses
import shutil
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from book_cases import CORRECTION, case, sitting, study
from sqlalchemy import select, text, update

from coreset.case import Readings
from coreset.errors import BookError
from coreset.store.book import Book, rows, schema
from coreset.store.book.migrations import MIGRATIONS
from coreset.store.book.presses import Press
from coreset.store.book.upgrade import upgrade

NEXT = schema.VERSION + 1
"""A version of the tables that this coreset does not have yet."""


def test_a_persons_code_is_deleted_across_the_book(kept, url, tmp_path):
    """After deletion no byte of the book's files holds the code; a pattern of the same name stays."""
    kept.keep("c", dataclasses.replace(case(), plant="OP3 hall"), who="OP3", why="OP3 asked")
    kept.correct("c", "S1", dataclasses.replace(CORRECTION, who="OP3", why="OP3 said so"))
    assert kept.forget("OP3") == 5
    found = kept.open("c")
    assert (found.studies[0].operator, found.studies[0].corrections[0].who) == ("removed", "removed")
    assert found.plant == "OP3 hall"
    kept.keep("c", dataclasses.replace(found, plant=""), who="OB7", why="plant")
    with pytest.raises(BookError, match="person's code"):
        kept.forget(" ")


@pytest.mark.book_file
def test_a_deleted_code_leaves_no_byte(kept, tmp_path):
    """Deleting overwrites: neither the file nor its log still holds the code."""
    kept.keep("c", case(study(operator="ZQX9")), who="OB7", why="other operator")
    assert kept.forget("ZQX9") == 1
    assert not any(b"ZQX9" in path.read_bytes() for path in tmp_path.rglob("book.sqlite*"))


@pytest.mark.book_file
def test_a_newer_book_is_refused(url):
    """Tables of a newer version are not touched; the message says what to do."""
    Book(url).close()
    path = url.removeprefix("sqlite:///")
    with sqlite3.connect(path) as connection:
        connection.execute("update form set version = 99")
    connection.close()
    with pytest.raises(BookError, match="or older, got 99: a newer coreset wrote it"):
        Book(url)


@pytest.mark.book_file
def test_an_older_book_is_brought_forward_and_a_copy_kept(url, kept, monkeypatch):
    """A step forward changes the tables; the book as it was lies beside it."""
    kept.close()
    add = text("alter table revision add column place text default 'floor'")
    monkeypatch.setattr(schema, "VERSION", NEXT)
    monkeypatch.setitem(MIGRATIONS, NEXT - 1, lambda connection: connection.execute(add))
    newer = Book(url)
    assert newer.open("c") == case()
    newer.close()
    for path, columns, version in ((url, 8, NEXT), (f"{url}.v{NEXT - 1}", 7, NEXT - 1)):
        connection = sqlite3.connect(path.removeprefix("sqlite:///"))
        assert len(connection.execute("select * from revision").description) == columns
        assert connection.execute("select version from form").fetchone() == (version,)
        connection.close()


def test_sittings_of_an_older_book_keep_their_order(url, kept, tmp_path):
    """Version 1 listed them by the time of their presses; the codes that corrections go by stay with their readings."""
    kept.keep("t", case(study(readings=Readings())), who="OB7", why="entered")
    for device, start in (("b", 1_000_000.0), ("a", 2_000_000.0)):
        kept.take("t", "S1", device, sitting(start_ms=start))
    with kept._writing(None) as connection:
        connection.execute(text("update reading set received = '2026-11-25T08:00:00'"))
        schema.SESSION.drop(connection)
        connection.execute(text("update form set version = 1"))
    kept.close()
    assert upgrade(url, tmp_path / "before.zip") == (1, schema.VERSION)
    newer = Book(url)
    assert list(newer.presses("t", "S1")) == ["b", "a"]
    newer.take("t", "S1", "0", sitting(start_ms=0.0))
    assert list(newer.presses("t", "S1")) == ["b", "a", "0"]
    newer.close()


def test_a_failed_step_forward_leaves_the_book_as_it_was(url, kept, monkeypatch, tmp_path):
    """Half a migration is none."""
    kept.close()

    def step(connection):
        connection.execute(text("alter table revision add column place text"))
        connection.execute(text("select * from nowhere"))

    monkeypatch.setattr(schema, "VERSION", NEXT)
    monkeypatch.setitem(MIGRATIONS, NEXT - 1, step)
    with pytest.raises(BookError, match="nowhere"):
        upgrade(url, tmp_path / "before.zip")
    monkeypatch.undo()
    again = Book(url)
    assert again.open("c") == case()
    again.close()


@pytest.mark.parametrize(
    ("content", "message"),
    [(b"this is a letter, not a database" * 50, "file is not a database"), (None, "other tables")],
)
def test_what_is_no_book_is_refused(tmp_path, content, message):
    """A file of another kind, or another program's database, is refused and left alone."""
    path = tmp_path / "other.sqlite"
    if content is None:
        connection = sqlite3.connect(path)
        connection.execute("create table letters (id integer)")
        connection.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(BookError, match=message):
        Book(f"sqlite:///{path}")
    assert path.read_bytes() == before


def test_a_url_of_nothing_is_refused():
    """Neither a typing mistake nor an unknown database ends in a traceback."""
    for url in ("book.sqlite", "nosuchbase://x"):
        with pytest.raises(BookError, match="must be the URL"):
            Book(url)


@pytest.mark.parametrize("start", ["nosuchbase://", "postgresql//", "postgresql:"])
def test_a_password_in_a_url_of_nothing_is_not_said(start):
    """Also where it holds the signs that part a URL: host and database are named, user and password are not."""
    with pytest.raises(BookError) as told:
        Book(f"{start}cs:se:c/r@et@host/plant")
    assert "host/plant" in str(told.value) and "et@" not in str(told.value) and "se:c" not in str(told.value)


@pytest.mark.book_file
def test_the_file_is_durable(book, url):
    """Every commit is in the file, and on the disk, before it is acknowledged; nothing of it lies beside the file."""
    with book._reading() as connection:
        assert connection.scalar(text("pragma journal_mode")) == "delete"
        assert connection.scalar(text("pragma synchronous")) == 3


@pytest.mark.book_file
def test_a_copy_of_the_file_holds_what_was_acknowledged(kept, url, tmp_path):
    """While the book is open, with a reader at work: the file alone, copied, has every press and revision."""
    path = Path(url.removeprefix("sqlite:///"))
    with kept._reading() as connection:
        connection.execute(text("select * from reading")).all()
    for number, press in enumerate(sitting(), start=1):
        kept.take("c", "S1", "d1", [press])
        copy = tmp_path / f"copy{number}.sqlite"
        shutil.copyfile(path, copy)
        copied = Book(f"sqlite:///{copy}")
        assert copied.presses("c", "S1")["d1"] == sitting()[:number]
        copied.close()
    assert [one.name for one in path.parent.iterdir()] == [path.name]


@pytest.mark.book_file
def test_a_book_with_a_log_beside_it_becomes_one_file(kept, url):
    """A book of an earlier edition, whose acknowledged presses are in a log yet, loses none of them."""
    path = Path(url.removeprefix("sqlite:///"))
    kept.close()
    older = sqlite3.connect(path, isolation_level=None)
    older.execute("pragma journal_mode=WAL")
    older.execute("pragma wal_autocheckpoint=0")
    older.execute("update revision set who = 'OB8'")
    for name in ("", "-wal"):
        shutil.copyfile(f"{path}{name}", f"{path}.crashed{name}")
    older.close()
    newer = Book(f"{url}.crashed")
    assert newer.trail("c")[0].who == "OB8" and not Path(f"{path}.crashed-wal").exists()
    newer.close()


@pytest.mark.book_file
@pytest.mark.parametrize("how", ["deleted", "moved", "replaced"])
def test_a_file_that_is_gone_takes_nothing(kept, url, how):
    """A file deleted, moved or replaced in use: the next press is refused; where it is put back, taken."""
    path = Path(url.removeprefix("sqlite:///"))
    aside = path.with_suffix(".aside")
    if how == "replaced":
        shutil.copyfile(path, aside)
        aside.replace(path)
    elif how == "moved":
        path.rename(aside)
    else:
        path.unlink()
    acts = (
        lambda: kept.take("c", "S1", "d1", sitting()),
        lambda: kept.keep("c", case(title="Two"), who="OB7", why="title"),
        lambda: kept.sign("c", "S1", who="OB7"),
        lambda: kept.remember("heads", "{}"),
        lambda: kept.open("c"),
    )
    for act in acts:
        with pytest.raises(BookError, match="must stay the file that was opened"):
            act()
    assert path.exists() == (how == "replaced")
    if how == "moved":
        aside.rename(path)
        assert kept.take("c", "S1", "d1", sitting()[:1]) == (1,)


@pytest.mark.book_file
def test_a_press_stored_as_the_file_goes_is_not_acknowledged(kept, url, monkeypatch):
    """Replaced between the first look and the commit: refused as well."""
    path = Path(url.removeprefix("sqlite:///"))
    monkeypatch.setattr(rows, "add_once", lambda *given: path.unlink())
    with pytest.raises(BookError, match="deleted or moved"):
        kept.take("c", "S1", "d1", sitting())


@pytest.mark.slow
def test_eight_writers_lose_nothing(kept):
    """Eight threads that take presses at once: every press is stored once."""
    presses = [Press(seq=n, kind="end", clock_s=n, wall_ms=n, cycle=n, element="set") for n in range(1, 41)]

    def write(device):
        for press in presses:
            kept.take("c", "S1", device, [press])

    threads = [threading.Thread(target=write, args=(f"d{n}",)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {device: len(rows) for device, rows in kept.presses("c", "S1").items()} == {f"d{n}": 40 for n in range(8)}


OBSERVER = """
import sys
from coreset.store.book import Book
from coreset.store.book.presses import Press
from coreset.store.book.upgrade import upgrade
url, device, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
book = Book(url)
for seq in range(1, count + 1):
    press = Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, cycle=seq, element="set")
    assert book.take("c", "S1", device, [press]) == (seq,)
"""


@pytest.mark.parametrize("count", [pytest.param(count, marks=pytest.mark.slow) for count in (3, 16)])
def test_observers_from_as_many_processes_lose_nothing(kept, url, count):
    """Processes that take presses at the same time: each press that was acknowledged is stored once."""
    started = [subprocess.Popen([sys.executable, "-c", OBSERVER, url, f"d{n:02d}", "10"]) for n in range(count)]
    assert [process.wait(timeout=300) for process in started] == [0] * count
    stored = {device: [press.seq for press in rows] for device, rows in kept.presses("c", "S1").items()}
    assert stored == {f"d{n:02d}": list(range(1, 11)) for n in range(count)}


NEWER = "update form set version = 99"


def test_a_newer_book_is_left_alone(url, kept):
    """On either store the tables of a newer version are not touched."""
    with kept._writing(None) as connection:
        connection.execute(text(NEWER))
    with pytest.raises(BookError, match="a newer coreset wrote it"):
        Book(url)


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        ("case", '"stored_form": ', '"stored_form": 9', "a newer coreset saved it"),
        ("money", "{", '{"tariff": 4.0, ', "at money.tariff"),
        ("study:S1", "{", '{"lamp": "on", ', "at studies.0.lamp"),
    ],
)
def test_a_field_of_a_newer_version_is_refused_never_dropped(kept, name, old, new, said):
    """A document that a newer coreset saved is neither opened nor replaced; the stored text stays."""
    with kept._engine.begin() as connection:
        of_part = (schema.PART.c.name == name) & (schema.PART.c.case_id == "c")
        body = connection.scalar(select(schema.PART.c.body).where(of_part)).replace(old, new, 1)
        connection.execute(update(schema.PART).where(of_part).values(body=body))
    for act in (lambda: kept.open("c"), lambda: kept.sign("c", "S1", who="AP1")):
        with pytest.raises(BookError, match=said):
            act()
    with kept._engine.begin() as connection:
        assert connection.scalar(select(schema.PART.c.body).where(of_part)) == body


@pytest.mark.book_file
@pytest.mark.parametrize("before", [None, 0o644])
def test_only_its_owner_can_read_the_file(url, before, monkeypatch):
    """A new database, one that an earlier version left open to all, and the copy that a step forward leaves."""
    path = Path(url.removeprefix("sqlite:///"))
    Book(url).close()
    if before:
        path.chmod(before)
    monkeypatch.setattr(schema, "VERSION", NEXT)
    monkeypatch.setitem(MIGRATIONS, NEXT - 1, lambda connection: None)
    Book(url).close()
    assert {one.name: oct(one.stat().st_mode & 0o777) for one in path.parent.iterdir()} == {
        path.name: "0o600",
        f"{path.name}.v{NEXT - 1}": "0o600",
    }
    assert path.parent.stat().st_mode & 0o777 == 0o700
