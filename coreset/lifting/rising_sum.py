"""The composite sum with its tasks sorted by load: it rises with every load, frequency and hour."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from coreset.errors import OutOfRange
from coreset.lifting.composite import SUM_DECIMALS
from coreset.lifting.equation import checked, frequency_multiplier


def rising_sum(
    *, fili: ArrayLike, frequency_per_min: ArrayLike, vertical: ArrayLike, duration: str, units: str = "metric"
) -> float | None:
    """Composite sum of tasks in falling order of FILI.

    The published composite index sorts tasks by their STLI. A faster task can change that order and so lower the
    index, by up to 16 % in random jobs. This sum has no such step, so it decides whether a change made a job better.

    Parameters
    ----------
    fili : array_like, (tasks,)
        Largest load of each task over its FIRWL. [-]
    frequency_per_min : array_like, (tasks,)
        Lifts per minute of each task.
    vertical : array_like, (tasks,)
        V at the origin of each task; the lowest chooses the column of Table 5 for the whole job.
    duration : {"short", "moderate", "long"}
        Duration class of the whole job.
    units : {"metric", "us"}
        Unit set of V.

    Returns
    -------
    float or None
        Sum over i of (FILI_i - FILI_(i+1)) / FM(F_1 + .. + F_i), with FILI_(n+1) = 0; None where the summed frequency
        is outside the table. With equal mean and largest loads and the same order it is the CLI. [-]

    References
    ----------
    [waters1994] section 2.4.5 for the terms; the order is our own rule, as is the column of the lowest V.

    Examples
    --------
    >>> shared = {"fili": [2.0, 1.6], "vertical": [80, 80], "duration": "long"}
    >>> [round(rising_sum(frequency_per_min=[1, f], **shared), 2) for f in (2.25, 2.5, 3.0)]
    [3.58, 3.73, 4.09]
    """
    load, f, v = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(x, dtype=float)) for x in (fili, checked(frequency_per_min, "frequency"), vertical))
    )
    if not load.size:
        raise OutOfRange("tasks must be at least one, got none")
    order = np.argsort(-load, kind="stable")
    total = np.round(np.cumsum(f[order]), SUM_DECIMALS)
    fm = frequency_multiplier(total, duration, np.full(total.shape, v.min()), units=units)
    if fm[-1] == 0 or not np.isfinite(load).all():
        return None
    steps = load[order] - np.concatenate((load[order][1:], [0.0]))
    return float((steps / fm).sum())
