"""How many readings: from their scatter, the precision wanted, and what is asked of the word `sure`."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import pdtri, stdtrit

from coreset.errors import OutOfRange
from coreset.sources import table
from coreset.study.bootstrap import LEVEL
from coreset.study.dependence import shrunk_lag_one

PRECISION = 0.05
MOST_READINGS = 1_000_000


def by_z(mean: float, sd: float, *, z: float = 1.96, share: float | None = None, error: float | None = None) -> float:
    """Readings needed, before rounding up: (z s/(k mean))^2, or (z s/e)^2 for an absolute error.

    Parameters
    ----------
    mean, sd : float
        Of pilot readings; say which divisor `sd` was calculated with. [one unit]
    z : float
        Normal quantile: 1.96 for 95 %, 2 for 95.45 %.
    share, error : float
        Half-width wanted: k, a share of the mean, or e, in the readings' unit. One of them.

    References
    ----------
    [stevenson] equations 7-1 and 7-2, p. 329.

    Examples
    --------
    >>> round(by_z(6.4, 2.1, share=0.10), 2), round(by_z(6.4, 2.1, error=0.5), 2)
    (41.36, 67.77)
    """
    if share is not None and error is None:
        half = share * mean
    elif error is not None and share is None:
        half = error
    else:
        raise OutOfRange("precision must be a share or an absolute error, got both or neither")
    return (z * sd / half) ** 2


def by_root(readings: ArrayLike) -> float:
    """Readings needed for 95.45 % and 5 %: (40 sqrt(n sum x^2 - (sum x)^2)/sum x)^2, which has the divisor n in it.

    References
    ----------
    [ilo1992] statistical method.

    Examples
    --------
    >>> round(by_root([7, 6, 7, 7, 6]), 2)
    8.82
    """
    x = np.asarray(readings, float)
    return float(40 * math.sqrt(len(x) * (x @ x) - x.sum() ** 2) / x.sum()) ** 2


def by_t(mean: float, sd: float, *, share: float = PRECISION, level: float = LEVEL) -> int:
    """Readings needed with Student's t at one less than their own number: the least n with t s/sqrt(n) <= k mean.

    Parameters
    ----------
    mean, sd : float
        Of pilot readings, `sd` with divisor n - 1. [one unit]
    share : float
        Half-width sought, k, over the mean. [-]
    level : float
        Confidence. [-]

    References
    ----------
    [freivalds] time study: t form. Iterated, because t depends on the number sought.

    Examples
    --------
    >>> by_t(0.30, 0.09)
    141
    """
    if sd <= 0 or mean <= 0:
        return 2

    def reaches(n: int) -> bool:
        return stdtrit(n - 1, 0.5 + level / 2) * sd / math.sqrt(n) <= share * mean

    low, high = 1, 2
    while not reaches(high) and high < MOST_READINGS:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) else (middle, high)
    return high


def needed(readings: ArrayLike, *, share: float = PRECISION, level: float = LEVEL) -> int:
    """Readings needed by the t form, stretched as far as the readings taken depend on each other.

    Parameters
    ----------
    readings : array_like, (n,)
        In the order taken; those not finite are left out. [any unit]
    share : float
        Half-width sought over the mean. [-]
    level : float
        Confidence. [-]

    Returns
    -------
    int
        0 from fewer than two readings, which do not tell.
    """
    x = np.asarray(readings, float)
    x = x[np.isfinite(x)]
    if len(x) < 2:
        return 0
    return by_t(float(x.mean()), float(x.std(ddof=1)) / math.sqrt(share_counting(x)), share=share, level=level)


def share_counting(readings: ArrayLike) -> float:
    """Share of the readings that counts as independent: (1 - r)/(1 + r), r shrunk; 1 where all readings are alike."""
    x = np.asarray(readings, float)
    x = x[np.isfinite(x)]
    r = shrunk_lag_one(x) if len(x) > 1 and np.ptp(x) > 0 else 0.0
    return (1 - r) / (1 + r)


def cycles_needed(
    totals: ArrayLike,
    *,
    mean: float,
    occasional: Iterable[tuple[float, float, float, bool]] = (),
    share: float = PRECISION,
    level: float = LEVEL,
) -> int:
    """Cycles needed until the standard, its occasional elements included, is within a share of itself.

    Parameters
    ----------
    totals : array_like, (cycles,)
        Time of the regular elements for one mold in each whole cycle, in the order taken. [s]
    mean : float
        Time for one mold of all elements. [s]
    occasional : iterable of (frequency, mean, sd, counted)
        Of each occasional element: times it occurs per cycle, mean and standard deviation of one occurrence [s per
        mold], and whether its frequency was counted in this study, so that it has an error of its own.
    share, level : float
        Half-width wanted as a share of the time for a mold, and the confidence.

    Returns
    -------
    int
        0 below two cycles.

    References
    ----------
    Variance of a sum of independent parts; an element that came k times has the count of a Poisson process, f (m^2 +
    s^2) per cycle where it was counted and f s^2 where its frequency is stated.
    """
    x = np.asarray(totals, float)
    x = x[np.isfinite(x)]
    if len(x) < 2:
        return 0
    variance = float(x.var(ddof=1)) / share_counting(x)
    variance += sum(f * (sd**2 + (each**2 if counted else 0.0)) for f, each, sd, counted in occasional)
    return by_t(mean, math.sqrt(variance), share=share, level=level)


def most_often(happened: float, cycles: int, *, level: float = LEVEL) -> float:
    """Highest frequency that a count leaves open, times per cycle: the upper limit of a Poisson count over the cycles.

    Parameters
    ----------
    happened : float
        Times it was seen.
    cycles : int
        Cycles watched.
    level : float
        Confidence, on the upper side alone. [-]

    References
    ----------
    [garwood1936] exact limits of a Poisson count, the upper one alone: 3.00 of none seen, 4.74 of one.

    Examples
    --------
    >>> [round(most_often(happened, 10), 3) for happened in (0, 1, 2)]
    [0.3, 0.474, 0.63]
    """
    return float(pdtri(happened, 1 - level)) / cycles


def precision(readings: ArrayLike, *, level: float = LEVEL) -> float:
    """Half-width reached, as a share of the mean; NaN below two readings, or where all are 0."""
    x = np.asarray(readings, float)
    if len(x) < 2 or not x.any():
        return math.nan
    n = len(x)
    return float(stdtrit(n - 1, 0.5 + level / 2) * x.std(ddof=1) / math.sqrt(n * share_counting(x)) / x.mean())


def rough_cycles(cycle_s: float) -> int:
    """Cycles by length of the cycle alone, a rule of thumb beside the statistics.

    References
    ----------
    [freivalds] recommended number of cycles.

    Examples
    --------
    >>> rough_cycles(45)
    40
    """
    rows = table("freivalds/cycles_by_length").rows
    return next(int(row["cycles"]) for row in rows if cycle_s / 60 <= float(row["cycle_min_up_to"]))
