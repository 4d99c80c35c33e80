"""Many cases of one database by 1, 2 and 4 processes of this machine, one of which is killed in the middle.

`python tests/bench/many_cases.py [CASES] [PROCESSES ...]`: the demo at as many seeds, with few runs of each
simulation, so that the hand-over weighs as much as it can. Each round starts without stored results; then all of it
once more from them.
"""

import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
FEW = ["--draws", "1000", "--resamples", "100", "--replications", "20"]


def workers(server):
    """Processes that calculate for a server, those that work first."""
    found = []
    for entry in Path("/proc").iterdir():
        try:
            fields = (entry / "stat").read_text().rpartition(") ")[2].split()
            command = (entry / "cmdline").read_bytes()
        except OSError:
            continue
        if b"forkserver" in command and fields[16] == "10":  # the nice value of those that calculate
            found.append((fields[0] != "R", int(entry.name), int(fields[1])))
    parents = {int(p.name) for p in Path("/proc").iterdir() if p.name.isdigit() and parent(p.name) == server}
    return [pid for _, pid, of in sorted(found) if of in parents]


def parent(pid):
    """Process that began another one."""
    try:
        return int(Path(f"/proc/{pid}/stat").read_text().rpartition(") ")[2].split()[1])
    except OSError:
        return 0


def answered(url, home, processes, kill_after_s=0.0):
    """Seconds until every case is answered, the answers, and how many processes were killed."""
    run = [sys.executable, "-m", "coreset", "assess", "--all", "--quiet", *FEW, "--engine", processes, "--book", url]
    killed, start = [], time.perf_counter()
    with subprocess.Popen(run, stdout=subprocess.PIPE, text=True, env=os.environ | {"XDG_DATA_HOME": str(home)}) as one:

        def kill():
            if found := workers(one.pid):
                os.kill(found[0], signal.SIGKILL)
                killed.append(found[0])

        timer = threading.Timer(kill_after_s, kill)
        if kill_after_s:
            timer.start()
        told = one.stdout.read()
        timer.cancel()
    if one.returncode:
        raise SystemExit(f"assess ended with {one.returncode}")
    return time.perf_counter() - start, told.split("\n\n"), len(killed)


def main(cases=200, *processes):
    """Print a line a round."""
    from coreset.store.book import Book
    from coreset.store.folder import read

    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/book.sqlite"
        book, small = Book(url), read(ROOT / "studies" / "tamarack_flat")
        for number in range(int(cases)):
            book.keep(f"c{number:04d}", replace(small, seed=number), who="T1", why="bench")
        book.close()
        first, answers = None, None
        for count in processes or ("1", "2", "4"):
            home = Path(folder) / count
            took, told, killed = answered(url, home, count, kill_after_s=(first or 30.0) / 3)
            again, stored, _ = answered(url, home, count)
            first, answers = first or took, answers or told
            if len(told) != int(cases) or told != answers or stored != told:
                raise SystemExit("answers are missing or others")
            print(f"{cases} cases, {count} processes, {killed} killed: {took:.0f} s, {first / took:.2f} times as fast,")
            print(f"  all the same; from stored results {again:.0f} s; load {os.getloadavg()[0]:.0f}", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
