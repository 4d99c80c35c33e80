"""Printed constants and tables of the lifting equation, one set for each unit set: reference/waters1994 as arrays."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

import numpy as np
from numpy.typing import NDArray

from coreset.errors import OutOfRange
from coreset.sources import table, weakest

UNIT_SETS = ("metric", "us")
DURATIONS = ("short", "moderate", "long")
COUPLINGS = ("good", "fair", "poor")
ENDS = ("low", "high")
"""Below, and from, the reference height of 75 cm (30 in): the two columns of the tables for FM and CM."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Constants:
    """Constants of the equation as printed for one unit set; lengths in cm or in, mass in kg or lb [waters1994] 1.3."""

    load_constant: float
    horizontal_free: float
    horizontal_limit: float
    vertical_reference: float
    vertical_slope: float
    vertical_limit: float
    travel_constant: float
    travel_slope: float
    travel_free: float
    travel_limit: float
    asymmetry_slope: float
    asymmetry_limit: float
    frequency_floor: float
    frequency_seldom: float
    frequency_limit: float
    frequency_sample: float
    frequency_apart: float
    shift_limit: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FrequencyTable:
    """Table 5 laid out for look-up: `value` and `slope` by column (duration, then low and high) and row.

    `limit_per_min` is the last row of a column that is not zero; above it FM is 0. `status`: how each row was read.
    """

    row_per_min: NDArray[np.float64]
    value: NDArray[np.float64]
    slope: NDArray[np.float64]
    limit_per_min: NDArray[np.float64]
    status: tuple[str, ...]


@cache
def constants(units: str) -> Constants:
    """The printed constants of one unit set.

    Raises
    ------
    OutOfRange
        If there is no such unit set.

    Examples
    --------
    >>> constants("us").load_constant, constants("metric").load_constant
    (51.0, 23.0)
    """
    if units not in UNIT_SETS:
        raise OutOfRange(f"units must be one of {', '.join(UNIT_SETS)}, got {units!r}")
    printed = {row["name"]: float(row[units]) for row in table("waters1994/constants").rows}
    return Constants(**{field.name: printed[field.name] for field in fields(Constants)})


@cache
def frequency_table() -> FrequencyTable:
    """Table 5 of [waters1994] with the slope from each row to the next."""
    printed = table("waters1994/table5_frequency")
    row = np.array(printed.column("frequency_per_min"))
    value = np.array([printed.column(f"{duration}_{end}") for duration in DURATIONS for end in ENDS])
    slope = np.zeros_like(value)
    slope[:, :-1] = np.diff(value, axis=1) / np.diff(row)
    limit = np.array([row[np.flatnonzero(column)[-1]] for column in value])
    return FrequencyTable(
        row_per_min=row,
        value=value,
        slope=slope,
        limit_per_min=limit,
        status=tuple(printed.row_status(r) for r in printed.rows),
    )


@cache
def coupling_table() -> NDArray[np.float64]:
    """Table 7 of [waters1994], flat: low and high of good, fair, poor."""
    printed = {row["coupling"]: row for row in table("waters1994/table7_coupling").rows}
    return np.array([float(printed[coupling][f"cm_{end}"]) for coupling in COUPLINGS for end in ENDS])


def frequency_status(per_min: float) -> str:
    """Weakest status of the rows of Table 5 that FM at a frequency is read from: its own, or those on both sides.

    Examples
    --------
    >>> frequency_status(2.5)
    'reprinted'
    """
    printed = frequency_table()
    last = len(printed.status) - 1
    above = min(last, int(np.searchsorted(printed.row_per_min, per_min)))
    below = above if per_min >= printed.row_per_min[above] else max(0, above - 1)
    return weakest(printed.status[below : above + 1])


@cache
def constant_status(name: str = "") -> str:
    """Weakest status of the printed constants whose names begin so; of all without a name."""
    printed = table("waters1994/constants")
    return weakest(printed.row_status(row) for row in printed.rows if row["name"].startswith(name))


@cache
def coupling_status(coupling: str) -> str:
    """Status of the row of Table 7 for a coupling."""
    printed = table("waters1994/table7_coupling")
    return next(printed.row_status(row) for row in printed.rows if row["coupling"] == coupling)


def limit_status(frequency_per_min: float, coupling: str) -> str:
    """Weakest status of all constants and rows that a weight limit is read from."""
    return weakest((frequency_status(frequency_per_min), constant_status(), coupling_status(coupling)))
