"""Faults of the machine under the book: what was acknowledged stays; the message says what happened, what to do."""

import dataclasses
import random
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from book_cases import case, study
from lacking import small_disk
from sqlalchemy.event import listen

from coreset.case import Readings
from coreset.errors import BookError, CoresetError
from coreset.store.book import Book, engine
from coreset.store.book.engine import compact
from coreset.store.book.presses import Press
from coreset.store.folder import read

DEMO = Path(__file__).parents[1] / "studies" / "ostrander_bend"
MIXED = """
import dataclasses, random, sys
from coreset.store.book import Book
from coreset.store.book.presses import Press
from coreset.case import Correction
url, seed = sys.argv[1], int(sys.argv[2])
book, draw = Book(url), random.Random(seed)
def said(*words):
    print(*words, flush=True)
for turn in range(100_000):
    act = draw.choice(["press", "press", "press", "title", "correct"])
    if act == "press":
        press = Press(seq=turn + 1, kind="end", clock_s=turn, wall_ms=turn, cycle=turn, element="set")
        book.take("c", "S2", f"d{seed}", [press])
        said("press", turn + 1)
    elif act == "title":
        found = book.open("c")
        changed = dataclasses.replace(found, title=f"{seed}-{turn}")
        said("title", book.keep("c", changed, who="OB7", why="title"))
    else:
        made = Correction(seq=2, action="rerate", value=str(turn + 1), who="OB7", when=f"{seed}-{turn}", why="again")
        book.correct("c", "S1", made)
        said("correct", made.when)
"""


def prepared(url):
    """A book with a typed study and an empty one."""
    book = Book(url)
    book.keep("c", case(study("S1"), study("S2", readings=Readings())), who="OB7", why="entered")
    book.close()


def killed_at_random(url, seed, draw):
    """What a process that works on the book had acknowledged when it was killed."""
    with subprocess.Popen([sys.executable, "-c", MIXED, url, str(seed)], stdout=subprocess.PIPE, text=True) as worker:
        lines = [worker.stdout.readline()]
        threading.Timer(draw.uniform(0.0, 0.8), worker.send_signal, [signal.SIGKILL]).start()
        lines += worker.stdout.readlines()
    assert worker.returncode == -signal.SIGKILL
    return [line.split() for line in lines if line.endswith("\n")]


def holds(book, seed, acknowledged):
    """Whether the book has each act that was acknowledged."""
    presses = {press.seq for press in book.presses("c", "S2").get(f"d{seed}", [])}
    revisions = {row.revision for row in book.trail("c")}
    corrected = {c.when for s in book.open("c").studies for c in s.corrections}
    stored = {"press": {str(seq) for seq in presses}, "title": {str(r) for r in revisions}, "correct": corrected}
    return all(what in stored[act] for act, what in acknowledged)


@pytest.mark.parametrize(
    "kills", [2, pytest.param(20, marks=pytest.mark.slow), pytest.param(100, marks=pytest.mark.long)]
)
def test_nothing_acknowledged_is_lost_when_the_process_is_killed(tmp_path, kills):
    """kill -9 at random moments of mixed work: all of it is there, and the book is whole."""
    url, draw = f"sqlite:///{tmp_path / 'book.sqlite'}", random.Random(9)
    prepared(url)
    total = 0
    for seed in range(kills):
        acknowledged = killed_at_random(url, seed, draw)
        total += len(acknowledged)
        book = Book(url)
        assert holds(book, seed, acknowledged)
        book.close()
    with sqlite3.connect(tmp_path / "book.sqlite") as connection:
        assert connection.execute("pragma integrity_check").fetchone() == ("ok",)
    connection.close()
    assert total >= kills


@pytest.fixture
def url(tmp_path):
    """A book with the two studies."""
    found = f"sqlite:///{tmp_path / 'book.sqlite'}"
    prepared(found)
    return found


@pytest.fixture
def one_megabyte(tmp_path):
    """A disk of one megabyte."""
    with small_disk(tmp_path / "disk", "1m") as place:
        yield place


@pytest.mark.slow
def test_a_full_disk_loses_nothing_acknowledged(one_megabyte):
    """On a full disk a press is refused with what to do; the earlier ones stay, and after room is made it is taken."""
    url = f"sqlite:///{one_megabyte / 'book.sqlite'}"
    prepared(url)
    book, stored = Book(url), []
    note = "x" * 1000
    with pytest.raises(BookError, match=r"disk is full.*free space on its disk, then do it again: nothing"):
        for seq in range(1, 5000):
            stored += book.take("c", "S2", "d1", [Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, note=note)])
    assert stored
    assert [press.seq for press in book.presses("c", "S2")["d1"]] == stored
    book.close()
    subprocess.run(["mount", "-o", "remount,size=8m", one_megabyte], check=True)
    again = Book(url)
    more = Press(seq=6000, kind="end", clock_s=6000, wall_ms=6000)
    assert again.take("c", "S2", "d1", [more]) == (6000,)
    assert [press.seq for press in again.presses("c", "S2")["d1"]] == [*stored, 6000]
    again.close()


def test_a_book_that_has_no_room_says_so_where_no_disk_can_be_mounted(url):
    """SQLite's own limit of pages gives the error of a full disk: refused with what to do, what was stored stays."""
    with sqlite3.connect(url.removeprefix("sqlite:///")) as connection:
        pages = connection.execute("pragma page_count").fetchone()[0]
    connection.close()
    book, stored = Book(url), []
    listen(book._engine, "connect", lambda raw, _: raw.execute(f"pragma max_page_count = {pages + 8}"))
    book._engine.dispose()  # what is open already knows of no limit
    with pytest.raises(BookError, match=r"disk is full.*free space on its disk, then do it again: nothing"):
        for seq in range(1, 500):
            press = Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, note="x" * 1000)
            stored += book.take("c", "S2", "d1", [press])
    assert stored
    book.close()
    again = Book(url)
    assert [press.seq for press in again.presses("c", "S2")["d1"]] == stored
    again.close()


def test_a_book_that_may_only_be_read_says_so(url):
    """A change is refused with what to do."""
    path = url.removeprefix("sqlite:///")
    book = Book(url)
    with book._engine.connect() as connection:
        connection.exec_driver_sql("pragma query_only=on")
    with pytest.raises(BookError, match=r"readonly database for .*book.sqlite: make the file and its folder writable"):
        book.remember("a", "b")
    book.close()
    assert Path(path).exists()


def test_a_book_that_another_program_holds_says_so(url, monkeypatch):
    """After waiting, the message names the other program; once it lets go the change is taken."""
    monkeypatch.setattr(engine, "BUSY_S", 0.1)
    book = Book(url)
    other = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
    other.execute("begin immediate")
    with pytest.raises(BookError, match=r"locked for .*another program holds it: close that or wait"):
        book.remember("a", "b")
    other.execute("rollback")
    other.close()
    book.remember("a", "b")
    assert book.mapping("a") == "b"
    book.close()


def test_a_damaged_page_is_told_and_left_alone(url):
    """A page of the file that was overwritten: the message says to keep the file; it is not written to."""
    book = Book(url)
    compact(book._engine)
    book.close()
    path = Path(url.removeprefix("sqlite:///"))
    content = bytearray(path.read_bytes())
    for at in range(4096, len(content), 4096):
        content[at : at + 200] = b"\xa5" * 200
    path.write_bytes(content)
    with pytest.raises(BookError, match=r"malformed.*keep it as it is, and go on with a copy"):
        Book(url).open("c")
    assert path.read_bytes() == bytes(content)


@pytest.mark.slow
def test_an_export_while_others_work_is_consistent(tmp_path):
    """A case written out while presses come in is the case of one moment: no press without those before it."""
    from coreset.cli import main

    url, halt = f"sqlite:///{tmp_path / 'book.sqlite'}", threading.Event()
    demo = read(DEMO)
    like = demo.studies[0]
    empty = dataclasses.replace(like, study="S2", readings=Readings(), corrections=(), signed="", clock_out="")
    book = Book(url)
    book.keep("c", dataclasses.replace(demo, studies=(*demo.studies, empty)), who="OB7", why="entered")
    name = like.elements[0].name

    def work():
        for seq in range(1, 100_000):
            if halt.is_set():
                return
            book.take("c", "S2", "d1", [Press(seq=seq, kind="end", clock_s=seq, wall_ms=1e12, cycle=seq, element=name)])

    worker = threading.Thread(target=work)
    worker.start()
    try:
        for turn in range(3):
            with pytest.raises(SystemExit) as ended:
                raise SystemExit(main(["export", "c", str(tmp_path / f"out{turn}"), "--book", url, "--quiet"]))
            assert ended.value.code == 0
            (found,) = [s for s in read(tmp_path / f"out{turn}").studies if s.study == "S2"]
            assert list(found.readings.seq) == list(range(1, len(found.readings) + 1))
    finally:
        halt.set()
        worker.join()
        book.close()


def test_want_of_memory_is_told(monkeypatch, capsys):
    """One computation that needs more memory than there is ends with words on what to do, not with a traceback."""

    import coreset.assess
    import coreset.before_money
    from coreset.cli import main

    def hungry(*_args, **_options):
        raise MemoryError

    monkeypatch.setattr(coreset.before_money, "standards", hungry)
    coreset.before_money.forget()
    with pytest.raises(CoresetError, match=r"memory.*fewer resamples or draws"):
        coreset.assess.assess(read(DEMO))
    assert main(["assess", str(DEMO), "--quiet"]) == 2
    assert "fewer resamples or draws" in capsys.readouterr().err
