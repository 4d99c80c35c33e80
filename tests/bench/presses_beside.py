"""Presses while threads of the server calculate: stored by the server's own threads, and by the process beside it.

`python tests/bench/presses_beside.py [--threads 5] [--observers 30] [--seconds 20] [--rounds 2]`: the routes of a
server, with as many threads that do nothing but calculate in its interpreter as pages would be drawn at once;
observers who each press every two seconds. Both ways in turn, so that other work on the machine meets both alike.
Prints times from press to acknowledgement and the ratio of the two.
"""

import argparse
import os
import statistics
import sys
import tempfile
from pathlib import Path

SERVE = """
import sys, threading
import uvicorn
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from coreset.web.framework import shorten_thread_turns
from coreset.web.server import guards, own_routes
def calculate():
    while True:
        sum(number * number % 7 for number in range(10_000))
shorten_thread_turns()
for _ in range(int(sys.argv[2])):
    threading.Thread(target=calculate, daemon=True).start()
alive = Route("/_stcore/health", lambda asked: PlainTextResponse("ok"))
app = Starlette(routes=[*own_routes(), alive], middleware=guards())
uvicorn.run(app, port=int(sys.argv[1]), log_level="warning")
"""


def times(engine, threads, observers, seconds):
    """Milliseconds from press to acknowledgement, in order of size, after the first presses of each observer."""
    from carries import book_of
    from page_reruns import served
    from pages_beside import pressed

    with tempfile.TemporaryDirectory() as home:
        url, port = f"sqlite:///{home}/book.sqlite", free_port()
        book_of(url, studies=2 * observers).close()
        env = os.environ | {"XDG_DATA_HOME": home, "CORESET_BOOK": url, "CORESET_ENGINE": engine}
        with served(["-c", SERVE], port, env, str(threads)):
            pressed(port, range(observers), 6.0, False)  # meanwhile the process is begun
            return pressed(port, range(observers, 2 * observers), seconds, False)


def main():
    """Each way in turn."""
    from pages_beside import said

    parser = argparse.ArgumentParser()
    parser.add_argument("--threads", type=int, default=5)
    parser.add_argument("--observers", type=int, default=30)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--rounds", type=int, default=2)
    given = parser.parse_args()
    taken = {"0": [], "1": []}
    for _ in range(given.rounds):
        for engine, name in (("0", "by threads of the server"), ("1", "by the process beside it")):
            found = times(engine, given.threads, given.observers, given.seconds)
            said(name, found)
            taken[engine] += found
    threads, beside = (statistics.quantiles(taken[engine], n=100) for engine in ("0", "1"))
    print(
        f"threads to process: middle {threads[49] / beside[49]:.1f}, slowest hundredth {threads[98] / beside[98]:.1f}"
    )


if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parent)]
    from browsers import free_port

    main()
