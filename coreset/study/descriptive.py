"""Times in a few numbers: mean, scatter, quantiles, each with an interval that allows for skew."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import bdtrik, ndtr, ndtri, stdtrit

from coreset.study.bootstrap import not_below_zero, widening

LEVEL = 0.95
QUANTILES = (0.05, 0.25, 0.50, 0.75, 0.90, 0.95)
RESAMPLES = 4_999
MANY = 1_000
"""Readings beyond which resampling would tell no more than the large-sample formulas."""
FEWEST = 4
Interval = tuple[float, float]
UNKNOWN: Interval = (math.nan, math.nan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """Times in numbers, in their own unit; `sd` with divisor n - 1, `cv` its share of the mean.

    `quantiles`: value and interval of each of `QUANTILES`. `how`: bca (resampled, corrected for bias and skew) or
    large (formulas of large samples).
    """

    n: int
    mean: float
    mean_interval: Interval
    sd: float
    sd_interval: Interval
    cv: float
    cv_interval: Interval
    quantiles: dict[float, tuple[float, float, float]]
    how: str


def describe(times: ArrayLike, *, seed: int = 1, resamples: int = RESAMPLES, level: float = LEVEL) -> Described:
    """Mean, standard deviation, coefficient of variation and quantiles with intervals.

    Parameters
    ----------
    times : array_like, (n,)
        Times; NaN are left out. [any unit]
    seed, resamples : int
        Of the draws.
    level : float
        Share that the intervals are to cover.

    Returns
    -------
    Described
        Intervals are NaN below four readings. They are stretched for a small sample and, by the lag-1 coefficient, for
        readings that depend on each other: give times in the order taken. They begin at 0 or above where the times do.

    References
    ----------
    [efron1987] bias-corrected and accelerated intervals.
    """
    x = np.asarray(times, float)
    x = x[np.isfinite(x)]
    mean, sd = (float(x.mean()) if len(x) else math.nan), (float(x.std(ddof=1)) if len(x) > 1 else math.nan)
    values = np.quantile(x, QUANTILES) if len(x) else np.full(len(QUANTILES), math.nan)
    if len(x) < FEWEST or sd == 0:
        ends = [UNKNOWN] * (3 + len(QUANTILES))
    else:
        ends = _large(x, level) if len(x) > MANY else bca(x, _measures, seed=seed, resamples=resamples, level=level)
        ends = _stretched(ends, [mean, sd, sd / mean, *values], widening(x))
        ends = [not_below_zero(*end) for end in ends] if x.min() >= 0 else ends
    return Described(
        n=len(x), mean=mean, mean_interval=ends[0], sd=sd, sd_interval=ends[1], cv=sd / mean if mean else math.nan,
        cv_interval=ends[2], how="large" if len(x) > MANY else "bca",
        quantiles={q: (float(v), *e) for q, v, e in zip(QUANTILES, values, ends[3:], strict=True)},
    )  # fmt: skip


def _measures(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mean, sd, cv and quantiles along the last axis, stacked first."""
    mean, sd = x.mean(axis=-1), x.std(axis=-1, ddof=1)
    return np.concatenate([[mean, sd, sd / mean], np.quantile(x, QUANTILES, axis=-1)])


def _stretched(ends: list[Interval], values: list[float], times: float) -> list[Interval]:
    """Intervals widened about their values for a small sample and for readings that depend on each other."""
    return [(v - (v - low) * times, v + (high - v) * times) for v, (low, high) in zip(values, ends, strict=True)]


def bca(
    x: NDArray[np.float64],
    measures: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    *,
    seed: int = 1,
    resamples: int = RESAMPLES,
    level: float = LEVEL,
) -> list[Interval]:
    """Bias-corrected and accelerated intervals of several measures from the same resamples.

    Parameters
    ----------
    x : ndarray, (n,)
        Readings.
    measures : callable
        Array (..., n) -> array (measures, ...).

    References
    ----------
    [efron1987] equations for the bias and the acceleration by leaving one out.
    """
    rng = np.random.default_rng(seed)
    drawn = np.sort(measures(x[rng.integers(0, len(x), (resamples, len(x)))]), axis=1)
    own = measures(x)
    left = measures(np.tile(x, (len(x), 1))[~np.eye(len(x), dtype=bool)].reshape(len(x), -1))
    off = left.mean(axis=1, keepdims=True) - left
    square = (off**2).sum(axis=1)
    skew = np.divide((off**3).sum(axis=1), 6 * square**1.5, out=np.zeros(len(own)), where=square > 0)
    below = ((drawn < own[:, None]).sum(axis=1) + 0.5 * (drawn == own[:, None]).sum(axis=1)) / resamples
    bias = ndtri(np.clip(below, 0.5 / resamples, 1 - 0.5 / resamples))
    found = []
    for side in (0.5 - level / 2, 0.5 + level / 2):
        z = bias + ndtri(side)
        at = ndtr(bias + z / (1 - skew * z))
        found.append([float(np.quantile(row, p)) for row, p in zip(drawn, at, strict=True)])
    return list(zip(*found, strict=True))


def _large(x: NDArray[np.float64], level: float) -> list[Interval]:
    n, upper = len(x), 0.5 + level / 2
    mean, sd, z = x.mean(), x.std(ddof=1), float(ndtri(upper))
    off = (x - mean) / sd
    half = float(stdtrit(n - 1, upper)) * sd / math.sqrt(n)
    kurtosis, skew = float((off**4).mean()), float((off**3).mean())
    sd_half = z * sd * math.sqrt(max(kurtosis - 1, 0) / (4 * n))
    cv = sd / mean
    cv_half = z * cv * math.sqrt(max((kurtosis - 1) / 4 - cv * skew + cv**2, 0) / n)
    ordered = np.sort(x)
    ranks = [(int(bdtrik(1 - upper, n, q)), min(n - 1, int(math.ceil(bdtrik(upper, n, q))))) for q in QUANTILES]
    return [
        (float(mean - half), float(mean + half)),
        (float(sd - sd_half), float(sd + sd_half)),
        (float(cv - cv_half), float(cv + cv_half)),
        *((float(ordered[low]), float(ordered[high])) for low, high in ranks),
    ]
