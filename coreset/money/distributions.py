"""Draws from ranges: low, likely and high become a named distribution, the same for every figure of a case.

Chances stated: a lognormal shifted to pass through all three (normal where they are evenly spaced), or, where one step
is many times the other or two of them coincide, two halves of a normal. Hard limits: a triangle. A figure that cannot
be negative is held at zero, and a share at 1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.case import Range
from coreset.errors import OutOfRange

SCORE = {"10-50-90": 1.2815515655446004, "5-50-95": 1.6448536269514722}
"""Normal score of the upper stated chance: 90 % and 95 %."""
EVEN = 1e-6
"""Difference of the two steps, as a share, below which they are even."""
LOPSIDED = 4.0
"""Larger step over the smaller above which a lognormal's tail would carry the mean away, at last beyond `high`: our own
choice, no source."""
_GRID = np.linspace(-8.0, 8.0, 16_001)
_CHANCE = np.array([0.5 * math.erfc(-z / math.sqrt(2.0)) for z in _GRID])


def normal_chance(z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Chance that a standard normal is below z, to about 1e-7. [-]"""
    return np.interp(z, _GRID, _CHANCE)


def normal_score(chance: NDArray[np.float64]) -> NDArray[np.float64]:
    """The standard normal score below which a chance lies, to about 1e-6 between 1e-7 and 1 - 1e-7. [-]"""
    return np.interp(chance, _CHANCE, _GRID)


def at(figure: Range, z: NDArray[np.float64], meaning: str, most: float = math.inf) -> NDArray[np.float64]:
    """Values of a figure at given normal scores.

    Parameters
    ----------
    figure : Range
        Low, likely, high.
    z : ndarray, any shape
        Normal scores; the same scores in two figures make them move together. [-]
    meaning : str
        `Money.range_meaning`.
    most : float
        Largest value that the figure can have; what would lie above is held there.

    Returns
    -------
    ndarray, shape of z
        Values in the figure's own unit.

    Raises
    ------
    OutOfRange
        If low, likely and high are not in rising order.

    Examples
    --------
    >>> figure = Range(low=90, likely=100, high=130)
    >>> at(figure, np.array([-SCORE["10-50-90"], 0, SCORE["10-50-90"]]), "10-50-90").round(6).tolist()
    [90.0, 100.0, 130.0]
    """
    low, likely, high = figure.low, figure.likely, figure.high
    if not low <= likely <= high:
        raise OutOfRange(f"range must have low <= likely <= high, got {low}, {likely}, {high}")
    if figure.known:
        return np.full_like(z, likely)
    if meaning == "limits":
        return _triangle(low, likely, high, normal_chance(z))
    below, above, score = likely - low, high - likely, SCORE[meaning]
    if max(below, above) > LOPSIDED * min(below, above):
        values = likely + np.where(z < 0, below, above) / score * z
    elif abs(above / below - 1.0) < EVEN:
        values = likely + above / score * z
    else:
        values = likely + above * np.expm1(math.log(above / below) / score * z) / (above / below - 1.0)
    return np.clip(values, 0.0 if low >= 0 else -math.inf, most)


def _triangle(low: float, likely: float, high: float, chance: NDArray[np.float64]) -> NDArray[np.float64]:
    turn = (likely - low) / (high - low)
    rising = low + np.sqrt(chance * (high - low) * (likely - low))
    falling = high - np.sqrt((1.0 - chance) * (high - low) * (high - likely))
    return np.where(chance < turn, rising, falling)


def quantiles(values: ArrayLike, chances: Sequence[float], *, higher: bool = False) -> list[float]:
    """Values below which some shares of a sample lie, by one partition: less than half the time of a sort on 100,000.

    Parameters
    ----------
    values : array_like, shape (n,)
        The sample.
    chances : sequence of float
        Shares, 0 to 1. [-]
    higher : bool
        The next value of the sample instead of the straight line between two.

    Returns
    -------
    list of float
        One for each chance, as `numpy.quantile` gives; NaN where a value of the sample is.

    Examples
    --------
    >>> quantiles([4.0, 1.0, 2.0], [0.5, 0.75]), quantiles([4.0, 1.0, 2.0], [0.75], higher=True)
    ([2.0, 3.0], [4.0])
    """
    given = np.asarray(values, dtype=float)
    if np.isnan(given).any():
        return [math.nan] * len(chances)
    places = [(given.size - 1) * chance for chance in chances]
    ordered = np.partition(given, sorted({end for place in places for end in (math.floor(place), math.ceil(place))}))
    found = []
    for place in places:
        below, above = float(ordered[math.floor(place)]), float(ordered[math.ceil(place)])
        part = place - math.floor(place)
        if higher or below == above:
            found.append(above)
        else:
            found.append(below + (above - below) * part if part < 0.5 else above - (above - below) * (1.0 - part))
    return found
