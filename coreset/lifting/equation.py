"""The revised NIOSH lifting equation on arrays: each multiplier from what is measured. Needs numpy only."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.lifting.constants import COUPLINGS, DURATIONS, constants, coupling_table, frequency_table

Floats = NDArray[np.float64]
WIDEST_ANGLE_DEG = 180.0


def checked(value: ArrayLike, name: str, *, zero: bool = True) -> Floats:
    """The value as floats, refused where it is negative (or zero, where that cannot be); NaN passes.

    Parameters
    ----------
    value : array_like
        Any shape.
    name : str
        What it is called in the refusal.
    zero : bool
        Whether it may be 0.
    """
    array = np.asarray(value, dtype=float)
    wrong = array < 0 if zero else array <= 0
    if wrong.any():
        rule = "zero or more" if zero else "above zero"
        raise OutOfRange(f"{name} must be {rule}, got {array[wrong].flat[0]:g}")
    return array


def codes(value: ArrayLike, words: tuple[str, ...], name: str) -> NDArray[np.int8]:
    """Place of each word in a list of words; whole numbers are taken as places already.

    Parameters
    ----------
    value : array_like
        Words or places, any shape.
    words : tuple of str
        The list.
    name : str
        What it is called in the refusal.

    Examples
    --------
    >>> codes(["long", "short"], DURATIONS, "duration")
    array([2, 0], dtype=int8)
    """
    array = np.asarray(value)
    if array.dtype.kind in "iu":
        if array.size and not (array.min() >= 0 and array.max() < len(words)):
            raise OutOfRange(f"{name} must be a place in {', '.join(words)}")
        return array.astype(np.int8, copy=False)
    found = np.full(array.shape, -1, dtype=np.int8)
    for place, word in enumerate(words):
        found[array == word] = place
    if (found < 0).any():
        raise OutOfRange(f"{name} must be one of {', '.join(words)}, got {str(array[found < 0].flat[0])!r}")
    return found


def horizontal_multiplier(horizontal: ArrayLike, *, units: str = "metric") -> Floats:
    """Reduction for holding the load away from the body, HM.

    Parameters
    ----------
    horizontal : array_like, any shape
        H, mid-ankles to hands along the floor. [cm, or in]
    units : {"metric", "us"}
        Whose printed constants hold.

    Returns
    -------
    ndarray, same shape
        25/H (10/H in inches), 1 closer than that, 0 beyond 63 cm (25 in). [-] NaN stays NaN.

    Raises
    ------
    OutOfRange
        If any H is zero or negative.

    References
    ----------
    [waters1994] section 1.3 and Table 1.

    Examples
    --------
    >>> horizontal_multiplier([20, 50, 70])
    array([1. , 0.5, 0. ])
    """
    c, h = constants(units), checked(horizontal, "horizontal", zero=False)
    hm = c.horizontal_free / np.maximum(h, c.horizontal_free)
    return np.where(h > c.horizontal_limit, 0.0, hm)[()]


def vertical_multiplier(vertical: ArrayLike, *, units: str = "metric") -> Floats:
    """Reduction for gripping away from knuckle height, VM: 1 - 0.003 |V - 75|, 0 above 175 cm.

    Parameters
    ----------
    vertical : array_like, any shape
        V, floor to hands. [cm, or in]
    units : {"metric", "us"}
        Whose printed constants hold.

    Returns
    -------
    ndarray, same shape
        VM. [-] NaN stays NaN.

    Raises
    ------
    OutOfRange
        If any V is negative.

    References
    ----------
    [waters1994] section 1.3 and Table 2.

    Examples
    --------
    >>> vertical_multiplier([0, 30, 71], units="us")
    array([0.775, 1.   , 0.   ])
    """
    c, v = constants(units), checked(vertical, "vertical")
    vm = 1.0 - c.vertical_slope * np.abs(v - c.vertical_reference)
    return np.where(v > c.vertical_limit, 0.0, vm)[()]


def distance_multiplier(travel: ArrayLike, *, units: str = "metric") -> Floats:
    """Reduction for raising or lowering the load far, DM: 0.82 + 4.5/D, 1 up to 25 cm, 0 above 175 cm.

    Parameters
    ----------
    travel : array_like, any shape
        D, vertical travel between origin and destination. [cm, or in]
    units : {"metric", "us"}
        Whose printed constants hold.

    Returns
    -------
    ndarray, same shape
        DM. [-] NaN stays NaN.

    Raises
    ------
    OutOfRange
        If any D is negative.

    References
    ----------
    [waters1994] section 1.3 and Table 3.

    Examples
    --------
    >>> distance_multiplier([0, 100, 176])
    array([1.   , 0.865, 0.   ])
    """
    c, d = constants(units), checked(travel, "travel")
    dm = c.travel_constant + c.travel_slope / np.maximum(d, c.travel_free)
    return np.where(d > c.travel_limit, 0.0, dm)[()]


def asymmetry_multiplier(angle_deg: ArrayLike) -> Floats:
    """Reduction for twisting, AM: 1 - 0.0032 A, 0 above 135 degrees; the same in both unit sets.

    Parameters
    ----------
    angle_deg : array_like, any shape
        A, between the mid-sagittal line and the line of asymmetry. [deg]

    Returns
    -------
    ndarray, same shape
        AM. [-] NaN stays NaN.

    Raises
    ------
    OutOfRange
        If any A is negative or above 180 degrees.

    References
    ----------
    [waters1994] section 1.3 and Table 4.

    Examples
    --------
    >>> asymmetry_multiplier([0, 90, 136])
    array([1.   , 0.712, 0.   ])
    """
    c, a = constants("metric"), checked(angle_deg, "angle")
    if (a > WIDEST_ANGLE_DEG).any():
        raise OutOfRange(f"angle must be at most 180 degrees, got {a[a > WIDEST_ANGLE_DEG].flat[0]:g}")
    return np.where(a > c.asymmetry_limit, 0.0, 1.0 - c.asymmetry_slope * a)[()]


def frequency_multiplier(
    frequency_per_min: ArrayLike, duration: ArrayLike, vertical: ArrayLike, *, units: str = "metric"
) -> Floats:
    """Reduction for lifting often and long, FM, by Table 5 with straight lines between its rows.

    Parameters
    ----------
    frequency_per_min : array_like
        F, lifts a minute over a quarter of an hour; below 0.2 counts as 0.2. [1/min]
    duration : array_like
        short, moderate or long, or their places 0, 1, 2.
    vertical : array_like
        V at the origin of the lift, which chooses the column at both ends. [cm, or in]
    units : {"metric", "us"}
        Whose reference height holds.

    Returns
    -------
    ndarray, broadcast shape
        FM. [-] Above a column's last row that is not zero FM is 0. NaN stays NaN.

    Raises
    ------
    OutOfRange
        If any F is negative or a duration has another name.

    References
    ----------
    [waters1994] section 1.3.5 and Table 5.

    Examples
    --------
    >>> frequency_multiplier([0.1, 8, 8.5, 9], "long", 40)
    array([0.85, 0.18, 0.  , 0.  ])
    """
    c, t = constants(units), frequency_table()
    f = np.maximum(checked(frequency_per_min, "frequency"), c.frequency_floor)
    column = codes(duration, DURATIONS, "duration") * 2 + (np.asarray(vertical) >= c.vertical_reference)
    column = column.astype(np.intp)
    whole = np.fmin(f, t.row_per_min[-1]).astype(np.intp)
    row = np.where(whole >= 1, whole + 1, f >= t.row_per_min[1])
    place = column * len(t.row_per_min) + row
    fm = t.value.ravel().take(place) + t.slope.ravel().take(place) * (f - t.row_per_min.take(row))
    return np.where(f > t.limit_per_min.take(column), 0.0, fm)[()]


def coupling_multiplier(coupling: ArrayLike, vertical: ArrayLike, *, units: str = "metric") -> Floats:
    """Reduction for a poor hold, CM, by Table 7.

    Parameters
    ----------
    coupling : array_like
        good, fair or poor, or their places 0, 1, 2.
    vertical : array_like
        V, which chooses the column. [cm, or in]
    units : {"metric", "us"}
        Whose reference height holds.

    Returns
    -------
    ndarray, broadcast shape
        CM. [-]

    Raises
    ------
    OutOfRange
        If a coupling has another name.

    References
    ----------
    [waters1994] Table 7.

    Examples
    --------
    >>> coupling_multiplier(["good", "fair", "fair", "poor"], [40, 40, 75, 75])
    array([1.  , 0.95, 1.  , 0.9 ])
    """
    column = codes(coupling, COUPLINGS, "coupling") * 2 + (np.asarray(vertical) >= constants(units).vertical_reference)
    return coupling_table().take(column.astype(np.intp))[()]
