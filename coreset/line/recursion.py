"""When every step of every cycle is over: the max-plus recursion of a net, on whole arrays of replications."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coreset.line.method_steps import Net


def finish_times(net: Net, durations_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """When each step is over.

    A step is over at max(free + d, ready + max(d - window, 0)): its doer is free when his step before is over, and
    the step is ready when all that it waits for is over. Up to its window it may be done before it is ready.

    Parameters
    ----------
    net : Net
        K steps.
    durations_s : ndarray (cycles, K, replications)
        Duration of each step in each cycle. [s]

    Returns
    -------
    ndarray (cycles, K, replications)
        End of each step from the start of the first cycle. [s]

    References
    ----------
    Baccelli F, Cohen G, Olsder GJ, Quadrat JP: Synchronization and linearity, 1992, max-plus recursion [memory].
    """
    over = np.empty_like(durations_s)
    links = [
        (k, net.before[k], tuple(zip(net.waits(k), net.delays_s(k), strict=True)), net.activities[k].window_s)
        for k in net.order
    ]
    for n in range(len(durations_s)):
        for k, (previous, back), waits, window in links:
            d = durations_s[n, k]
            end = over[n - back, previous] + d if n >= back else d.copy()
            needed = [over[n - lag, i] + late if late else over[n - lag, i] for (i, lag), late in waits if n >= lag]
            if needed:
                ready = needed[0] if len(needed) == 1 else np.maximum.reduce(needed)
                np.maximum(end, ready + (np.maximum(d - window, 0.0) if window else d), out=end)
            over[n, k] = end
    return over
