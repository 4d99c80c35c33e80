"""Who works and who waits for whom, from the times of a run; and the bars of a chart drawn to scale."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.line.method_steps import Activity, Net
from coreset.line.recursion import finish_times
from coreset.line.steady_cycle import settled

DRAWN_CYCLES = 3
SETTLE, LONGEST_SETTLE = 12, 4_096
"""Cycles run before the drawn ones, at least and at most, so that the drawing shows the settled line."""
SHORT_S = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One step in one drawn cycle; `waited_s` is how long its doer stood before it, `waited_for` who was waited for."""

    step: str
    by: str
    cycle: int
    start_s: float
    end_s: float
    waited_s: float
    waited_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """Shares of the cycle by worker or machine, and seconds a cycle that each waits for another."""

    shares: dict[str, tuple[float, float]]
    idle: dict[str, float]
    waits_for: dict[str, dict[str, float]]


@dataclass(frozen=True, slots=True)
class _Gaps:
    """For one step: standing time before it (cycles, replications), and which link ended last."""

    stood: NDArray[np.float64]
    links: tuple[tuple[int, int], ...]
    last: NDArray[np.intp] | None


def _gaps(net: Net, over: NDArray[np.float64], seconds: NDArray[np.float64], k: int, skip: int) -> _Gaps:
    previous, back = net.before[k]
    count = len(over)
    free = over[skip - back : count - back, previous]
    stood = over[skip:, k] - seconds[skip:, k] - free
    links = tuple(net.waits(k))
    if not links:
        return _Gaps(np.maximum(stood, 0.0), links, None)
    late = net.delays_s(k)
    ends = np.stack([over[skip - lag : count - lag, i] + late[j] for j, (i, lag) in enumerate(links)])
    return _Gaps(np.maximum(stood, 0.0), links, ends.argmax(axis=0))


def shares(net: Net, over: NDArray[np.float64], seconds: NDArray[np.float64], *, skip: int) -> Shares:
    """Working, waiting and idle shares, and who waits for whom.

    Parameters
    ----------
    net : Net
        K steps.
    over, seconds : ndarray (cycles, K, replications)
        Ends and durations of the steps. [s]
    skip : int
        Cycles of warm-up, not below the net's reach.

    Returns
    -------
    Shares
        Shares of the mean cycle; of people in turn each one's, of as many cycles as there are people. Waiting is before
        a step within a round, idle is before the first step of a round.
    """
    cycle = float((over[-1].max(axis=0) - over[skip - 1].max(axis=0)).mean()) / (len(over) - skip)
    parts: dict[str, tuple[float, float]] = {}
    idle: dict[str, float] = {}
    waits: dict[str, dict[str, float]] = {who: {} for who in net.who}
    for who in net.who:
        own = [k for k, a in enumerate(net.activities) if a.by == who]
        if all(net.activities[k].event for k in own):
            waits.pop(who)
            continue
        round_s = cycle * max(net.activities[k].turns for k in own)
        work = sum(float(seconds[skip:, k].mean()) for k in own) / round_s
        stood = {}
        for k in own:
            gaps = _gaps(net, over, seconds, k, skip)
            stood[k] = float(gaps.stood.mean())
            for j, (i, _) in enumerate(gaps.links):
                other = net.activities[i].by
                found = float(np.where(gaps.last == j, gaps.stood, 0.0).mean())
                if found > SHORT_S:
                    waits[who][other] = waits[who].get(other, 0.0) + found
        parts[who] = (work, sum(stood[k] for k in own[1:]) / round_s)
        idle[who] = stood[own[0]] / round_s
    return Shares(shares=parts, idle=idle, waits_for=waits)


def person(a: Activity, cycle: int) -> str:
    """Who does a step in a cycle: of people in turn the one whose turn it is.

    Examples
    --------
    >>> person(Activity(name="set", by="operator", turns=2), 5)
    'operator (2)'
    """
    return a.by if a.turns == 1 else f"{a.by} ({1 + cycle % a.turns})"


def bars(net: Net, seconds: NDArray[np.float64], *, cycles: int = DRAWN_CYCLES) -> tuple[Bar, ...]:
    """Settled cycles with fixed durations, for drawing; time runs from the first start drawn. [s]

    Parameters
    ----------
    net : Net
        K activities.
    seconds : ndarray (K,)
        Duration of each. [s]
    cycles : int
        Mold cycles drawn.

    Returns
    -------
    tuple of Bar
        One for each activity and cycle, moments without duration left out.
    """
    rest = settled(net, seconds.tolist())
    skip = max(SETTLE, net.reach, min(rest.transient, LONGEST_SETTLE) if rest else 0)
    given = np.broadcast_to(seconds[None, :, None], (skip + cycles, len(seconds), 1)).copy()
    over = finish_times(net, given)
    found = []
    for k, a in enumerate(net.activities):
        if a.event:
            continue
        gaps = _gaps(net, over, given, k, skip)
        for c in range(cycles):
            stood = float(gaps.stood[c, 0])
            link = gaps.links[gaps.last[c, 0]][0] if gaps.last is not None and stood > SHORT_S else None
            end = float(over[skip + c, k, 0])
            found.append(
                Bar(
                    step=a.name,
                    by=person(a, skip + c),
                    cycle=c,
                    start_s=end - float(seconds[k]),
                    end_s=end,
                    waited_s=stood if link is not None else 0.0,
                    waited_for=net.activities[link].by if link is not None else "",
                )
            )
    return _from_zero(found)


def _from_zero(found: list[Bar]) -> tuple[Bar, ...]:
    first = min(bar.start_s for bar in found)
    return tuple(
        Bar(
            step=b.step,
            by=b.by,
            cycle=b.cycle,
            start_s=b.start_s - first,
            end_s=b.end_s - first,
            waited_s=b.waited_s,
            waited_for=b.waited_for,
        )
        for b in sorted(found, key=lambda b: (b.cycle, b.start_s))
    )
