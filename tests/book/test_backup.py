"""Backup, restore and verify: all that was acknowledged comes back on either store, or nothing is changed."""

import dataclasses
import json
import os
import re
import signal
import sqlite3
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from book_cases import CORRECTION, case, sitting, study
from lacking import small_disk
from stores import store

from coreset.case import Readings
from coreset.cli import main
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.store.book.backup import backup
from coreset.store.book.restore import restore
from coreset.store.book.verify import verify_file, verify_store


@pytest.fixture
def full(kept):
    """A database with every kind of row: presses, some after a signature, typed readings, a correction, an undo."""
    kept.keep("c", case(study(), study("S2", readings=Readings())), who="OB7", why="second study")
    kept.take("c", "S2", "d1", sitting())
    kept.correct("c", "S1", CORRECTION)
    kept.sign("c", "S1", who="AP1")
    kept.take_late("c", "S1", "d3", sitting()[:2])
    kept.keep("c", case(study(), study("S2", readings=Readings()), title="Two"), who="OB7", why="title")
    kept.undo("c", who="OB7")
    kept.remember("heads", "{}")
    return kept


@pytest.fixture
def file(full, url, tmp_path):
    """A backup of it, with a video."""
    video = tmp_path / "V1.mp4"
    video.write_bytes(b"frames" * 1000)
    path = tmp_path / "one.zip"
    assert backup(url, path, [video])["videos"] == 1
    return path


def contents(book):
    """All that a database holds of its cases."""
    names = [row.case_id for row in book.cases()]
    apart = {name: [book.apart(name, code) for code in book.studies(name)] for name in names}
    return [(book.open(name), book.trail(name), book.presses(name, "S2"), apart[name]) for name in names]


def restored(file, url, folder):
    """What a database holds after a restore into it."""
    restore(file, url, folder / "videos")
    book = Book(url)
    try:
        return contents(book)
    finally:
        book.close()


def altered(file, name, change):
    """A copy of a backup in which the bytes of one member are changed."""
    path = file.with_name("altered.zip")
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(path, "w") as new:
        for member in old.namelist():
            data = old.read(member)
            new.writestr(member, change(data) if member == name else data)
    return path


def test_everything_comes_back(full, file, url, tmp_path):
    """Cases, trail, presses and videos; nobody else may read the file; the next correction has a number of its own."""
    verify_file(file)
    assert verify_store(url) == []
    assert file.stat().st_mode & 0o077 == 0
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert restored(file, other, tmp_path) == contents(full)
    assert (tmp_path / "videos" / "V1.mp4").read_bytes() == (tmp_path / "V1.mp4").read_bytes()
    again = tmp_path / "again.zip"
    backup(other, again)
    before = restore(again, url, tmp_path / "videos", replace=True)
    full.take("c", "S2", "d2", sitting())
    full.correct("c", "S2", dataclasses.replace(CORRECTION, seq=3))  # numbered after those that came with their numbers
    verify_file(before)


@pytest.mark.postgres
def test_from_one_database_to_the_other_and_back(tmp_path):
    """SQLite to PostgreSQL to SQLite."""
    with store("sqlite", tmp_path) as here, store("postgres", tmp_path) as there:
        book = Book(here)
        book.keep("c", case(study(), study("S2", readings=Readings())), who="OB7", why="entered")
        book.take("c", "S2", "d1", sitting())
        first, second = tmp_path / "first.zip", tmp_path / "second.zip"
        backup(here, first)
        assert restored(first, there, tmp_path) == contents(book)
        backup(there, second)
        assert restored(second, f"sqlite:///{tmp_path / 'back.sqlite'}", tmp_path) == contents(book)
        book.close()


def test_a_database_with_cases_is_replaced_only_when_told(full, file, url, tmp_path):
    """Refused without `--replace`; with it what was there is written first, and a running server sees the other."""
    other = Book(f"sqlite:///{tmp_path / 'other.sqlite'}")
    other.keep("d", case(study("S2"), title="Other"), who="OB7", why="entered")
    other.close()
    second = tmp_path / "second.zip"
    backup(other.url, second)
    held, stamp = contents(full), full.stamp("c")
    with pytest.raises(BookError, match="must be empty"):
        restore(second, url, tmp_path / "videos")
    assert contents(full) == held
    before = restore(second, url, tmp_path / "videos", replace=True)
    assert [row.case_id for row in full.cases()] == ["d"]
    restore(before, url, tmp_path / "videos", replace=True)
    assert contents(full) == held and full.stamp("c") != stamp


def test_a_damaged_backup_is_refused_and_nothing_changed(full, file, url, tmp_path):
    """Cut short anywhere, a digit changed in a row, a row taken out, a member missing: found by verify and restore."""
    held, data = contents(full), file.read_bytes()
    digit = altered(file, "reading.jsonl", lambda data: data.replace(b"4.25", b"4.26"))
    damaged = [digit.read_bytes(), *(data[:length] for length in (0, 30, len(data) // 2, len(data) - 1))]
    damaged.append(altered(file, "part.jsonl", lambda data: data.partition(b"\n")[2]).read_bytes())
    for number, bytes_ in enumerate(damaged):
        path = tmp_path / f"damaged{number}.zip"
        path.write_bytes(bytes_)
        with pytest.raises(BookError, match="backup must be"):
            verify_file(path)
        with pytest.raises(BookError, match="backup must be"):
            restore(path, url, tmp_path / "videos", replace=True)
    assert contents(full) == held
    assert not (tmp_path / "videos").exists()


def test_hashes_that_fit_do_not_hide_what_does_not_hold_together(file, tmp_path):
    """Rows taken out and the manifest written anew: the chain of acts tells."""
    import hashlib

    with zipfile.ZipFile(file) as archive:
        manifest, cut = json.loads(archive.read("manifest.json")), archive.read("part.jsonl")
        cut = b"".join(line for line in cut.splitlines(keepends=True) if b'"money"' not in line)
    manifest["sha256"]["part.jsonl"] = hashlib.sha256(cut).hexdigest()
    manifest["rows"]["part"] -= 1
    path = altered(file, "part.jsonl", lambda data: cut)
    path = altered(path.rename(tmp_path / "cut.zip"), "manifest.json", lambda data: json.dumps(manifest).encode())
    with pytest.raises(BookError, match="were altered, added or removed"):
        verify_file(path)


def test_another_video_of_the_same_name_stays(file, tmp_path):
    """A restore that would put other bytes under a name is refused, and the database stays empty."""
    (tmp_path / "videos").mkdir()
    (tmp_path / "videos" / "V1.mp4").write_bytes(b"another")
    url = f"sqlite:///{tmp_path / 'other.sqlite'}"
    with pytest.raises(BookError, match="another V1.mp4"):
        restore(file, url, tmp_path / "videos")
    assert Book(url).cases() == ()
    assert [path.name for path in (tmp_path / "videos").iterdir()] == ["V1.mp4"]


PRESSING = """
import sys, time
from coreset.store.book import Book
from coreset.store.book.presses import Press
url, device = sys.argv[1:]
book = Book(url)
for seq in range(1, 100_000):
    book.take("c", "S2", device, [Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, cycle=seq, element="set")])
    print(seq, flush=True)
    time.sleep(0.03)  # a SQLite writer that never pauses lets nobody else begin
"""


def observing(url, device="d9"):
    """A process that presses until it is killed, and says which of its presses were acknowledged."""
    return subprocess.Popen([sys.executable, "-c", PRESSING, url, device], stdout=subprocess.PIPE, text=True)


def test_a_backup_while_somebody_times(full, url, tmp_path):
    """Every press acknowledged before the backup began is in it, without a gap; the observer is never refused."""
    observer = observing(url)
    try:
        for number in range(3):
            acknowledged = int(observer.stdout.readline())
            path = tmp_path / f"{number}.zip"
            backup(url, path)
            ((_, _, presses, _),) = restored(path, f"sqlite:///{tmp_path / f'{number}.sqlite'}", tmp_path)
            seqs = [press.seq for press in presses["d9"]]
            assert len(seqs) >= acknowledged and seqs == list(range(1, len(seqs) + 1))
        assert observer.poll() is None
    finally:
        observer.kill()
        observer.communicate()


RESTORING = """
import sys, time
from pathlib import Path
from coreset.store.book import restore
restore.faults = lambda connection: print("filled", flush=True) or time.sleep(600)
restore.restore(Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3]), replace=True)
"""


def test_a_restore_that_is_killed_leaves_the_old_database(full, file, url, tmp_path):
    """Ended by force with every row deleted and written anew: the database is as it was, and restores again."""
    full.keep("later", case(), who="OB7", why="after the backup")
    held = contents(full)
    run = [sys.executable, "-c", RESTORING, str(file), url, str(tmp_path / "videos")]
    restoring = subprocess.Popen(run, stdout=subprocess.PIPE, text=True)
    assert restoring.stdout.readline() == "filled\n"
    os.kill(restoring.pid, signal.SIGKILL)
    restoring.communicate()
    assert contents(full) == held
    restore(file, url, tmp_path / "videos", replace=True)
    assert len(contents(full)) == 1


def stored(book):
    """Numbers of the presses that a database holds, by device."""
    return {device: [press.seq for press in found] for device, found in book.presses("c", "S2").items()}


@pytest.mark.slow
def test_a_restore_while_others_time_is_killed_and_made(full, file, url, tmp_path):
    """Three observers press all along. Killed in the middle: no press is missing. Made: none is lost between the two.

    What was acknowledged is in the backup of what was replaced, or, if it came later, in the database; the observers
    wait meanwhile and are never refused.
    """
    observers = {device: observing(url, device) for device in ("d7", "d8", "d9")}

    last = {}

    def go_on():
        last.update({device: int(one.stdout.readline()) for device, one in observers.items()})

    try:
        go_on()
        run = [sys.executable, "-c", RESTORING, str(file), url, str(tmp_path / "videos")]
        restoring = subprocess.Popen(run, stdout=subprocess.PIPE, text=True)
        assert restoring.stdout.readline() == "filled\n"
        os.kill(restoring.pid, signal.SIGKILL)
        restoring.communicate()
        go_on()
        for device, seq in last.items():
            assert stored(full)[device][:seq] == list(range(1, seq + 1))
        before = restore(file, url, tmp_path / "videos", replace=True)
        while not set(observers) <= set(stored(full)):
            go_on()
        assert [one.poll() for one in observers.values()] == [None] * 3
    finally:
        for device, one in observers.items():
            one.kill()
            last[device] = int([last.get(device, 0), *one.stdout.read().split()][-1])
            one.communicate()
    aside = Book(f"sqlite:///{tmp_path / 'aside.sqlite'}")
    restore(before, aside.url, tmp_path / "videos")
    first, later = stored(aside), stored(full)
    for device, acknowledged in last.items():
        held = [*first[device], *later[device]]
        assert held == list(range(1, len(held) + 1)) and len(held) >= acknowledged
    assert verify_store(url) == []
    aside.close()


FULL_DISK = """
import resource, signal, sys
from pathlib import Path
from coreset.store.book.backup import backup
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
backup(sys.argv[1], Path(sys.argv[2]), [Path(sys.argv[3])])
"""


@pytest.mark.book_file
def test_a_disk_that_fills_leaves_no_half_backup(full, url, tmp_path):
    """Nothing under the name that was asked for, nothing left over."""
    video = tmp_path / "V1.mp4"
    video.write_bytes(os.urandom(300_000))
    (tmp_path / "out").mkdir()
    run = [sys.executable, "-c", FULL_DISK, url, str(tmp_path / "out" / "one.zip"), str(video)]
    ended = subprocess.run(run, capture_output=True, text=True)
    assert "BookError: backup must be writable" in ended.stderr
    assert list((tmp_path / "out").iterdir()) == []


def test_a_real_disk_that_fills_leaves_no_half_backup(full, url, tmp_path):
    """Refused in words, the disk as it was before; what the database holds stays, and with room it is written."""
    video = tmp_path / "V1.mp4"
    video.write_bytes(os.urandom(2 * 1024**2))
    held = contents(full)
    with small_disk(tmp_path / "disk", "1m") as place:
        with pytest.raises(BookError, match="No space left"):
            backup(url, place / "one.zip", [video])
        assert list(place.iterdir()) == [] and contents(full) == held
        backup(url, place / "one.zip")
        verify_file(place / "one.zip")


@pytest.mark.book_file
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("delete from revision where revision = 2", "1 to 4 without a gap"),
        ("delete from revision", "no case 'c'"),
        ("delete from sitting", "no session"),
        ("update part set body = '{' where name = 'money'", "does not open"),
    ],
)
def test_what_does_not_hold_together_is_named(full, url, change, said):
    """A database that was altered past coreset."""
    with sqlite3.connect(url.removeprefix("sqlite:///")) as connection:
        connection.execute(change)
    connection.close()
    assert said in "\n".join(verify_store(url))


def run(words):
    """Exit status of the command."""
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(words))
    return ended.value.code


def test_the_commands(full, url, tmp_path, capsys, monkeypatch):
    """They say what was written and where; a wrong name of a file gives no empty backup."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("CORESET_BOOK", url)
    path, other = str(tmp_path / "one.zip"), f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert run(["backup", path]) == 0
    assert re.search(r"4 revisions, 18 readings, 1 corrections, 1 signatures, 0 videos", capsys.readouterr().out)
    assert run(["backup", path]) == 2
    assert [run(["verify"]), run(["verify", path]), run(["restore", path, "--book", other])] == [0, 0, 0]
    assert run(["restore", path, "--book", other, "--replace"]) == 0
    said = capsys.readouterr().out
    assert "No errors found in the database" in said and Path(said.strip().rpartition(" ")[2]).exists()
    assert run(["backup", str(tmp_path / "two.zip"), "--book", f"sqlite:///{tmp_path / 'nowhere.sqlite'}"]) == 2
    assert "no file" in capsys.readouterr().err and not (tmp_path / "two.zip").exists()
