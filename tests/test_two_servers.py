"""Two servers behind a public proxy on one PostgreSQL: started together, used with and without stickiness, the database
gone, one server after another stopped."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections import Counter
from dataclasses import replace
from http.cookies import SimpleCookie

import pytest
from book_cases import case, study
from browsers import free_port
from database_server import HOST, Database, Reset, Silent
from lacking import need
from nginx import Nginx
from page_session import address_of, elements, place_of_upload, session, turned
from sqlalchemy import create_engine, update

from coreset.case import Readings
from coreset.store.book import Book
from coreset.store.book.schema import FORM, VERSION
from coreset.store.book.verify import verify_store
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

pytestmark = [pytest.mark.postgres, pytest.mark.slow]
KINDS = {"killed": Database, "reset": Reset, "silent": Silent}


@pytest.fixture
def database(request):
    """A new one, running, of the kind that the test asks for."""
    kind = KINDS[getattr(request, "param", "killed")]
    if kind is Silent and not Silent.may():
        pytest.skip("NO RIGHT TO MAKE A NETWORK: a silent one is not tested here; run as root with CAP_SYS_ADMIN")
    made = kind()
    yield made
    made.end()


class Servers:
    """Servers of pages on one database, with a folder of videos in common, each on a port of its own."""

    def __init__(self, url, folder):
        self.ports, self._folder = [free_port(), free_port()], folder
        self._env = os.environ | {"CORESET_BOOK": url, "XDG_DATA_HOME": str(folder / "data"), "CORESET_ENGINE": "0"}
        self._env |= {"PYTHONFAULTHANDLER": "1"}
        (folder / "data").mkdir()
        self._running = {}

    def start(self, port):
        """Begin one."""
        run = [sys.executable, "-m", "coreset", "app", "--port", str(port)]
        with open(self._folder / f"log{port}", "a") as log:
            self._running[port] = subprocess.Popen(run, env=self._env, stdout=log, stderr=log)

    def stop(self, port):
        """End one as a service is ended."""
        server = self._running.pop(port)
        server.terminate()
        try:
            server.wait(120)
        finally:
            server.send_signal(signal.SIGABRT)  # where it has not ended: what its threads do goes to its log

    def end(self):
        """End those that run."""
        for port in list(self._running):
            self.stop(port)

    def ready(self):
        """Status of /ready of each."""
        return [asked(f"http://{HOST}:{port}/ready")[0] for port in self.ports]


@pytest.fixture
def servers(database, tmp_path):
    """Two servers, begun at the same moment on the empty database, and ready."""
    made = Servers(database.url, tmp_path)
    try:
        for port in made.ports:
            made.start(port)
        until(lambda: made.ready() == [200, 200])
        yield made
    finally:
        made.end()


@pytest.fixture
def proxy(request, servers, tmp_path):
    """Address of the proxy before both, which gives requests to each in turn unless the test wants it sticky."""
    need(Nginx.there(), "NO PUBLIC PROXY: apt-get install nginx-light")
    made = Nginx(tmp_path, free_port(), servers.ports, sticky=getattr(request, "param", False)).start()
    yield made.url
    made.stop()


def asked(url, data=None, method="GET", kind="application/json", **more):
    """Status, headers and body of an answer; 0 where there is none. `more` are further headers."""
    headers = {"Content-Type": kind, "Origin": "/".join(url.split("/")[:3])} | more
    request = urllib.request.Request(url, data, headers, method=method)
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, answer.headers, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.headers, error.read()
    except OSError:
        return 0, {}, b""


def uploaded(proxy, place, times):
    """Statuses of a small file that a browser sends to a page, with the cookie and the token that the page has."""
    ((name, cookie),) = SimpleCookie(asked(f"{proxy}/_stcore/health")[1]["Set-Cookie"]).items()
    body = b'--x\r\nContent-Disposition: form-data; name="file"; filename="r.csv"\r\n\r\n1\r\n--x--\r\n'
    more = {"Cookie": f"{name}={cookie.value}", "X-Xsrftoken": cookie.value}
    return {asked(place, body, "PUT", "multipart/form-data; boundary=x", **more)[0] for _ in range(times)}


def until(found, seconds=120.0):
    """Wait for something to be so."""
    end = time.monotonic() + seconds
    while not found():
        assert time.monotonic() < end
        time.sleep(0.2)


def press(proxy, device, seq):
    """Send one press; whether it was acknowledged."""
    one = {"seq": seq, "kind": "end", "clock_s": float(seq), "wall_ms": 1.8e12, "element": "set"}
    sent = {"case": "c", "study": "S1", "device": device, "presses": [one]}
    return asked(f"{proxy}/api/presses", json.dumps(sent).encode(), "POST")[0] == 200


def tables_of(url, version):
    """Let the database say that its tables are of that version."""
    engine = create_engine(url)
    with engine.begin() as connection:
        connection.execute(update(FORM).values(version=version))
    engine.dispose()


class Observers:
    """Eight devices that press until they are told to stop; a press that was not acknowledged is sent again."""

    def __init__(self, proxy):
        self.proxy, self.stop = proxy, threading.Event()
        self.taken, self.refused = {f"tab-{n:04d}": 0 for n in range(8)}, Counter()
        self._threads = [threading.Thread(target=self._press, args=(device,)) for device in self.taken]
        for one in self._threads:
            one.start()

    def _press(self, device):
        while not self.stop.is_set():
            if press(self.proxy, device, self.taken[device] + 1):
                self.taken[device] += 1
            else:
                self.refused[device] += 1
            time.sleep(0.05)

    def go_on(self, count=3):
        """Wait until each has as many more acknowledged."""
        wanted = min(self.taken.values()) + count
        until(lambda: min(self.taken.values()) >= wanted)

    def end(self):
        """Let them stop."""
        self.stop.set()
        for one in self._threads:
            one.join()

    def all_stored(self, book):
        """Whether each press that was acknowledged is stored, in order, once."""
        stored = {device: [one.seq for one in found] for device, found in book.presses("c", "S1").items()}
        for device, count in self.taken.items():  # the last one may be stored though its answer was lost
            assert stored[device] in (list(range(1, count + 1)), list(range(1, count + 2)))


@pytest.fixture
def book(database, servers):
    """The database with a case to be timed."""
    opened = Book(database.url)
    opened.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    yield opened
    opened.close()


@pytest.mark.parametrize("database", KINDS, indirect=True)
def test_what_two_servers_acknowledge_is_there_whatever_happens_to_the_database(database, servers, proxy, book):
    """Killed and started again, cut off by a reset, cut off by a network that is silent: in order, once, verified."""
    observers = Observers(proxy)
    try:
        observers.go_on()
        database.lose()
        until(lambda: servers.ready() == [503, 503] and observers.refused.total() > 8)
        database.find()
        until(lambda: servers.ready() == [200, 200])
        observers.go_on()
    finally:
        observers.end()
    observers.all_stored(book)
    assert verify_store(database.url) == []


def test_one_server_after_another_is_stopped_and_a_newer_database_stops_both(database, servers, proxy, book):
    """An upgrade as docs/operations.md describes it: with the same tables nobody is refused for good.

    Once the tables are newer, a server that was forgotten takes no press and says that it is not ready.
    """
    observers = Observers(proxy)
    try:
        for port in servers.ports:
            observers.go_on()
            servers.stop(port)
            observers.go_on()
            servers.start(port)
            until(lambda: servers.ready() == [200, 200])
        observers.go_on()
        tables_of(database.url, VERSION + 1)
        taken = dict(observers.taken)
        until(lambda: servers.ready() == [503, 503] and observers.refused.total() > 16)
        assert not press(proxy, "tab-late", 1)
    finally:
        observers.end()
    assert sum(observers.taken.values()) - sum(taken.values()) <= len(taken)  # those that were on their way
    tables_of(database.url, VERSION)
    observers.all_stored(book)
    assert "tab-late" not in book.presses("c", "S1")


def test_a_video_is_the_same_at_both_servers(servers, proxy):
    """Taken by one, whichever it was, and played by each."""
    film = bytes(range(256)) * 4000
    assert asked(f"{proxy}/api/video/a.mp4", film, "PUT", "video/mp4")[0] == 201
    assert [asked(f"http://{HOST}:{port}/api/video/a.mp4")[2] == film for port in servers.ports] == [True, True]


@pytest.mark.parametrize(
    ("proxy", "downloads", "uploads"), [(True, {200}, {204}), (False, {200, 404}, {204, 400})], indirect=["proxy"]
)
def test_a_page_lives_in_one_server(proxy, book, downloads, uploads):
    """Its downloads and uploads work where one browser stays with one server, as docs/operations.md asks, else not."""
    book.keep("lifts", replace(read(demo_folder()), studies=()), who="OB7", why="entered")
    with session(proxy) as socket:
        told = turned(socket, "handling", "lifts")
        (name,) = [one.new_session.initialize.session_id for one in told if one.WhichOneof("type") == "new_session"]
        url = address_of(socket, name, elements(told, "download_button")[0])
        assert {asked(proxy + url)[0] for _ in range(6)} == downloads
        assert uploaded(proxy, proxy + place_of_upload(socket, name), times=6) == uploads
