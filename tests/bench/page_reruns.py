"""How long each page takes to run again with nothing changed, in Chromium: page_reruns.py [share] [page ...].

On the demo, or on a case of that share of the full size (see scale.py); all pages, or those named. Beside an empty page
of the framework in the same run: seconds on the clock from the key that asks for it until all is drawn, and of the
server's processor. Then the most memory that the server has held.
"""

import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))
sys.path.insert(0, str(ROOT / "tests" / "bench"))

from browsers import CHROMIUM, DRAWN, FLAGS, free_port  # noqa: E402
from scale import big  # noqa: E402

from coreset.store.book import Book  # noqa: E402
from coreset.store.folder import read  # noqa: E402
from coreset.web.navigation import ORDER  # noqa: E402

TIMES, LIMIT_MS = 5, 1_200_000
SERVE = "import sys; from coreset.web.server import serve; serve(port=int(sys.argv[1]))"
RUNS = "document.querySelector('.stApp').dataset.testScriptState !== 'notRunning'"
QUIET = ("--server.headless=true", "--server.address=127.0.0.1", "--server.fileWatcherType=none")


@contextmanager
def served(command, port, env, *more):
    """A server once it answers; its process."""
    server = subprocess.Popen([sys.executable, *command, str(port), *more], env=env, stdout=subprocess.DEVNULL)
    try:
        for _ in range(600):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2)
                break
            except OSError:
                time.sleep(0.2)
        yield server.pid
    finally:
        os.kill(server.pid, signal.SIGTERM)
        server.wait()


def processor_s(pid):
    """Processor time that a process has taken so far. [s]"""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(") ")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def most_mb(pid):
    """Most memory that a process has held. [MB]"""
    line = next(x for x in Path(f"/proc/{pid}/status").read_text().splitlines() if x.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


def drawn(page):
    """Wait until all is drawn."""
    page.wait_for_selector("h1", timeout=LIMIT_MS)
    page.wait_for_function(DRAWN, timeout=LIMIT_MS)


def again(page, pid):
    """Wall and processor time of one run more, asked for by the framework's own key. [s]"""
    before = processor_s(pid)
    page.evaluate(f"() => {{ window.began = 0; const look = () => {{ if ({RUNS}) window.began = 1; "
                  "else requestAnimationFrame(look); }; look(); }")  # fmt: skip
    start = time.perf_counter()
    page.keyboard.press("r")
    page.wait_for_function("window.began === 1", timeout=LIMIT_MS)
    page.wait_for_function(DRAWN, timeout=LIMIT_MS)
    return time.perf_counter() - start, processor_s(pid) - before


def asked(arguments):
    """The share of the full size, None for the demo, and the pages to run, all of them where none is named.

    >>> asked(["0.1", "line", "payback"]), asked(["guide"]), asked(["1"])[0], asked([])[1] == ORDER
    ((0.1, ('line', 'payback')), (None, ('guide',)), 1.0, True)
    """
    names = tuple(one for one in arguments if one in ORDER)
    shares = [float(one) for one in arguments if one not in ORDER]
    return (shares[0] if shares else None), names or ORDER


def measured(names, ours, empty):
    """Each page's name, its first drawing, and medians of running again: an empty page's and its own. [s]"""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        bare, page = (browser.new_page(viewport={"width": 1280, "height": 900}) for _ in (0, 1))
        bare.goto(empty[0])
        drawn(bare)
        for name in names:
            start = time.perf_counter()
            page.goto(f"{ours[0]}/{'' if name == ORDER[0] else name}")
            drawn(page)
            first = time.perf_counter() - start
            again(page, ours[1])
            rounds = [(again(bare, empty[1]), again(page, ours[1])) for _ in range(TIMES)]
            yield name, first, *(tuple(statistics.median(r[i][k] for r in rounds) for k in (0, 1)) for i in (0, 1))
        browser.close()


def main(arguments):
    """A book with the case, a server on it, an empty one beside it, a browser; one row a page."""
    share, names = asked(arguments)
    with tempfile.TemporaryDirectory() as home:
        url = f"sqlite:///{home}/book.sqlite"
        book = Book(url)
        demo = ROOT / "studies" / "ostrander_bend"
        book.keep("large", read(demo) if share is None else big(share), who="T1", why="to be measured")
        book.close()
        script = Path(home) / "empty.py"
        script.write_text("import streamlit as st\nst.title('Empty')\n")
        env = dict(os.environ) | {"XDG_DATA_HOME": home, "CORESET_BOOK": url, "CORESET_CASE": "large"}
        ports = free_port(), free_port()
        bare = ["-m", "streamlit", "run", str(script), *QUIET, "--browser.gatherUsageStats=false", "--server.port"]
        with served(["-c", SERVE], ports[0], env) as ours, served(bare, ports[1], env) as empty:
            print(f"{'page':<12}{'first s':>9}{'again s':>9}{'cpu s':>9}{'above empty':>13}{'above empty, cpu':>18}")
            both = [(f"http://127.0.0.1:{port}", pid) for port, pid in zip(ports, (ours, empty), strict=True)]
            for name, first, floor, page in measured(names, *both):
                above = f"{page[0] - floor[0]:>13.2f}{page[1] - floor[1]:>18.2f}"
                print(f"{name:<12}{first:>9.1f}{page[0]:>9.2f}{page[1]:>9.2f}{above}", flush=True)
            print(f"most memory of the server {most_mb(ours):,.0f} MB; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main(sys.argv[1:])
