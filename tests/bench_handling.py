"""Benchmark of the lifting equation: 1,000,000 lifts as arrays against row-by-row loops and against a plain copy.

Run: python tests/bench_handling.py. Two loops: the library's own functions called row by row, for which the mark of
300 holds, and the barest Python that can be written for the purpose, printed beside it for honesty. Exits with 1 where
a ratio misses its mark.
"""

import sys
import time

import numpy as np

from coreset.lifting.constants import COUPLINGS, DURATIONS, constants, coupling_table, frequency_table
from coreset.lifting.lift_end import Posture, lifting_index, rate
from coreset.lifting.many_lifts import Lifts, rate_many

LIFTS = 1_000_000
BARE_LIFTS = 20_000
CALL_LIFTS = 2_000
LOOP_AT_LEAST, COPY_AT_MOST = 300.0, 12.0
REPEATS = 7


def lifts(n, seed=1):
    """Random lifts, some beyond every limit."""
    rng = np.random.default_rng(seed)
    return {
        "mass": rng.uniform(1, 30, n),
        "horizontal_origin": rng.uniform(20, 70, n),
        "vertical_origin": rng.uniform(0, 180, n),
        "asymmetry_origin_deg": rng.uniform(0, 150, n),
        "horizontal_destination": rng.uniform(20, 70, n),
        "vertical_destination": rng.uniform(0, 180, n),
        "asymmetry_destination_deg": rng.uniform(0, 150, n),
        "frequency_per_min": rng.uniform(0, 16, n),
        "duration": rng.integers(0, 3, n).astype(np.int8),
        "coupling": rng.integers(0, 3, n).astype(np.int8),
    }


def one_end(k, table, hold, h, v, d, a, f, duration, coupling, begins):
    """One end of one lift in plain Python, as it stands in the manual."""
    hm = 0.0 if h > k.horizontal_limit else min(1.0, k.horizontal_free / h)
    vm = 0.0 if v > k.vertical_limit else 1 - k.vertical_slope * abs(v - k.vertical_reference)
    dm = 0.0 if d > k.travel_limit else (1.0 if d <= k.travel_free else k.travel_constant + k.travel_slope / d)
    am = 0.0 if a > k.asymmetry_limit else 1 - k.asymmetry_slope * a
    column = 2 * duration + (begins >= k.vertical_reference)
    f, rows, values = max(f, k.frequency_floor), table[0], table[1][column]
    fm = 0.0
    if f <= table[2][column]:
        fm = values[-1]
        for place in range(len(rows) - 1):
            if rows[place] <= f < rows[place + 1]:
                part = (f - rows[place]) / (rows[place + 1] - rows[place])
                fm = values[place] + part * (values[place + 1] - values[place])
                break
    cm = hold[2 * coupling + (v >= k.vertical_reference)]
    return (hm, vm, dm, am, fm, cm), k.load_constant * hm * vm * dm * am * fm * cm


def calls(columns):
    """Row by row through the library's own functions: both ends, the index, what binds."""
    found = []
    for row in zip(*(columns[name].tolist() for name in columns), strict=True):
        mass, ho, vo, ao, hd, vd, ad, f, duration, coupling = row
        shared = {"travel": abs(vd - vo), "frequency_per_min": f, "vertical_at_origin": vo}
        shared |= {"duration": DURATIONS[duration], "coupling": COUPLINGS[coupling]}
        ends = [
            rate(Posture(horizontal=h, vertical=v, angle_deg=a, **shared)) for h, v, a in ((ho, vo, ao), (hd, vd, ad))
        ]
        end = min(ends, key=lambda one: one.rwl)
        found.append((float(lifting_index(mass, end.rwl)), int(end.binding)))
    return found


def bare(columns):
    """Row by row in bare Python: both ends, the index, what binds."""
    k, t = constants("metric"), frequency_table()
    table, hold = (t.row_per_min.tolist(), t.value.tolist(), t.limit_per_min.tolist()), coupling_table().tolist()
    found = []
    for row in zip(*(columns[name].tolist() for name in columns), strict=True):
        mass, ho, vo, ao, hd, vd, ad, f, duration, coupling = row
        d = abs(vd - vo)
        ends = [
            one_end(k, table, hold, h, v, d, a, f, duration, coupling, vo) for h, v, a in ((ho, vo, ao), (hd, vd, ad))
        ]
        multipliers, rwl = min(ends, key=lambda end: end[1])
        least = min(multipliers)
        found.append((mass / rwl if rwl else float("nan"), multipliers.index(least) if least < 1 else -1))
    return found


def best(work):
    """Shortest of several runs, in seconds."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def timed(work, columns, rows):
    """Seconds that a loop would take for all lifts, from the first rows of them."""
    part = {name: column[:rows] for name, column in columns.items()}
    start = time.perf_counter()
    work(part)
    return (time.perf_counter() - start) * LIFTS / rows


def main():
    """Time all three, print, and judge."""
    columns = lifts(LIFTS)
    arrays = best(lambda: rate_many(Lifts(**columns)))
    copy = best(lambda: [column.copy() for column in columns.values()])
    calls_s, bare_s = timed(calls, columns, CALL_LIFTS), timed(bare, columns, BARE_LIFTS)
    print(f"{LIFTS} lifts, both ends: arrays {arrays:.3f} s, copy of the same arrays {copy:.4f} s")
    print(
        f"row by row: own functions {calls_s:.0f} s (from {CALL_LIFTS}), bare Python {bare_s:.1f} s (from {BARE_LIFTS})"
    )
    print(f"own functions / arrays {calls_s / arrays:.0f} (at least {LOOP_AT_LEAST:.0f})")
    print(f"bare Python / arrays {bare_s / arrays:.0f} (no mark)")
    print(f"arrays / copy {arrays / copy:.1f} (at most {COPY_AT_MOST:.0f})")
    return 0 if calls_s / arrays >= LOOP_AT_LEAST and arrays / copy <= COPY_AT_MOST else 1


if __name__ == "__main__":
    sys.exit(main())
