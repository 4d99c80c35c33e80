"""Standard times with all that they err by, drawn: studies of one job together, for those timed and for the crew."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.study.dependence import GRID
from coreset.study.study_errors import PERCENT, PRIOR_COUNT, RARE_CV, StudyErrors, stream

OPERATOR_LOG_SD, DAY_LOG_SD = 0.6, 0.5
"""How unsure the usual differences between operators and between days are: sd of the log. Own choice."""
FOLLOWS = 0.5
"""Share of an operator's variance that follows the person to other jobs and methods: own choice; one open data set has
0.59."""
Z_OPERATOR, Z_DAY = np.linspace(-2.5, 5.0, 31), np.linspace(-3.0, 3.0, 13)
Draws = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Between:
    """What is likely of the differences between operators and between days: cells of a grid, (cells,) each.

    `operator_sd`, `day_sd`: one standard deviation, as shares of the manual time; `chance` of each cell.
    """

    operator_sd: Draws
    day_sd: Draws
    chance: Draws

    def mean_sds(self) -> tuple[float, float]:
        """Mean of what is likely of the standard deviation of operators and of days. [-]"""
        return float(self.chance @ self.operator_sd), float(self.chance @ self.day_sd)


def between(studies: Sequence[StudyErrors]) -> Between:
    """Differences between operators and days as far as studies of one job show them, else the usual ones.

    Parameters
    ----------
    studies : sequence of StudyErrors
        Of one pattern and method.

    Returns
    -------
    Between
        One study shows nothing of either: the usual ones of the case are left.

    References
    ----------
    Log-normal priors on two standard deviations, the mean of the logs of the manual times integrated out with a flat
    prior; weakly informative priors where groups are few: [gelman2006]. The priors are our own choice, no source.
    """
    operator, day = (z.ravel() for z in np.meshgrid(Z_OPERATOR, Z_DAY, indexing="ij"))
    so = studies[0].operator_sd * np.exp(OPERATOR_LOG_SD * operator)
    sd = studies[0].day_sd * np.exp(DAY_LOG_SD * day)
    logs = -(operator**2 + day**2) / 2
    rated = [row for row in studies if row.times_s[row.manual].sum() > 0]
    if len(rated) > 1:
        logs = logs + _likelihood(rated, so, sd)
    chance = np.exp(logs - logs.max())
    return Between(operator_sd=so, day_sd=sd, chance=chance / chance.sum())


def _likelihood(studies: Sequence[StudyErrors], so: Draws, sd: Draws) -> Draws:
    times = np.log([row.times_s[row.manual].sum() for row in studies])
    times -= np.array([row.rating.bias_pct for row in studies]) / PERCENT
    v = np.diag([max(row.variance, 1e-8) for row in studies])
    rater = _same([row.observer for row in studies]) * np.square([row.rating.sd_pct / PERCENT for row in studies])
    people = _same([row.operator for row in studies])
    spread = (v + rater) + sd[:, None, None] ** 2 * np.eye(len(studies)) + so[:, None, None] ** 2 * people
    inverse = np.linalg.inv(spread)
    weight = inverse.sum(axis=1)
    total = weight.sum(axis=1)
    off = times - (weight @ times / total)[:, None]
    square = np.einsum("ci,cij,cj->c", off, inverse, off)
    return -(np.linalg.slogdet(spread)[1] + np.log(total) + square) / 2


def _same(names: Sequence[str]) -> Draws:
    return np.array([[float(a == b) for b in names] for a in names])


def drawn(studies: Sequence[StudyErrors], weights: Sequence[float], *, count: int, crew: bool) -> dict[str, Draws]:
    """Standard time of each element for one mold, drawn, (count,) each. [s]

    Row d is one possible world in everything that is drawn with the same seed: an observer, an operator has the same
    error in all jobs of the row.

    Parameters
    ----------
    studies : sequence of StudyErrors
        Of one pattern and method.
    weights : sequence of float
        What each counts for; they add up to 1.
    count : int
        Draws.
    crew : bool
        Whether the times are those of the crew, which has other operators and days than those timed.
    """
    factor = np.exp(_rater_error(studies, weights, count) + (_crew_error(studies, weights, count) if crew else 0.0))
    rare = dict(_rare(studies, count))
    times: dict[str, Draws] = {}
    for row, weight in zip(studies, weights, strict=True):
        each = _cycle_factors(row, count)
        for i, name in enumerate(row.names):
            own = rare[name] if row.rare[i] else each[:, i]
            here = weight * row.times_s[i] * own * (factor if row.manual[i] else 1.0)
            times[name] = times[name] + here if name in times else here
    return times


def _rater_error(studies: Sequence[StudyErrors], weights: Sequence[float], count: int) -> Draws:
    """Minus what the observers rated too high, as a log, (count,)."""
    error = np.zeros(count)
    for row, weight in zip(studies, weights, strict=True):
        z = stream(row.seed, "observer", row.observer).standard_normal(count)
        error -= weight * (row.rating.bias_pct + row.rating.sd_pct * z) / PERCENT
    return error


def _crew_error(studies: Sequence[StudyErrors], weights: Sequence[float], count: int) -> Draws:
    """What the crew differs by from the operators and days timed, as a log, (count,)."""
    found, seed = between(studies), studies[0].seed
    picked = np.searchsorted(np.cumsum(found.chance), stream(seed, "cells").random(count))
    picked = np.minimum(picked, len(found.chance) - 1)
    people, days = np.zeros(count), np.zeros(count)
    for row, weight in zip(studies, weights, strict=True):
        person = stream(seed, "operator", row.operator).standard_normal(count)
        at_job = stream(seed, "operator", row.operator, row.job).standard_normal(count)
        people += weight * (np.sqrt(FOLLOWS) * person + np.sqrt(1 - FOLLOWS) * at_job)
        days += weight * stream(seed, "day", row.study).standard_normal(count)
    return found.operator_sd[picked] * people + found.day_sd[picked] * days


def _cycle_factors(row: StudyErrors, count: int) -> Draws:
    """What the means of a study's elements may be over what they came to, 1 in the middle, (count, elements)."""
    rng = stream(row.seed, "study", row.study)
    z = rng.standard_normal((count, len(row.names))) @ row.root.T
    width = row.inflation[rng.choice(len(GRID), size=count, p=row.chances)]
    x = z * np.sqrt(width / row.cycles * row.freedom / rng.chisquare(row.freedom, count))[:, None]
    acts = rng.standard_normal((count, len(row.names) + 1)) * row.rating.one_pct / PERCENT
    return positive(x + np.where(row.rated >= 0, acts[:, row.rated], 0.0))


def positive(x: Draws) -> Draws:
    """Factor of a relative deviation: 1 + x, and 1/(1 - x) below 0, so that no time falls to 0.

    Unlike the exponential it has a mean where x is Student's.

    Examples
    --------
    >>> positive(np.array([-1.0, 0.0, 1.0])).tolist()
    [0.5, 1.0, 2.0]
    """
    return np.where(x >= 0, 1.0 + x, 1.0 / (1.0 - np.minimum(x, 0.0)))


def _rare(studies: Sequence[StudyErrors], count: int) -> Iterable[tuple[str, Draws]]:
    """Factor of each rare element: how often it comes, and how long it takes, by the occurrences of all studies."""
    found: dict[str, list[tuple[float, float, float, bool]]] = {}
    for row in studies:
        for i in np.flatnonzero(row.rare):
            facts = float(row.seen[i]), float(row.happened[i]), float(row.squares[i]), bool(row.counted[i])
            found.setdefault(row.names[i], []).append(facts)
    for name, rows in found.items():
        seen, happened, squares = (sum(row[k] for row in rows) for k in range(3))
        rng = stream(studies[0].seed, "rare", name, studies[0].job, *(row.study for row in studies))
        freedom = seen - 1 + PRIOR_COUNT
        if seen < 1:
            yield name, np.ones(count)
            continue
        cv = np.sqrt((squares + PRIOR_COUNT * RARE_CV**2) / freedom)
        mean = positive(rng.standard_t(freedom, count) * cv / np.sqrt(seen))
        often = rng.gamma(happened + 0.5, size=count) / happened if any(row[3] for row in rows) else 1.0
        yield name, mean * often
