"""/health says that the server is alive, /ready that it could store what people do now; red on real failures."""

import shutil
from collections import namedtuple

import pytest
from lacking import impatient_cluster, small_disk
from sqlalchemy import event
from starlette.testclient import TestClient
from stores import server, store

from coreset.store.book import Book
from coreset.web import calculation, health, opened
from coreset.web import server as web


async def rest(scope, receive, send):
    """The application behind it, which must not be asked."""
    raise AssertionError(scope["path"])


@pytest.fixture
def client(tmp_path, monkeypatch):
    """A server on a new database; each question is answered anew."""
    monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{tmp_path / 'deep' / 'book.sqlite'}")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(health, "AGAIN_S", 0.0)
    yield TestClient(health.Health(rest), base_url="http://anything.example")
    opened.close()


def state(client):
    """Status and names of what fails; alive whatever happens."""
    assert client.get("/health").json() == {"alive": True}
    answer = client.get("/ready")
    return answer.status_code, answer.json()["failed"]


def test_a_good_server_is_ready(client, tmp_path):
    """And asking stores nothing."""
    assert state(client) == (200, [])
    before = (tmp_path / "deep" / "book.sqlite").read_bytes()
    assert state(client) == (200, [])
    assert (tmp_path / "deep" / "book.sqlite").read_bytes() == before


def test_a_read_only_database_is_red(client, caplog):
    """It can be opened and read; the reason is in the log, not in the answer."""
    assert state(client) == (200, [])
    event.listen(opened.shared()._engine, "begin", lambda c: c.exec_driver_sql("PRAGMA query_only=ON"))
    assert state(client) == (503, ["database"])
    assert "readonly" in caplog.records[-1].reason and "readonly" not in client.get("/ready").text


def test_a_database_that_is_gone_is_red_and_green_again(client, tmp_path):
    """Moved away under the server, and put back."""
    assert state(client) == (200, [])
    path = tmp_path / "deep" / "book.sqlite"
    path.rename(tmp_path / "aside")
    assert state(client) == (503, ["database"])
    (tmp_path / "aside").rename(path)
    assert state(client) == (200, [])


def test_a_full_disk_is_red(client, monkeypatch):
    """Less than 100 MB free, or a block that the disk does not take."""
    assert state(client) == (200, [])
    usage = namedtuple("Usage", "total used free")
    with monkeypatch.context() as full:
        full.setattr(shutil, "disk_usage", lambda folder: usage(10**12, 10**12, 10**6))
        assert state(client) == (503, ["disk"])
    with monkeypatch.context() as full:
        full.setattr(health.os, "fsync", lambda number: (_ for _ in ()).throw(OSError(28, "No space left on device")))
        assert state(client) == (503, ["disk"])


def test_a_disk_that_fills_is_red_and_green_again(client, tmp_path, monkeypatch):
    """A real one, of the database: red before it is full, and when it is; green once there is room."""
    with small_disk(tmp_path / "disk", "110m") as place:
        monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{place / 'book.sqlite'}")
        assert state(client) == (200, [])
        (place / "other").write_bytes(bytes(12 * 1024**2))
        assert state(client) == (503, ["disk"])
        with pytest.raises(OSError, match="No space left"):
            (place / "more").write_bytes(bytes(110 * 1024**2))
        assert state(client) == (503, ["database", "disk"])
        (place / "other").unlink()
        (place / "more").unlink()
        assert state(client) == (200, [])
        opened.close()


@pytest.mark.slow
def test_a_database_that_does_not_answer_is_red(client, monkeypatch):
    """Within the time, and the answer holds for the next who asks."""
    import threading

    stop = threading.Event()
    monkeypatch.setattr(health, "WAIT_S", 0.1)
    monkeypatch.setattr(health, "AGAIN_S", 60.0)
    monkeypatch.setattr(health, "_database", lambda: stop.wait(5))
    assert state(client) == (503, ["time"])
    stop.set()
    assert state(client) == (503, ["time"])


@pytest.mark.slow
def test_an_engine_that_does_not_answer_is_red(client, monkeypatch):
    """A scheduler that is not there; a process that answers is green."""
    monkeypatch.setattr(health, "WAIT_S", 120.0)
    monkeypatch.setenv("CORESET_ENGINE", "tcp://127.0.0.1:1")
    with impatient_cluster():
        assert state(client) == (503, ["engine"])
    monkeypatch.setenv("CORESET_ENGINE", "1")
    assert state(client) == (200, [])
    calculation.own_engine().close()


@pytest.mark.postgres
def test_postgresql_read_only_or_down_is_red(client, monkeypatch, tmp_path):
    """A standby takes no writes; a server that is not there refuses the connection."""
    with store("postgres", tmp_path) as url:
        Book(url).close()
        monkeypatch.setenv("CORESET_BOOK", url)
        assert state(client) == (200, [])
        read_only = url.replace("-csearch_path", "-cdefault_transaction_read_only%3Don%20-csearch_path")
        monkeypatch.setenv("CORESET_BOOK", read_only)
        assert state(client) == (503, ["database"])
        opened.close()
    address = server().rpartition("/")[0].rpartition(":")[0]
    monkeypatch.setenv("CORESET_BOOK", f"{address}:1/none?connect_timeout=2")
    assert state(client) == (503, ["database"])


def test_every_server_answers_them():
    """First of all that guards a request, so that a container's own check needs no host name and no sign-in."""
    from types import SimpleNamespace

    shared = SimpleNamespace(host="plant.example", origin="https://plant.example")
    assert [web.guards(given)[0].cls for given in (None, shared)] == [health.Health] * 2


@pytest.mark.parametrize("path", ["/", "/api/presses", "/none"])
def test_no_foreign_site_may_frame_a_page(client, path):
    """Also where nobody has to sign in, and on refusals: a page in a frame could be clicked through."""
    from starlette.applications import Starlette

    app = Starlette(middleware=web.guards())
    answer = TestClient(app, base_url="http://127.0.0.1").get(path, headers={"Origin": "http://other.example"})
    assert answer.status_code in (403, 404)
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Content-Security-Policy"] == "frame-ancestors 'none'"
