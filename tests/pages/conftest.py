"""A real server on a free port and a real Chromium, both ended by their own process id."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--mute-audio", "--no-first-run"]
START_S = 60
SERVE = "import sys; from coreset.pages.server import serve; serve(port=int(sys.argv[1]))"


def free_port():
    """A port that nobody listens on now."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


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


@pytest.fixture
def serve(tmp_path):
    """Start the app: `serve(book_url="", case="", command=SERVE, **environment) -> Server`."""
    started = []

    def start(book_url="", case="", command=SERVE, **environment):
        home = tmp_path / f"home{len(started)}"
        home.mkdir()
        env = dict(os.environ) | {
            "XDG_DATA_HOME": str(home),
            "CORESET_BOOK": book_url or f"sqlite:///{home / 'book.sqlite'}",
            "CORESET_CASE": case,
            "CORESET_LOG": str(home / "server.log"),
        }
        server = Server(env=env | environment, command=command)
        started.append(server)
        return server.start()

    yield start
    for server in started:
        server.kill()


def need_chromium():
    """Skip with a loud reason where there is no Chromium; fail where there must be one."""
    if not Path(CHROMIUM).exists():
        reason = "NO CHROMIUM: pages are not tested in a browser here; apt-get install chromium"
        (pytest.fail if os.environ.get("CI") else pytest.skip)(reason)


@pytest.fixture(scope="session")
def playwright():
    """The driver of browsers."""
    need_chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def chromium(playwright):
    """A Chromium without a screen."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture
def page(chromium):
    """A page of its own context, 1280 x 900."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, locale="en-GB")
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()
