"""Presses while people read: an idle server, then the same one with sessions that turn pages and cases that change.

`python tests/bench/pages_beside.py [--sessions 5] [--observers 30] [--seconds 40] [--edits 15] [--engine N] [--tell]
[--first]`: a whole server with its processes beside it; one process of observers, each pressing every two seconds;
one process of sessions on its web socket, each on a case of its own, which open one page after another as a browser
does, two seconds apart; every so many seconds each case is changed, so that it is assessed anew. Prints times from
press to acknowledgement, of the idle server first, and the memory of the server. `--tell` prints what the server's
threads did after each pause of its interpreter longer than 40 ms. `--first` (as root) gives server, observers and
sessions the processors before all else that runs, then the processes that calculate: as on a machine of their own.
"""

import argparse
import multiprocessing
import os
import statistics
import sys
import tempfile
import threading
import time
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
THINK_S, WARM_S = 2.0, 150.0
SERVE = "import sys; from coreset.web.server import serve; serve(port=int(sys.argv[1]))"
BOTH = "=== presses and pages"
TELL = """
import faulthandler, gc, sys, threading, time
OUT = open(sys.argv[2], "a", buffering=1)
def watch():
    while True:
        faulthandler.dump_traceback_later(0.06, file=OUT)
        begun = time.perf_counter()
        time.sleep(0.005)
        if (late := time.perf_counter() - begun - 0.005) > 0.04:
            print(f"--- {1000 * late:.0f} ms", file=OUT)
BEGUN = [0.0]
def collected(phase, info):
    if phase == "start":
        BEGUN[0] = time.perf_counter()
    elif (took := time.perf_counter() - BEGUN[0]) > 0.01:
        print(f"collection of generation {info['generation']} {1000 * took:.0f} ms", file=OUT)
gc.callbacks.append(collected)
threading.Thread(target=watch, daemon=True).start()
"""


def go_first(pid=0, priority=2):
    """Give every thread of a process, and those it begins, the processors before all others."""
    for thread in Path(f"/proc/{pid or 'self'}/task").iterdir():
        with suppress(ProcessLookupError):  # it has ended meanwhile
            os.sched_setscheduler(int(thread.name), os.SCHED_RR, os.sched_param(priority))


def reader(port, case, pages, counted):
    """Open page after page of a case, as a browser does, and count each that was drawn and those that failed."""
    from page_session import elements, session, turned

    with session(f"http://127.0.0.1:{port}") as socket:
        while True:
            for name in pages:
                begun = time.perf_counter()
                told = turned(socket, name, case)
                counted.append((name, -1.0 if elements(told, "exception") else time.perf_counter() - begun))
                time.sleep(THINK_S)


def sessions(port, cases, pages, results, first):
    """One session a case, until the process is ended; what each page took is sent every second."""
    taken = []
    if first:
        go_first()
    for case in cases:
        threading.Thread(target=reader, args=(port, case, pages, taken), daemon=True).start()
        time.sleep(0.7)
    while True:
        time.sleep(1)
        results.put([taken.pop() for _ in range(len(taken))])


def editing(url, cases, every_s, first):
    """Change the seed of each case in turn, until the process is ended."""
    from coreset.store.book import Book

    if first:
        go_first()

    book, number = Book(url), 0
    while True:
        for case in cases:
            time.sleep(every_s / len(cases))
            number += 1
            book.keep(case, replace(book.open(case), seed=1000 + number), who="T1", why="another seed")


def observers(port, numbers, seconds, results, first):
    """An observer for each number for so long: status and seconds of each press."""
    from carries import observer

    if first:
        go_first()
    taken = []
    people = [threading.Thread(target=observer, args=(port, n, seconds, taken)) for n in numbers]
    for one in people:
        one.start()
    for one in people:
        one.join()
    results.put(taken)


def pressed(port, numbers, seconds, first):
    """Milliseconds of the presses of a process of observers, in order of size; all were acknowledged."""
    results = multiprocessing.Queue()
    process = multiprocessing.Process(target=observers, args=(port, numbers, seconds, results, first))
    process.start()
    taken = results.get()
    process.join()
    if not all(status == 200 for status, _ in taken):
        raise SystemExit(f"{sum(status != 200 for status, _ in taken)} presses were refused")
    return sorted(1000 * took for _, took in taken)


def said(name, times):
    """One line of the table."""
    slowest = statistics.quantiles(times, n=100)[98]
    load = os.getloadavg()[0]
    print(
        f"{name}: {len(times)} presses, middle {statistics.median(times):.0f} ms, slowest hundredth {slowest:.0f} ms, "
        f"slowest {times[-1]:.0f} ms, load {load:.1f}",
        flush=True,
    )
    return slowest


def main():
    """Idle, then with pages; the ratio, what the pages took, memory."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sessions", type=int, default=5)
    parser.add_argument("--observers", type=int, default=30)
    parser.add_argument("--seconds", type=float, default=40.0)
    parser.add_argument("--edits", type=float, default=15.0)
    parser.add_argument("--engine", default="")
    parser.add_argument("--tell", action="store_true")
    parser.add_argument("--first", action="store_true")
    given = parser.parse_args()
    from book_cases import case, study
    from many_cases import workers
    from page_reruns import most_mb, served

    from coreset.case import Readings
    from coreset.store.book import Book
    from coreset.store.folder import read
    from coreset.web.navigation import ORDER

    pages = [name for name in ORDER if name != "keyboard"]
    cases = [f"p{number}" for number in range(given.sessions)]
    with tempfile.TemporaryDirectory() as home:
        url, port, words = f"sqlite:///{home}/book.sqlite", free_port(), Path(home) / "words"
        book, demo = Book(url), read(ROOT / "studies" / "ostrander_bend")
        waiting = [study(f"S{number}", readings=Readings()) for number in range(2 * given.observers)]
        book.keep("c0", case(*waiting), who="OB1", why="bench")
        for number, name in enumerate(cases):
            book.keep(name, replace(demo, title=f"Plant {number}", seed=number), who="T1", why="bench")
        book.close()
        env = os.environ | {"XDG_DATA_HOME": home, "CORESET_BOOK": url, "CORESET_ENGINE": given.engine}
        env |= {"CORESET_CASE": cases[0] if cases else "c0"}
        with served(["-c", TELL + SERVE if given.tell else SERVE], port, env, str(words)) as pid:
            time.sleep(10)  # the processes that calculate are there
            if given.first:
                go_first(pid)
                for worker in workers(pid):  # after the server, as their nice value says
                    go_first(worker, priority=1)
            idle = said("idle", pressed(port, range(given.observers), given.seconds, given.first))
            drawn = multiprocessing.Queue()
            people = multiprocessing.Process(
                target=sessions, args=(port, cases, pages, drawn, given.first), daemon=True
            )
            edits = multiprocessing.Process(target=editing, args=(url, cases, given.edits, given.first), daemon=True)
            people.start()
            taken, until = [], time.monotonic() + WARM_S
            while len(taken) < len(cases) * len(pages) and time.monotonic() < until:  # each has seen each page
                taken += drawn.get()
            edits.start()
            with words.open("a") as out:
                print(BOTH, file=out)
            beside = said(
                "with pages", pressed(port, range(given.observers, 2 * given.observers), given.seconds, given.first)
            )
            warm, taken = len(taken), []
            while not drawn.empty():
                taken += drawn.get()
            people.kill()
            edits.kill()
            failed = sum(took < 0 for _, took in taken)
            middle = statistics.median(took for _, took in taken)
            print(f"ratio of the slowest hundredths {beside / idle:.1f}; {len(taken)} pages, {warm} before,")
            memory = f"most memory of the server {most_mb(pid):.0f} MB"
            print(f"  {failed} failed, middle {middle:.1f} s; {memory}", flush=True)
        if words.exists():
            print(words.read_text().rpartition(BOTH)[2])


if __name__ == "__main__":
    sys.path[:0] = [str(ROOT / "tests"), str(Path(__file__).parent)]
    from browsers import free_port

    main()
