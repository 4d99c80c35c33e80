"""Molds an hour by pattern and method: the lowest of what molding, pouring, cooling and shake-out can do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Pattern

S_PER_H = 3600.0
S_PER_MIN = 60.0
LEVELS = (0.025, 0.975)
WHERE = ("molding", "pouring", "cooling", "shake-out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Molds per scheduled hour of one pattern under one method, with the line's uptime in it.

    `limits` is what each part of the line could do alone, per running hour; `limited_by` is the lowest of them.
    `per_shift` is for the hours of a shift, set-ups left out. `molding_share` is the share of draws in which molding
    is the limit: the share in which a second saved at the mold is worth anything.
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
    molding_share: float
    draws: NDArray[np.float64]


def pouring_s(case: Case, pattern: Pattern) -> float:
    """Time from one poured mold to the next: the pattern's own or the line's, not below the index when pouring at it.

    The table's index bounds the mean rate in either way of pouring; batches only free the pourer's own pace.
    """
    return max(pattern.pouring_s or case.line.pouring_s, case.line.index_s)


def cooling_places(case: Case) -> float:
    """Mold places between pouring and shake-out, outer rows and upper levels with them."""
    return case.line.cooling_places + case.line.outer_row_places


def limits(case: Case, pattern: Pattern) -> dict[str, float]:
    """Molds per running hour that pouring, cooling and shake-out could each do alone; infinite where not stated."""
    need_s = pattern.cooling_min * S_PER_MIN
    return {
        "pouring": S_PER_H / pouring_s(case, pattern),
        "cooling": S_PER_H * cooling_places(case) / need_s if need_s > 0 else float("inf"),
        "shake-out": S_PER_H / case.line.shakeout_s if case.line.shakeout_s > 0 else float("inf"),
    }


def rates(case: Case, mold_cycles: Iterable[Any]) -> tuple[Rate, ...]:
    """Molds an hour of every pattern and method with a mold cycle.

    Parameters
    ----------
    case : Case
        Line and patterns.
    mold_cycles : iterable of MoldCycle
        Mold cycles with the draws of their mean.

    Returns
    -------
    tuple of Rate
        The lowest of the line's parts times the uptime: an upper bound that the simulation of the line refines.
    """
    return tuple(_rate(case, row) for row in mold_cycles)


def _rate(case: Case, row: Any) -> Rate:
    beyond = limits(case, case.pattern(row.pattern))
    cap = min(beyond.values())
    uptime = case.line.uptime
    molding = S_PER_H / np.asarray(row.draws_s, dtype=float)
    draws = uptime * np.minimum(molding, cap)
    alone = {"molding": S_PER_H / row.mean_s} | beyond
    low, high = np.quantile(draws, LEVELS)
    rate = uptime * min(alone.values())
    return Rate(
        pattern=row.pattern,
        method=row.method,
        molds_per_h=rate,
        low=float(low),
        high=float(high),
        per_shift=rate * case.line.hours_per_shift,
        limited_by=min(WHERE, key=lambda name: alone[name]),
        limits=alone,
        uptime=uptime,
        molding_share=float((molding <= cap).mean()),
        draws=draws,
    )
