"""Ramp-up: how much longer the first molds take until the crew works the setter at standard."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray


def slope(*, start: float, molds: float) -> float:
    """Exponent of the learning curve that falls from `start` at the first mold to 1 at mold number `molds`. [-]

    T(n) = T(1) n^-b, unit form.

    References
    ----------
    [crawford1944] unit form.

    Examples
    --------
    >>> round(2 ** -slope(start=1 / 0.8, molds=2), 6)
    0.8
    """
    return math.log(start) / math.log(molds) if molds > 1 and start > 1 else 0.0


def extra_molds(made: ArrayLike, *, start: float, molds: float) -> NDArray[np.float64]:
    """Time lost by the end of mold number `made`, counted in molds at standard time.

    Parameters
    ----------
    made : array_like, any shape
        Molds made with the setter so far. [molds]
    start : float
        Time of the first mold over standard. [-]
    molds : float
        Molds until the standard is reached. [molds]

    Returns
    -------
    ndarray, same shape
        Sum over n up to `made` of start n^-b - 1, no more after `molds`. [molds]
    """
    b = slope(start=start, molds=molds)
    if b == 0.0:
        return np.zeros_like(np.asarray(made, dtype=float))
    n = np.arange(1.0, math.floor(molds) + 1.0)
    lost = np.concatenate([[0.0], np.cumsum(start * n**-b - 1.0)])
    return np.interp(made, np.arange(lost.size), lost)
