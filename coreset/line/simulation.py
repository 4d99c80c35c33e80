"""The line from mold to shake-out, run many times: good molds an hour with interval, who is blocked or starved, why.

Warm-up rule: as many molds as the line has places, twice, and never fewer than 100, are run and not counted; each
replication then counts the departures of at least 400 molds after them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.line.delay_causes import COOLING, roots, waits
from coreset.line.departures import Passage, passage
from coreset.line.line_plan import LinePlan
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
        took.append(_took(found, times))
        parts.append(_losses(found, times, drawn))
        blocks += 1
        known = _rates(found, np.concatenate(took))
        reached = half_width(known) / known.mean() if len(known) > 1 else math.inf
        if progress is not None:
            progress(min(1.0, len(known) / most), reached)
    return _told(found, known, parts, bool(reached <= wanted), early(found, key=(seed, 0)))


def run(found: LinePlan, *, replications: int, key: tuple[int, ...], held: bool = True) -> tuple[Passage, Services]:
    """One block of replications; with `held` false molds may leave before they are cool."""
    size = (found.warm_up + found.counted, replications)
    drawn = services(found.works, found.stops, size=size, key=key)
    change = pattern_changes_s(*size, run_molds=found.run_molds, lasts_s=found.change_s, key=key)
    more = [Added(station=0, kind="change", name="", seconds=change)] if found.change_s > 0 else []
    layout = found.layout if held else replace(found.layout, hold_s=0.0)
    drawn = with_added(drawn, more)
    return passage(drawn.total_s, layout), drawn


def _took(found: LinePlan, times: Passage) -> NDArray[np.float64]:
    """Seconds that the counted molds of each replication took. [s]"""
    out = times.leave[-1]
    return out[-1] - out[found.warm_up - 1]


def _rates(found: LinePlan, took: NDArray[np.float64]) -> NDArray[np.float64]:
    """Molds per scheduled hour of each replication, such that their mean is all molds over all time.

    The mean of the replications' own rates would be too high, for a short time weighs as much as a long one.
    """
    mean = took.mean()
    return found.rest_uptime * S_PER_H * found.counted / mean * (2.0 - took / mean)


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePace:
    """Running time of the line for a mold, on one set of draws.

    `mold_s` is the mean for each share of the mold cycle asked for, pattern changes left out; `change_s` what a change
    of each length asked for takes after the line has caught up; `slowest_s` the slowest part alone, `bare_s` the line
    without its stops. [s] `limited_by` is the part that limits at the whole mold cycle. `mold_cv`: standard deviation
    over mean of the time of the molds counted, times the root of their number.
    """

    mold_s: NDArray[np.float64]
    change_s: tuple[float, ...]
    slowest_s: float
    bare_s: float
    limited_by: str
    mold_cv: float


def line_pace(
    found: LinePlan, *, shares: Sequence[float], changes_s: Sequence[float], replications: int, seed: int
) -> LinePace:
    """Run the line with the mold cycle as it is, at shares of it, and with changes, all on the same draws.

    A change takes as long as it holds up the last station, less what the line catches up. Runs longer than the molds
    counted are run as long as these, so that each replication has its change.

    Parameters
    ----------
    found : LinePlan
        The line, its runs' molds; its own change is left out.
    shares : sequence (F,)
        Times the mold cycle; 1 is the mold cycle of the plan. [-]
    changes_s : sequence
        Lengths of a change before every run, in running time. [s]
    replications, seed : int
        Of the one block that is run.

    Returns
    -------
    LinePace
        Means over the replications.
    """
    key, size = (seed, 0), (found.warm_up + found.counted, replications)
    drawn = services(found.works, found.stops, size=size, key=key)
    changes = [_changes(found, lasts, size, key) for lasts in changes_s]
    variants = [drawn.total_s[0], *(_molding(found, share, size, key) for share in shares)]
    variants += [drawn.total_s[0] + change for change in changes]
    seconds = np.tile(drawn.total_s, (1, 1, len(variants)))
    seconds[0] = np.concatenate(variants, axis=-1)
    times = passage(seconds, found.layout)
    runs = _took(found, times).reshape(len(variants), replications)
    each = runs.mean(axis=1)
    own = Passage(start=times.start[..., :replications], leave=times.leave[..., :replications])
    cooling = found.cooling_s * found.counted / found.cooling_places
    alone = np.maximum(drawn.total_s[:, found.warm_up :].sum(axis=1).max(axis=0), cooling)
    felt = [
        max(float(took - each[0]), 0.0) * replications * lasts / float(change[found.warm_up :].sum() or 1.0)
        for took, lasts, change in zip(each[1 + len(shares) :], changes_s, changes, strict=True)
    ]
    return LinePace(
        mold_s=each[1 : 1 + len(shares)] / found.counted,
        change_s=tuple(felt),
        slowest_s=float(alone.mean()) / found.counted,
        bare_s=_bare_s(found, drawn, runs[0]),
        limited_by=_limiting(found, own, drawn),
        mold_cv=float(runs[0].std() / each[0]) * math.sqrt(found.counted),
    )


def _bare_s(found: LinePlan, drawn: Services, took: NDArray[np.float64]) -> float:
    """Mean time for a mold without any stop, on the same draws; `took` is that of the runs with stops. [s]"""
    seconds = _took(found, passage(drawn.work_s, found.layout)) if drawn.added else took
    return float(seconds.mean()) / found.counted


def _changes(found: LinePlan, lasts_s: float, size: tuple[int, int], key: tuple[int, ...]) -> NDArray[np.float64]:
    """Seconds that changes add to molds; at least one in the molds counted."""
    return pattern_changes_s(*size, run_molds=min(found.run_molds, float(found.counted)), lasts_s=lasts_s, key=key)


def _molding(found: LinePlan, share: float, size: tuple[int, int], key: tuple[int, ...]) -> NDArray[np.float64]:
    """Seconds of every mold at molding, stops in them, were each mold cycle that share of itself."""
    first = replace(found.works[0], seconds=found.works[0].seconds * share)
    return services((first,), found.stops, size=size, key=key).total_s[0]


def _limiting(found: LinePlan, times: Passage, drawn: Services) -> str:
    """What limits a run; see `limiting`."""
    seen, kept = waits(found, times, drawn), slice(found.warm_up, None)
    standing = {
        name: float((seen.blocked[j, kept] + seen.starved[j, kept]).mean()) for j, name in enumerate(found.stations)
    }
    poured = found.poured
    cooling = roots(seen, poured).get(("blocked", COOLING, ""), 0.0) if found.cooling_s > 0 else 0.0
    return limiting(standing, cooling)


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
    seen, parts, causes = waits(found, times, drawn), {}, {}
    for j, name in enumerate(found.stations):
        elapsed = float((times.leave[j, -1] - times.leave[j, found.warm_up - 1]).mean()) / found.counted
        stopped = drawn.total_s[j] - drawn.work_s[j]
        each = (drawn.work_s[j], stopped, seen.blocked[j], seen.starved[j])
        parts[name] = [float(x[kept].mean()) / elapsed for x in each]
        causes[name] = {root: seconds / elapsed for root, seconds in roots(seen, j).items()}
    stay = (times.start[-1] - times.leave[found.poured])[kept]
    return {"parts": parts, "roots": causes, "stay": float(stay.mean()) / S_PER_MIN}


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
        shares={name: _mean_shares([p["parts"][name] for p in parts]) for name in found.stations},
        roots={name: _mean_roots([p["roots"][name] for p in parts]) for name in found.stations},
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
