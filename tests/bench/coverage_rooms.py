"""Branches of the calculation rooms that the tests take.

Run: pip install coverage, then: python tests/bench/coverage_rooms.py [--room money] [--missing]. Each room is measured
by its own tests alone: those that bear its name or are named here, the published ones that import it, and its
examples; none needs a browser. Prints a table, seconds being the processor's, and, when asked, the branches not taken
by line; ends with 1 where a room is under the mark or a test failed. Coverage is a tool of this script, not a
dependency.
"""

import argparse
import json
import re
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ("rounding", "working", "case", "study", "chart", "handling", "line", "money", "assess")
BESIDE = {"case": ("tests/test_digest.py",)}
LONG = ("test_every_root_that_others_find_is_ours", "test_more_cycles_against_nested_draws")
"""Tests left out for their time: under coverage they take minutes, and no branch that others of the room do not."""
WANTED = 95.0


def place(room):
    """The room's folder, or its one module."""
    folder = ROOT / "coreset" / room
    return folder if folder.is_dir() else folder.with_suffix(".py")


def tests_of(room):
    """Test files of a room, those that time it aside, and the room itself for its examples."""
    names = re.compile(rf"^from coreset(\.{room}\b| import .*\b{room}\b)", flags=re.MULTILINE)
    published = [path for path in (ROOT / "tests" / "published").glob("test_*.py") if names.search(path.read_text())]
    beside = [ROOT / name for name in BESIDE.get(room, ())]
    own = [path for path in (ROOT / "tests").glob(f"test_{room}*.py") if not path.stem.endswith("_bench")]
    return [*sorted(own), *sorted(published), *beside, place(room)]


def measured(room):
    """What coverage found, by file, and what the tests printed where one of them failed."""
    run = [sys.executable, "-m", "coverage"]
    with tempfile.TemporaryDirectory() as folder:
        data = ["--data-file", f"{folder}/data"]
        pytest = ["-m", "pytest", "-q", "-p", "no:cacheprovider", *map(str, tests_of(room))]
        pytest += ["-k", " and ".join(f"not {name}" for name in LONG)]
        include = f"--include={place(room)}" + ("/*" if place(room).is_dir() else "")
        tests = subprocess.run(
            [*run, "run", *data, "--branch", include, *pytest], check=False, cwd=ROOT, capture_output=True, text=True
        )
        subprocess.run([*run, "json", *data, "-q", "-o", f"{folder}/out.json"], check=True, cwd=ROOT)
        found = json.loads(Path(f"{folder}/out.json").read_text())["files"]
        return found, f"{tests.stdout}{tests.stderr}" if tests.returncode else ""


def children_s():
    """Processor seconds of the runs so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def share(taken, there):
    """Percent taken; all of none is all."""
    return 100 * taken / there if there else 100.0


def main():
    """Print the table; 1 where a room misses the mark."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--room", action="append", choices=ROOMS)
    parser.add_argument("--missing", action="store_true")
    given = parser.parse_args()
    print(f"{'room':<10}{'lines':>14}{'branches':>14}{'percent':>9}{'seconds':>9}", flush=True)
    worst = 100.0
    for room in given.room or ROOMS:
        start = children_s()
        files, failed = measured(room)
        lines, all_lines, branches, all_branches = (
            sum(found["summary"][key] for found in files.values())
            for key in ("covered_lines", "num_statements", "covered_branches", "num_branches")
        )
        percent = share(branches, all_branches)
        worst = min(worst, -1.0 if failed else percent)
        cells = (f"{lines}/{all_lines}", f"{branches}/{all_branches}", f"{percent:.1f}")
        print(f"{room:<10}{cells[0]:>14}{cells[1]:>14}{cells[2]:>9}{children_s() - start:>9.0f}", flush=True)
        print(failed, end="")
        for name, found in files.items() if given.missing else ():
            for first, last in found["missing_branches"]:
                print(f"    {name}: line {first} to {'its end' if last < 0 else last}")
    return int(worst < WANTED)


if __name__ == "__main__":
    sys.exit(main())
