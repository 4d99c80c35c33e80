"""The arithmetic of the printed manual: multipliers of two digits, weights and indices of one decimal, halves up."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.sources import table

MULTIPLIER_DIGITS = 2
RESULT_DIGITS = 1
NOISE_DIGITS = 6
"""Decimals beyond which a binary fraction is noise: 0.745 is stored as a little less than 0.745."""
TABLES = {
    ("hm", "metric"): ("waters1994/table1_horizontal_metric", "horizontal_cm", "hm"),
    ("hm", "us"): ("waters1994/table1_horizontal_us", "horizontal_in", "hm"),
    ("vm", "metric"): ("waters1994/table2_vertical_metric", "vertical_cm", "vm"),
    ("vm", "us"): ("waters1994/table2_vertical_us", "vertical_in", "vm"),
    ("dm", "metric"): ("waters1994/table3_travel_metric", "travel_cm", "dm"),
    ("dm", "us"): ("waters1994/table3_travel_us", "travel_in", "dm"),
    ("am", "metric"): ("waters1994/table4_asymmetry", "asymmetry_deg", "am"),
    ("am", "us"): ("waters1994/table4_asymmetry", "asymmetry_deg", "am"),
}


def rounded(value: ArrayLike, digits: int) -> NDArray[np.float64]:
    """An array rounded half up to so many decimals.

    Examples
    --------
    >>> rounded([0.745, 0.625, 16.25], 2)
    array([ 0.75,  0.63, 16.25])
    """
    scale = 10.0**digits
    return np.floor(np.round(np.asarray(value, dtype=float) * scale, NOISE_DIGITS) + 0.5) / scale


@cache
def printed(multiplier: str, units: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The printed table of a multiplier: where it is tabulated, and the two digits that stand there."""
    path, given, found = TABLES[multiplier, units]
    rows = table(path)
    return np.array(rows.column(given)), np.array(rows.column(found))


def by_hand(multiplier: str, exact: ArrayLike, given: ArrayLike, units: str) -> NDArray[np.float64]:
    """A multiplier as found by hand: the table's own digits on a tabulated row, else the formula rounded half up.

    Three printed cells are not the rounded formula: HM at 22 and 23 in, DM at 130 cm [waters1994] Tables 1 and 3.

    Parameters
    ----------
    multiplier : str
        hm, vm, dm, am, fm or cm.
    exact : array_like
        By the formula. [-]
    given : array_like, same shape
        What it is found from. [cm or in; degrees]
    units : {"metric", "us"}
        Unit set of `given`.

    Examples
    --------
    >>> by_hand("hm", [10 / 23, 10 / 23.5], [23, 23.5], "us")
    array([0.44, 0.43])
    """
    where, digits = printed(multiplier, units)
    value, x = rounded(exact, MULTIPLIER_DIGITS), np.asarray(given, dtype=float)
    row = np.minimum(np.searchsorted(where, x), len(where) - 1)
    return np.where(where[row] == x, digits[row], value)
