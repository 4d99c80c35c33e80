"""Molds an hour by pattern and method: the lowest of what molding, pouring, cooling and shake-out can do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.line.limits import S_PER_H, WHERE, limits
from coreset.line.plan import plan
from coreset.line.simulate import flow

LEVELS = (0.025, 0.975)
REPLICATIONS = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Molds per scheduled hour of one pattern under one method, with the line's uptime in it.

    `limits` is what each part of the line could do alone, per running hour; `limited_by` is the lowest of them.
    `flow` is what finite places and stops leave of the lowest limit times the uptime: the run line over the ideal
    one, held at 1. `per_shift` is for the hours of a shift, set-ups left out. `molding_share` is the share of draws
    in which molding is the limit: the share in which a second saved at the mold is worth anything.
    """

    pattern: str
    method: str
    molds_per_h: float
    low: float
    high: float
    per_shift: float
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
    kept = flow(plan(case, row), replications=replications, seed=seed) if replications else 1.0
    draws = kept * case.line.uptime * np.minimum(molding, cap)
    low, high = np.quantile(draws, LEVELS)
    return Rate(
        pattern=row.pattern,
        method=row.method,
        molds_per_h=ideal * kept,
        low=float(low),
        high=float(high),
        per_shift=ideal * kept * case.line.hours_per_shift,
        limited_by=min((name for name in WHERE if name in alone), key=lambda name: alone[name]),
        limits=alone,
        uptime=case.line.uptime,
        flow=kept,
        molding_share=float((molding <= cap).mean()),
        draws=draws,
    )
