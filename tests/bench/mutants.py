"""Small faults put into the calculation rooms one at a time: which does no test notice?

Run: pip install coverage, then: python tests/bench/mutants.py coreset/money coreset/lifting/lift_table.py [--budget 60]
[--at irr.py:40]. Each fault is tried in a process of its own, forked where all is loaded, against the tests of its
room (as in coverage_rooms.py) that run its line, or, where the line runs at import, that run its module; those quick,
aimed at the module and good at noticing first. Prints each fault that survived or that no test runs, and a table.
Nothing is written into the tree. `mutant_faults.py` holds the faults, `mutant_runs.py` the order of the work,
`mutant_forks.py` the processes.
"""

import argparse
import os
import sys
import time
from pathlib import Path

os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1")  # a fork keeps one thread only
ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from mutant_faults import faults  # noqa: E402
from mutant_runs import KINDS, tried  # noqa: E402


def modules(names):
    """The modules meant, by room."""
    found = {}
    for name in names:
        path = (ROOT / name).resolve()
        for module in sorted(path.glob("*.py")) if path.is_dir() else [path]:
            inside = module.relative_to(ROOT)
            found.setdefault(inside.parts[1], []).append(str(inside))
    return found


def meant(fault, at):
    """Whether a fault is one of those asked for."""
    return not at or any(f"{fault.module}:{fault.line}".endswith(place) for place in at)


def main():
    """Try the faults room by room; print survivors and a table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("names", nargs="+", help="rooms or modules")
    parser.add_argument("--longest", type=float, default=8.0, help="leave out tests that alone take more seconds")
    parser.add_argument(
        "--budget", type=float, default=3.0, help="seconds of tests, as each takes alone, for one fault"
    )
    parser.add_argument("--at", action="append", help="only faults at MODULE.py:LINE")
    parser.add_argument(
        "--measured", type=Path, help="file (room's name in {}) that keeps what each test runs and takes"
    )
    given = parser.parse_args()
    for room, names in modules(given.names).items():
        start = time.time()
        every = [fault for name in names for fault in faults(name) if meant(fault, given.at)]
        measured = given.measured and Path(str(given.measured).format(room))
        verdicts = tried(room, every, longest=given.longest, budget=given.budget, measured=measured)
        print(f"{'module':<34}{'faults':>10}{''.join(f'{kind:>10}' for kind in KINDS)}")
        for name in [*names, f"coreset/{room}"]:
            of_it = [verdict for fault, verdict in zip(every, verdicts, strict=True) if fault.module.startswith(name)]
            print(f"{name:<34}{len(of_it):>10}{''.join(f'{of_it.count(kind):>10}' for kind in KINDS)}")
        print(f"{room}: {time.time() - start:.0f} s", flush=True)


if __name__ == "__main__":
    main()
