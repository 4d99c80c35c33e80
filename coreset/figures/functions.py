"""What the functions of formulas do with arrays of shape (patterns, years, runs), each axis of length 1 where nothing
varies along it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
WHOLE = 0.999999999999
"""Lives worn are taken this much smaller, so that a life that just ends buys no further one. [-]"""
LOWEST_RATE, HIGHEST_RATE, HALVINGS = -0.99, 100.0, 80
"""Between these rates the one root of a flow is searched, by so many halvings."""


def mean(x: Array) -> Array:
    """Mean over the runs."""
    found = np.asarray(x, dtype=float)
    return found.mean(axis=2, keepdims=True) if found.ndim else found.reshape(1, 1, 1)


def alike(x: Array) -> Array:
    """The same with one run where all runs are equal, as a limit is that every run has reached."""
    first = x[:, :, :1]
    return first if x.shape[2] > 1 and (x[:, 0] == first[:, 0]).all() and (x == first).all() else x


def over_patterns(x: Array, patterns: int) -> Array:
    """Sum over the patterns; what does not vary counts once for each."""
    return x * patterns if x.shape[0] != patterns else x.sum(axis=0, keepdims=True)


def over_years(x: Array, length: int) -> Array:
    """Sum over the years or the timeline; what does not vary counts once for each."""
    return x * length if x.shape[1] != length else x.sum(axis=1, keepdims=True)


def along(x: Array, length: int) -> Array:
    """The same with the time axis written out, as a new array."""
    return x.copy() if x.shape[1] == length else np.repeat(x, length, axis=1)


def cumulative(x: Array, length: int) -> Array:
    """Sum up to and with each year."""
    total = along(x, length)
    for t in range(1, length):
        total[:, t] += total[:, t - 1]
    return total


def before(x: Array, length: int) -> Array:
    """Value of the year before; 0 in the first."""
    found = np.zeros((x.shape[0], length, x.shape[2]))
    found[:, 1:] = x[:, :-1] if x.shape[1] == length else x
    return found


def last(x: Array) -> Array:
    """Value of the last year."""
    return x[:, -1:]


def highest(x: Array) -> Array:
    """Largest value of all years."""
    return x.max(axis=1, keepdims=True)


def renewed(molds: Array, life: Array, length: int) -> Array:
    """How many of something are bought again in each year because its life in molds ran out; none where life is 0.

    Only patterns that wear one out in the time are worked out.

    Parameters
    ----------
    molds : ndarray, shape (patterns or 1, years or 1, runs)
        Molds of each year.
    life : ndarray, shape (patterns or 1, 1, runs or 1)
        Molds that one of them lasts; 0 is for ever.
    length : int
        Number of years.
    """
    if not life.any():
        return np.zeros((1, 1, 1))
    made = molds.sum(axis=1) if molds.shape[1] == length else molds[:, 0] * length
    rows = np.flatnonzero(((made > life[:, 0]) & (life[:, 0] > 0)).any(axis=1))
    if not rows.size:
        return np.zeros((1, 1, 1))
    bought = np.zeros((max(molds.shape[0], life.shape[0]), length, max(molds.shape[2], life.shape[2])))
    lives = cumulative(molds[rows] if molds.shape[0] > 1 else molds, length)
    lives *= WHOLE / (life[rows] if life.shape[0] > 1 else life)
    np.ceil(lives, out=lives)
    lives -= 1.0
    np.maximum(lives, 0.0, out=lives)
    bought[rows] = lives
    bought[rows, 1:] -= lives[:, :-1]
    return bought


def ahead(x: Array, order: NDArray[np.int64]) -> Array:
    """Sum of x over the patterns that come earlier in `order`, the places of the patterns from first to last."""
    if x.shape[0] == 1:
        x = np.repeat(x, len(order), axis=0)
    found = np.zeros_like(x)
    total = np.zeros_like(x[0])
    for place in order:
        found[place] = total
        if x[place].any():
            total = total + x[place]
    return found


def met(follow: Array, x: Array, scale: Array) -> Array:
    """For each pattern the sum over the others of pair (other, pattern) times x (other), each pair scaled.

    Where more or fewer runs are tried than were counted, two patterns meet as often more or less as the rarer of them.

    Parameters
    ----------
    follow : ndarray, shape (patterns, patterns, 1)
        Runs a year of the second pattern straight after the first. [1/year]
    x : ndarray, shape (patterns or 1, years or 1, runs or 1)
        Share of each pattern that counts.
    scale : ndarray, shape (patterns, 1, runs or 1)
        Runs over those for which pairs were counted.
    """
    pairs, patterns = follow[:, :, 0], follow.shape[0]
    x = np.broadcast_to(x, (patterns, *x.shape[1:]))
    if (scale == scale[:1]).all():
        return np.tensordot(pairs.T, x, axes=1) * scale[:1]
    rows = [np.tensordot(pairs[:, i], np.minimum(scale, scale[i]) * x, axes=1) for i in range(patterns)]
    return np.stack(rows)


def later_shares(x: Array, shares: Array, length: int) -> Array:
    """What is written off in each year of things bought in year u, by shares that begin to count in u.

    Parameters
    ----------
    x : ndarray, shape (patterns or 1, years or 1, runs or 1)
        What is bought in each year. [currency]
    shares : ndarray, shape (1, years or 1, 1)
        Shares written off, from the year of purchase on.
    length : int
        Number of years.
    """
    x, shares = along(x, length), along(shares, length)
    found = np.zeros(np.broadcast_shapes(x.shape, shares.shape))
    for t in range(length):
        for u in range(t + 1):
            found[:, t] += x[:, u] * shares[:, t - u]
    return found


def timeline(now: Array, later: Array, length: int) -> Array:
    """Value of now followed by those of the years, shape (patterns, length + 1, runs).

    Parameters
    ----------
    now : ndarray, shape (patterns or 1, 1, runs or 1)
        Value of now.
    later : ndarray, shape (patterns or 1, years or 1, runs or 1)
        Values of the years.
    length : int
        Number of years.
    """
    shape = np.broadcast_shapes(now[:, :1].shape, later[:, :1].shape)
    found = np.empty((shape[0], length + 1, shape[2]))
    found[:, 0] = now[:, 0]
    found[:, 1:] = later
    return found


def npv(rate: Array, flow: Array) -> Array:
    """Flow of now and of each year's end, discounted to now."""
    factor, total = 1.0 / (1.0 + rate), flow[:, -1:] * 1.0
    for t in range(flow.shape[1] - 2, -1, -1):
        total = total * factor + flow[:, t : t + 1]
    return total


def irr(flow: Array) -> Array:
    """The rate at which the flow is worth nothing now, by halving; NaN where its worth has no change of sign."""
    low = np.full((flow.shape[0], 1, flow.shape[2]), np.log1p(LOWEST_RATE))
    high = np.full_like(low, np.log1p(HIGHEST_RATE))
    above, below = npv(np.expm1(low), flow), npv(np.expm1(high), flow)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        same = np.sign(npv(np.expm1(middle), flow)) == np.sign(above)
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return np.where(above * below < 0, np.expm1(0.5 * (low + high)), np.nan)
