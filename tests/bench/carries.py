"""How far one machine carries: observers who press at once, and cases kept in one book.

Run: python tests/bench/carries.py [--observers 8 32 96] [--cases 10 100 1000] [--seconds 30]. Each observer presses
every two seconds, several times the pace of work elements, on a study and a connection of their own. Prints the time
from press to acknowledgement, and that what was acknowledged is in the book.
"""

import argparse
import http.client
import json
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

PACE_S = 2.0


def book_of(url, cases=1, studies=1):
    """A book of small cases; the first has that many studies without readings."""
    from book_cases import case, study

    from coreset.case import Readings
    from coreset.store.book import Book

    book = Book(url)
    waiting = [study(f"S{number}", readings=Readings()) for number in range(studies)]
    for number in range(cases):
        book.keep(f"c{number}", case(*(waiting if number == 0 else [study()])), who="OB1", why="bench")
    return book


def observer(port, number, seconds, taken):
    """Presses of one observer, and how long each took to be acknowledged. [s]"""
    origin = f"http://127.0.0.1:{port}"
    heads = {"content-type": "application/json", "origin": origin}
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    start = time.perf_counter() + (number % 20) / 20 * PACE_S
    for seq in range(1, int(seconds / PACE_S) + 1):
        time.sleep(max(0.0, start + seq * PACE_S - time.perf_counter()))
        press = {"seq": seq, "kind": "start" if seq == 1 else "end", "clock_s": seq * PACE_S, "cycle": seq,
                 "wall_ms": 1.8e12 + seq * 1000 * PACE_S, "element": "set"}  # fmt: skip
        body = {"case": "c0", "study": f"S{number}", "device": f"tab-{number:04d}", "presses": [press]}
        sent = time.perf_counter()
        line.request("POST", "/api/presses", json.dumps(body), heads)
        answer = line.getresponse()
        answer.read()
        taken.append((answer.status, time.perf_counter() - sent))


def pressing(observers, seconds):
    """Acknowledgements, their middle and slowest hundredth, and presses then in the book. [s]"""
    from speed import free_port, served

    with tempfile.TemporaryDirectory() as folder:
        url, port, taken = f"sqlite:///{folder}/book.sqlite", free_port(), []
        book = book_of(url, studies=observers)
        command = [sys.executable, "-m", "coreset", "app", "--book", url, "--port", str(port)]
        with served(command, port, folder):
            people = [threading.Thread(target=observer, args=(port, n, seconds, taken)) for n in range(observers)]
            for one in people:
                one.start()
            for one in people:
                one.join()
        stored = sum(len(p) for n in range(observers) for p in book.presses("c0", f"S{n}").values())
        book.close()
    times = sorted(took for status, took in taken if status == 200)
    return len(times), len(taken), statistics.median(times), times[int(0.99 * (len(times) - 1))], stored


def listing(cases):
    """Seconds to list the cases of a book and to open one of them, medians of five. [s]"""
    with tempfile.TemporaryDirectory() as folder:
        book = book_of(f"sqlite:///{folder}/book.sqlite", cases=cases)
        rounds = []
        for _ in range(5):
            start = time.perf_counter()
            book.cases()
            listed = time.perf_counter()
            book.open(f"c{cases - 1}")
            rounds.append((listed - start, time.perf_counter() - listed))
        book.close()
    return [statistics.median(one[i] for one in rounds) for i in (0, 1)]


def main():
    """Print both tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--observers", type=int, nargs="*", default=[8, 32, 96])
    parser.add_argument("--cases", type=int, nargs="*", default=[10, 100, 1000])
    parser.add_argument("--seconds", type=float, default=30.0)
    given = parser.parse_args()
    print(f"{'observers':>9}{'sent':>7}{'acknowledged':>14}{'stored':>8}{'middle ms':>11}{'99 % ms':>9}", flush=True)
    for observers in given.observers:
        acknowledged, sent, middle, slow, stored = pressing(observers, given.seconds)
        print(
            f"{observers:>9}{sent:>7}{acknowledged:>14}{stored:>8}{1000 * middle:>11.0f}{1000 * slow:>9.0f}", flush=True
        )
    print(f"{'cases':>9}{'list ms':>9}{'open ms':>9}", flush=True)
    for cases in given.cases:
        listed, opened = listing(cases)
        print(f"{cases:>9}{1000 * listed:>9.0f}{1000 * opened:>9.0f}", flush=True)


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    main()
