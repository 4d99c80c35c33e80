"""What it is worth to know more before deciding. In: worth of each choice by draw, and the draws of an input.

Out: money. A regression always finds a little where there is nothing; `noise_floor` says how little.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

SHUFFLES, FEW = 8, 64
Vector = NDArray[np.float64]


def _choices(worth: ArrayLike) -> Vector:
    """Worth of the choices, (choices, n); a single row is weighed against nothing."""
    worth = np.asarray(worth, dtype=float)
    return np.stack([np.zeros(worth.size), worth]) if worth.ndim == 1 else worth.T


def _best_less_fixed(worth: Vector) -> float:
    """Mean of the best choice, draw by draw, less the choice that is best on the mean; never negative."""
    return max(0.0, float(np.maximum.reduce(worth, axis=0).mean() - worth.mean(axis=1).max()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Perfect:
    """What the worth of knowing everything is made of: mean of each draw's best choice, and the best mean. [currency]

    `best` is the place of the choice that is best on the mean, `best_in` the draws in which each choice is the best:
    0 is the current method, the others stand in the order in which they were weighed.
    """

    of_each_draw: float
    on_the_mean: float
    best: int
    best_in: tuple[int, ...]


def perfect(worth: ArrayLike) -> Perfect:
    """The parts of :func:`evpi`.

    Examples
    --------
    >>> perfect([100.0, 100.0, -300.0, 300.0])
    Perfect(of_each_draw=125.0, on_the_mean=50.0, best=1, best_in=(1, 3))
    """
    choices = _choices(worth)
    means = choices.mean(axis=1)
    return Perfect(
        of_each_draw=float(np.maximum.reduce(choices, axis=0).mean()),
        on_the_mean=float(means.max()),
        best=int(means.argmax()),
        best_in=tuple(np.bincount(choices.argmax(axis=0), minlength=len(choices)).tolist()),
    )


def evpi(worth: ArrayLike) -> float:
    """Most that any study of any input can be worth: mean of the best choice less the best mean. [currency]

    Parameters
    ----------
    worth : array_like, shape (n,) or (n, choices)
        Net present value by draw; a single column is a purchase against the current method.

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


def _basis(z: Vector, share: float = 1.0) -> Vector:
    """1 and what is expected of each power of each standardised column after a study, (terms, n).

    A study that takes away a share s of the variance leaves z = r + e, r = z sqrt(s), e normal of variance 1 - s, so
    that r, r^2 + (1 - s) and r^3 + 3 r (1 - s) are expected of its powers. A column of two values needs no powers.
    """
    terms, left = [np.ones(z.shape[1])], 1.0 - share
    for column in z:
        r = column * math.sqrt(share)
        two = _two_values(column)
        terms += [r] if two else [r, r * r + left, r * (r * r + 3.0 * left)]
    return np.stack(terms)


def _two_values(column: Vector) -> bool:
    """Whether a column has no more than two values; most columns show a third among the first few."""
    few = column[:FEW]
    if ((few != few.min()) & (few != few.max())).any():
        return False
    return bool(np.all((column == column.min()) | (column == column.max())))


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
        As :func:`evppi`, with what the regression expects after the study in place of what it gives at the input.

    References
    ----------
    [jalal2018] Gaussian approximation; [raiffa1961] preposterior distribution.
    """
    parts = _regressed(worth, inputs, np.atleast_1d(known_share))
    return np.reshape([max(0.0, best - fixed) for best, fixed in parts], np.shape(known_share))[()]


def regressed(worth: ArrayLike, inputs: ArrayLike) -> tuple[float, float]:
    """The two parts of :func:`evppi`: mean of the best choice on the regression, and the best mean.

    Both against the current method.

    Examples
    --------
    >>> best, fixed = regressed([100.0, 100.0, -300.0, -300.0], [1.0, 1.0, 0.0, 0.0])
    >>> round(best, 6), round(fixed, 6)
    (50.0, 0.0)
    """
    return _regressed(worth, inputs, [1.0])[0]


def _regressed(worth: ArrayLike, inputs: ArrayLike, shares: Iterable[float]) -> list[tuple[float, float]]:
    worth = _choices(worth)
    gain = worth[1:] - worth[0]
    table, scale = _powers(inputs)
    z = (table - table.mean(axis=1, keepdims=True)) / scale[:, None]
    basis = _basis(z)
    fit = np.linalg.lstsq(basis @ basis.T, basis @ gain.T, rcond=None)[0].T
    found = []
    for share in shares:
        after = fit @ (_basis(z, share) if share < 1.0 else basis)
        best = np.maximum(np.maximum.reduce(after, axis=0), 0.0).mean()
        found.append((float(best), max(0.0, float(after.mean(axis=1).max()))))
    return found


def told_apart(worth: ArrayLike, outcomes: ArrayLike) -> float:
    """Worth of a trial whose outcome is one of a few, exactly told: the best choice in each branch, by its chance.

    Parameters
    ----------
    worth : array_like, shape (n,) or (n, choices)
        Net present value by draw.
    outcomes : array_like of int, shape (n,) or (trials, n)
        Outcome of each trial in each draw, 0 or 1; several trials branch together.

    Returns
    -------
    float
        Sum over the branches of chance times best branch mean, less the best mean; never negative. No regression.

    References
    ----------
    [raiffa1961] preposterior analysis.

    Examples
    --------
    >>> told_apart([100.0, 100.0, -300.0, -300.0], [1, 1, 0, 0])
    50.0
    """
    worth, table = _choices(worth), np.atleast_2d(np.asarray(outcomes, dtype=int))
    branch = (table << np.arange(len(table))[:, None]).sum(axis=0)
    sums = np.array([np.bincount(branch, weights=row, minlength=2 ** len(table)) for row in worth])
    return max(0.0, float(sums.max(axis=0).sum() / branch.size - worth.mean(axis=1).max()))


def noise_floor(worth: ArrayLike, rng: np.random.Generator, columns: int = 1) -> float:
    """Largest worth that inputs which have nothing to do with it seem to have: below it there is nothing to gain.

    Parameters
    ----------
    worth : array_like, shape (n,) or (n, choices)
        NPV of each choice by run. [currency]
    rng : numpy.random.Generator
        Generator of the inputs that have nothing to do with it.
    columns : int
        Number of inputs known together.
    """
    worth = _choices(worth)
    draws = (rng.standard_normal((columns, worth.shape[1])) for _ in range(SHUFFLES))
    return max(evppi(worth.T, each) for each in draws)
