"""Scrap by cause: what the plant's own counts say, and whether they can tell two methods apart yet.

In: castings inspected and scrapped by method and cause. Out: rates with exact intervals, and a difference that counts
only where an exact test tells the methods apart; otherwise how many castings more to count.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case

LEVEL = 0.95
Z_LEVEL, Z_POWER = 1.959963984540054, 0.8416212335729143
"""Normal scores of a two-sided 95 % test and of an 80 % chance to see the difference."""
TIE = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapFinding:
    """What the counts of one pattern say about the causes that setting can touch.

    `counts` is whether the difference enters the money; `more_castings` is how many castings a method must still be
    inspected for an 80 % chance to tell today's difference, infinite where none is seen.
    """

    pattern: str
    poured: tuple[int, int]
    scrapped: tuple[int, int]
    rate: tuple[float, float]
    low: tuple[float, float]
    high: tuple[float, float]
    chance_of_accident: float
    counts: bool
    more_castings: float
    source: str


def exact_interval(scrapped: int, poured: int, level: float = LEVEL) -> tuple[float, float]:
    """Interval of a rate that holds the stated level whatever the rate is.

    Parameters
    ----------
    scrapped, poured : int
        Castings scrapped, of so many poured.
    level : float
        Chance that the interval holds the rate. [-]

    References
    ----------
    [clopper1934].

    Examples
    --------
    >>> [round(edge, 4) for edge in exact_interval(0, 10)]
    [0.0, 0.3085]
    """
    from scipy.special import betaincinv

    tail = (1.0 - level) / 2.0
    low = 0.0 if scrapped == 0 else float(betaincinv(scrapped, poured - scrapped + 1, tail))
    high = 1.0 if scrapped == poured else float(betaincinv(scrapped + 1, poured - scrapped, 1.0 - tail))
    return low, high


def chance_of_accident(first: tuple[int, int], second: tuple[int, int]) -> float:
    """Chance of a difference at least as unlikely as this one if both rates are the same (exact, two-sided). [-]

    Each argument is (scrapped, poured).

    Examples
    --------
    >>> round(chance_of_accident((3, 4), (1, 4)), 4)
    0.4857
    """
    (a, n), (b, m) = first, second
    low, high = max(0, a + b - m), min(n, a + b)
    k = np.arange(low, high + 1.0)
    logs = _log_choose(n, k) + _log_choose(m, a + b - k)
    weight = np.exp(logs - logs.max())
    return float(min(1.0, weight[weight <= weight[a - low] * (1 + TIE)].sum() / weight.sum()))


def _log_choose(n: int, k: NDArray[np.float64]) -> NDArray[np.float64]:
    from scipy.special import gammaln

    return gammaln(n + 1.0) - gammaln(k + 1.0) - gammaln(n - k + 1.0)


def castings_needed(p: float, q: float) -> float:
    """Castings of each method for an 80 % chance that a two-sided 95 % test sees the difference of two rates.

    References
    ----------
    [fleiss1981] sample size for two proportions, without continuity correction.

    Examples
    --------
    >>> math.ceil(castings_needed(0.5, 0.4))
    388
    """
    if p == q:
        return math.inf
    mean = (p + q) / 2.0
    root = Z_LEVEL * math.sqrt(2 * mean * (1 - mean)) + Z_POWER * math.sqrt(p * (1 - p) + q * (1 - q))
    return (root / (p - q)) ** 2


def findings(case: Case) -> tuple[ScrapFinding, ...]:
    """One finding for each pattern counted under both methods; causes that setting cannot touch are left out."""
    poured: dict[tuple[str, str], int] = defaultdict(int)
    scrapped: dict[tuple[str, str], int] = defaultdict(int)
    origin: dict[str, list[str]] = defaultdict(list)
    for row in (row for row in case.scrap if row.setting_can_touch):
        key = row.pattern, row.method
        poured[key] = max(poured[key], row.castings_poured)
        scrapped[key] += row.castings_scrapped
        origin[row.pattern].append(row.source)
    both = [p for p in origin if (p, case.baseline) in poured and (p, case.candidate) in poured]
    return tuple(_finding(case, p, poured, scrapped, "; ".join(dict.fromkeys(origin[p]))) for p in both)


def _finding(
    case: Case, pattern: str, poured: dict[tuple[str, str], int], scrapped: dict[tuple[str, str], int], source: str
) -> ScrapFinding:
    keys = (pattern, case.baseline), (pattern, case.candidate)
    (a, n), (b, m) = pairs = tuple((min(scrapped[k], poured[k]), poured[k]) for k in keys)
    edges = tuple(exact_interval(*pair) for pair in pairs)
    accident = chance_of_accident(*pairs)
    return ScrapFinding(
        pattern=pattern,
        poured=(n, m),
        scrapped=(a, b),
        rate=(a / n, b / m),
        low=(edges[0][0], edges[1][0]),
        high=(edges[0][1], edges[1][1]),
        chance_of_accident=accident,
        counts=accident < 1.0 - LEVEL,
        more_castings=max(0.0, castings_needed(a / n, b / m) - min(n, m)),
        source=source,
    )


def difference_draws(finding: ScrapFinding, draws: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Scrap rate saved by the candidate, drawn from what the counts leave open, shape (draws,). [-]

    Each rate is a beta distribution of scrapped + 1/2 and sound + 1/2.

    Parameters
    ----------
    finding : ScrapFinding
        Castings scrapped and poured under both methods.
    draws : int
        Number of runs.
    rng : numpy.random.Generator
        Generator of the input.
    """
    first, second = (
        rng.beta(a + 0.5, n - a + 0.5, draws) for a, n in zip(finding.scrapped, finding.poured, strict=True)
    )
    return first - second
