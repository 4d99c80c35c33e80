"""The loop that sets the pace: maximum cycle mean with fixed durations. In: net, times. Out: mean, loop."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coreset.line.method_steps import Net

Arc = tuple[int, int, float, int]
"""From step, to step, seconds from the end of the one to the end of the other, cycles between."""
ALIKE_S = 1e-9


def arcs(net: Net, seconds: Sequence[float] | NDArray[np.float64]) -> list[Arc]:
    """Every link of the net with its weight."""
    found: list[Arc] = []
    for k, a in enumerate(net.activities):
        previous, back = net.before[k]
        found.append((previous, k, seconds[k], back))
        own = max(seconds[k] - a.window_s, 0.0)
        found += [(i, k, own + late, lag) for (i, lag), late in zip(net.waits(k), net.delays_s(k), strict=True)]
    return found


def critical_loop(net: Net, seconds: Sequence[float] | NDArray[np.float64]) -> tuple[float, tuple[str, ...]]:
    """The deterministic mold cycle and the steps of the loop that sets it.

    Starts from no pace at all and, as long as a loop takes longer than the pace allows, takes that loop's own mean;
    every round finds a slower loop, so it ends at the slowest.

    Parameters
    ----------
    net : Net
        K steps.
    seconds : sequence (K,)
        Duration of each step. [s]

    Returns
    -------
    float, tuple of str
        Largest sum of durations over number of cycles of any loop [s]; names of its steps in order.
    """
    links = arcs(net, seconds)
    pace = 0.0
    loop: list[Arc] = []
    while found := _slower(links, len(net.activities), pace):
        pace, loop = sum(a[2] for a in found) / sum(a[3] for a in found), found
    names = [net.names[a[1]] for a in loop]
    start = min((net.names.index(name) for name in names), default=0)
    turn = names.index(net.names[start]) if names else 0
    return pace, tuple(names[turn:] + names[:turn])


def _slower(links: list[Arc], count: int, pace: float) -> list[Arc]:
    """A loop whose time exceeds the pace over its cycles, by longest paths; empty if there is none."""
    late = [0.0] * count
    through: list[Arc] = [(0, 0, 0.0, 0)] * count
    last = -1
    for _ in range(count + 1):
        last = -1
        for arc in links:
            start, end, weight, lag = arc
            if late[start] + weight - pace * lag > late[end] + ALIKE_S:
                late[end], through[end], last = late[start] + weight - pace * lag, arc, end
        if last < 0:
            return []
    for _ in range(count):
        last = through[last][0]
    ring: list[Arc] = []
    at = last
    while not ring or at != last:
        ring.append(through[at])
        at = through[at][0]
    return ring[::-1]
