"""Times in the order taken: control chart, runs, trend; whether the readings may be treated as one set."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, stdtr

from coreset.study.bootstrap import effective_number, lag_one

XMR = 2.660  # [nist_handbook] 3/d2, d2 = 1.128 of two readings, as printed; the exact d2 gives 2.659
MR_UPPER = 3.267  # [nist_handbook] D4 of two readings
SURE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Individuals:
    """Individuals and moving-range chart. `out`: (n,) readings beyond their limits, or after too wide a step."""

    mean: float
    lower: float
    upper: float
    moving_mean: float
    moving_upper: float
    moving: NDArray[np.float64]
    out: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """A test: statistic, p value (two-sided), and whether it speaks at 5 %."""

    statistic: float
    p: float

    @property
    def speaks(self) -> bool:
        """Whether the p value is below 0.05."""
        return self.p < SURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """What the order of readings tells."""

    individuals: Individuals
    lag_one: float
    effective: float
    runs: Tested
    trend: Tested


def individuals(times: ArrayLike) -> Individuals:
    """Limits of single readings from the mean moving range of neighbours.

    Parameters
    ----------
    times : array_like, (n,)
        In the order taken. [any unit]

    References
    ----------
    [nist_handbook] section 6.3.2.2, individuals control charts.
    """
    x = np.asarray(times, float)
    moving = np.abs(np.diff(x))
    wide = float(moving.mean()) if len(moving) else math.nan
    middle = float(x.mean()) if len(x) else math.nan
    lower, upper, top = middle - XMR * wide, middle + XMR * wide, MR_UPPER * wide
    stepped = np.concatenate([[False], moving > top])[: len(x)]
    return Individuals(
        mean=middle, lower=max(lower, 0.0), upper=upper, moving_mean=wide, moving_upper=top, moving=moving,
        out=(x > upper) | (x < lower) | stepped,
    )  # fmt: skip


def runs_test(times: ArrayLike, *, about: float | None = None) -> Tested:
    """Runs above and below the median: too few means that neighbours are alike, too many that they alternate.

    Readings equal to the median are left out; no continuity correction.

    References
    ----------
    [nist_handbook] section 1.3.5.13, runs test for detecting non-randomness.
    """
    x = np.asarray(times, float)
    middle = float(np.median(x)) if about is None and len(x) else about
    above = (x[x != middle] > middle) if len(x) else np.zeros(0, bool)
    n1, n2 = int(above.sum()), int((~above).sum())
    n = n1 + n2
    if n < 2:
        return Tested(statistic=math.nan, p=1.0)
    runs = 1 + int((above[1:] != above[:-1]).sum())
    expected = 2 * n1 * n2 / n + 1
    sd = math.sqrt(2 * n1 * n2 * (2 * n1 * n2 - n) / (n**2 * (n - 1)))
    z = (runs - expected) / sd if sd else math.nan
    return Tested(statistic=z, p=float(2 * ndtr(-abs(z))) if sd else 1.0)


def ranks(x: ArrayLike) -> NDArray[np.float64]:
    """Ranks from 1, ties at their mean."""
    values, inverse, counts = np.unique(np.asarray(x, float), return_inverse=True, return_counts=True)
    del values
    last = np.cumsum(counts)
    return (last - (counts - 1) / 2)[inverse]


def trend_test(times: ArrayLike) -> Tested:
    """Rank correlation of times with their order, after Spearman: below 0, times fall.

    References
    ----------
    [spearman1904] rank correlation, with Student's t at n - 2.
    """
    x = np.asarray(times, float)
    n = len(x)
    if n < 4 or np.ptp(x) == 0:
        return Tested(statistic=0.0, p=1.0)
    rho = float(np.corrcoef(ranks(x), np.arange(n))[0, 1])
    if abs(rho) >= 1:
        return Tested(statistic=rho, p=0.0)
    t = rho * math.sqrt((n - 2) / (1 - rho**2))
    return Tested(statistic=rho, p=float(2 * stdtr(n - 2, -abs(t))))


def in_order(times: ArrayLike) -> Ordered:
    """All that the order of readings tells; NaN are left out."""
    x = np.asarray(times, float)
    x = x[np.isfinite(x)]
    return Ordered(
        individuals=individuals(x),
        lag_one=lag_one(x) if len(x) else 0.0,
        effective=effective_number(x),
        runs=runs_test(x),
        trend=trend_test(x),
    )
