"""Tries that were broken off: their time is a lower bound, and the median of all tries allows for it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurvivalCurve:
    """Share of tries not yet done, by time; steps at the times of done tries, each array (steps,).

    `variance`: Greenwood's, of the logarithm of the share.
    """

    time: NDArray[np.float64]
    share: NDArray[np.float64]
    variance: NDArray[np.float64]

    def quantile(self, q: float) -> float:
        """Time by which a share q of tries is done; NaN where the curve does not come so far."""
        reached = np.flatnonzero(self.share <= 1 - q + 1e-12)
        return float(self.time[reached[0]]) if len(reached) else math.nan

    def interval(self, q: float = 0.5, level: float = 0.95) -> tuple[float, float]:
        """Interval of that time: where the curve's own band, on the scale log(-log), crosses the share.

        The step at which all are done has no band: not known, NaN and infinite, where no step before it has one so low.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            inner = np.log(self.share)
            half = float(ndtri(0.5 + level / 2)) * np.sqrt(self.variance) / np.abs(inner)
            low, high = self.share ** np.exp(half), self.share ** np.exp(-half)
        first = np.flatnonzero(np.nan_to_num(low, nan=1.0) <= 1 - q)
        last = np.flatnonzero(np.nan_to_num(high, nan=0.0) <= 1 - q)
        if not len(first):
            return math.nan, math.inf
        return float(self.time[first[0]]), float(self.time[last[0]]) if len(last) else math.inf


def curve(times: ArrayLike, done: ArrayLike) -> SurvivalCurve:
    """Share not yet done, with broken-off tries counted as long as they lasted.

    Parameters
    ----------
    times : array_like, (n,)
        Time of each try. [any unit]
    done : array_like of bool, (n,)
        Whether it came to its end; False is a lower bound.

    References
    ----------
    [kaplan1958] product-limit estimate.
    """
    t, d = np.asarray(times, float), np.asarray(done, bool)
    steps = np.unique(t[d])
    at_risk = np.array([(t >= step).sum() for step in steps], float)
    ended = np.array([(d & (t == step)).sum() for step in steps], float)
    with np.errstate(divide="ignore"):
        variance = np.cumsum(ended / (at_risk * (at_risk - ended)))
    return SurvivalCurve(time=steps, share=np.cumprod(1 - ended / at_risk), variance=variance)


def logrank(first: tuple[ArrayLike, ArrayLike], second: tuple[ArrayLike, ArrayLike]) -> tuple[float, float]:
    """Whether two sets of tries take equally long, broken-off ones allowed for: z of the first, p two-sided.

    z is above 0 where the first is done sooner than if both were alike.

    References
    ----------
    [mantel1966] log-rank test.
    """
    (t1, d1), (t2, d2) = ((np.asarray(t, float), np.asarray(d, bool)) for t, d in (first, second))
    observed = expected = variance = 0.0
    for step in np.unique(np.concatenate([t1[d1], t2[d2]])):
        n1, n2 = (t1 >= step).sum(), (t2 >= step).sum()
        e1, e2 = (d1 & (t1 == step)).sum(), (d2 & (t2 == step)).sum()
        n, e = n1 + n2, e1 + e2
        observed, expected = observed + e1, expected + e * n1 / n
        variance += e * n1 / n * (n2 / n) * (n - e) / max(n - 1, 1)
    z = (observed - expected) / math.sqrt(variance) if variance > 0 else 0.0
    return float(z), float(2 * ndtr(-abs(z)))
