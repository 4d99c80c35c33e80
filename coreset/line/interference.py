"""One worker and several machines that call at random: how much of their time they stand waiting for the worker.

In: machines, their running and service times. Out: shares and minutes. The chart runs machines served in a fixed
order; here nobody knows which calls next.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

WRIGHT_LEAST = 7
"""Machines from which the formula of 1936 is meant. [freivalds]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Chance of 0, 1, ... machines down at once, and the mean number down and running; `lost` of machine time waits."""

    chances: tuple[float, ...]
    down: float
    running: float
    lost: float


def binomial(machines: int, *, down_share: float) -> Waiting:
    """Machines that are each down for a share of the time by themselves, one worker: all but one of those down wait.

    Waiting itself lengthens nobody's time down here, so that it lies below what `by_chance` finds.

    Parameters
    ----------
    machines : int
        N.
    down_share : float
        p, share of its time that one machine is down or served. [-]

    Returns
    -------
    Waiting
        Chances C(N, k) p^k (1 - p)^(N - k); lost: sum of (k - 1) P(k) over N. [-]

    References
    ----------
    [freivalds] random servicing.
    """
    chances = tuple(
        math.comb(machines, k) * down_share**k * (1.0 - down_share) ** (machines - k) for k in range(machines + 1)
    )
    lost = sum((k - 1) * chance for k, chance in enumerate(chances) if k > 1) / machines
    down = machines * down_share
    return Waiting(chances=chances, down=down, running=machines - down, lost=lost)


def by_chance(machines: int, *, run: float, service: float, workers: int = 1) -> Waiting:
    """Machines that run an exponential time and take an exponential service, first come first served, in the long run.

    Parameters
    ----------
    machines, workers : int
        N machines, c workers.
    run, service : float
        Mean running time between two calls, mean time of one service. [one unit of time]

    Returns
    -------
    Waiting
        P(k + 1) / P(k) = (N - k) service / (min(k + 1, c) run); lost: machines that wait over all machines. [-]

    References
    ----------
    [work_study_items] machines that fail at random and one repairer.
    """
    weights = [1.0]
    for k in range(machines):
        weights.append(weights[-1] * (machines - k) * service / (min(k + 1, workers) * run))
    chances = tuple(weight / sum(weights) for weight in weights)
    down = sum(k * chance for k, chance in enumerate(chances))
    waiting = sum(max(0, k - workers) * chance for k, chance in enumerate(chances))
    return Waiting(chances=chances, down=down, running=machines - down, lost=waiting / machines)


def waiting_pct(machines: int, *, run: float, service: float) -> float:
    """Time that machines wait for one worker, in percent of the worker's time of service, for many machines.

    Parameters
    ----------
    machines : int
        N, more than six.
    run, service : float
        Mean running time and mean service of one machine. [one unit of time]

    Returns
    -------
    float
        50 (sqrt((1 + X - N)^2 + 2 N) - (1 + X - N)) with X = run/service; NaN for six machines or fewer. [%]

    References
    ----------
    [freivalds] random servicing, formula of 1936.
    """
    if machines < WRIGHT_LEAST:
        return math.nan
    spare = 1.0 + run / service - machines
    return 50.0 * (math.sqrt(spare**2 + 2.0 * machines) - spare)
