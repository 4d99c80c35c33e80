"""How many plants a machine carries, on paper: times measured here, then a queue of each part at a busy hour.

`python tests/bench/plants_on_paper.py [DATABASE_URL]`: measures one press on a database (SQLite in a temporary
folder, and the PostgreSQL that is named), the processor time of the server for a press and for a page, that of an
assessment, and the size of a reading. Then, for 1 to 1,000 plants, how many servers keep the slowest hundredth of
presses within 100 ms, what the database adds, how many processes calculate, how much a year of readings takes.

Assumed of a plant at a busy hour, own choice, no source: three observers, each pressing every four seconds; five
readers, each opening a page every twenty seconds; a case changed every five minutes; 200,000 readings and 20 cases a
year. A server shares its one processor evenly among all it does at a moment; each act waits for a place in the
database: SQLite has one writer, PostgreSQL as many as the connections of the servers, at most `WRITERS`.
"""

import heapq
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
PLANTS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
OBSERVERS, PRESS_EVERY_S, READERS, PAGE_EVERY_S, EDIT_EVERY_S = 3, 4.0, 5, 20.0, 300.0
READINGS_PER_YEAR, CASES_PER_YEAR = 200_000, 20
WRITERS, LIMIT_S, BUSY = 8, 0.100, 0.7
"""Writers at once of one PostgreSQL; limit of the slowest hundredth; share of time that a process may be busy."""


def commits(url, times=150):
    """Seconds of each of so many presses on a database, one after another, and bytes that a press takes in a file."""
    from carries import book_of

    from coreset.store.book.engine import sqlite_file
    from coreset.store.book.presses import Press

    book, taken = book_of(url), []
    file = sqlite_file(book._engine.url)
    before = file.stat().st_size if file else 0
    for seq in range(1, times + 1):
        one = Press(seq=seq, kind="end", clock_s=2.0 * seq, wall_ms=1.8e12, cycle=seq, element="set")
        start = time.perf_counter()
        book.take("c0", "S0", f"tab{os.getpid()}", [one])
        taken.append(time.perf_counter() - start)
    book.close()
    return taken, (file.stat().st_size - before) / times if file else 0.0


def server_times(presses=200, pages=3):
    """Processor time of a server for one press and for one page of the demo, all its pages in turn. [s]"""
    import carries
    from carries import book_of, observer
    from page_reruns import SERVE, free_port, processor_s, served
    from page_session import session, turned

    from coreset.store.folder import read
    from coreset.web.navigation import ORDER

    with tempfile.TemporaryDirectory() as home:
        url, port = f"sqlite:///{home}/book.sqlite", free_port()
        book = book_of(url, studies=1)
        book.keep("demo", read(ROOT / "studies" / "ostrander_bend"), who="OB1", why="bench")
        book.close()
        env = os.environ | {"XDG_DATA_HOME": home, "CORESET_BOOK": url, "CORESET_ENGINE": "1", "CORESET_CASE": "demo"}
        with served(["-c", SERVE], port, env) as pid, session(f"http://127.0.0.1:{port}") as socket:
            for name in ORDER:
                turned(socket, name, "demo")
            before = processor_s(pid)
            for _ in range(pages):
                for name in ORDER:
                    turned(socket, name, "demo")
            page = (processor_s(pid) - before) / pages / len(ORDER)
            carries.PACE_S, taken, before = 0.02, [], processor_s(pid)
            observer(port, 0, presses * 0.02, taken)
            return (processor_s(pid) - before) / len(taken), page


def assess_s():
    """Processor time of assessing the demo in a process of its own, without its start. [s]"""
    code = "import time, coreset.assess as a; from coreset.store.folder import read; c = read({!r}); "
    code += "t = time.process_time(); a.assess(c).complete(); print(time.process_time() - t)"
    run = [sys.executable, "-c", code.format(str(ROOT / "studies" / "ostrander_bend"))]
    return float(subprocess.run(run, capture_output=True, text=True, check=True).stdout)


def arrivals(per_s, seconds, draw):
    """Moments of a Poisson stream."""
    at = draw.expovariate(per_s)
    while at < seconds:
        yield at
        at += draw.expovariate(per_s)


def shared(press_s, page_s, presses_per_s, pages_per_s, seconds=120.0, step=0.001):
    """Seconds that each press takes at a server that shares its processor evenly; None where it falls behind."""
    draw = random.Random(1)
    coming = [(at, press_s, True) for at in arrivals(presses_per_s, seconds, draw)]
    coming += [(at, draw.expovariate(1 / page_s), False) for at in arrivals(pages_per_s, seconds, draw)]
    coming.sort(reverse=True)
    under_way, taken, now = [], [], 0.0
    while coming or under_way:
        while coming and coming[-1][0] <= now:
            under_way.append(list(coming.pop()))
        if len(under_way) > 200:
            return None
        left = step
        while under_way and left > 1e-9:  # those that end within the step leave the rest of their share to the others
            part = min(left / len(under_way), min(one[1] for one in under_way))
            for one in under_way:
                one[1] -= part
            left -= part * len(under_way)
            taken += [now - one[0] + step - left for one in under_way if one[1] <= 1e-12 and one[2]]
            under_way = [one for one in under_way if one[1] > 1e-12]
        now += step
    return taken


def queued(measured, per_s, writers, seconds=60.0):
    """Seconds that each act takes at a database with so many writers; None where it falls behind."""
    if per_s * statistics.mean(measured) / writers > 0.95:
        return None
    draw, free, taken = random.Random(2), [0.0] * writers, []
    for at in arrivals(per_s, seconds, draw):
        end = max(at, heapq.heappop(free)) + draw.choice(measured)
        heapq.heappush(free, end)
        taken.append(end - at)
    return taken


def slowest(*parts):
    """Slowest hundredth of the sum of independent parts; None where one falls behind. [s]"""
    if any(part is None for part in parts):
        return None
    draw = random.Random(3)
    return statistics.quantiles([sum(map(draw.choice, parts)) for _ in range(20_000)], n=100)[98]


def servers_for(plants, press_s, page_s, store):
    """Least number of servers whose slowest hundredth, the database's with it, is within the limit; None for none."""
    presses, pages = plants * OBSERVERS / PRESS_EVERY_S, plants * READERS / PAGE_EVERY_S
    if store is None:
        return None, None
    count = max(1, int((presses * press_s + pages * page_s) / BUSY))
    for _ in range(12):
        found = slowest(shared(press_s, page_s, presses / count, pages / count), store)
        if found is not None and found <= LIMIT_S:
            return count, found
        count = max(count + 1, int(1.25 * count))
    return None, found


def shown(found):
    """A time in ms, or that it falls behind."""
    return "–" if found is None else f"{1000 * found:.0f} ms"


def main(arguments):
    """Measure, then print the table."""
    sys.path[:0] = [str(ROOT / "tests"), str(Path(__file__).parent)]
    with tempfile.TemporaryDirectory() as folder:
        file, size = commits(f"sqlite:///{folder}/book.sqlite")
    server = commits(arguments[0])[0] if arguments else None
    press_s, page_s, work_s = *server_times(), assess_s()
    print(f"one press: SQLite {1000 * statistics.median(file):.1f} ms"
          + (f", PostgreSQL {1000 * statistics.median(server):.1f} ms" if server else "")
          + f"; processor of the server {1000 * press_s:.1f} ms, of a page {1000 * page_s:.0f} ms; an assessment "
          f"{work_s:.1f} s; {size:.0f} bytes a press; load {os.getloadavg()[0]:.1f}")  # fmt: skip
    print("| plants | people timing | presses/s | SQLite | servers, SQLite | PostgreSQL | servers, PostgreSQL "
          "| processes that calculate | GB a year |")  # fmt: skip
    print("| --- " * 9 + "|")
    for plants in PLANTS:
        presses = plants * OBSERVERS / PRESS_EVERY_S
        row = [f"{plants:,}", f"{plants * OBSERVERS:,}", f"{presses:,.1f}"]
        for measured, writers in ((file, 1), (server, WRITERS)):
            store = queued(measured, presses, writers) if measured else None
            count = servers_for(plants, press_s, page_s, store)[0]
            row += [shown(slowest(store)), str(count or "–")]
        row += [f"{max(1, round(plants / EDIT_EVERY_S * work_s / BUSY + 0.5)):,}",
                f"{plants * READINGS_PER_YEAR * size / 1e9:.1f}"]  # fmt: skip
        print("| " + " | ".join(row) + " |", flush=True)
    print(f"memory of this run {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main(sys.argv[1:])
