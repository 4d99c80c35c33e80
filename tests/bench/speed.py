"""How soon whole processes answer: the assessment, one lift, the first page; each beside a floor measured in this run.

Run: python tests/bench/speed.py [--pages] [--reruns]. `--reruns` runs each page again on the demo unchanged, beside an
empty page, without a browser. Prints wall and processor time, medians of five; processor time is what a
busy machine disturbs least. Modules are compiled beforehand, as they are after the first use.
"""

import logging
import os
import resource
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

DEMO = Path(__file__).parents[2] / "studies" / "ostrander_bend"
TIMES = 5
FLOOR = [sys.executable, "-c", "import scipy.stats, pandas"]
ASSESS = [sys.executable, "-m", "coreset", "assess", str(DEMO)]
MEASURES = "--mass 10 --horizontal 40 --vertical 75 --travel 25 --angle 0 --frequency 1 --no-control"
LIFT = [sys.executable, "-m", "coreset", "lift", *MEASURES.split()]
PAGE_LIMIT_S = 120.0
STANDS = {"title": "h1", "all but the answer": ".stMainBlockContainer input", "answer": ".stMainBlockContainer strong"}
"""What is waited for on the first page, in this order: an input needs more parts of the browser's side than a table."""


def environment():
    """This environment, with compiled modules kept."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"CORESET_BOOK": "", "STREAMLIT_BROWSER_GATHER_USAGE_STATS": "false"}


def spent(command):
    """Wall and processor time of one process. [s]"""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, env=environment())
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def medians(*commands, times=TIMES):
    """Median wall and processor time of each command, taken in turn so that all see the same machine. [s]"""
    for command in commands:
        spent(command)
    rounds = [[spent(command) for command in commands] for _ in range(times)]
    return [tuple(statistics.median(run[i][k] for run in rounds) for k in (0, 1)) for i in range(len(commands))]


def free_port():
    """A port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@contextmanager
def served(command, port, folder):
    """A server of pages, once it answers; stopped at the end."""
    home = {"XDG_DATA_HOME": str(folder)}
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment() | home)
    try:
        deadline = time.perf_counter() + PAGE_LIMIT_S
        while time.perf_counter() < deadline:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=1).read()
                break
            except OSError:
                time.sleep(0.02)
        yield server
    finally:
        server.terminate()
        server.wait()


def used_s(pid):
    """Processor time that a running process has used. [s]"""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def first_page(browser, command, folder, stands):
    """From the start of the process until each of these stands on the page: wall, and processor of the server. [s]"""
    port, taken = free_port(), []
    start = time.perf_counter()
    with served([*command, str(port)], port, folder) as server:
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{port}/")
        for selector in stands:
            page.wait_for_selector(selector, timeout=PAGE_LIMIT_S * 1000)
            taken.append((time.perf_counter() - start, used_s(server.pid)))
        page.close()
    return taken


def first_pages(times=3):
    """Medians for an empty page of the framework and for the pages of coreset on its demo: to each of STANDS. [s]"""
    from browsers import CHROMIUM, FLAGS
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver, tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "empty.py"
        script.write_text("import streamlit as st\nst.title('Empty')\nst.write('Nothing')\n")
        quiet = ["--server.headless=true", "--server.address=127.0.0.1", "--server.fileWatcherType=none"]
        empty = [sys.executable, "-m", "streamlit", "run", str(script), *quiet, "--server.port"]
        ours = [sys.executable, "-m", "coreset", "app", str(DEMO), "--port"]
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        pairs = ((empty, ("h1", "p", "p")), (ours, STANDS.values()))
        rounds = [[first_page(browser, command, folder, stands) for command, stands in pairs] for _ in range(times + 1)]
        browser.close()
    return [
        [tuple(statistics.median(run[i][n][k] for run in rounds[1:]) for k in (0, 1)) for n in range(len(STANDS))]
        for i in (0, 1)
    ]


def rerun(page):
    """Wall and processor time of one run of a page. [s]"""
    wall, processor = time.perf_counter(), time.process_time()
    page.run(timeout=PAGE_LIMIT_S)
    return time.perf_counter() - wall, time.process_time() - processor


def reruns(times=TIMES):
    """Name of each page, and medians of running it again with nothing changed; an empty page first. [s]"""
    logging.disable(logging.CRITICAL)
    from streamlit.testing.v1 import AppTest

    from coreset.store.book import Book, book_url
    from coreset.web import navigation, person, shelf

    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"CORESET_BOOK": f"sqlite:///{folder}/book.sqlite", "CORESET_CASE": DEMO.name}
        book = Book(book_url())
        case = book.open(shelf.shelve(book, DEMO))
        book.keep(DEMO.name, replace(case, title="Decided"), who="T1", why="an earlier state for Audit")
        book.keep("twin", case, who="T1", why="something to compare with")
        empty = AppTest.from_string("import streamlit as st\nst.title('Empty')\n")
        app = AppTest.from_file(str(navigation.FOLDER / "app.py"))
        app.session_state[person.WHO] = "T1"
        rerun(empty), rerun(app)
        for name in navigation.ORDER:
            if name != navigation.ORDER[0]:
                app.switch_page(f"{name}.py")
            rerun(app)
            rounds = [[rerun(empty), rerun(app)] for _ in range(times)]
            if app.exception or not app.title:
                raise RuntimeError(f"{name}: {app.exception}")
            yield name, *(tuple(statistics.median(r[i][k] for r in rounds) for k in (0, 1)) for i in (0, 1))
        book.close()


def main(arguments):
    """Print the table."""
    if "--reruns" in arguments:
        print(f"{'page, run again unchanged':<34}{'wall s':>9}{'cpu s':>9}{'above empty':>13}{'above empty, cpu':>18}")
        for name, empty, page in reruns():
            print(f"{name:<34}{page[0]:>9.3f}{page[1]:>9.3f}{page[0] - empty[0]:>13.3f}{page[1] - empty[1]:>18.3f}")
        return
    floor, assess, lift = medians(FLOOR, ASSESS, LIFT)
    print(f"{'what':<34}{'wall s':>9}{'cpu s':>9}{'x floor':>9}{'x floor, cpu':>14}")
    for name, (wall, cpu) in (("import scipy.stats, pandas", floor), ("assess demo", assess), ("lift", lift)):
        print(f"{name:<34}{wall:>9.2f}{cpu:>9.2f}{wall / floor[0]:>9.2f}{cpu / floor[1]:>14.2f}")
    if "--pages" in arguments:
        empty, ours = first_pages()
        for name, (bare, bare_cpu), (wall, cpu) in zip(STANDS, empty, ours, strict=True):
            print(f"{f'empty page, from start to {name}':<44}{bare:>9.2f}{bare_cpu:>9.2f}")
            ratios = f"{wall / bare:>9.2f}{cpu / bare_cpu:>9.2f} of the empty page"
            print(f"{f'coreset app, from start to {name}':<44}{wall:>9.2f}{cpu:>9.2f}{ratios}")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    main(sys.argv[1:])
