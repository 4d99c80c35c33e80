"""Where a saving turns positive, for many patterns and runs at once. In: a function, two ends. Out: the places."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

STEPS = 60
"""Steps to a break-even at most; halvings alone need about 25."""
NEAR = 1e-4
"""Width, as a share, below which a break-even is found; the place itself is on the line between its ends."""
Vector = NDArray[np.float64]
Places = NDArray[np.int64]


def first_gain(saving: Callable[[Vector, Places, Places], Vector], low: Vector, high: Vector) -> Vector:
    """Where a saving that rises from low to high turns positive; infinite where it has not by `high`.

    Parameters
    ----------
    saving : callable
        Takes values, (some rows, some runs), with the places of those rows and of those runs; gives the saving there.
    low, high : ndarray, shape (rows, runs)
        Ends, both positive; `high` may be the smaller number.

    Returns
    -------
    ndarray, shape (rows, runs)
        Found by inverse quadratic interpolation and by halving of the ratio of the ends, as the points allow
        (Chandrupatla's method). Only rows and runs that are still open are evaluated.
    """
    rows, runs = (np.arange(length) for length in low.shape)
    at_low, at_high = saving(low, rows, runs), saving(high, rows, runs)
    ends = np.stack([np.log(low), np.log(high), np.log(low)])
    values = np.stack([at_low, at_high, at_low])
    share, open_ = np.full(low.shape, 0.5), (at_high > 0) & ~(at_low > 0)
    for _ in range(STEPS):
        if not open_.any():
            break
        some = np.ix_(np.flatnonzero(open_.any(axis=1)), np.flatnonzero(open_.any(axis=0)))
        part: Any = (slice(None), *some)
        middle = ends[0][some] + share[some] * (ends[1][some] - ends[0][some])
        ends[part], values[part] = _divided(
            ends[part], values[part], middle, saving(np.exp(middle), *(each.reshape(-1) for each in some))
        )
        share[some] = _next_share(ends[part], values[part])
        open_ &= np.abs(ends[1] - ends[0]) > NEAR
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        line = ends[0] - values[0] * (ends[1] - ends[0]) / (values[1] - values[0])
    line = np.clip(line, np.minimum(ends[0], ends[1]), np.maximum(ends[0], ends[1]))
    found = np.exp(np.where(np.isfinite(line), line, ends[0]))
    return np.where(at_high > 0, np.where(at_low > 0, low, found), np.inf)


def _divided(ends: Vector, values: Vector, middle: Vector, value: Vector) -> tuple[Vector, Vector]:
    """The newest point, the one across the crossing, and the one before; of ends and of values."""
    same = (value > 0) == (values[0] > 0)

    def three(new: Vector, old: Vector) -> Vector:
        return np.stack([new, np.where(same, old[1], old[0]), np.where(same, old[0], old[1])])

    return three(middle, ends), three(value, values)


def _next_share(ends: Vector, values: Vector) -> Vector:
    """Where to look next between the newest point, 0, and the one across, 1."""
    (a, b, c), (fa, fb, fc) = ends, values
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        curved = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
        share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        least = np.minimum(NEAR / 2.0 / np.abs(b - a), 0.5)
    share = np.where(curved & np.isfinite(share), share, 0.5)
    return np.clip(share, least, 1.0 - least)
