"""Internal rates of return: every rate at which the flows are worth nothing today, and how many there can be.

All is calculated in x = ln(1 + r), where f(x) = sum c_t exp(-x t) is smooth for every rate above -100 %.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

TOUCHING = 1e-13
"""Value at a turning point, over the sum of sizes, below which it counts as a root that only touches zero."""
FARTHEST = 512.0
"""Largest |ln(1 + r)| searched; a power of two, as the search doubles its reach."""
HALVINGS = 200
"""Steps between two points at most; a third of them halve, which leaves nothing of any distance searched."""


def sign_changes(flows: ArrayLike) -> NDArray[np.int64] | int:
    """Changes of sign along the flows, zeros left out: the most roots there can be (Descartes' rule).

    Examples
    --------
    >>> int(sign_changes([-1600, 10_000, -10_000])), int(sign_changes([-100, 0, 0, 74]))
    (2, 1)
    """
    signs = np.sign(np.asarray(flows, dtype=float))
    steps = np.arange(signs.shape[-1])
    last = np.maximum.accumulate(np.where(signs != 0, steps, 0), axis=-1)
    filled = np.take_along_axis(signs, last, axis=-1)
    return np.count_nonzero(filled[..., 1:] * filled[..., :-1] < 0, axis=-1)


def _value(c: NDArray[np.float64], x: float) -> float:
    """f(x) up to a positive factor that keeps it finite."""
    times = np.arange(c.size) if x >= 0 else np.arange(c.size) - (c.size - 1)
    return float(c @ np.exp(-x * times))


def _between(c: NDArray[np.float64], low: float, high: float) -> float:
    """The root between two points of opposite sign, by secant steps that fall back on halving."""
    f_low, f_high, side, step, x = _value(c, low), _value(c, high), 0, 0, low
    while step < HALVINGS and high - low >= 1e-15 * max(1.0, abs(x)):
        same = low < 0 <= high
        x = 0.5 * (low + high) if step % 3 == 2 or same else high - f_high * (high - low) / (f_high - f_low)
        x = x if low < x < high else 0.5 * (low + high)
        f, step = _value(c, x), step + 1
        if f == 0:
            return x
        if (f > 0) == (f_high > 0):
            high, f_high = x, f
            f_low, side = (0.5 * f_low if side == 1 else f_low), 1
        else:
            low, f_low = x, f
            f_high, side = (0.5 * f_high if side == -1 else f_high), -1
        if same:
            f_low, f_high = _value(c, low), _value(c, high)
    return 0.5 * (low + high)


def _outward(c: NDArray[np.float64], start: float, direction: int) -> float | None:
    """A point beyond `start` where the sign is that of the end of the axis; None if it is there already."""
    end = np.sign(c[0] if direction > 0 else c[-1])
    if np.sign(_value(c, start)) == end:
        return None
    reach = 0.5
    while np.sign(_value(c, start + direction * reach)) != end:
        reach *= 2.0
        if reach > FARTHEST:
            return None
    return start + direction * reach


def _roots(c: NDArray[np.float64]) -> list[float]:
    """Roots in x: at most one between two turning points, which are the roots of a sum with one term less."""
    if sign_changes(c) == 0:
        return []
    used = np.flatnonzero(c)
    c = c[used[0] : used[-1] + 1]
    turns = _roots((np.arange(c.size) * c)[1:]) if sign_changes(c) > 1 else []
    touching = [x for x in turns if abs(_value(c, x)) <= TOUCHING * _value(np.abs(c), x)]
    stops = [x for x in turns if x not in touching] or [0.0]
    first, last = _outward(c, stops[0], -1), _outward(c, stops[-1], +1)
    stops = [*([] if first is None else [first]), *stops, *([] if last is None else [last])]
    values = [_value(c, x) for x in stops]
    pairs = zip(stops, stops[1:], values, values[1:], strict=False)
    found = [_between(c, low, high) for low, high, a, b in pairs if a * b < 0]
    found += [x for x, value in zip(stops, values, strict=True) if value == 0]
    return sorted(set(found + touching))


def irr_roots(flows: ArrayLike) -> tuple[float, ...]:
    """Every internal rate of return above -100 %, in rising order; empty if there is none.

    Parameters
    ----------
    flows : array_like, shape (years + 1,)
        Money in and out by year. [currency]

    Returns
    -------
    tuple of float
        All r with sum of flow_t/(1 + r)^t = 0. [1/year] Two or more mean that none of them ranks the purchase.

    References
    ----------
    [numpy_financial] irr; [lorie1955] two rates.

    Examples
    --------
    >>> [round(r, 6) for r in irr_roots([-1600, 10_000, -10_000])]
    [0.25, 4.0]
    >>> irr_roots([1000, -3000, 2500])
    ()
    """
    c = np.asarray(flows, dtype=float)
    if not np.isfinite(c).all() or not c.any():
        return ()
    return tuple(float(np.expm1(x)) for x in _roots(c / np.abs(c).max()))


def mirr(flows: ArrayLike, *, finance_rate: float, reinvest_rate: float) -> NDArray[np.float64] | float:
    """Modified rate of return: gains put out at one rate, outlays financed at another.

    Parameters
    ----------
    flows : array_like, (..., n + 1)
        Flows of years 0 to n. [currency]
    finance_rate, reinvest_rate : float
        What outlays cost, and what gains earn until the last year. [1/year]

    Returns
    -------
    ndarray, shape (...)
        (future value of gains / present value of outlays)^(1/n) - 1. [1/year] NaN without gains or outlays.

    References
    ----------
    [spreadsheet_docs] MIRR.

    Examples
    --------
    >>> flows = [-120_000, 39_000, 30_000, 21_000, 37_000, 46_000]
    >>> round(float(mirr(flows, finance_rate=0.10, reinvest_rate=0.12)), 6)
    0.126094
    """
    flows = np.asarray(flows, dtype=float)
    n, t = flows.shape[-1] - 1, np.arange(flows.shape[-1])
    future = np.maximum(flows, 0.0) @ (1.0 + reinvest_rate) ** (n - t)
    present = np.maximum(-flows, 0.0) @ (1.0 + finance_rate) ** (-1.0 * t)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = (future / present) ** (1.0 / n) - 1.0
    return np.where((future > 0) & (present > 0), rate, np.nan)[()]
