"""What a clock needs while it runs: quantiles for the interval of the mean cycle, ready-made for the browser."""

from __future__ import annotations

from functools import cache

from scipy.special import stdtrit

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
