"""Processor time of all of money on the demo at 100,000 runs, and of the verdict for a changed price.

Run: python tests/bench/money_runs.py [OTHER_CHECKOUT]. With the folder of another checkout (its own .venv/bin/python;
one of 0.1.0 too), both are timed in turn, so that they see the same machine, and the ratio of this one to the other is
printed. All of money is every part of the decision, those worked out when first asked for too. One BLAS thread.
"""

import os
import statistics
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parents[2]
TIMES, ROUNDS = 5, 3
TIMED = """
import time
from dataclasses import replace
from coreset.assess import assess
from coreset.case import Range
try:
    from coreset.money.evaluate import weigh
    from coreset.assess import answered
    from coreset.money.simulation_inputs import _runs
    from coreset.store.folder import read
except ImportError:
    from coreset.folder import read
    from coreset.money.decide import weigh
    answered = assess
    _runs = None
case = read("studies/ostrander_bend")
known = assess(case)
def least(work):
    taken = []
    for _ in range(TIMES):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)
rooms = known.standards, known.mold_cycles, known.line, known.handling
def money():
    if _runs:
        _runs.cache_clear()
    decision = weigh(case, *rooms, draws=100_000)
    for name in decision.parts() if hasattr(decision, "parts") else ():
        getattr(decision, name)
dearer = iter(range(1, 99))
def answer():
    price = Range.exactly(150_000.0 + next(dearer))
    answered(replace(case, money=replace(case.money, setter_price=price)))
print(least(money), least(answer))
""".replace("TIMES", str(TIMES))


def timed(folder):
    """Processor time of money, and of an assessment after a changed price, least of a few. [s]"""
    command = [str(folder / ".venv" / "bin" / "python"), "-c", TIMED]
    alone = os.environ | dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1")
    made = subprocess.run(command, check=True, capture_output=True, text=True, cwd=folder, env=alone)
    return tuple(map(float, made.stdout.split()))


def main(arguments):
    """Print the times and the ratio."""
    folders = [HERE, *map(Path, arguments)]
    rounds = [[timed(folder) for folder in folders] for _ in range(ROUNDS)]
    for place, folder in enumerate(folders):
        money, price = (statistics.median(each[place][k] for each in rounds) for k in (0, 1))
        print(f"{folder}: money {money:.3f} s, changed price {price:.3f} s")
    if arguments:
        print(f"ratio {statistics.median(here[0] / other[0] for here, other in rounds):.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
