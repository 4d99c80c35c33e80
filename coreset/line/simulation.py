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

from coreset.line.delay_causes import COOLING, roots, waits
from coreset.line.departures import Passage, passage
from coreset.line.line_plan import LinePlan
from coreset.line.net_run import losses, passage_of, without_cooling
from coreset.line.service_times import POURING, Added, Services, pattern_changes_s, services, with_added
from coreset.line.student import half_width
from coreset.units import S_PER_H, S_PER_MIN

BLOCK = 50
"""Replications in one block."""
EXACT_S = 1e-9
TRIFLE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRun:
    """What a line does in the long run.

    `molds_per_h` is per scheduled hour with a 95 % interval by replications. `shares` by station: working, stopped,
    blocked, starved. `roots` by station: the same losses by what began them, as (how, kind, name); see `roots`.
    `early_share` is the share of molds that would be shaken out too hot were the line not held back for them; such a
    line is no solution, so `molds_per_h` is that of the line that waits. `in_mold_min` is time from pour to shake-out.
    """

    molds_per_h: float
    low: float
    high: float
    replications: int
    precise: bool
    shares: dict[str, tuple[float, float, float, float]]
    roots: dict[str, dict[tuple[str, str, str], float]]
    early_share: float
    shortest_min: float
    in_mold_min: float
    warm_up: int
    draws: NDArray[np.float64]


def simulate(
    found: LinePlan,
    *,
    wanted: float = 0.005,
    most: int = 1_000,
    seed: int = 1,
    progress: Callable[[float, float], None] | None = None,
) -> LineRun:
    """Run a line until its rate is known well enough.

    Parameters
    ----------
    found : LinePlan
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
    took: list[NDArray[np.float64]] = []
    parts, blocks, reached = [], 0, math.inf
    while blocks * BLOCK < most and not (wanted > 0 and reached <= wanted):
        count = min(BLOCK, most - blocks * BLOCK)
        times, drawn = run(found, replications=count, key=(seed, blocks))
        took.append(took_s(found, times))
        parts.append(_losses(found, times, drawn))
        blocks += 1
        known = _rates(found, np.concatenate(took))
        reached = half_width(known) / known.mean() if len(known) > 1 else math.inf
        if progress is not None:
            progress(min(1.0, len(known) / most), reached)
    return _told(found, known, parts, bool(reached <= wanted), early(found, key=(seed, 0)))


def run(found: LinePlan, *, replications: int, key: tuple[int, ...], held: bool = True) -> tuple[Passage, Services]:
    """One block of replications; with `held` false molds may leave before they are cool.

    Parameters
    ----------
    found : LinePlan
        The line.
    replications : int
        Runs in the block.
    key : tuple of int
        Seed and number of the block: the same key draws the same times for whatever is compared.
    held : bool
        Whether a mold stays until it is cool.

    Returns
    -------
    Passage, Services
        When each mold came and left, and the seconds drawn for it; (stations, molds, replications). [s]
    """
    size = (found.warm_up + found.counted, replications)
    drawn = services(found.works, found.stops, size=size, key=key)
    change = pattern_changes_s(*size, run_molds=found.run_molds, lasts_s=found.change_s, key=key)
    more = [Added(station=found.first, kind="change", name="", seconds=change)] if found.change_s > 0 else []
    drawn = with_added(drawn, more)
    return passed(found, drawn.total_s, held=held), drawn


def passed(found: LinePlan, seconds: NDArray[np.float64], *, held: bool = True) -> Passage:
    """Times of every mold at every station or step, for seconds there; with `held` false before molds are cool.

    Parameters
    ----------
    found : LinePlan
        The line.
    seconds : ndarray (stations, molds, replications)
        Time of each mold at each station or step, stops and changes in it. [s]
    held : bool
        Whether a mold stays until it is cool.
    """
    if found.net is not None:
        return passage_of(found.net if held else without_cooling(found.net), seconds)
    return passage(seconds, found.layout if held else replace(found.layout, hold_s=0.0))


def took_s(found: LinePlan, times: Passage) -> NDArray[np.float64]:
    """Seconds that the counted molds of each replication took. [s]"""
    out = times.leave[-1]
    return out[-1] - out[found.warm_up - 1]


def _rates(found: LinePlan, took: NDArray[np.float64]) -> NDArray[np.float64]:
    """Molds per scheduled hour of each replication, such that their mean is all molds over all time.

    The mean of the replications' own rates would be too high, for a short time weighs as much as a long one.
    """
    mean = took.mean()
    return found.rest_uptime * S_PER_H * found.counted / mean * (2.0 - took / mean)


def limiting(standing: dict[str, float], cooling: float) -> str:
    """The station that is least often blocked or starved; "cooling" where the molds before it wait for heat to go.

    That is what limits: what stands before it is blocked, what stands after it is starved.
    """
    name = min(standing, key=lambda station: standing[station])
    return "cooling" if cooling > standing[name] + TRIFLE else name


def early(found: LinePlan, *, key: tuple[int, ...]) -> tuple[float, float]:
    """Share of molds shaken out too soon were the line not held back, and the shortest time in the mold. [-], [min]

    A mold then leaves when as many more have been poured as there are places: it is pushed out by the next one.
    """
    if found.cooling_s <= 0:
        return 0.0, math.inf
    times, _ = run(found, replications=BLOCK, key=key, held=False)
    poured, places = times.leave[found.poured], found.cooling_places
    stay = (poured[places:] - poured[:-places])[found.warm_up - places :]
    return float((stay < found.cooling_s - EXACT_S).mean()), float(stay.min()) / S_PER_MIN


def _losses(found: LinePlan, times: Passage, drawn: Services) -> dict[str, Any]:
    """Shares of each station's own time: working, stopped, blocked, starved; and its losses by root."""
    kept = slice(found.warm_up, None)
    if found.net is not None:
        shares, by_root = losses(found, times, drawn)
        return {"parts": shares, "roots": by_root, "stay": _stay_min(found, times)}
    seen, parts, causes = waits(found, times, drawn), {}, {}
    for j, name in enumerate(found.stations):
        elapsed = float((times.leave[j, -1] - times.leave[j, found.warm_up - 1]).mean()) / found.counted
        stopped = drawn.total_s[j] - drawn.work_s[j]
        each = (drawn.work_s[j], stopped, seen.blocked[j], seen.starved[j])
        parts[name] = [float(x[kept].mean()) / elapsed for x in each]
        causes[name] = {root: seconds / elapsed for root, seconds in roots(seen, j).items()}
    return {"parts": parts, "roots": causes, "stay": _stay_min(found, times)}


def _stay_min(found: LinePlan, times: Passage) -> float:
    """Mean time in the mold; on an index a mold comes to shake-out as many cycles later as there are places. [min]"""
    lag, poured = found.cooling_places if found.indexed else 0, times.leave[found.poured]
    stay = times.start[-1][lag:] - (poured[:-lag] if lag else poured)
    return float(stay[found.warm_up - lag :].mean()) / S_PER_MIN


def _mean_shares(shares: list[tuple[float, float, float, float]]) -> tuple[float, float, float, float]:
    """Mean over the replications of the shares of time of one station."""
    first, second, third, fourth = (float(np.mean(values)) for values in zip(*shares, strict=True))
    return first, second, third, fourth


def _told(
    found: LinePlan, known: NDArray[np.float64], parts: list[dict[str, Any]], precise: bool, hot: tuple[float, float]
) -> LineRun:
    reach = half_width(known)
    return LineRun(
        molds_per_h=float(known.mean()),
        low=float(known.mean() - reach),
        high=float(known.mean() + reach),
        replications=len(known),
        precise=precise,
        shares={name: _mean_shares([p["parts"][name] for p in parts]) for name in parts[0]["parts"]},
        roots={name: _mean_roots([p["roots"][name] for p in parts]) for name in parts[0]["parts"]},
        early_share=hot[0],
        shortest_min=hot[1],
        in_mold_min=float(np.mean([p["stay"] for p in parts])),
        warm_up=found.warm_up,
        draws=known,
    )


def _mean_roots(blocks: list[dict[tuple[str, str, str], float]]) -> dict[tuple[str, str, str], float]:
    """Mean share by root over blocks, the largest first; a root that a block has not seen counts 0 there."""
    names = dict.fromkeys(name for block in blocks for name in block)
    mean = {name: sum(block.get(name, 0.0) for block in blocks) / len(blocks) for name in names}
    return dict(sorted(mean.items(), key=lambda item: -item[1]))


def cooled(found: LineRun) -> float:
    """Share of its time that pouring is blocked because molds must cool; further on they may wait without harm. [-]"""
    return found.roots[POURING].get(("blocked", COOLING, ""), 0.0)
