"""Where a saving turns positive, for many patterns and runs at once. In: a function, two ends. Out: the places."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

STEPS = 24
"""Secant steps and halvings in turn to a break-even."""
NEAR = 1e-6
"""Step, as a share, below which a break-even is found."""
Vector = NDArray[np.float64]


def first_gain(saving: Callable[[Vector], Vector], low: Vector, high: Vector) -> Vector:
    """Where a saving that rises from low to high turns positive, both positive; infinite where it has not by `high`.

    Steps along the straight line between the ends and halvings of their ratio, in turn, until no step moves the place
    by more than NEAR of itself.
    """
    at_low, at_high = saving(low), saving(high)
    reached, last = at_high > 0, np.zeros_like(low)
    for step in range(STEPS):
        line = _on_line(low, high, at_low, at_high)
        inside = (line > np.minimum(low, high)) & (line < np.maximum(low, high))
        if (~reached | (at_low > 0) | (inside & (np.abs(line - last) <= NEAR * line))).all():
            break
        last = np.where(inside & (step % 2 == 0), line, last)
        middle = np.where(inside & (step % 2 == 0), line, np.sqrt(low * high))
        value = saving(middle)
        gains = value > 0
        low, at_low = np.where(gains, low, middle), np.where(gains, at_low, value)
        high, at_high = np.where(gains, middle, high), np.where(gains, value, at_high)
    line = _on_line(low, high, at_low, at_high)
    found = np.where(at_low > 0, low, np.where(np.isfinite(line), line, high))
    return np.where(reached, found, np.inf)


def _on_line(low: Vector, high: Vector, at_low: Vector, at_high: Vector) -> Vector:
    """Where the straight line between two points is 0."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return low - at_low * (high - low) / (at_high - at_low)
