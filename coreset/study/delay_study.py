"""A production study, or work sampling: what contingencies and delays come to, as a share of the work."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from coreset.case import WatchedShift
from coreset.case.study import DELAY_CAUSES
from coreset.study.bootstrap import LEVEL, not_below_zero
from coreset.study.work_sampling import Consistency, consistency, wilson

FEW_SHIFTS = 5
"""Shifts below which the days decide, not the minutes: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareOfWork:
    """An allowance found, with its ends. [% of basic time] `of_watched`: of all that was watched."""

    percent: float
    low: float
    high: float
    of_watched: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DelayStudy:
    """What one study found. `shares`: contingency and delay; `steady`: of the delays over the days, of looks only."""

    study: str
    counted: str
    shifts: int
    watched: float
    basic: float
    shares: dict[str, ShareOfWork]
    steady: Consistency | None
    few: bool


def ratio(x: Iterable[float], base: Iterable[float], level: float = LEVEL) -> tuple[float, float]:
    """Ratio of two sums, and the half-width of its interval from shift to shift; infinite for one shift.

    Parameters
    ----------
    x, base : iterable of float, (shifts,)
        What is sought and what it is a share of, in each shift. [one unit]
    level : float
        Confidence. [-]

    References
    ----------
    Ratio estimator over clusters: observations of one day are not independent [pape1982].

    Examples
    --------
    >>> p, half = ratio([22.0, 41.0, 25.0], [398.0, 380.0, 402.0])
    >>> round(p, 5), round(half, 4)
    (0.07458, 0.0698)
    """
    a, b = np.asarray(list(x), float), np.asarray(list(base), float)
    p, k = float(a.sum() / b.sum()), len(a)
    if k < 2:
        return p, math.inf
    se = math.sqrt(float(((a - p * b) ** 2).sum()) / (k * (k - 1))) / float(b.mean())
    return p, float(stdtrit(k - 1, 0.5 + level / 2)) * se


def delay_studies(shifts: Iterable[WatchedShift]) -> dict[str, DelayStudy]:
    """Every study by its code; those without effective work are left out."""
    rows: dict[str, list[WatchedShift]] = {}
    for row in shifts:
        rows.setdefault(row.study, []).append(row)
    return {code: _study(code, own) for code, own in rows.items() if sum(row.effective for row in own) > 0}


def _study(code: str, rows: list[WatchedShift]) -> DelayStudy:
    basic = [row.effective * row.rating_pct / 100 for row in rows]
    watched = sum(row.total for row in rows)
    sampled = rows[0].counted == "looks"
    agree = consistency([row.delay for row in rows], [row.total for row in rows]) if sampled else None
    return DelayStudy(
        study=code,
        counted=rows[0].counted,
        shifts=len(rows),
        watched=watched,
        basic=sum(basic),
        shares={name: _share([getattr(row, name) for row in rows], basic, watched, sampled=sampled)
                for name in DELAY_CAUSES},
        steady=agree,
        few=len(rows) < FEW_SHIFTS,
    )  # fmt: skip


def _share(x: list[float], basic: list[float], watched: float, *, sampled: bool) -> ShareOfWork:
    """The larger of the interval from day to day and, of looks, that of independent looks."""
    value, half = ratio(x, basic)
    low, high = not_below_zero(value - half, value + half)
    if sampled:
        ends = [end * watched / sum(basic) for end in wilson(sum(x), watched)]
        low, high = min(low, ends[0]), max(high, ends[1])
    return ShareOfWork(percent=100 * value, low=100 * low, high=100 * high, of_watched=100 * sum(x) / watched)
