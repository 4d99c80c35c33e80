"""Half-width of the 95 % interval of a mean from replications, without a statistics library at hand."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

TWO_SIDED = 0.975


def half_width(values: NDArray[np.float64]) -> float:
    """t times the standard error of the mean; 0 where nothing varies.

    Parameters
    ----------
    values : ndarray (replications,)
        One figure a replication, at least 2.

    Returns
    -------
    float
        Half-width, in the unit of the values; infinite for fewer than 2.

    Examples
    --------
    >>> round(half_width(np.array([9.0, 10.0, 11.0])), 3)
    2.484
    """
    count = len(values)
    if count < 2:
        return math.inf
    from scipy.special import stdtrit

    return float(stdtrit(count - 1, TWO_SIDED) * values.std(ddof=1) / math.sqrt(count))
