"""A great many lifts in one unit set at once: both ends, index, governing end and binding multiplier, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.lifting.constants import COUPLINGS, DURATIONS, constants, coupling_table, frequency_table
from coreset.lifting.equation import WIDEST_ANGLE_DEG, checked, codes

Floats = NDArray[np.float64]
BLOCK = 8192
"""Rows calculated at a time, so that what is worked on stays in the processor's cache."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifts:
    """Columns of many lifts, all of one length; lengths and mass in one unit set.

    `duration` and `coupling` are words, or places in `DURATIONS` and `COUPLINGS`.
    """

    mass: ArrayLike
    horizontal_origin: ArrayLike
    vertical_origin: ArrayLike
    asymmetry_origin_deg: ArrayLike
    horizontal_destination: ArrayLike
    vertical_destination: ArrayLike
    asymmetry_destination_deg: ArrayLike
    frequency_per_min: ArrayLike
    duration: ArrayLike
    coupling: ArrayLike
    units: str = "metric"


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """One entry a lift. `multipliers` is (2 ends, 6, lifts) in the order of `rating.MULTIPLIERS`, `rwl` (2, lifts).

    `li` is that of the governing end, NaN where nothing may be lifted; `at_destination` says which end that is;
    `binding` is the place of its smallest multiplier, -1 where all are 1.
    """

    multipliers: Floats
    rwl: Floats
    li: Floats
    at_destination: NDArray[np.bool_]
    binding: NDArray[np.int8]


def rate_many(lifts: Lifts) -> Results:
    """Rate many lifts at both ends; the end with the lower RWL governs.

    Parameters
    ----------
    lifts : Lifts
        Columns, (lifts,).

    Returns
    -------
    Results
        The same figures as `rating.rate` gives end by end.

    Raises
    ------
    OutOfRange
        If a value cannot be.

    References
    ----------
    [waters1994] section 1.3.
    """
    columns = _columns(lifts)
    n = len(columns["mass"])
    found = Results(
        multipliers=np.empty((2, 6, n)),
        rwl=np.empty((2, n)),
        li=np.empty(n),
        at_destination=np.empty(n, dtype=bool),
        binding=np.empty(n, dtype=np.int8),
    )
    for start in range(0, n, BLOCK):
        rows = slice(start, min(start + BLOCK, n))
        _block({name: column[rows] for name, column in columns.items()}, found, rows, lifts.units)
    return found


def _columns(lifts: Lifts) -> dict[str, NDArray]:
    """Columns as arrays, each checked once."""
    positive = ("mass", "horizontal_origin", "horizontal_destination")
    other = ("vertical_origin", "asymmetry_origin_deg", "vertical_destination", "asymmetry_destination_deg")
    found = {name: checked(getattr(lifts, name), name, zero=False) for name in positive}
    found |= {name: checked(getattr(lifts, name), name) for name in (*other, "frequency_per_min")}
    for name in ("asymmetry_origin_deg", "asymmetry_destination_deg"):
        if (found[name] > WIDEST_ANGLE_DEG).any():
            raise OutOfRange(f"{name} must be at most 180 degrees")
    found["duration"] = codes(lifts.duration, DURATIONS, "duration")
    found["coupling"] = codes(lifts.coupling, COUPLINGS, "coupling")
    return found


def _block(c: dict[str, NDArray], found: Results, rows: slice, units: str) -> None:
    """All figures of one block of rows, written into the results."""
    k = constants(units)
    travel = np.abs(c["vertical_destination"] - c["vertical_origin"])
    dm = k.travel_constant + k.travel_slope / np.maximum(travel, k.travel_free)
    dm *= travel <= k.travel_limit
    pace = _pace(c["frequency_per_min"], units)
    duration, coupling = c["duration"].astype(np.intp) * 2, c["coupling"].astype(np.intp) * 2
    at_origin = _frequency(pace, duration + (c["vertical_origin"] >= k.vertical_reference))
    for end, name in enumerate(("origin", "destination")):
        h, v, a = c[f"horizontal_{name}"], c[f"vertical_{name}"], c[f"asymmetry_{name}_deg"]
        out = found.multipliers[end, :, rows]
        hm, vm, _, am, fm, cm = out
        np.divide(k.horizontal_free, np.maximum(h, k.horizontal_free), out=hm)
        hm *= h <= k.horizontal_limit
        np.subtract(v, k.vertical_reference, out=vm)
        np.abs(vm, out=vm)
        vm *= -k.vertical_slope
        vm += 1.0
        vm *= v <= k.vertical_limit
        out[2] = dm
        np.multiply(a, -k.asymmetry_slope, out=am)
        am += 1.0
        am *= a <= k.asymmetry_limit
        high = v >= k.vertical_reference
        fm[:] = at_origin
        cm[:] = coupling_table().take(coupling + high)
        rwl = found.rwl[end, rows]
        np.multiply(hm, vm, out=rwl)
        for multiplier in (dm, am, fm, cm):
            rwl *= multiplier
        rwl *= k.load_constant
    _govern(c["mass"], found, rows)


def _pace(frequency: Floats, units: str) -> tuple[Floats, NDArray[np.intp], Floats]:
    """Frequency with its floor, the row of Table 5 below it, and the way beyond that row."""
    t = frequency_table()
    f = np.maximum(frequency, constants(units).frequency_floor)
    whole = np.fmin(f, t.row_per_min[-1]).astype(np.intp)
    row = np.where(whole >= 1, whole + 1, f >= t.row_per_min[1])
    return f, row, f - t.row_per_min.take(row)


def _frequency(pace: tuple[Floats, NDArray[np.intp], Floats], column: NDArray[np.intp]) -> Floats:
    t, (f, row, beyond) = frequency_table(), pace
    place = column * len(t.row_per_min) + row
    fm = t.slope.ravel().take(place)
    fm *= beyond
    fm += t.value.ravel().take(place)
    fm *= f <= t.limit_per_min.take(column)
    return fm


def _govern(mass: Floats, found: Results, rows: slice) -> None:
    """Governing end, index and binding multiplier of a block."""
    origin, destination = found.rwl[:, rows]
    at_destination = np.less(destination, origin, out=found.at_destination[rows])
    rwl = np.minimum(origin, destination)
    li = found.li[rows]
    li.fill(np.nan)
    np.divide(mass, rwl, out=li, where=rwl > 0)
    first, second = found.multipliers[:, :, rows]
    least, place = np.ones(len(mass)), found.binding[rows]
    place.fill(-1)
    for number in range(len(first)):
        multiplier = np.where(at_destination, second[number], first[number])
        lower = multiplier < least
        np.copyto(place, number, where=lower)
        np.minimum(least, multiplier, out=least)
