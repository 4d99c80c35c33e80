"""Two servers behind a public proxy on one PostgreSQL: started together, used without stickiness, the database gone."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from collections import Counter
from pathlib import Path

import pytest
from book_cases import case, study
from browsers import free_port
from lacking import need
from test_book_postgres import as_server_user

from coreset.case import Readings
from coreset.store.book import Book
from coreset.store.book.verify import verify_store

pytestmark = [pytest.mark.postgres, pytest.mark.slow]
HOST = "127.0.0.1"
NGINX = """daemon off; pid {folder}/nginx.pid; error_log {folder}/nginx.log;
events {{}}
http {{
  access_log off;
  client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy; fastcgi_temp_path {folder}/fastcgi;
  uwsgi_temp_path {folder}/uwsgi; scgi_temp_path {folder}/scgi;
  upstream pages {{ server {host}:{first} max_fails=0; server {host}:{second} max_fails=0; }}
  server {{
    listen {host}:{port};
    client_max_body_size 0; proxy_request_buffering off; proxy_buffering off;
    location / {{ proxy_pass http://pages; proxy_http_version 1.1; proxy_set_header Host $http_host; }}
  }}
}}
"""
"""Requests in turn to one server and the other."""


class Database:
    """A PostgreSQL server of this test, to be killed and started again."""

    def __init__(self, folder):
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin"))
        need(found, "NO POSTGRESQL: apt-get install postgresql")
        self.folder, self.tools, self.port = folder, found[-1], free_port()
        self.url = f"postgresql+psycopg://postgres@{HOST}:{self.port}/postgres"
        self._run("initdb", "-D", f"{folder}/data", "-A", "trust", "-U", "postgres")

    def _run(self, tool, *given):
        done = subprocess.run(as_server_user([f"{self.tools}/{tool}", *given]), cwd="/", stdout=subprocess.DEVNULL)
        assert done.returncode == 0

    def start(self):
        """Begin to listen."""
        options = f"-p {self.port} -k {self.folder} -c listen_addresses={HOST}"
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-w", "-l", f"{self.folder}/log", "-o", options, "start")

    def kill(self):
        """End it at once, as a crash would: nothing is flushed."""
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-m", "immediate", "stop")


@pytest.fixture
def database():
    """A new one, running."""
    folder = tempfile.mkdtemp(prefix="coreset-pg-", dir="/tmp")
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    made = Database(folder)
    made.start()
    yield made
    made.kill()
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def servers(database, tmp_path):
    """Two servers, begun at the same moment on the empty database, with a folder of videos in common."""
    ports = [free_port(), free_port()]
    env = os.environ | {"CORESET_BOOK": database.url, "XDG_DATA_HOME": str(tmp_path / "data"), "CORESET_ENGINE": "0"}
    (tmp_path / "data").mkdir()
    with open(tmp_path / "log", "w") as log:
        run = [sys.executable, "-m", "coreset", "app", "--port"]
        started = [subprocess.Popen([*run, str(port)], env=env, stdout=log, stderr=log) for port in ports]
    yield ports
    for one in started:
        one.terminate()
    for one in started:
        one.wait(60)


@pytest.fixture
def proxy(servers, tmp_path):
    """Address of the proxy before both."""
    need(shutil.which("nginx"), "NO PUBLIC PROXY: apt-get install nginx-light")
    port, (first, second) = free_port(), servers
    file = tmp_path / "nginx.conf"
    file.write_text(NGINX.format(folder=tmp_path, host=HOST, port=port, first=first, second=second))
    running = subprocess.Popen(["nginx", "-c", str(file), "-p", str(tmp_path)], stderr=subprocess.DEVNULL)
    yield f"http://{HOST}:{port}"
    running.terminate()
    running.wait(30)


def asked(url, data=None, method="GET", kind="application/json"):
    """Status, headers and body of an answer; 0 where there is none."""
    origin = "/".join(url.split("/")[:3])
    request = urllib.request.Request(url, data, {"Content-Type": kind, "Origin": origin}, method=method)
    try:
        with urllib.request.urlopen(request, timeout=60) as answer:
            return answer.status, answer.headers, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.headers, error.read()
    except OSError:
        return 0, {}, b""


def until(found, seconds=120.0):
    """Wait for something to be so."""
    end = time.monotonic() + seconds
    while not found():
        assert time.monotonic() < end
        time.sleep(0.2)


def ready(ports):
    """Status of /ready of each server."""
    return [asked(f"http://{HOST}:{port}/ready")[0] for port in ports]


def press(proxy, device, seq):
    """Send one press; whether it was acknowledged."""
    one = {"seq": seq, "kind": "end", "clock_s": float(seq), "wall_ms": 1.8e12, "element": "set"}
    sent = {"case": "c", "study": "S1", "device": device, "presses": [one]}
    return asked(f"{proxy}/api/presses", json.dumps(sent).encode(), "POST")[0] == 200


def test_what_two_servers_acknowledge_is_there_whatever_happens_to_the_database(database, servers, proxy, tmp_path):
    """Eight devices press while the database is killed and started again: each acknowledged press is there, once."""
    until(lambda: ready(servers) == [200, 200])
    book = Book(database.url)
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    stop, taken = threading.Event(), {f"tab-{n:04d}": 0 for n in range(8)}
    refused = Counter()

    def observe(device):
        while not stop.is_set():
            if press(proxy, device, taken[device] + 1):  # a press that was not acknowledged is sent again
                taken[device] += 1
            else:
                refused[device] += 1
            time.sleep(0.05)

    observers = [threading.Thread(target=observe, args=(device,)) for device in taken]
    for one in observers:
        one.start()
    until(lambda: min(taken.values()) >= 3)
    database.kill()
    until(lambda: ready(servers) == [503, 503] and refused.total() > 8)
    database.start()
    again = min(taken.values()) + 3
    until(lambda: ready(servers) == [200, 200] and min(taken.values()) >= again)
    stop.set()
    for one in observers:
        one.join()
    stored = {device: [one.seq for one in found] for device, found in book.presses("c", "S1").items()}
    for device, count in taken.items():  # the last one may be stored though its answer was lost
        assert stored[device] in (list(range(1, count + 1)), list(range(1, count + 2)))
    book.close()
    assert verify_store(database.url) == []
    film = bytes(range(256)) * 4000
    assert asked(f"{proxy}/api/video/a.mp4", film, "PUT", "video/mp4")[0] == 201
    assert [asked(f"http://{HOST}:{port}/api/video/a.mp4")[2] == film for port in servers] == [True, True]
