"""Shapes of times: normal, lognormal, gamma, Weibull; densities, tails and quantiles by their two parameters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaincc, gammaincinv, gammaln, log_ndtr, ndtri

Array = NDArray[np.float64]
HALF_LOG_TAU = 0.5 * np.log(2 * np.pi)
TINY = 1e-300


@dataclass(frozen=True, slots=True)
class Family:
    """One shape: logarithms of density and upper tail, and quantiles, of (x, first, second parameter)."""

    name: str
    positive: bool
    log_density: Callable[[Array, float, float], Array]
    log_tail: Callable[[Array, float, float], Array]
    quantile: Callable[[Array, float, float], Array]
    start: Callable[[Array], tuple[float, float]]


def _normal(x: Array, mean: float, sd: float) -> Array:
    return -HALF_LOG_TAU - np.log(sd) - 0.5 * ((x - mean) / sd) ** 2


def _lognormal_tail(x: Array, mean: float, sd: float) -> Array:
    return log_ndtr((mean - np.log(x)) / sd)


def _gamma(x: Array, shape: float, scale: float) -> Array:
    return (shape - 1) * np.log(x) - x / scale - gammaln(shape) - shape * np.log(scale)


def _weibull(x: Array, shape: float, scale: float) -> Array:
    return np.log(shape / scale) + (shape - 1) * np.log(x / scale) - (x / scale) ** shape


def _gamma_start(x: Array) -> tuple[float, float]:
    """Closed-form start close to the maximum of the likelihood."""
    s = max(float(np.log(x.mean()) - np.log(x).mean()), 1e-9)
    shape = (3 - s + np.sqrt((s - 3) ** 2 + 24 * s)) / (12 * s)
    return float(shape), float(x.mean() / shape)


def _weibull_start(x: Array) -> tuple[float, float]:
    shape = 1.2825 / max(float(np.log(x).std()), 1e-6)  # pi/sqrt(6) over the scatter of logarithms
    return shape, float(np.mean(x**shape) ** (1 / shape)) if shape < 60 else float(x.max())


NORMAL = Family(
    "normal",
    False,
    _normal,
    lambda x, m, s: log_ndtr((m - x) / s),
    lambda p, m, s: m + s * ndtri(p),
    lambda x: (float(x.mean()), float(x.std())),
)
LOGNORMAL = Family(
    "lognormal",
    True,
    lambda x, m, s: _normal(np.log(x), m, s) - np.log(x),
    _lognormal_tail,
    lambda p, m, s: np.exp(m + s * ndtri(p)),
    lambda x: (float(np.log(x).mean()), float(np.log(x).std())),
)
GAMMA = Family(
    "gamma",
    True,
    _gamma,
    lambda x, a, b: np.log(np.maximum(gammaincc(a, x / b), TINY)),
    lambda p, a, b: b * gammaincinv(a, p),
    _gamma_start,
)
WEIBULL = Family(
    "weibull",
    True,
    _weibull,
    lambda x, k, b: -((x / b) ** k),
    lambda p, k, b: b * (-np.log1p(-p)) ** (1 / k),
    _weibull_start,
)
FAMILIES = (NORMAL, LOGNORMAL, GAMMA, WEIBULL)


def by_name(name: str) -> Family:
    """The family of that name."""
    return {family.name: family for family in FAMILIES}[name]
