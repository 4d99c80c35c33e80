"""Which shape the times have: fits by maximum likelihood, broken-off tries as lower bounds, weighed by AICc."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.study import goodness_of_fit
from coreset.study.distributions import FAMILIES, NORMAL, Family, by_name
from coreset.study.survival import curve
from coreset.study.threshold import share

QUANTILES = (0.05, 0.25, 0.50, 0.75, 0.90, 0.95)
FEWEST = 8
MANY = 1_000
"""Readings beyond which so many, drawn at random with a seed, stand for all in fitting."""
TESTED = 500
"""Readings beyond which so many of the fitted ones are put to the test of fit: of thousands, any shape fails."""


_Likeliest = tuple[Family, tuple[float, float], float, float, int]
"""Family, its parameters, least possible time, log-likelihood, 1 where the least possible time was fitted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DistributionFit:
    """One shape fitted: `parameters` of the family, `shift` the least possible time. [unit of the times]

    `weight`: chance among the shapes tried that this one predicts best, by AICc. `p_value`: of Anderson-Darling's
    statistic with parameters, and the shift if there is one, estimated; NaN where tries were broken off: how long they
    would have lasted is not known. `distance`: largest distance of the fitted from the product-limit curve.
    """

    family: str
    shifted: bool
    parameters: tuple[float, float]
    shift: float
    log_likelihood: float
    aicc: float
    weight: float
    anderson_darling: float
    p_value: float
    distance: float
    quantiles: dict[float, float]

    def density(self, at: ArrayLike) -> NDArray[np.float64]:
        """Density of the fitted shape at some times. [1/unit]"""
        family, x = by_name(self.family), np.asarray(at, float) - self.shift
        inside = (x > 0) | (not family.positive)
        safe = np.where(inside, x, 1.0)
        return np.where(inside, np.exp(family.log_density(safe, *self.parameters)), 0.0)


def fits(
    times: ArrayLike, done: ArrayLike | None = None, *, seed: int = 1, draws: int = 999
) -> tuple[DistributionFit, ...]:
    """Every shape fitted, best first.

    Parameters
    ----------
    times : array_like, (n,)
        Positive times. [any unit]
    done : array_like of bool, (n,), optional
        False where the try was broken off: its time is a lower bound.
    seed, draws : int
        Of the Monte Carlo p value.

    Raises
    ------
    OutOfRange
        If fewer than eight times, fewer than three of them done, or one is not positive.

    References
    ----------
    [burnham2002] AICc and its weights. [dagostino1986] Anderson-Darling with estimated parameters.
    """
    x, d = _usable(times, done, np.random.default_rng(seed))
    found = [_fit(family, x, d, 0.0) for family in FAMILIES]
    moved = (_shifted(family, x, d) for family in FAMILIES if family is not NORMAL)
    found += [row for row in moved if row[2] > 0]
    score = np.array([_aicc(ll, 2 + shifted, len(x)) for _, _, _, ll, shifted in found])
    weight = np.exp(-0.5 * (score - score.min()))
    weight /= weight.sum()
    rng = np.random.default_rng(seed)
    tested = [_goodness(row, x, d, rng, draws) for row in found]
    made = [
        _made(row, aicc=float(s), weight=float(w), tested=good, distance=_distance(row, x, d))
        for row, s, w, good in zip(found, score, weight, tested, strict=True)
    ]
    return tuple(sorted(made, key=lambda fit: fit.aicc))


def fits_or_none(times: ArrayLike, done: ArrayLike | None = None) -> tuple[DistributionFit, ...]:
    """Every shape fitted, or none where the times do not allow it: too few, all alike, not positive."""
    try:
        return fits(times, done)
    except OutOfRange:
        return ()


def _usable(
    times: ArrayLike, done: ArrayLike | None, rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    x = np.asarray(times, float)
    d = np.ones(len(x), bool) if done is None else np.asarray(done, bool)
    x, d = x[np.isfinite(x)], d[np.isfinite(x)]
    if len(x) < FEWEST or d.sum() < 3 or (x <= 0).any() or np.ptp(x) == 0:
        raise OutOfRange(f"times to fit must be {FEWEST} or more, positive and not all alike, got {len(x)}")
    if len(x) > MANY:
        some = rng.permutation(len(x))[:MANY]
        x, d = x[some], d[some]
    return x, d


def _aicc(log_likelihood: float, parameters: int, n: int) -> float:
    return 2 * parameters - 2 * log_likelihood + 2 * parameters * (parameters + 1) / (n - parameters - 1)


def _log_likelihood(
    family: Family, x: NDArray[np.float64], done: NDArray[np.bool_], parameters: tuple[float, float]
) -> float:
    """Log-likelihood: densities of done tries, upper tails of broken-off ones."""
    with np.errstate(all="ignore"):
        total = family.log_density(x[done], *parameters).sum()
        total += family.log_tail(x[~done], *parameters).sum() if not done.all() else 0.0
    return float(total) if math.isfinite(total) else -1e300


def _fit(family: Family, x: NDArray[np.float64], done: NDArray[np.bool_], shift: float) -> _Likeliest:
    y = x - shift
    start = family.start(y[done])
    exact = done.all() and family.name in ("normal", "lognormal")
    parameters = start if exact else _climb(family, y, done, start)
    return family, parameters, shift, _log_likelihood(family, y, done, parameters), 0


def _climb(
    family: Family, y: NDArray[np.float64], done: NDArray[np.bool_], start: tuple[float, float]
) -> tuple[float, float]:
    """The most likely parameters from a start, by simplex on scales where both may take any value."""
    from scipy.optimize import minimize

    free = family.name in ("normal", "lognormal")

    def natural(z: NDArray[np.float64]) -> tuple[float, float]:
        with np.errstate(over="ignore"):
            return (float(z[0]) if free else float(np.exp(z[0])), float(np.exp(z[1])))

    first = np.array([start[0] if free else math.log(start[0]), math.log(start[1])])
    found = minimize(
        lambda z: -_log_likelihood(family, y, done, natural(z)),
        first,
        method="Nelder-Mead",
        options={"xatol": 1e-8, "fatol": 1e-10, "maxiter": 800},
    )
    return natural(found.x)


def _shifted(family: Family, x: NDArray[np.float64], done: NDArray[np.bool_]) -> _Likeliest:
    """The best fit with a least possible time, sought over shares of the shortest."""
    base = x[done] if x[done].min() <= x.min() else x
    best = _fit(family, x, done, float(share(family.name, base) * base.min()))
    return (*best[:4], 1)


def _goodness(
    row: _Likeliest, x: NDArray[np.float64], done: NDArray[np.bool_], rng: np.random.Generator, draws: int
) -> tuple[float, float]:
    family, parameters, shift, _, shifted = row
    if not done.all():
        return math.nan, math.nan
    return goodness_of_fit.fitted_test(
        family.name, x[:TESTED], parameters, rng, draws, shift=shift if shifted else None
    )


def _distance(row: _Likeliest, x: NDArray[np.float64], done: NDArray[np.bool_]) -> float:
    """Largest distance between the fitted curve and the product-limit one, on both sides of its steps."""
    family, parameters, shift, _, _ = row
    seen = curve(x, done)
    y = seen.time - shift
    with np.errstate(all="ignore"):
        left = np.exp(family.log_tail(y, *parameters))
    before = np.concatenate([[1.0], seen.share[:-1]])
    return float(np.maximum(np.abs(left - seen.share), np.abs(left - before)).max())


def _made(
    row: _Likeliest, *, aicc: float, weight: float, tested: tuple[float, float], distance: float
) -> DistributionFit:
    family, parameters, shift, likelihood, shifted = row
    values = shift + family.quantile(np.array(QUANTILES), *parameters)
    return DistributionFit(
        family=family.name,
        shifted=bool(shifted),
        parameters=parameters,
        shift=shift,
        log_likelihood=likelihood,
        aicc=aicc,
        weight=weight,
        anderson_darling=tested[0],
        p_value=tested[1],
        distance=distance,
        quantiles={q: float(v) for q, v in zip(QUANTILES, values, strict=True)},
    )
