"""The line from mold to shake-out, run many times: good molds an hour with interval, who is blocked or starved, why.

Warm-up rule: as many molds as the line has places, twice, and never fewer than 100, are run and not counted; each
replication then counts the departures of at least 400 molds after them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.line.flow import Passage, passage
from coreset.line.limits import S_PER_H, S_PER_MIN
from coreset.line.plan import Plan
from coreset.line.services import Services, changes_s, services
from coreset.line.student import half_width

BLOCK = 50
"""Replications in one block."""
EXACT_S = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRun:
    """What a line does in the long run.

    `molds_per_h` is per scheduled hour with a 95 % interval by replications. `shares` by station: working, stopped,
    blocked, starved. `causes` by station: share of its time lost to each neighbor, "blocked by" and "starved by".
    `early_share` is the share of molds that would be shaken out too hot were the line not held back for them; such a
    line is no solution, so `molds_per_h` is that of the line that waits. `in_mold_min` is time from pour to shake-out.
    """

    molds_per_h: float
    low: float
    high: float
    replications: int
    precise: bool
    shares: dict[str, tuple[float, float, float, float]]
    causes: dict[str, dict[str, float]]
    early_share: float
    shortest_min: float
    in_mold_min: float
    warm_up: int
    draws: NDArray[np.float64]


def simulate(
    found: Plan,
    *,
    wanted: float = 0.005,
    most: int = 1_000,
    seed: int = 1,
    progress: Callable[[float, float], None] | None = None,
) -> LineRun:
    """Run a line until its rate is known well enough.

    Parameters
    ----------
    found : Plan
        The line.
    wanted : float
        Half-width of the 95 % interval over the rate at which running stops; 0 runs all replications. [-]
    most : int
        Replications at which it stops in any case.
    seed : int
        The same seed gives the same numbers to every line that is compared.
    progress : callable, optional
        Called after each block with the share of `most` done and the half-width reached.

    Returns
    -------
    LineRun
        Same plan and seed, same answer.
    """
    rates: list[NDArray[np.float64]] = []
    parts, blocks, reached = [], 0, math.inf
    while blocks * BLOCK < most and not (wanted > 0 and reached <= wanted):
        count = min(BLOCK, most - blocks * BLOCK)
        times, drawn = run(found, replications=count, key=(seed, blocks))
        rates.append(_rate(found, times.leave[-1]))
        parts.append(_losses(found, times, drawn))
        blocks += 1
        known = np.concatenate(rates)
        reached = half_width(known) / known.mean() if len(known) > 1 else math.inf
        if progress is not None:
            progress(min(1.0, len(known) / most), reached)
    return _told(found, known, parts, bool(reached <= wanted), early(found, key=(seed, 0)))


def run(found: Plan, *, replications: int, key: tuple[int, ...], held: bool = True) -> tuple[Passage, Services]:
    """One block of replications; with `held` false molds may leave before they are cool."""
    size = (found.warm_up + found.counted, replications)
    drawn = services(found.works, found.stops, size=size, key=key)
    drawn.total_s[0] += changes_s(*size, run_molds=found.run_molds, lasts_s=found.change_s, key=key)
    layout = found.layout if held else replace(found.layout, hold_s=0.0)
    return passage(drawn.total_s, layout), drawn


def _rate(found: Plan, out: NDArray[np.float64]) -> NDArray[np.float64]:
    """Molds per scheduled hour of each replication, from the molds after the warm-up."""
    return found.rest_uptime * S_PER_H * found.counted / (out[-1] - out[found.warm_up - 1])


def flow(found: Plan, *, replications: int, seed: int) -> float:
    """What finite places leave of the rate that the slowest part alone would have on the same draws. [-]"""
    times, drawn = run(found, replications=replications, key=(seed, 0))
    out = times.leave[-1]
    took = out[-1] - out[found.warm_up - 1]
    alone = drawn.total_s[:, found.warm_up :].sum(axis=1).max(axis=0)
    cooling = found.cooling_s * found.counted / found.cooling_places
    return min(1.0, float(np.maximum(alone, cooling).mean() / took.mean()))


def early(found: Plan, *, key: tuple[int, ...]) -> tuple[float, float]:
    """Share of molds shaken out too soon were the line not held back, and the shortest time in the mold. [-], [min]

    A mold then leaves when as many more have been poured as there are places: it is pushed out by the next one.
    """
    if found.cooling_s <= 0:
        return 0.0, math.inf
    times, _ = run(found, replications=BLOCK, key=key, held=False)
    poured, places = times.leave[found.poured], found.cooling_places
    stay = (poured[places:] - poured[:-places])[found.warm_up - places :]
    return float((stay < found.cooling_s - EXACT_S).mean()), float(stay.min()) / S_PER_MIN


def _losses(found: Plan, times: Passage, drawn: Services) -> dict[str, Any]:
    """Seconds of a counted mold by station: working, stopped, blocked, starved; and by cause."""
    kept = slice(found.warm_up, None)
    parts, causes = {}, {}
    for j, name in enumerate(found.stations):
        start, leave = times.start[j], times.leave[j]
        blocked = (leave - start - drawn.total_s[j])[kept]
        starved = start[kept] - leave[found.warm_up - 1 : -1]
        stopped = (drawn.total_s[j] - drawn.work_s[j])[kept]
        parts[name] = [float(x.mean()) for x in (drawn.work_s[j][kept], stopped, blocked, starved)]
        causes[name] = _causes(found, times, j, (blocked, starved))
    cycle = float((times.leave[-1, -1] - times.leave[-1, found.warm_up - 1]).mean()) / found.counted
    stay = (times.start[-1] - times.leave[found.poured])[kept]
    return {"parts": parts, "causes": causes, "cycle": cycle, "stay": float(stay.mean()) / S_PER_MIN}


def _causes(found: Plan, times: Passage, j: int, lost: tuple[NDArray, NDArray]) -> dict[str, float]:
    names = found.stations
    blocked, starved = lost
    causes: dict[str, float] = {}
    if j:
        causes[f"starved by {names[j - 1]}"] = float(starved.mean())
    if j + 1 < len(names):
        hot = np.zeros_like(blocked, dtype=bool)
        if j == len(names) - 2 and found.cooling_s > 0:
            b = found.layout.places[j]
            begun = times.start[j + 1, found.warm_up - b : len(times.start[j + 1]) - b]
            hot = times.leave[j, found.warm_up :] <= begun + EXACT_S
            causes["blocked by cooling"] = float(np.where(hot, blocked, 0.0).mean())
        causes[f"blocked by {names[j + 1]}"] = float(np.where(hot, 0.0, blocked).mean())
    return causes


def _told(
    found: Plan, known: NDArray[np.float64], parts: list[dict[str, Any]], precise: bool, hot: tuple[float, float]
) -> LineRun:
    cycle = float(np.mean([p["cycle"] for p in parts]))
    reach = half_width(known)
    return LineRun(
        molds_per_h=float(known.mean()),
        low=float(known.mean() - reach),
        high=float(known.mean() + reach),
        replications=len(known),
        precise=precise,
        shares={
            name: tuple(float(np.mean([p["parts"][name][i] for p in parts])) / cycle for i in range(4))
            for name in found.stations
        },
        causes={
            name: {cause: float(np.mean([p["causes"][name][cause] for p in parts])) / cycle for cause in first}
            for name, first in parts[0]["causes"].items()
        },
        early_share=hot[0],
        shortest_min=hot[1],
        in_mold_min=float(np.mean([p["stay"] for p in parts])),
        warm_up=found.warm_up,
        draws=known,
    )
