"""Branches of the calculation rooms that the tests take.

Run: pip install coverage, then: python tests/bench/coverage_rooms.py [--missing]. Runs the tests once, those in a
browser left out; prints the share of branches by room and, when asked, the branches not taken by line. Coverage is a
tool of this script, not a dependency.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ("study", "chart", "handling", "line", "money")
WANTED = 95.0


def measured():
    """What coverage found, by file."""
    run = [sys.executable, "-m", "coverage"]
    with tempfile.TemporaryDirectory() as folder:
        data = ["--data-file", f"{folder}/data"]
        sources = "--source=" + ",".join(str(ROOT / "coreset" / room) for room in ROOMS)
        pytest = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "--ignore", str(ROOT / "tests" / "pages")]
        subprocess.run([*run, "run", *data, "--branch", sources, *pytest], check=False, cwd=ROOT)
        subprocess.run([*run, "json", *data, "-q", "-o", f"{folder}/out.json"], check=True, cwd=ROOT)
        return json.loads(Path(f"{folder}/out.json").read_text())["files"]


def main(arguments):
    """Print the table; 1 where a room misses the mark."""
    files, worst = measured(), 100.0
    for room in ROOMS:
        own = {name: found for name, found in files.items() if f"coreset/{room}/" in Path(name).as_posix()}
        taken = sum(found["summary"]["covered_branches"] for found in own.values())
        there = sum(found["summary"]["num_branches"] for found in own.values())
        worst = min(worst, 100 * taken / there)
        print(f"{room:<12}{taken:>6} of {there:>6} branches {100 * taken / there:>7.1f} %", flush=True)
        for name, found in own.items() if "--missing" in arguments else ():
            for start, end in found["missing_branches"]:
                print(f"    {name}: line {start} to {'its end' if end < 0 else end}")
    return int(worst < WANTED)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
