"""Processor time of all of money on the demo at 100,000 runs, and of an answer to a changed price.

Run: python tests/bench/money_runs.py [OTHER_CHECKOUT]. With the folder of another checkout (its own .venv), both are
timed in turn, so that they see the same machine, and the ratio of this one to the other is printed.
"""

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
from coreset.money.evaluate import weigh
from coreset.store.folder import read
from coreset.web.shelf import demo_folder
case = read(demo_folder())
found = assess(case)
def least(work):
    taken = []
    for _ in range(TIMES):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)
rooms = found.standards, found.mold_cycles, found.line, found.handling
money = least(lambda: weigh(case, *rooms, draws=100_000))
dearer = iter(range(1, 99))
def answer():
    price = Range.exactly(150_000.0 + next(dearer))
    assess(replace(case, money=replace(case.money, setter_price=price)))
print(money, least(answer))
""".replace("TIMES", str(TIMES))


def timed(folder):
    """Processor time of money, and of an assessment after a changed price, least of a few. [s]"""
    command = [str(folder / ".venv" / "bin" / "python"), "-c", TIMED]
    made = subprocess.run(command, check=True, capture_output=True, text=True, cwd=folder)
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
