"""What each use of a private part of the framework, and each setting of the interpreter, is worth: with and without.

Medians, with pandas, altair and scipy loaded as on the pages. `python tests/bench/framework.py`
"""

import gc
import inspect
import statistics
import sys
import threading
import time

import altair  # noqa: F401
import pandas  # noqa: F401
import scipy.stats  # noqa: F401
from starlette.middleware import Middleware
from starlette.testclient import TestClient
from streamlit.components.v2 import manifest_scanner

from coreset.web import framework
from coreset.web.frame import BrowserFiles
from coreset.web.server import CONFIG, SCRIPT, st


def seconds(act, times):
    """Median wall time of an act. [s]"""
    each = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        each.append(time.perf_counter() - start)
    return statistics.median(each)


def waits():
    """Fifty short waits, as a page and the server loop make them."""
    for _ in range(50):
        time.sleep(0.0001)


def beside_a_calculation(turn_s):
    """Median time of the waits while another thread calculates. [s]"""
    sys.setswitchinterval(turn_s)
    ended = threading.Event()

    def calculate():
        while not ended.is_set():
            sum(range(1000))

    thread = threading.Thread(target=calculate)
    thread.start()
    try:
        return seconds(waits, 7)
    finally:
        ended.set()
        thread.join()
        sys.setswitchinterval(0.005)


class SwitchedFrame(BrowserFiles):
    """The middleware that can be turned off."""

    on = True

    async def __call__(self, scope, receive, send):
        """Answer, or pass everything on."""
        await (super().__call__(scope, receive, send) if self.on else self.app(scope, receive, send))


def browser_files():
    """Median times of fetching the seventy largest browser files in turn: by the framework, in one piece. [s]"""
    root = framework.static_folder()
    files = sorted(root.joinpath("static").rglob("*.*"), key=lambda file: -file.stat().st_size)[:70]
    with TestClient(st.App(SCRIPT, middleware=[Middleware(SwitchedFrame)])) as client:
        for SwitchedFrame.on in (False, True):
            yield seconds(lambda: [client.get(f"/{file.relative_to(root).as_posix()}") for file in files], 5)


def main():
    """Print each figure with and without."""
    from streamlit import config

    for name, value in CONFIG.items():
        config.set_option(name, value)
    print(f"packages read for components {seconds(manifest_scanner.scan_component_manifests, 1):.3f} s, ignored 0")
    first = seconds(inspect.stack, 1)
    print(f"stack looked up first {first:.3f} s, again {seconds(inspect.stack, 9):.5f} s")
    full = seconds(lambda: gc.collect(2), 9)
    framework.FROZEN.add_all()
    later = seconds(framework.FROZEN.add_all, 9)
    print(f"full collection {full:.3f} s, frozen {seconds(lambda: gc.collect(2), 9):.5f} s, frozen again {later:.5f} s")
    gc.unfreeze()
    turns = beside_a_calculation(0.005), beside_a_calculation(framework.THREAD_TURN_S)
    print(f"fifty waits beside a calculation: turns of 5 ms {turns[0]:.3f} s, of 0.5 ms {turns[1]:.3f} s")
    pieces, whole = browser_files()
    print(f"seventy browser files: by the framework {pieces:.3f} s, in one piece {whole:.3f} s")


if __name__ == "__main__":
    main()
