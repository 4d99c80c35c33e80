"""Dependence of readings, and the interval of draws."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri, stdtrit

LEVEL = 0.95


def lag_one(values: NDArray[np.float64]) -> float:
    """Lag-1 autocorrelation, r1, over the sum of all squares; 0 where there is no scatter.

    References
    ----------
    [nist_strd] definition of the lag-1 coefficient.
    """
    off = np.asarray(values, float) - np.mean(values)
    square = float(off @ off)
    return float(off[:-1] @ off[1:]) / square if square > 0 else 0.0


def effective_number(values: NDArray[np.float64]) -> float:
    """Number of independent readings that tell as much: n (1 - r)/(1 + r), r the lag-1 coefficient made unbiased.

    A negative coefficient is taken as 0: it would narrow the interval.

    References
    ----------
    [nist_handbook] section 1.3.3.1 warns of dependence; the first-order correction and the bias of r, about
    (1 + 4 r)/n, are common practice.
    """
    n = len(values)
    if n < 4:
        return float(n)
    r = lag_one(np.asarray(values, float))
    r = min(max(0.0, r + (1 + 4 * r) / n), 0.95)
    return n * (1 - r) / (1 + r)


def widening(values: NDArray[np.float64]) -> float:
    """How far deviations of resampled means are stretched for a small and dependent sample.

    sqrt(n/(n - 1)) for the divisor n that resampling implies, sqrt(n/n_effective) for dependence, and Student's over
    the normal quantile for the scatter being estimated.
    """
    n = len(values)
    if n < 2:
        return 1.0
    effective = effective_number(values)
    freedom = max(1.0, effective - 1)
    upper = 0.5 + LEVEL / 2
    return float(np.sqrt(n / (n - 1) * n / effective) * stdtrit(freedom, upper) / ndtri(upper))


def interval(draws: NDArray[np.float64], level: float = LEVEL) -> tuple[float, float]:
    """Ends of the middle share of draws."""
    if len(draws) == 0 or not np.isfinite(draws).any():
        return (float("nan"), float("nan"))
    known = draws[np.isfinite(draws)]
    low, high = np.quantile(known, [0.5 - level / 2, 0.5 + level / 2])
    return float(low), float(high)


def not_below_zero(low: float, high: float) -> tuple[float, float]:
    """Ends of an interval of a time, or of its scatter: cut at 0, since neither can be less.

    Student's interval is kept, and not replaced by one on a log scale: cutting off what cannot be takes nothing from
    its coverage, whereas the upper end of a log scale grows without measure at two or three readings. An interval of a
    difference is not cut.

    Examples
    --------
    >>> not_below_zero(-3.0, 12.0), not_below_zero(4.0, 12.0)
    ((0.0, 12.0), (4.0, 12.0))
    """
    return 0.0 if low < 0 else low, 0.0 if high < 0 else high
