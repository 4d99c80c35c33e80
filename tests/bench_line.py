"""Speed of the line against simpy on the same draws. Run: .venv/bin/python -m pytest -q -s tests/bench_line.py"""

from time import perf_counter

import numpy as np
from line_oracles import simulated_departures

from coreset.line.flow import Layout, passage

STATIONS, MOLDS, REPLICATIONS, PLACES = 4, 2_000, 1_000, (2, 3, 2)
ASKED = 200
SIMPY_RUNS = 3


def test_at_least_200_times_simpy():
    """1,000 replications of 2,000 molds through 4 stations, draws included, against simpy on some of the same draws."""
    begun = perf_counter()
    service = np.random.default_rng(1).exponential(1.0, (STATIONS, MOLDS, REPLICATIONS))
    drawn = perf_counter()
    ours = passage(service, Layout(places=PLACES)).leave
    took, with_draws = perf_counter() - drawn, perf_counter() - begun
    begun = perf_counter()
    theirs = [simulated_departures(service[..., r], PLACES) for r in range(SIMPY_RUNS)]
    each = (perf_counter() - begun) / SIMPY_RUNS
    for r, leave in enumerate(theirs):
        assert np.abs(ours[..., r] - leave).max() < 1e-9
    ratio, ratio_drawn = each * REPLICATIONS / took, each * REPLICATIONS / with_draws
    print(f"\nline {took:.2f} s ({with_draws:.2f} s with draws); simpy {each:.3f} s a replication, ", end="")
    print(f"{each * REPLICATIONS:.0f} s for all: {ratio:.0f} times ({ratio_drawn:.0f} times with draws)")
    assert ratio_drawn >= ASKED
