"""Odd readings: flagged, never dropped. Whoever sets one aside must say why."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

ALPHA = 0.05
FENCE = 1.5
MOST_SHARE = 0.10
"""Share of the readings that may be sought for: common practice, no source."""
MOST = 50
"""Odd readings sought for at most, however many were taken."""
FEWEST = 15
"""Readings below which the test is not sound [rosner1983]; the fences still speak."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steps:
    """Generalized ESD, step by step: R_i, lambda_i, and the place of the reading taken at each step."""

    r: NDArray[np.float64]
    critical: NDArray[np.float64]
    place: NDArray[np.int64]
    outliers: int


def esd(times: ArrayLike, *, most: int, alpha: float = ALPHA) -> Steps:
    """Generalized extreme studentized deviates: the number of odd readings is the largest i with R_i > lambda_i.

    Parameters
    ----------
    times : array_like, (n,)
        About normal: give logarithms where times are skewed.
    most : int
        Odd readings to look for at most.

    References
    ----------
    [rosner1983]; [nist_handbook] section 1.3.5.17.3. Earlier steps may stay below lambda and still be odd. The first
    step by itself is the two-sided test of [grubbs1969].
    """
    x = np.asarray(times, float)
    n, left = len(x), np.ones(len(x), bool)
    r, critical, place = [], [], []
    for i in range(1, min(most, n - 2) + 1):
        here = np.flatnonzero(left)
        off = np.abs(x[here] - x[here].mean())
        sd = x[here].std(ddof=1)
        worst = int(off.argmax())
        r.append(float(off[worst] / sd) if sd > 0 else 0.0)
        place.append(int(here[worst]))
        t = float(stdtrit(n - i - 1, 1 - alpha / (2 * (n - i + 1))))
        critical.append((n - i) * t / math.sqrt((n - i - 1 + t * t) * (n - i + 1)))
        left[here[worst]] = False
    beyond = [i + 1 for i, (a, b) in enumerate(zip(r, critical, strict=True)) if a > b]
    return Steps(
        r=np.array(r), critical=np.array(critical), place=np.array(place, int), outliers=max(beyond, default=0)
    )


def _fences(logs: NDArray[np.float64]) -> tuple[float, float]:
    """Quartiles -/+ 1.5 times their distance [tukey1977]; times are skewed, so the fences stand on logarithms."""
    low, high = np.quantile(logs, [0.25, 0.75])
    reach = FENCE * (high - low)
    return float(low - reach), float(high + reach)


def flagged(times: ArrayLike) -> NDArray[np.bool_]:
    """Readings that look odd by either rule on the scale of logarithms, (n,). They are told, not dropped."""
    x = np.asarray(times, float)
    usable = np.isfinite(x) & (x > 0)
    flags = np.zeros(len(x), bool)
    if usable.sum() < 4:
        return flags
    y = np.log(x[usable])  # compared as they are: back from logarithms, times all alike would miss their own fences
    low, high = _fences(y)
    odd = (y < low) | (y > high)
    if len(y) >= FEWEST:
        steps = esd(y, most=max(1, min(MOST, int(MOST_SHARE * len(y)))))
        odd[steps.place[: steps.outliers]] = True
    flags[np.flatnonzero(usable)] = odd
    return flags
