"""Two methods, cycle against cycle: which is faster, by how much, how sure, and how many cycles would tell."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtrc, ndtr, ndtri, stdtr, stdtrit

from coreset.errors import OutOfRange
from coreset.study.bootstrap import effective_number
from coreset.study.run_order import ranks

LEVEL, POWER = 0.95, 0.80
RESAMPLES = 4_000
P90 = 0.90
MOST_CELLS = 8_000_000
WORTH = 0.05
"""Difference, as a share of the first method's mean, that a plant would want to see: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueWithInterval:
    """A figure with the ends of its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """The second method against the first, on the cycles timed. Differences are second less first. [s]

    `verdict`: faster, slower or unclear, for the second. `chance_faster`: that a random cycle of the second takes
    less than a random one of the first, ties half. `detectable_s`: least difference that these cycles would show in
    four of five studies. `more_cycles`: cycles of each still to time until the difference seen would speak.
    `paired`: number of operators timed under both, over whom the difference is taken; 0 where none is.
    """

    n: tuple[int, int]
    mean_difference: ValueWithInterval
    mean_ratio: ValueWithInterval
    p90_difference: ValueWithInterval
    p90_ratio: ValueWithInterval
    chance_faster: ValueWithInterval
    welch_t: float
    welch_df: float
    welch_p: float
    rank_p: float
    spread_p: float
    detectable_s: float
    more_cycles: int
    verdict: str
    paired: int = 0


def welch(first: ArrayLike, second: ArrayLike) -> tuple[float, float, float]:
    """Welch's test of two means without equal spread: t of first less second, degrees of freedom, p two-sided.

    References
    ----------
    [welch1947]; [nist_handbook] section 1.3.5.3.
    """
    a, b = np.asarray(first, float), np.asarray(second, float)
    return welch_summary(
        (len(a), float(a.mean()), float(a.std(ddof=1))), (len(b), float(b.mean()), float(b.std(ddof=1)))
    )


def welch_summary(first: tuple[float, float, float], second: tuple[float, float, float]) -> tuple[float, float, float]:
    """The same from (n, mean, sd) of each. Without any scatter t is infinite and p 0, or both say nothing if alike."""
    (n1, m1, s1), (n2, m2, s2) = first, second
    v1, v2 = s1**2 / n1, s2**2 / n2
    if v1 + v2 == 0:
        apart = m1 != m2
        return math.copysign(math.inf, m1 - m2) if apart else 0.0, n1 + n2 - 2.0, 0.0 if apart else 1.0
    t = (m1 - m2) / math.sqrt(v1 + v2)
    df = (v1 + v2) ** 2 / (v1**2 / (n1 - 1) + v2**2 / (n2 - 1))
    return t, df, float(2 * stdtr(df, -abs(t)))


def chance_less(first: ArrayLike, second: ArrayLike) -> float:
    """Chance that a random one of the second is less than a random one of the first, ties half."""
    a, b = np.asarray(first, float), np.asarray(second, float)
    both = ranks(np.concatenate([a, b]))
    return 1 - float((both[len(a) :].sum() - len(b) * (len(b) + 1) / 2) / (len(a) * len(b)))


def rank_test(first: ArrayLike, second: ArrayLike) -> float:
    """Rank-sum test, normal approximation with ties and a continuity correction: p two-sided.

    References
    ----------
    [mann1947] rank-sum test.
    """
    a, b = np.asarray(first, float), np.asarray(second, float)
    n1, n2 = len(a), len(b)
    u = (1 - chance_less(a, b)) * n1 * n2
    counts = np.unique(np.concatenate([a, b]), return_counts=True)[1].astype(float)
    n = n1 + n2
    variance = n1 * n2 / 12 * ((n + 1) - (counts**3 - counts).sum() / (n * (n - 1)))
    if variance <= 0:
        return 1.0
    z = (abs(u - n1 * n2 / 2) - 0.5) / math.sqrt(variance)
    return float(min(1.0, 2 * ndtr(-z)))


def spread_test(first: ArrayLike, second: ArrayLike) -> float:
    """Equality of spread by distances from the medians: p.

    References
    ----------
    [brown1974] medians in the test of equal spread.
    """
    groups = [np.abs(x - np.median(x)) for x in (np.asarray(first, float), np.asarray(second, float))]
    n = sum(map(len, groups))
    grand = np.concatenate(groups).mean()
    between = sum(len(g) * (g.mean() - grand) ** 2 for g in groups)
    within = sum(((g - g.mean()) ** 2).sum() for g in groups) / (n - 2)
    return float(fdtrc(1, n - 2, between / within)) if within > 0 else 1.0


def detectable(sds: tuple[float, float], n: tuple[float, float], *, power: float = POWER) -> float:
    """Least difference of two means that would be found in `power` of studies of this size. [unit of sds]

    Parameters
    ----------
    sds : (float, float)
        Standard deviation in each study. [one unit]
    n : (float, float)
        Readings of each, or what they are worth where they depend on one another.
    power : float
        Probability of finding the difference, at the 5 % level on two sides. [-]
    """
    v = sds[0] ** 2 / n[0] + sds[1] ** 2 / n[1]
    df = max(1.0, min(n[0] + n[1] - 2, 1e6))
    return (float(stdtrit(df, 0.5 + LEVEL / 2)) + float(ndtri(power))) * math.sqrt(v)


def cycles_to_tell(sds: tuple[float, float], difference: float) -> float:
    """Cycles of each method that would show a difference in four of five studies."""
    z = float(ndtri(0.5 + LEVEL / 2) + ndtri(POWER))
    return (sds[0] ** 2 + sds[1] ** 2) * (z / difference) ** 2 if difference else math.inf


def compare(first: ArrayLike, second: ArrayLike, *, seed: int = 1, resamples: int = RESAMPLES) -> Compared:
    """The second method against the first.

    Parameters
    ----------
    first, second : array_like, (n1,) and (n2,)
        Time of the mold's work in each whole cycle, in the order taken. [s]
    seed, resamples : int
        Of the draws behind the intervals.

    Returns
    -------
    Compared
        Intervals are stretched where readings depend on each other.

    Raises
    ------
    OutOfRange
        If either has fewer than four cycles.
    """
    a, b = (np.asarray(x, float) for x in (first, second))
    a, b = a[np.isfinite(a)], b[np.isfinite(b)]
    if min(len(a), len(b)) < 4:
        raise OutOfRange(f"cycles of each method must be four or more to compare, got {len(a)} and {len(b)}")
    sds, counts = (float(a.std(ddof=1)), float(b.std(ddof=1))), (effective_number(a), effective_number(b))
    t, df, p = welch_summary((counts[0], float(a.mean()), sds[0]), (counts[1], float(b.mean()), sds[1]))
    plain_t, plain_df, plain_p = welch(a, b)
    drawn = _drawn(a, b, counts, seed, resamples)
    verdict = "unclear" if p >= 1 - LEVEL else "faster" if t > 0 else "slower"
    _, mean_ratio, p90_difference, p90_ratio = drawn
    variance = sds[0] ** 2 / counts[0] + sds[1] ** 2 / counts[1]
    return Compared(
        n=(len(a), len(b)), mean_difference=_welch_interval(a, b, variance, df), mean_ratio=mean_ratio,
        p90_difference=p90_difference, p90_ratio=p90_ratio, chance_faster=_chance(a, b, counts), welch_t=plain_t,
        welch_df=plain_df, welch_p=plain_p, rank_p=rank_test(a, b), spread_p=spread_test(a, b),
        detectable_s=detectable(sds, counts),
        more_cycles=0 if verdict != "unclear" else _more(a, b, sds, counts), verdict=verdict,
    )  # fmt: skip


def _welch_interval(a: NDArray[np.float64], b: NDArray[np.float64], variance: float, df: float) -> ValueWithInterval:
    """Of the difference of means, from its variance and degrees of freedom."""
    difference = float(b.mean() - a.mean())
    half = float(stdtrit(df, 0.5 + LEVEL / 2)) * math.sqrt(variance)
    return ValueWithInterval(value=difference, low=difference - half, high=difference + half)


def _more(a: NDArray[np.float64], b: NDArray[np.float64], sds: tuple[float, float], counts: tuple[float, float]) -> int:
    """Cycles of each still to time until the difference seen, or one worth seeing, would speak."""
    difference = max(abs(float(b.mean() - a.mean())), WORTH * float(a.mean()))
    thinned = max(len(a) / counts[0], len(b) / counts[1])
    return max(1, math.ceil(cycles_to_tell(sds, difference) * thinned) - min(len(a), len(b)))


def _drawn(
    a: NDArray[np.float64], b: NDArray[np.float64], counts: tuple[float, float], seed: int, resamples: int
) -> list[ValueWithInterval]:
    """Difference and ratio of means, then of 90th percentiles."""
    rng = np.random.default_rng(seed)
    rows = int(min(resamples, max(400, MOST_CELLS // (len(a) + len(b)))))
    sides = []
    for x, effective in ((a, counts[0]), (b, counts[1])):
        again = x[rng.integers(0, len(x), (rows, len(x)))]
        stretch = math.sqrt(len(x) / (len(x) - 1) * len(x) / effective)
        own = np.array([x.mean(), np.quantile(x, P90)])
        draws = np.stack([again.mean(axis=1), np.quantile(again, P90, axis=1)])
        stretched = own[:, None] + (draws - own[:, None]) * stretch
        sides.append((own, np.where(stretched > 0, stretched, draws.min(axis=1, keepdims=True))))  # no time below 0
    (own_a, of_a), (own_b, of_b) = sides
    found = []
    for i in range(2):
        found.append(_figure(own_b[i] - own_a[i], of_b[i] - of_a[i]))
        found.append(_figure(own_b[i] / own_a[i], of_b[i] / of_a[i]))
    return found


def _figure(value: float, draws: NDArray[np.float64]) -> ValueWithInterval:
    low, high = np.quantile(draws, [0.5 - LEVEL / 2, 0.5 + LEVEL / 2])
    return ValueWithInterval(value=float(value), low=float(low), high=float(high))


def _chance(a: NDArray[np.float64], b: NDArray[np.float64], counts: tuple[float, float]) -> ValueWithInterval:
    """Chance that the second is faster, its interval from the scatter of placements.

    References
    ----------
    [delong1988] variance by placements.
    """
    chance = chance_less(a, b)
    both, own_a, own_b = ranks(np.concatenate([a, b])), ranks(a), ranks(b)
    placed_a = 1 - (both[: len(a)] - own_a) / len(b)
    placed_b = (both[len(a) :] - own_b) / len(a)
    se = math.sqrt(placed_a.var(ddof=1) / counts[0] + placed_b.var(ddof=1) / counts[1])
    half = float(ndtri(0.5 + LEVEL / 2)) * se
    return ValueWithInterval(value=chance, low=max(0.0, chance - half), high=min(1.0, chance + half))


def paired(differences: Sequence[float]) -> tuple[float, float, float, float]:
    """Mean difference over operators timed under both methods, its interval, and p.

    Each operator's two means give one difference; the operators are a random sample of those who might do the work
    (a mixed effect in its simplest form). Two operators are the least.
    """
    d = np.asarray(differences, float)
    if len(d) < 2:
        raise OutOfRange(f"operators timed under both methods must be two or more, got {len(d)}")
    mean, se = float(d.mean()), float(d.std(ddof=1)) / math.sqrt(len(d))
    half = float(stdtrit(len(d) - 1, 0.5 + LEVEL / 2)) * se
    p = float(2 * stdtr(len(d) - 1, -abs(mean / se))) if se > 0 else (0.0 if mean else 1.0)
    return mean, mean - half, mean + half, p
