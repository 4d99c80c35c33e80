"""How often 95 % intervals of times hold the truth of invented plants, and how wide they are, as a table.

Run: python tests/bench/intervals.py [RUNS [NAME ...]]: 400 runs a row, all rows unless some are named.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from study_truth import SCENARIOS, covered

if __name__ == "__main__":
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    print("| studies | those timed | the crew | its mold cycle | saving of a method |\n| --- | --- | --- | --- | --- |")
    for name in sys.argv[2:] or SCENARIOS:
        found = covered(SCENARIOS[name][0], runs=runs, seed=11)
        cells = [found.get(of) for of in ("timed", "crew", "chart", "saving")]
        told = [f"{100 * each[0]:.1f} (±{100 * each[1]:.1f})" if each else "–" for each in cells]
        print(f"| {name} | {' | '.join(told)} |", flush=True)
