"""One worker and several machines alike: how many, by the cost of a piece rather than by rounding down."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Tended:
    """A number of machines for one worker: `cycle` in the unit of the times, `cost` of a piece in money."""

    machines: int
    cycle: float
    cost: float


def ideal(*, load: float, machine: float, away: float) -> float:
    """Machines that keep both busy: (l + m)/(l + w).

    Parameters
    ----------
    load, machine, away : float
        l: worker and machine together; m: machine alone; w: worker away from the machine. [one unit of time]

    References
    ----------
    [freivalds] synchronous servicing.
    """
    return (load + machine) / (load + away)


def tended(
    machines: int, *, load: float, machine: float, away: float, worker_rate: float, machine_rate: float
) -> Tended:
    """Cycle and cost of a piece for a number of machines; rates in money for the unit of time.

    Parameters
    ----------
    machines : int
        Machines that the worker serves.
    load, machine, away : float
        As in `ideal`. [one unit of time]
    worker_rate, machine_rate : float
        Cost of the worker and of one machine. [money per unit of time]
    """
    cycle = max(load + machine, machines * (load + away))
    return Tended(machines=machines, cycle=cycle, cost=cycle * (worker_rate + machines * machine_rate) / machines)


def cheapest(*, load: float, machine: float, away: float, worker_rate: float, machine_rate: float) -> Tended:
    """The cheaper of the whole numbers on both sides of the ideal: rounding down is not always it.

    Parameters
    ----------
    load, machine, away : float
        As in `ideal`. [one unit of time]
    worker_rate, machine_rate : float
        Cost of the worker and of one machine. [money per unit of time]
    """
    below = max(1, math.floor(ideal(load=load, machine=machine, away=away)))
    given = {"load": load, "machine": machine, "away": away, "worker_rate": worker_rate, "machine_rate": machine_rate}
    return min((tended(n, **given) for n in (below, below + 1)), key=lambda each: each.cost)


def busy(machines: int, *, load: float, machine: float, away: float) -> tuple[float, float]:
    """Share of the cycle in which the worker, and each machine, is busy.

    Parameters
    ----------
    machines : int
        Machines that the worker serves.
    load, machine, away : float
        As in `ideal`. [one unit of time]

    Examples
    --------
    >>> busy(2, load=1.0, machine=2.0, away=0.5)
    (1.0, 1.0)
    """
    cycle = max(load + machine, machines * (load + away))
    return machines * (load + away) / cycle, (load + machine) / cycle
