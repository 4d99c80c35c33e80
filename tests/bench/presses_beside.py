"""Presses while five sessions ask for answers: nobody asks, the server itself calculates, a process beside it does.

`python tests/bench/presses_beside.py [SECONDS]`: a server of the press route alone, a fresh one for each of the three,
in turn, twice; a press every 50 ms from this process. Each session asks for the demo at a seed of its own, again and
again, so that nothing is answered from a file.
"""

import itertools
import json
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from contextlib import closing, suppress
from dataclasses import replace
from pathlib import Path

SESSIONS, EVERY_S = 5, 0.05


def serve(port, folder, load):
    """The press route, and as many sessions as asked for."""
    import uvicorn
    from starlette.routing import Router

    from coreset.store.book import Book
    from coreset.store.folder import read
    from coreset.web.calculation import Results
    from coreset.web.framework import shorten_thread_turns
    from coreset.web.routes import routes
    from coreset.web.shelf import demo_folder

    demo, known = read(demo_folder()), Results(4, lambda _: None)
    seeds = itertools.count(1)

    def ask():
        while True:
            seed = next(seeds)
            known.awaited(str(seed), replace(demo, seed=seed), lambda *_: None)
            with (Path(folder) / "answers").open("a") as out:
                out.write("x")

    shorten_thread_turns()
    for _ in range(load):
        threading.Thread(target=ask, daemon=True).start()
    uvicorn.run(Router(routes(Book(f"sqlite:///{folder}/book.sqlite"))), port=port, log_level="error")


def measured(engine, load, seconds):
    """Milliseconds of each press, and how many answers the sessions got meanwhile."""
    sys.path.insert(0, str(Path(__file__).parents[1]))
    from book_cases import case, study

    from coreset.case import Readings
    from coreset.store.book import Book

    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        with closing(Book(f"sqlite:///{folder}/book.sqlite")) as book:
            book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
        env = os.environ | {"CORESET_ENGINE": engine, "XDG_DATA_HOME": folder}
        server = subprocess.Popen([sys.executable, __file__, "--serve", str(port), folder, str(load)], env=env)
        try:
            taken = list(presses(port, seconds))
        finally:
            server.kill()
            server.wait()
        with suppress(FileNotFoundError):
            return taken, (Path(folder) / "answers").stat().st_size
        return taken, 0


def presses(port, seconds):
    """Send presses one after another; the time of each that came after the first answer of the server."""
    until, seq = None, 0
    while until is None or time.monotonic() < until:
        seq += 1
        press = {"seq": seq, "kind": "note", "clock_s": seq / 10, "wall_ms": 1.8e12, "note": "x"}
        body = {"case": "c", "study": "S1", "device": "dev1", "presses": [press]}
        request = urllib.request.Request(
            f"http://127.0.0.1:{port}/api/presses", json.dumps(body).encode(), {"Content-Type": "application/json"}
        )
        begun = time.perf_counter()
        try:
            with urllib.request.urlopen(request, timeout=30) as answered:
                answered.read()
        except urllib.error.HTTPError as error:
            raise SystemExit(error.read().decode()) from error
        except OSError:
            time.sleep(0.2)
            continue
        if until is None:
            time.sleep(5)  # the sessions are at work
            until = time.monotonic() + seconds
            continue
        yield 1000 * (time.perf_counter() - begun)
        time.sleep(EVERY_S)


def main(seconds):
    """Print middle and slowest hundredth of each way."""
    ways = {"nobody asks": ("0", 0), "in the server": ("0", SESSIONS), "one process beside": ("1", SESSIONS)}
    found = {name: ([], 0) for name in ways}
    for _ in range(2):
        for name, (engine, load) in ways.items():
            taken, answers = measured(engine, load, seconds)
            found[name] = (found[name][0] + taken, found[name][1] + answers)
    for name, (taken, answers) in found.items():
        slowest = statistics.quantiles(taken, n=100)[98]
        times = f"middle {statistics.median(taken):.0f} ms, slowest hundredth {slowest:.0f} ms"
        print(f"{name}: {len(taken)} presses, {times}, {answers} answers, load {os.getloadavg()[0]:.0f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--serve"]:
        serve(int(sys.argv[2]), sys.argv[3], int(sys.argv[4]))
    else:
        main(float(sys.argv[1]) if sys.argv[1:] else 20.0)
