"""Speed of the rates of return, printed: run with -s to see the figures."""

import time

import numpy as np
import numpy_financial as npf
import pytest
import pyxirr

from coreset.money.irr import irr

ROWS, SLOW_ROWS = 100_000, 1_000


def seconds(work):
    """Processor time of the shortest of three runs. [s]"""
    found = []
    for _ in range(3):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


@pytest.mark.slow
def test_rates_of_a_hundred_thousand_flows():
    """At least 30 times as fast as numpy-financial row by row, not slower than pyxirr, and the same rates."""
    rng = np.random.default_rng(1)
    flows = rng.uniform(5, 60, (ROWS, 11))
    flows[:, 0] = -rng.uniform(50, 300, ROWS)
    ours = seconds(lambda: irr(flows))
    theirs = seconds(lambda: [pyxirr.irr(flow) for flow in flows])
    slow = seconds(lambda: [npf.irr(flow) for flow in flows[:SLOW_ROWS]]) * ROWS / SLOW_ROWS
    print(
        f"IRR of 100,000 flows: {ours:.3f} s; pyxirr {theirs:.3f} s; numpy-financial {slow:.1f} s ({slow / ours:.0f} x)"
    )
    assert slow >= 30 * ours and theirs >= ours
    found = np.array([pyxirr.irr(flow) for flow in flows[:SLOW_ROWS]])
    assert np.abs(irr(flows[:SLOW_ROWS]) - found).max() < 1e-9
