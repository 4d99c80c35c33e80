"""How a chart with fixed durations settles: after a transient it repeats itself. In: net, times. Out: pace, period."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.line.method_steps import Net, net
from coreset.line.recursion import finish_times

FIRST_RUN, LONGEST_RUN = 64, 65_536
ALIKE_DIGITS = 6
"""Two states of the line are the same if they agree to a millionth of a second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What a chart with fixed durations settles to.

    `transient` cycles pass before it repeats itself every `period` cycles, `pace_s` apart on average. [s]
    """

    pace_s: float
    period: int
    transient: int


def settled(found: Net, seconds: Sequence[float]) -> Settled | None:
    """The settled line by running it: the pace over one whole period, measured after the transient.

    Over any other window a line whose period is more than one cycle is caught at an odd place, and one that has not
    settled carries its start along.

    Parameters
    ----------
    found : Net
        K steps.
    seconds : sequence (K,)
        Duration of each step. [s]

    Returns
    -------
    Settled or None
        Of the slowest group of workers who wait for one another; with the longest transient of any group. None if one
        has not settled within 65,536 cycles.

    References
    ----------
    Baccelli F, Cohen G, Olsder GJ, Quadrat JP: Synchronization and linearity, 1992, cyclicity theorem [memory].
    """
    each = [_alone(found, seconds, group) for group in groups(found)]
    known = [one for one in each if one is not None]
    if len(known) < len(each):
        return None
    slowest = max(known, key=lambda one: one.pace_s)
    return replace(slowest, transient=max(one.transient for one in known))


def groups(found: Net) -> tuple[tuple[str, ...], ...]:
    """Workers and machines that wait for one another, straight or through others; a group has a pace of its own."""
    who = found.who
    waits = np.eye(len(who), dtype=bool)
    for k, a in enumerate(found.activities):
        for i, _ in found.waits(k):
            waits[who.index(a.by), who.index(found.activities[i].by)] = True
    for _ in who:
        waits = waits @ waits
    both = waits & waits.T
    return tuple(dict.fromkeys(tuple(n for n, one in zip(who, row, strict=True) if one) for row in both))


def _alone(found: Net, seconds: Sequence[float], group: tuple[str, ...]) -> Settled | None:
    kept = [k for k, a in enumerate(found.activities) if a.by in group]
    names = {found.names[k] for k in kept}
    inside = [found.activities[k] for k in kept]
    part = net(replace(a, waits=tuple(w for w in a.waits if w.step in names)) for a in inside)
    lasts = np.asarray([seconds[k] for k in kept], dtype=float)
    run = FIRST_RUN
    while run <= LONGEST_RUN:
        over = finish_times(part, np.broadcast_to(lasts[None, :, None], (run, len(kept), 1)).copy())[..., 0]
        if (one := _repeats(over, part.reach)) is not None:
            return one
        run *= 4
    return None


def _repeats(over: NDArray[np.float64], reach: int) -> Settled | None:
    """The first state that comes again; a state is the ends of as many cycles as links reach back."""
    seen: dict[bytes, int] = {}
    for n in range(reach - 1, len(over)):
        state = over[n - reach + 1 : n + 1] - over[n].max()
        name = (np.round(state, ALIKE_DIGITS) + 0.0).tobytes()
        if name in seen:
            first = seen[name]
            pace = float(over[n].max() - over[first].max()) / (n - first)
            return Settled(pace_s=pace, period=n - first, transient=first + 1)
        seen[name] = n
    return None
