"""Branches of the calculation rooms that the tests take.

Run: pip install coverage, then: python tests/bench/coverage_rooms.py [room ...]. Runs the tests that bear a room's
name and the published ones; prints the share of branches by room. Coverage is a tool of this script, not a dependency.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ("study", "chart", "handling", "line", "money")
WANTED = 95.0


def tests_of(room):
    """Test modules of a room, and those of published figures."""
    own = sorted(str(path) for path in (ROOT / "tests").glob(f"test_{room}*.py"))
    return [*own, str(ROOT / "tests" / "published"), str(ROOT / "coreset" / room)]


def share(room):
    """Branches taken, and branches there are, in one room."""
    run = [sys.executable, "-m", "coverage"]
    with tempfile.TemporaryDirectory() as folder:
        data = ["--data-file", f"{folder}/data"]
        source = f"--source={ROOT / 'coreset' / room}"
        pytest = ["-m", "pytest", "-q", "-p", "no:cacheprovider", *tests_of(room)]
        subprocess.run([*run, "run", *data, "--branch", source, *pytest], check=False, cwd=ROOT)
        subprocess.run([*run, "json", *data, "-q", "-o", f"{folder}/out.json"], check=True, cwd=ROOT)
        totals = json.loads(Path(f"{folder}/out.json").read_text())["totals"]
    return totals["covered_branches"], totals["num_branches"]


def main(rooms):
    """Print the table; 1 where a room misses the mark."""
    worst = 100.0
    for room in rooms or ROOMS:
        taken, there = share(room)
        worst = min(worst, 100 * taken / there)
        print(f"{room:<12}{taken:>6} of {there:>6} branches {100 * taken / there:>7.1f} %", flush=True)
    return int(worst < WANTED)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
