"""What a clock needs while it runs, ready-made for the browser: Student's quantiles, and how likely a dependence is."""

from __future__ import annotations

from functools import cache

from scipy.special import stdtrit

from coreset.study.dependence import GRID, PRIOR

LEVEL = 0.95
COUNT = 400


@cache
def t_quantiles(count: int = COUNT, *, level: float = LEVEL) -> tuple[float, ...]:
    """Two-sided quantiles of Student's t for 1, 2, ... degrees of freedom.

    Examples
    --------
    >>> [round(t, 3) for t in t_quantiles(5)]
    [12.706, 4.303, 3.182, 2.776, 2.571]
    """
    return tuple(float(stdtrit(freedom, 0.5 + level / 2)) for freedom in range(1, count + 1))


def dependence() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Coefficients that neighbouring cycles may depend by, and the weight of each before any cycle."""
    return tuple(GRID.tolist()), tuple(PRIOR.tolist())
