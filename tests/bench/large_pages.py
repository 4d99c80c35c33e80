"""How long Cycles and Standard take to run again on 10,000 cycles of 12 elements: python tests/bench/large_pages.py.

Real Chromium, real server. A change of a widget is timed from the click until what it drew is there.
"""

import os
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from browsers import CHROMIUM, DRAWN, FLAGS, free_port, opened  # noqa: E402
from page_reruns import SERVE, processor_s, served  # noqa: E402

from coreset.case import Element, Readings  # noqa: E402
from coreset.store.book import Book  # noqa: E402
from coreset.store.folder import read  # noqa: E402

CYCLES, ELEMENTS, PATTERN, TIMES = 10_000, 12, "HB10", 5
NAN = float("nan")
NAMES = [f"element {i + 1}" for i in range(ELEMENTS)]
WATCHED = """() => {
  window.ranAgain = false;
  new MutationObserver((_, watch) => { window.ranAgain = true; watch.disconnect(); }).observe(
    document.querySelector('.stApp'), {attributes: true, attributeFilter: ['data-test-script-state']});
}"""
"""Notes in the browser that the script has started to run: a short run may end between two looks."""


def large_case(cycles=CYCLES):
    """The demo with one pattern: timed by hand over so many cycles of 12 elements, core setter as in the demo."""
    demo = read(ROOT / "studies" / "ostrander_bend")
    x = np.random.default_rng(1).lognormal(1, 0.3, (cycles, ELEMENTS)).round(2)
    n = x.size
    readings = Readings(
        seq=tuple(range(1, n + 1)), cycle=tuple(np.repeat(np.arange(1, cycles + 1), ELEMENTS).tolist()),
        element=tuple(NAMES * cycles), reading_s=tuple(x.ravel().tolist()), rating=(NAN,) * n, mark=("",) * n,
        note=("",) * n,
    )  # fmt: skip
    hand = next(s for s in demo.studies if s.study == "HB10-H1")
    hand = replace(hand, timing="snapback", elements=tuple(Element(name=name) for name in NAMES),
                   readings=readings, corrections=(), clock_in="", clock_out="")  # fmt: skip
    methods = tuple(replace(m, steps=()) for m in demo.methods if m.method in (demo.baseline, demo.candidate))
    return replace(
        demo, methods=methods, patterns=tuple(p for p in demo.patterns if p.pattern == PATTERN),
        cores=tuple(c for c in demo.cores if c.pattern == PATTERN), scrap=(),
        lifts=tuple(x for x in demo.lifts if x.pattern == PATTERN and x.method in {m.method for m in methods}),
        studies=(hand, next(s for s in demo.studies if s.study == "HB10-S1")),
    )  # fmt: skip


def settled(page):
    """Wait until the script has run and what it drew is there."""
    page.wait_for_function(DRAWN, timeout=240_000)


def picked(page, label, option):
    """Seconds from picking an option of a list until what it changes is drawn."""
    opened(page, label)
    choice = page.get_by_role("option", name=option, exact=True)
    choice.wait_for()
    page.evaluate(WATCHED)
    began = time.perf_counter()
    choice.click()
    page.wait_for_function("window.ranAgain", timeout=9_000)
    settled(page)
    return time.perf_counter() - began


def measure(url, pid):
    """Name of each change, and its seconds on the clock and of the server's processor, several times over."""
    from playwright.sync_api import sync_playwright

    found = {}
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.set_default_timeout(240_000)
        for name, label, options in (
            ("Cycles, another element", "Element", NAMES[:TIMES]),
            ("Standard, the other study", "Study", ["HB10-S1 (core setter)", "HB10-H1 (manual)"] * 3),
        ):
            page.goto(f"{url}/{name.split(',')[0].lower()}?case=large")
            page.wait_for_selector("h1")
            settled(page)
            found[name] = []
            for option in options:
                before = processor_s(pid)
                wall = picked(page, label, option)
                found[name].append((wall, processor_s(pid) - before))
        browser.close()
    return found


def main():
    """A book with the case, a server on it, a browser, and what it took."""
    with tempfile.TemporaryDirectory() as home:
        book = Book(f"sqlite:///{home}/book.sqlite")
        book.keep("large", large_case(), who="T1", why="a large study")
        book.close()
        port = free_port()
        env = dict(os.environ) | {"XDG_DATA_HOME": home, "CORESET_BOOK": f"sqlite:///{home}/book.sqlite",
                                  "CORESET_CASE": "large"}  # fmt: skip
        with served(["-c", SERVE], port, env) as pid:
            for name, spent in measure(f"http://127.0.0.1:{port}", pid).items():
                wall, processor = (np.median(column) for column in zip(*spent, strict=True))
                said = " ".join(f"{seconds:.2f}" for seconds, _ in spent)
                print(f"{name}: {wall:.2f} s ({said}), processor of the server {processor:.2f} s, medians; "
                      f"load {os.getloadavg()[0]:.1f}")  # fmt: skip


if __name__ == "__main__":
    main()
