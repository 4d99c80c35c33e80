"""Least possible times: the share of the shortest time at which a shape is likeliest, many samples at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

Array = NDArray[np.float64]
SHIFTS = np.concatenate([[0.0], np.linspace(0.1, 0.98, 23)])
"""Minimum times tried, as shares of the shortest: not up to it, where the likelihood has no bound."""
WEIBULL_SHAPE = 1.2825  # pi/sqrt(6) over the scatter of logarithms is a Weibull shape by moments


def _lognormal(mean: Array, sd: Array, y: Array, logs: Array) -> Array:
    return -np.log(sd) - 0.5 - mean


def _gamma(mean: Array, sd: Array, y: Array, logs: Array) -> Array:
    size = y.mean(axis=-1)
    s = np.maximum(np.log(size) - mean, 1e-9)
    shape = (3 - s + np.sqrt((s - 3) ** 2 + 24 * s)) / (12 * s)
    return (shape - 1) * mean - shape - gammaln(shape) - shape * np.log(size / shape)


def _weibull(mean: Array, sd: Array, y: Array, logs: Array) -> Array:
    shape = WEIBULL_SHAPE / np.maximum(sd, 1e-6)
    raised = np.log(np.exp(shape[..., None] * (logs - mean[..., None])).mean(axis=-1)) / shape
    return np.log(shape) - shape * raised - mean - 1


QUICK = {"lognormal": _lognormal, "gamma": _gamma, "weibull": _weibull}
"""Mean log-likelihood at closed-form estimates, from mean and scatter of the logarithms, but for a constant."""


def share(family: str, x: Array) -> Array:
    """Share of the shortest time that is likeliest as the least possible one, along the last axis.

    Parameters
    ----------
    family : str
        lognormal, gamma or weibull.
    x : ndarray, (..., n)
        Positive times.
    """
    least = x.min(axis=-1, keepdims=True)
    found = []
    for one in SHIFTS:
        y = x - one * least
        logs = np.log(y)
        found.append(QUICK[family](logs.mean(axis=-1), logs.std(axis=-1), y, logs))
    return SHIFTS[np.argmax(found, axis=0)]
