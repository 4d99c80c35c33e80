"""How soon a changed input of the demo is answered on the page Business case: live_answer.py [changes].

In Chromium, each change another price of the setter: seconds on the clock from the key that ends the entry until the
net present value on the page is another one, and until all is drawn; processor time of the server. Beside it, in turn,
an empty page of the framework with one field, which shows what was typed. Medians, and the slowest of each.
"""

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))
sys.path.insert(0, str(ROOT / "tests" / "bench"))

from browsers import CHROMIUM, DRAWN, FLAGS, free_port  # noqa: E402
from page_reruns import QUIET, SERVE, processor_s, served  # noqa: E402

from coreset.store.book import Book  # noqa: E402
from coreset.store.folder import read  # noqa: E402

CHANGES, LIMIT_MS, REST_S = 9, 60_000, 1.5
FIRST_PRICE, STEP = 150_000, 25_000
"""Steps wide enough that the printed value, which is rounded, is another at each."""
VALUE = "[data-testid=stMetricValue]"
EMPTY = (
    "import streamlit as st\nst.title('Empty')\nst.metric('Typed', st.number_input('Price of the setter', value=1))\n"
)


def answered(page, pid, price):
    """Wall time to another value and to all drawn, and processor time of the server, for one changed price. [s]"""
    field = page.get_by_role("spinbutton", name="Price of the setter").first
    before, used = page.locator(VALUE).first.inner_text(), processor_s(pid)
    field.fill(str(price))
    start = time.perf_counter()
    field.press("Enter")
    page.wait_for_function(
        "([at, was]) => document.querySelector(at).innerText !== was", arg=[VALUE, before], timeout=LIMIT_MS
    )
    changed = time.perf_counter() - start
    page.wait_for_function(DRAWN, timeout=LIMIT_MS)
    drawn = time.perf_counter() - start
    time.sleep(REST_S)
    return changed, drawn, processor_s(pid) - used


def measured(changes, ours, empty):
    """What each change took: on the demo, and on the empty page. [s]"""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        rounds = []
        page, bare = (browser.new_page(viewport={"width": 1280, "height": 900}) for _ in (0, 1))
        for one, (url, _) in ((page, ours), (bare, empty)):
            one.goto(url)
            one.wait_for_selector(VALUE, timeout=2 * LIMIT_MS)
            one.wait_for_function(DRAWN, timeout=2 * LIMIT_MS)
        time.sleep(2 * REST_S)
        for number in range(changes + 1):
            price = FIRST_PRICE + STEP * number
            rounds.append((answered(page, ours[1], price), answered(bare, empty[1], price)))
        browser.close()
    return rounds[0], rounds[1:]


def main(arguments):
    """A server on the demo, an empty one beside it, a browser; a row each."""
    changes = int(arguments[0]) if arguments else CHANGES
    with tempfile.TemporaryDirectory() as home:
        url = f"sqlite:///{home}/book.sqlite"
        book = Book(url)
        book.keep("demo", read(ROOT / "studies" / "ostrander_bend"), who="T1", why="to be measured")
        book.close()
        script = Path(home) / "empty.py"
        script.write_text(EMPTY)
        env = dict(os.environ) | {"XDG_DATA_HOME": home, "CORESET_BOOK": url, "CORESET_CASE": "demo"}
        ports = free_port(), free_port()
        bare = ["-m", "streamlit", "run", str(script), *QUIET, "--browser.gatherUsageStats=false", "--server.port"]
        with served(["-c", SERVE], ports[0], env) as ours, served(bare, ports[1], env) as empty:
            addresses = f"http://127.0.0.1:{ports[0]}/payback", f"http://127.0.0.1:{ports[1]}/"
            first, rounds = measured(changes, (addresses[0], ours), (addresses[1], empty))
        print(f"{'seconds, median (slowest)':<28}{'other value':>16}{'all drawn':>16}{'server cpu':>16}")
        for at, name in enumerate(("demo", "empty page")):
            columns = zip(*(one[at] for one in rounds), strict=True)
            cells = "".join(f"{f'{statistics.median(x):.2f} ({max(x):.2f})':>16}" for x in map(list, columns))
            print(f"{name:<28}{cells}")
        print(f"first change of the demo {first[0][0]:.2f} s; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main(sys.argv[1:])
