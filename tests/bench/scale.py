"""How cost grows with size: a case of 500 patterns, 2,000 cores, 200 studies and 1,000,000 readings, at 1/100, 1/10, 1.

Run: python tests/bench/scale.py [share ...]. Each size runs in a process of its own, so that its memory is its own.
Prints a row a size: seconds to write and read the folder, to keep it in a book and open it, to name its content and to
assess it with full uncertainty; the most memory the process held.
"""

import dataclasses
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from coreset.case import Readings
from coreset.store.folder import read, write

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "studies" / "ostrander_bend"
PATTERNS, CORES, STUDIES, READINGS = 500, 2_000, 200, 1_000_000
SHARES = (0.01, 0.1, 1.0)
LEAST_CYCLES = 12


def at_least(whole, share, least):
    """A count at a share of its full size."""
    return max(least, round(whole * share))


def big(share):
    """A case of that share of the full size, made of the demo's patterns, cores, lifts and studies under new codes."""
    demo = read(DEMO)
    count = at_least(PATTERNS, share, 4)
    cores_each = CORES // PATTERNS
    patterns, cores, lifts = [], [], []
    for number in range(count):
        like = demo.patterns[number % len(demo.patterns)]
        code = f"P{number:03d}"
        patterns.append(dataclasses.replace(like, pattern=code))
        owned = [core for core in demo.cores if core.pattern == like.pattern]
        for extra in range(cores_each):
            core = owned[extra % len(owned)]
            cores.append(dataclasses.replace(core, pattern=code, core=f"{core.core}-{number}-{extra}"))
    names = {core.core for core in demo.cores}
    for number, pattern in enumerate(patterns):
        like = demo.patterns[number % len(demo.patterns)].pattern
        for lift in (lift for lift in demo.lifts if lift.pattern == like):
            core = f"{lift.core}-{number}-0" if lift.core in names else lift.core
            if core in {c.core for c in cores[number * cores_each : (number + 1) * cores_each]} or not lift.core:
                task = f"{lift.task} {pattern.pattern}"
                lifts.append(dataclasses.replace(lift, task=task, pattern=pattern.pattern, core=core))
    return dataclasses.replace(
        demo, patterns=tuple(patterns), cores=tuple(cores), lifts=tuple(lifts), scrap=(), studies=studies(demo, share)
    )


def studies(demo, share):
    """Studies whose cycles are drawn from those of the demo's studies, in the same form of timing."""
    count = at_least(STUDIES, share, 4)
    each = round(READINGS * share / count)
    by_pattern = {p.pattern: number for number, p in enumerate(demo.patterns)}
    made = []
    for number in range(count):
        like = demo.studies[number % len(demo.studies)]
        turn = number // len(demo.studies)
        pattern = by_pattern[like.pattern] + len(demo.patterns) * turn
        if pattern >= at_least(PATTERNS, share, 4):
            pattern = by_pattern[like.pattern]
        code = f"S{number:03d}"
        made.append(
            dataclasses.replace(
                like,
                study=code,
                pattern=f"P{pattern:03d}",
                elements=_of_any_core(like.elements),
                corrections=(),
                signed="",
                readings=repeated(like, each),
                elapsed_before_s=0.0,
                elapsed_after_s=0.0,
                clock_in="",
                clock_out="",
            )
        )
    return tuple(made)


def _of_any_core(elements):
    """Elements that name no core: those of the demo have other codes here."""
    return tuple(dataclasses.replace(e, core="") for e in elements)


def repeated(like, count):
    """Readings of a study over and over until there are `count`, the clock running on."""
    source = like.readings
    times = max(1, round(count / len(source)))
    cycles, last = max(source.cycle), np.nanmax(source.reading_s)
    on = like.timing == "continuous"
    n = len(source)
    return Readings(
        seq=tuple(range(1, n * times + 1)),
        cycle=tuple(int(c) + cycles * k for k in range(times) for c in source.cycle),
        element=source.element * times,
        reading_s=tuple(float(s) + (last * k if on else 0.0) for k in range(times) for s in source.reading_s),
        rating=source.rating * times,
        mark=source.mark * times,
        note=source.note * times,
    )


def measured(share):
    """Seconds of each step at one size, and the memory held at most. [s, MB]"""
    from coreset.assess import assess
    from coreset.case.digest import digest
    from coreset.store.book import Book

    steps, start = {}, time.perf_counter()

    def lap(name):
        nonlocal start
        steps[name], start = time.perf_counter() - start, time.perf_counter()

    case = big(share)
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        write(case, Path(folder) / "case")
        lap("write")
        case = read(Path(folder) / "case")
        lap("read")
        book = Book(f"sqlite:///{folder}/book.sqlite")
        book.keep("big", case, who="OB1", why="bench")
        lap("keep")
        case = book.open("big")
        lap("open")
        book.close()
    digest(case)
    lap("name")
    assess(case)
    lap("assess")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    readings = sum(len(study.readings) for study in case.studies)
    return len(case.patterns), len(case.cores), len(case.studies), readings, steps, memory


def main(arguments):
    """Print the table, a process a size."""
    if arguments[:1] == ["--one"]:
        patterns, cores, studied, readings, steps, memory = measured(float(arguments[1]))
        times = "".join(f"{seconds:>9.2f}" for seconds in steps.values())
        print(f"{patterns:>9}{cores:>7}{studied:>9}{readings:>11}{times}{memory:>11.0f}", flush=True)
        return
    heads = "".join(f"{name + ' s':>9}" for name in ("write", "read", "keep", "open", "name", "assess"))
    print(f"{'patterns':>9}{'cores':>7}{'studies':>9}{'readings':>11}{heads}{'memory MB':>11}", flush=True)
    for share in arguments or map(str, SHARES):
        subprocess.run([sys.executable, __file__, "--one", share], check=True)


if __name__ == "__main__":
    main(sys.argv[1:])
