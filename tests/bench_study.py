"""How long the numbers behind Cycles and Standard take on 10,000 cycles of 12 elements: python tests/bench_study.py."""

import time
from dataclasses import replace

import numpy as np
from study_cases import case, study

from coreset.case import Readings
from coreset.study.comparison import compare
from coreset.study.descriptive import describe
from coreset.study.distribution_fit import fits
from coreset.study.pooling import by_pattern, standards
from coreset.study.run_order import in_order
from coreset.study.series import every_series

CYCLES, ELEMENTS = 10_000, 12
NAN = float("nan")


def large(seed=1):
    """A study of 10,000 cycles x 12 elements, snapback."""
    x = np.random.default_rng(seed).lognormal(1, 0.3, (CYCLES, ELEMENTS))
    n, names = x.size, [f"e{i}" for i in range(ELEMENTS)]
    readings = Readings(
        seq=tuple(range(1, n + 1)), cycle=tuple(np.repeat(np.arange(1, CYCLES + 1), ELEMENTS).tolist()),
        element=tuple(names * CYCLES), reading_s=tuple(x.ravel().tolist()), rating=(NAN,) * n, mark=("",) * n,
        note=("",) * n,
    )  # fmt: skip
    return replace(study([], names), readings=readings)


def main():
    """Seconds of each part, then of all."""
    made = case([large()])
    total, lines = 0.0, []

    def lap(name, work):
        nonlocal total
        start = time.perf_counter()
        found = work()
        spent = time.perf_counter() - start
        total += spent
        lines.append(f"{name:<28}{spent:8.3f} s")
        return found

    by_pattern(lap("standards, 10,000 draws", lambda: standards(made)))
    every = lap("series of all elements", lambda: every_series(made.studies[0]))
    lap("describe, all elements", lambda: [describe(s.kept) for s in every])
    lap("order, all elements", lambda: [in_order(s.kept) for s in every])
    lines.append(f"{'behind both pages':<28}{total:8.3f} s")
    lap("shapes, one element", lambda: fits(every[0].kept))
    lap("compare two methods", lambda: compare(every[0].kept, 1.01 * every[0].kept))
    print("\n".join(lines))


if __name__ == "__main__":
    main()
