"""How much each reading depends on the one before it, shrunk where few readings show little of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

RHO_SD = 0.4
"""Scale of what is taken for likely before any reading: half a normal curve from 0 on, own choice, no source."""
GRID = np.arange(0.0, 0.95, 0.05)
PRIOR = np.exp(-((GRID / RHO_SD) ** 2) / 2)
MOST_LAGS = 400
"""Lags summed: beyond as many the largest coefficient of the grid adds nothing."""


def shrunk_lag_one(readings: ArrayLike) -> float:
    """Dependence of neighbouring readings: the mean of what a first-order series leaves likely, 0 to 0.9.

    Below three readings it is the mean beforehand, 0.29. A single noisy coefficient is never used whole: at ten
    readings it lies anywhere between nothing and nine tenths, and what is asked for on its account with it.

    Parameters
    ----------
    readings : array_like, (n,)
        In the order taken; what is not known is left out.

    Returns
    -------
    float
        Posterior mean of the lag-1 coefficient. [-]

    References
    ----------
    Exact likelihood of a stationary first-order autoregressive series with a flat mean and scale, summed over a grid;
    the prior is our own choice.

    Examples
    --------
    >>> round(shrunk_lag_one([9.0, 11.0]), 2), shrunk_lag_one([9.0, 11.0] * 20) < 0.05
    (0.29, True)
    """
    x = np.asarray(readings, float)
    off = x[np.isfinite(x)]
    return float(_chances(off - off.mean()) @ GRID) if len(off) else float(PRIOR @ GRID / PRIOR.sum())


def inflation(totals: ArrayLike, *, prior_square: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What dependence of neighbouring cycles does to the variance of their mean.

    Parameters
    ----------
    totals : array_like, (n,)
        Time of each whole cycle, in the order taken. [s]
    prior_square : float
        Sum of squares that usual scatter is worth before any reading. [s2]

    Returns
    -------
    tuple of ndarray, (grid,) each
        Factor on the variance of the mean of n independent cycles for each coefficient of `GRID`, and the chance of
        each coefficient. It also makes good that the scatter seen is too small where cycles depend on each other.

    References
    ----------
    Variance of the mean of a first-order autoregressive series; as for `shrunk_lag_one`.
    """
    x = np.asarray(totals, float)
    n = len(x)
    if n < 2:
        return np.ones_like(GRID), PRIOR / PRIOR.sum()
    off = x - x.mean()
    squares = _squares(off)[0]
    lags = np.arange(1, min(n, MOST_LAGS))
    sums = 1 + 2 * (GRID[:, None] ** lags) @ (1 - lags / n)
    return sums * (squares + prior_square) / (float(off @ off) + prior_square), _chances(off)


def _squares(off: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Generalized sum of squares of deviations from their mean for each coefficient, and its divisor for the mean."""
    n, rho = len(off), GRID
    one = (n - (n - 2) * rho) / (1 + rho)
    inner = off @ off - off[0] ** 2 - off[-1] ** 2
    square = (off @ off + rho**2 * inner - 2 * rho * (off[:-1] @ off[1:])) / (1 - rho**2)
    square -= (rho * (off[0] + off[-1]) / (1 + rho)) ** 2 / one
    return np.maximum(square, 1e-300), one


def _chances(off: NDArray[np.float64]) -> NDArray[np.float64]:
    """Chance of each coefficient of the grid from deviations from their mean; beforehand below three of them."""
    n = len(off)
    if n < 3 or np.ptp(off) == 0:
        return PRIOR / PRIOR.sum()
    square, one = _squares(off)
    logs = -(n - 1) / 2 * (np.log1p(-(GRID**2)) + np.log(square)) - np.log(one) / 2
    weights = PRIOR * np.exp(logs - logs.max())
    return weights / weights.sum()
