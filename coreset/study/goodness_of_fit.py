"""How well a shape fits: Anderson-Darling with parameters estimated, its p value by drawing and fitting again."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammainc, gammaincc, ndtr, polygamma, psi

from coreset.study.threshold import share

CELLS = 200_000
"""Numbers drawn for one p value at most: it stays well under a second."""
LEAST_DRAWS, LEAST_SHIFTED = 199, 99
SHIFT_COST = 4
"""A draw whose least time is sought as well costs about so many times as much."""
NEWTON_STEPS = 6
FLOOR = 1e-15


def anderson_darling(lower: ArrayLike, upper: ArrayLike | None = None) -> NDArray[np.float64]:
    """Anderson-Darling's statistic along the last axis.

    Parameters
    ----------
    lower : array_like, (..., n)
        Fitted distribution function at the readings in rising order.
    upper : array_like, (..., n), optional
        Its complement, where known more exactly than by taking from 1.

    References
    ----------
    [dagostino1986] chapter 4.
    """
    low = np.clip(np.asarray(lower, float), FLOOR, 1 - FLOOR)
    high = np.clip(1 - low if upper is None else np.asarray(upper, float), FLOOR, 1)
    n = low.shape[-1]
    odd = 2 * np.arange(1, n + 1) - 1
    return -n - ((np.log(low) + np.log(high[..., ::-1])) * odd).sum(axis=-1) / n


def _normal(x: NDArray[np.float64]) -> NDArray[np.float64]:
    mean, sd = x.mean(axis=-1, keepdims=True), x.std(axis=-1, keepdims=True, ddof=1)
    z = (x - mean) / sd
    return anderson_darling(ndtr(z), ndtr(-z))


def _weibull(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weibull by maximum likelihood along the last axis, Newton on the shape."""
    y = np.log(x)
    y = y - y.mean(axis=-1, keepdims=True)
    shape = 1.2825 / y.std(axis=-1, keepdims=True)
    for _ in range(NEWTON_STEPS):
        w = np.exp(shape * y)
        s0, s1, s2 = (np.sum(w * y**k, axis=-1, keepdims=True) for k in (0, 1, 2))
        value = s1 / s0 - 1 / shape
        slope = (s2 * s0 - s1**2) / s0**2 + 1 / shape**2
        shape = np.maximum(shape - value / slope, 0.2 * shape)
    w = np.exp(shape * y)
    t = w / w.mean(axis=-1, keepdims=True)
    return anderson_darling(-np.expm1(-t), np.exp(-t))


def _gamma(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Gamma by maximum likelihood along the last axis, Newton on the shape."""
    mean = x.mean(axis=-1, keepdims=True)
    s = np.log(mean) - np.log(x).mean(axis=-1, keepdims=True)
    shape = (3 - s + np.sqrt((s - 3) ** 2 + 24 * s)) / (12 * s)
    for _ in range(3):
        shape = shape - (np.log(shape) - psi(shape) - s) / (1 / shape - polygamma(1, shape))
    t = x * shape / mean
    return anderson_darling(gammainc(shape, t), gammaincc(shape, t))


def _lognormal(x: NDArray[np.float64]) -> NDArray[np.float64]:
    return _normal(np.log(x))


STATISTIC = {"normal": _normal, "lognormal": _lognormal, "weibull": _weibull, "gamma": _gamma}


def fitted_test(
    family: str,
    times: ArrayLike,
    parameters: tuple[float, float],
    rng: np.random.Generator,
    draws: int = 999,
    *,
    shift: float | None = None,
) -> tuple[float, float]:
    """Anderson-Darling's statistic of a fitted shape and its p value by Monte Carlo, refitting each draw.

    Parameters
    ----------
    family : str
        normal, lognormal, gamma or weibull.
    times : array_like, (n,)
        Times, all done.
    parameters : tuple of float
        Fitted parameters. Without a shift only the gamma's shape matters to what is drawn.
    shift : float, optional
        Fitted least possible time; each draw then has its own sought, as it was for the times.

    Returns
    -------
    tuple of float
        Statistic and p. Draws are fewer for many times, so that it stays well under a second: p is then coarser.
    """
    x = np.sort(np.asarray(times, float))
    cost, least = (1, LEAST_DRAWS) if shift is None else (SHIFT_COST, LEAST_SHIFTED)
    count = int(np.clip(CELLS // (cost * len(x)), least, max(draws, least)))
    made = drawn(family, parameters, (count, len(x)), rng)
    if shift is None:
        squared, beyond = float(STATISTIC[family](x)), STATISTIC[family](np.sort(made, axis=1))
    else:
        squared = float(_moved(family, x[None])[0])
        beyond = _moved(family, np.sort(shift + made, axis=1))
    return squared, float(((beyond >= squared - 1e-12).sum() + 1) / (count + 1))


def drawn(
    family: str, parameters: tuple[float, float], size: tuple[int, int], rng: np.random.Generator
) -> NDArray[np.float64]:
    """Times drawn from a shape without its shift.

    Parameters
    ----------
    family : str
        normal, lognormal, weibull or gamma.
    parameters : tuple of 2 floats
        Mean and sd; those of the logarithm; shape and scale; shape and scale.
    size : tuple of 2 ints
        Rows and times a row.
    rng : numpy.random.Generator
        Stream of the draws.

    Returns
    -------
    numpy.ndarray, size
        In the unit of the scale.
    """
    first, second = parameters
    return {
        "normal": lambda: first + second * rng.standard_normal(size),
        "lognormal": lambda: np.exp(first + second * rng.standard_normal(size)),
        "weibull": lambda: second * rng.weibull(first, size),
        "gamma": lambda: rng.gamma(first, second, size),
    }[family]()


def _moved(family: str, x: NDArray[np.float64]) -> NDArray[np.float64]:
    """The statistic of each row above the least time that is likeliest for it."""
    return STATISTIC[family](x - share(family, x)[:, None] * x.min(axis=1, keepdims=True))
