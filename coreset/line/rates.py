"""Molds an hour by pattern and method: the lowest of what molding, pouring, cooling and shake-out can do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.line.line_plan import change_min, plan, run_molds
from coreset.line.scrap_share import scrap_share
from coreset.line.simulation import FlowLeft, left
from coreset.line.station_limits import WHERE, limits
from coreset.units import S_PER_H, S_PER_MIN

LEVELS = (0.025, 0.975)
REPLICATIONS = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Molds per scheduled hour of one pattern under one method, with the line's uptime in it.

    `limits` is what each part of the line could do alone, per running hour; `limited_by` is the lowest of them.
    `flow` is what finite places and stops leave of the lowest limit times the uptime: the run line over the ideal
    one, held at 1. `molding_share` is the share of draws in which molding is the limit: the share in which a second
    saved at the mold is worth anything.

    Changes of pattern are left out of the rates above, for the job mix and the money count them run by run. They are in
    `good_per_shift`, whose interval is that of the mold cycle alone: good molds in the hours of a shift that is all
    this pattern's, with the change before each of its runs, scrap taken off where it was entered (`scrap` is None where
    it was not); in `good_per_shift_aside` the setter is swung aside before each of its runs by hand as well.
    `change_share` is the share that changes take of it.
    """

    pattern: str
    method: str
    molds_per_h: float
    low: float
    high: float
    good_per_shift: float
    good_low: float
    good_high: float
    good_per_shift_aside: float
    change_share: float
    scrap: float | None
    limited_by: str
    limits: dict[str, float]
    uptime: float
    flow: float
    molding_share: float
    draws: NDArray[np.float64]


def rates(
    case: Case, mold_cycles: Iterable[Any], *, replications: int = REPLICATIONS, seed: int | None = None
) -> tuple[Rate, ...]:
    """Molds an hour of every pattern and method with a mold cycle.

    Parameters
    ----------
    case : Case
        Line and patterns.
    mold_cycles : iterable of MoldCycle
        Mold cycles with the draws of their mean; single cycles in `sample_s` for running the line.
    replications : int
        Runs of the line, against its slowest part alone on the same draws; 0 takes the slowest part alone.
    seed : int, optional
        Seed of the runs; the case's own if left out.

    Returns
    -------
    tuple of Rate
        The lowest of the line's parts, times the uptime, times what finite places and stops leave of it.
    """
    chosen = case.seed if seed is None else seed
    return tuple(_rate(case, row, replications, chosen) for row in mold_cycles)


def _rate(case: Case, row: Any, replications: int, seed: int) -> Rate:
    beyond = limits(case, case.pattern(row.pattern))
    cap = min(beyond.values())
    molding = S_PER_H / np.asarray(row.draws_s, dtype=float)
    alone = {"molding": S_PER_H / row.mean_s} | beyond
    ideal = case.line.uptime * min(alone.values())
    kept = _left(case, row, replications, seed)
    scrap = scrap_share(case, row.pattern, row.method)
    good = ideal * kept.flow * case.line.hours_per_shift * (1.0 - (scrap or 0.0))
    draws = kept.flow * case.line.uptime * np.minimum(molding, cap)
    low, high = np.quantile(draws, LEVELS)
    per_mold_h = (1.0 / kept.changes[0] - 1.0) / (ideal * kept.flow)

    def good_at(rate: float) -> float:
        return good / (ideal * kept.flow) / (1.0 / float(rate) + per_mold_h)

    return Rate(
        pattern=row.pattern,
        method=row.method,
        molds_per_h=ideal * kept.flow,
        low=float(low),
        high=float(high),
        good_per_shift=good * kept.changes[0],
        good_low=good_at(low),
        good_high=good_at(high),
        good_per_shift_aside=good * kept.changes[1],
        change_share=1.0 - kept.changes[0],
        scrap=scrap,
        limited_by=min((name for name in WHERE if name in alone), key=lambda name: alone[name]),
        limits=alone,
        uptime=case.line.uptime,
        flow=kept.flow,
        molding_share=float((molding <= cap).mean()),
        draws=draws,
    )


def _left(case: Case, row: Any, replications: int, seed: int) -> FlowLeft:
    """What places and stops leave, and of that what its own changes and those with the setter swung aside leave.

    Without replications places and stops cost nothing, and every change its whole length.
    """
    minutes = change_min(case, row.method), change_min(case, row.method, aside=True)
    if replications:
        line = plan(case, row)
        changes_s = [each * S_PER_MIN * line.rest_uptime for each in minutes]
        return left(line, changes_s=changes_s, replications=replications, seed=seed)
    pattern = case.pattern(row.pattern)
    mold_h = 1.0 / (case.line.uptime * min(S_PER_H / row.mean_s, *limits(case, pattern).values()))
    changes_h = [each * S_PER_MIN / S_PER_H / run_molds(pattern) for each in minutes]
    return FlowLeft(flow=1.0, changes=tuple(mold_h / (mold_h + each) for each in changes_h))
