"""What it is worth to know more before deciding. In: worth of each choice by draw, and the draws of an input.

Out: money. A regression always finds a little where there is nothing; `noise_floor` says how little.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

DEGREE = 3
SHUFFLES = 8
Vector = NDArray[np.float64]


def unit_normal_loss(z: float) -> float:
    """Mean of what a standard normal exceeds z by: phi(z) - z (1 - Phi(z)). [-]

    References
    ----------
    [raiffa1961].

    Examples
    --------
    >>> round(unit_normal_loss(1.0), 5)
    0.08332
    """
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return density - z * 0.5 * math.erfc(z / math.sqrt(2.0))


def _choices(worth: ArrayLike) -> Vector:
    """Worth of the choices, (choices, n); a single row is weighed against nothing."""
    worth = np.asarray(worth, dtype=float)
    return np.stack([np.zeros(worth.size), worth]) if worth.ndim == 1 else worth.T


def _best_less_fixed(worth: Vector) -> float:
    """Mean of the best choice, draw by draw, less the choice that is best on the mean; never negative."""
    return max(0.0, float(np.maximum.reduce(worth, axis=0).mean() - worth.mean(axis=1).max()))


def evpi(worth: ArrayLike) -> float:
    """Most that any study of any input can be worth: mean of the best choice less the best mean. [currency]

    Parameters
    ----------
    worth : array_like, shape (n,) or (n, choices)
        Net present value by draw; a single column is a purchase against as today.

    Returns
    -------
    float
        Never negative.

    References
    ----------
    [raiffa1961].
    """
    return _best_less_fixed(_choices(worth))


def _powers(inputs: ArrayLike) -> tuple[Vector, Vector]:
    """Centre and scale of inputs, (columns, n)."""
    table = np.atleast_2d(np.asarray(inputs, dtype=float))
    return table, np.where(table.std(axis=1) > 0, table.std(axis=1), 1.0)


def _basis(z: Vector) -> Vector:
    """1 and the powers of each standardised column, (terms, n); a column of two values needs no powers."""
    terms = [np.ones(z.shape[1])]
    for column in z:
        degree = 1 if np.all((column == column.min()) | (column == column.max())) else DEGREE
        power = column
        for _ in range(degree):
            terms.append(power)
            power = power * column
    return np.stack(terms)


def evppi(worth: ArrayLike, inputs: ArrayLike) -> float:
    """Worth of knowing one input, or several together, exactly. [currency]

    Parameters
    ----------
    worth : array_like, shape (n,) or (n, choices)
        Net present value by draw.
    inputs : array_like, shape (n,) or (inputs, n)
        Draws of what would be known.

    Returns
    -------
    float
        Mean of the best choice on the regression of worth on the inputs, less the best mean; never negative.

    References
    ----------
    [strong2014].
    """
    return float(evsi(worth, inputs, known_share=1.0))


def evsi(worth: ArrayLike, inputs: ArrayLike, *, known_share: ArrayLike) -> Vector:
    """Worth of a study that takes away a share of an input's variance. [currency]

    Parameters
    ----------
    worth, inputs
        As for :func:`evppi`.
    known_share : array_like, shape () or (studies,)
        n/(n0 + n) for n readings more on top of n0. [-]

    Returns
    -------
    ndarray, shape of known_share
        As :func:`evppi`, with the inputs drawn towards their mean by the root of the share.

    References
    ----------
    [jalal2018] Gaussian approximation; [raiffa1961] preposterior distribution.
    """
    worth = _choices(worth)
    gain = worth[1:] - worth[0]
    table, scale = _powers(inputs)
    z = (table - table.mean(axis=1, keepdims=True)) / scale[:, None]
    basis = _basis(z)
    fit = np.linalg.lstsq(basis @ basis.T, basis @ gain.T, rcond=None)[0].T
    found = []
    for share in np.atleast_1d(known_share):
        after = fit @ (_basis(z * math.sqrt(share)) if share < 1.0 else basis)
        best = np.maximum(np.maximum.reduce(after, axis=0), 0.0).mean()
        found.append(max(0.0, float(best - max(0.0, after.mean(axis=1).max()))))
    return np.reshape(found, np.shape(known_share))[()]


def noise_floor(worth: ArrayLike, rng: np.random.Generator, columns: int = 1) -> float:
    """Largest worth that inputs which have nothing to do with it seem to have: below it there is nothing to gain."""
    worth = _choices(worth)
    draws = (rng.standard_normal((columns, worth.shape[1])) for _ in range(SHUFFLES))
    return max(evppi(worth.T, each) for each in draws)
