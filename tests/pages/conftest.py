"""A real server on a free port and a real Chromium, both ended by their own process id."""

import os
import signal
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from browsers import CHROMIUM, FLAGS, free_port
from floor import Floor
from killable import Browser
from lacking import need
from sizes import make_small

from coreset.store.book import Book
from coreset.web import shelf
from coreset.web.framework import ignore_component_packages

START_S = 60
DRIVEN = {"playwright", "serve", "serve_all", "_one_app"}
"""Fixtures that start a browser or a server: whatever stands on one of them is a browser test."""
SERVE = "import sys; from coreset.web.server import serve; serve(port=int(sys.argv[1]))"


def pytest_itemcollected(item):
    """Mark browser tests by what they stand on, so that none is run unasked because its mark was forgotten."""
    if DRIVEN.intersection(getattr(item, "fixturenames", ())):
        item.add_marker(pytest.mark.browser)


@dataclass
class Server:
    """The app in a process of its own, on one port and one book, to be started, killed and started again."""

    env: dict
    port: int = field(default_factory=free_port)
    command: str = SERVE
    process: subprocess.Popen | None = None

    @property
    def url(self):
        """Address of the first page."""
        return f"http://127.0.0.1:{self.port}"

    def start(self):
        """Start and wait until it answers."""
        with Path(self.env["CORESET_LOG"]).open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-c", self.command, str(self.port)],
                env=self.env,
                cwd=self.env["XDG_DATA_HOME"],
                stdout=log,
                stderr=log,
            )
        until = time.monotonic() + START_S
        while time.monotonic() < until and self.process.poll() is None:
            try:
                with urllib.request.urlopen(f"{self.url}/_stcore/health", timeout=2):
                    return self
            except OSError:
                time.sleep(0.1)
        raise AssertionError(f"the app did not start:\n{self.log()}")

    def log(self):
        """What the server has written last."""
        return Path(self.env["CORESET_LOG"]).read_text(encoding="utf-8", errors="replace")[-4000:]

    def kill(self):
        """End it at once, as a power cut would."""
        if self.process is not None and self.process.poll() is None:
            os.kill(self.process.pid, signal.SIGKILL)
        if self.process is not None:
            self.process.wait()


def serving(home, started):
    """A function that starts the app, each time with a home of its own."""

    def start(book_url="", case="", command=SERVE, port=0, **environment):
        own = home / f"home{len(started)}"
        own.mkdir()
        env = dict(os.environ) | {
            "XDG_DATA_HOME": str(own),
            "CORESET_BOOK": book_url or f"sqlite:///{own / 'book.sqlite'}",
            "CORESET_CASE": case,
            "CORESET_LOG": str(own / "server.log"),
        }
        server = Server(env=env | environment, command=command, port=port or free_port())
        started.append(server)
        return server.start()

    return start


@pytest.fixture(scope="package", autouse=True)
def _small_sizes():
    """Pages without a browser are tested for what they show, not for its precision: few draws, runs and paces."""
    with pytest.MonkeyPatch.context() as patch:
        make_small(patch)
        yield


@pytest.fixture(scope="package", autouse=True)
def _installed_packages_are_not_read():
    """Each simulated session looks through all installed packages for components, 0.3 s; the server looks in none."""
    from streamlit.components.v2 import manifest_scanner

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(manifest_scanner, "scan_component_manifests", manifest_scanner.scan_component_manifests)
        ignore_component_packages()
        yield


@pytest.fixture(autouse=True)
def _simulated_without_cookies(monkeypatch):
    """The simulated browser of the framework has no cookies, where it would give anything one asks for."""
    from streamlit.runtime.context import ContextProxy

    monkeypatch.setattr(ContextProxy, "cookies", {})


@pytest.fixture
def serve(tmp_path):
    """Start the app: `serve(book_url="", case="", command=SERVE, port=0, **environment)`; ended with the test."""
    started = []
    yield serving(tmp_path, started)
    for server in started:
        server.kill()


@pytest.fixture(scope="module")
def serve_all(tmp_path_factory):
    """As `serve`, for all tests of a module."""
    started = []
    yield serving(tmp_path_factory.mktemp("served"), started)
    for server in started:
        server.kill()


@pytest.fixture
def own_book(tmp_path, monkeypatch):
    """An empty database, at which the pages of this test look."""
    found = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    monkeypatch.setenv("CORESET_BOOK", found.url)
    yield found
    found.close()


@pytest.fixture
def book(own_book):
    """The same with the demo."""
    shelf.shelve(own_book, shelf.demo_folder())
    return own_book


def demo_book(home):
    """A book with the demo, an earlier state of it for Audit, and a second case for Compare."""
    opened = Book(f"sqlite:///{home / 'book.sqlite'}")
    demo = shelf.shelve(opened, shelf.demo_folder())
    opened.keep(demo, replace(opened.open(demo), title="Decided"), who="T1", why="an earlier state for Audit")
    opened.keep("twin", opened.open(demo), who="T1", why="something to compare with")
    return opened


@pytest.fixture
def untouched(serve, tmp_path):
    """An app on a book that no other test writes to."""
    opened = demo_book(tmp_path)
    yield serve(book_url=opened.url)
    opened.close()


@pytest.fixture(scope="package")
def _one_app(tmp_path_factory):
    """One app and its book, with the demo, for all tests of this folder: it starts once and assesses the demo once."""
    started = []
    home = tmp_path_factory.mktemp("floor")
    opened = demo_book(home)
    yield serving(home, started)(book_url=opened.url), opened
    for server in started:
        server.kill()
    opened.close()


@pytest.fixture
def app(_one_app):
    """The app that all tests share and its book; started again if a test left it dead."""
    server, opened = _one_app
    if server.process.poll() is not None:
        server.start()
    return server, opened


@pytest.fixture
def floor(app):
    """A case of its own in a running app."""
    return Floor(*app)


def need_chromium():
    """Skip with a loud reason where there is no Chromium; fail where there must be one."""
    need(Path(CHROMIUM).exists(), "NO CHROMIUM: pages are not tested in a browser here; apt-get install chromium")


@pytest.fixture(scope="package")
def playwright():
    """The driver of browsers; it keeps an event loop running in this thread, so it ends with this folder."""
    need_chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="package")
def chromium(playwright):
    """A Chromium without a screen."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture
def killable(playwright, tmp_path):
    """A browser that may be killed or halted."""
    browser = Browser(playwright, tmp_path / "profile")
    yield browser
    browser.kill()


@pytest.fixture
def page(chromium):
    """A page of its own context, 1280 x 900."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, locale="en-GB")
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()
