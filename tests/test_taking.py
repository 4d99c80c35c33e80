"""Presses are stored by a process of their own: not among the threads of pages, none lost if it is ended."""

import multiprocessing
import os
import shutil
import signal

import pytest
from floor import until
from test_log import written  # noqa: F401 - fixture
from test_routes import JSON, body, book, client  # noqa: F401 - fixtures

from coreset.engine.engine import VARIABLE
from coreset.store.book import Book

TAKE = Book.take
PRESS = body()["presses"][0]


class Clock:
    """A clock that presses again and again, and knows what was stored by the process that it is in."""

    def __init__(self, of, monkeypatch):
        self.client, self.seq, self.here = of, 0, []
        monkeypatch.setattr(Book, "take", lambda *given: self.here.append(os.getpid()) or TAKE(*given))

    def press(self):
        """Press once; the answer."""
        self.seq += 1
        sent = body(presses=[PRESS | {"seq": self.seq, "kind": "start" if self.seq == 1 else "end"}])
        return self.client.post("/api/presses", json=sent, headers=JSON)

    def stored_elsewhere(self):
        """Press once; whether it was acknowledged, and not stored by this process."""
        before = len(self.here)
        answer = self.press()
        assert (answer.status_code, answer.json()) == (200, {"stored": [self.seq]})
        return len(self.here) == before


@pytest.fixture
def clock(client, monkeypatch):  # noqa: F811 - fixture
    """A clock on a server that has processes."""
    monkeypatch.setenv(VARIABLE, "1")
    return Clock(client, monkeypatch)


def stored(book):  # noqa: F811 - not the fixture
    """Sequences in the book."""
    return [press.seq for press in book.presses("c", "S1")["tab-0001"]]


def test_a_press_is_not_stored_in_the_process_of_the_pages(clock, book):  # noqa: F811 - fixture
    """It keeps the database while it asks a dozen questions: there each would wait for the threads of pages."""
    assert until(clock.stored_elsewhere, seconds=60)
    assert clock.stored_elsewhere() and stored(book) == [*range(1, clock.seq + 1)]


def test_a_process_that_is_ended_loses_no_press(clock, book):  # noqa: F811 - fixture
    """Every press is acknowledged and stored once, while there is no process and by the next one."""
    assert until(clock.stored_elsewhere, seconds=60)
    for process in multiprocessing.active_children():
        os.kill(process.pid, signal.SIGKILL)
    assert until(lambda: not clock.stored_elsewhere(), seconds=60)
    assert until(clock.stored_elsewhere, seconds=60)
    assert stored(book) == [*range(1, clock.seq + 1)]


def test_an_act_is_told_with_its_request(clock, written):  # noqa: F811 - fixture
    """The log of the server has what the process told, as if it had been told there."""
    assert until(clock.stored_elsewhere, seconds=60)
    answer = clock.press()
    (act,) = [line for line in written() if line.get("request") == answer.headers["X-Request-Id"] and "act" in line]
    assert (act["event"], act["case"], act["logger"]) == ("act", "c", "coreset.book")


def test_no_press_goes_into_another_file(clock, tmp_path):
    """A file that took the place of the one that was opened stays as it is, for the process too."""
    file, other = tmp_path / "book.sqlite", tmp_path / "other.sqlite"
    shutil.copy(file, other)
    assert until(clock.stored_elsewhere, seconds=60)
    bytes_of_other = other.read_bytes()
    other.replace(file)
    answer = clock.press()
    assert answer.status_code == 503 and "replaced by another file" in answer.json()["error"]
    assert file.read_bytes() == bytes_of_other


def test_a_server_without_processes_stores_presses_itself(clock, book, monkeypatch):  # noqa: F811 - fixture
    """As one asks for that is short of memory."""
    monkeypatch.setenv(VARIABLE, "0")
    assert not any(clock.stored_elsewhere() for _ in range(5))
    assert stored(book) == [1, 2, 3, 4, 5]
