"""What the times of one study err by: scatter and dependence of its cycles, rare elements, ratings. As draws."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Study
from coreset.study.cycle_sums import Sums
from coreset.study.dependence import inflation
from coreset.study.element_times import Timed
from coreset.study.rating_scales import scale
from coreset.study.rating_test import checked

PRIOR_COUNT = 3
"""Readings that the usual scatter is worth before any reading: own choice, no source."""
USUAL_CV = {"manual": 0.20, "machine": 0.02}
"""Usual scatter of an element as a share of its mean: own choice, no source."""
RARE_CV, ALIKE = 0.35, 0.3
"""The same of a rare element, and the usual correlation of the elements of a cycle: own choice, no source."""
RATER_SD_PCT = 2.5
"""Error of a rater common to all that he rates, assumed: +/-5 % as two standard deviations, common practice."""
ONE_RATING_PCT, DRIFT_PCT = 5.0, 1.5
"""Scatter of a single act of rating, and of a rater from day to day about what a check showed: own choice."""
PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """Error of who rated. [%]

    `sd_pct`: of all that he rates in common, one standard deviation; `bias_pct`: its known mean, above 0 where he rates
    too high; `one_pct`: scatter of a single act of rating. `source`: check, study (as typed) or assumed.
    """

    sd_pct: float = RATER_SD_PCT
    bias_pct: float = 0.0
    one_pct: float = ONE_RATING_PCT
    source: str = "assumed"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StudyErrors:
    """What the standard times of one study err by. Arrays are of shape (elements,) unless said.

    `times_s`: standard time of each element for one mold. `root`: (elements, elements), lower factor of the relative
    covariance of the elements in a cycle, zero for rare elements; `freedom` its degrees. `inflation`, `chances`:
    (grid,), as from `dependence.inflation`. `rated`: number of the act of rating that stands for all readings of an
    element, -1 where each reading was rated. `seen`, `happened`: occurrences of rare elements timed, and counted.
    `squares`: of their relative deviations. `counted`: whether a frequency was counted here.
    """

    study: str
    observer: str
    operator: str
    job: str
    seed: int
    names: tuple[str, ...]
    times_s: NDArray[np.float64]
    manual: NDArray[np.bool_]
    rare: NDArray[np.bool_]
    counted: NDArray[np.bool_]
    cycles: int
    root: NDArray[np.float64]
    freedom: int
    inflation: NDArray[np.float64]
    chances: NDArray[np.float64]
    rated: NDArray[np.int64]
    seen: NDArray[np.float64]
    happened: NDArray[np.float64]
    squares: NDArray[np.float64]
    rating: Rating
    operator_sd: float
    day_sd: float

    @property
    def variance(self) -> float:
        """Relative variance of the sum of manual elements that are not rare, over studies like this one. [-]"""
        own = np.where(self.manual & ~self.rare, self.times_s, 0.0)
        if not own.sum():
            return 0.0
        share = own / own.sum()
        cycles = float(((share @ self.root) ** 2).sum()) * float(self.inflation @ self.chances) / self.cycles
        acts = [share[self.rated == act].sum() for act in np.unique(self.rated[self.rated >= 0])]
        once = float(np.square(acts).sum()) * (self.rating.one_pct / PERCENT) ** 2
        return cycles * self.freedom / max(self.freedom - 2, 1) + once


def stream(seed: int, *names: str) -> np.random.Generator:
    """Random numbers that belong to a name: whoever asks for them gets the same, so that what is shared is shared."""
    return np.random.default_rng([seed, zlib.crc32("\n".join(names).encode())])


def study_errors(
    case: Case,
    study: Study,
    timed: Timed,
    found: Sums,
    *,
    standard_s: NDArray[np.float64],
    totals: NDArray[np.float64],
    seed: int,
) -> StudyErrors:
    """Errors of one study.

    Parameters
    ----------
    case, study, timed, found
        The study, its element times and its sums.
    standard_s : ndarray, (elements,)
        Standard time of each element for one mold. [s]
    totals : ndarray, (whole cycles,)
        Standard time of all regular elements in each whole cycle. [s]
    seed : int
        Seed of every draw.

    Returns
    -------
    StudyErrors

    References
    ----------
    Scatter is held near the usual one where few readings show little of it (a conjugate prior on a covariance); the
    usual values are our own choice, no source. The mean of an element over a number of occurrences that differs from
    cycle to cycle is a ratio; its deviations are linearized.
    """
    kinds = np.array([e.kind for e in study.elements])
    rare = np.array([e.occasional for e in study.elements])
    cv = np.where(rare, 0.0, [USUAL_CV[kind] for kind in kinds])
    usual = np.outer(cv, cv) * (ALIKE + (1 - ALIKE) * np.eye(len(cv)))
    off = np.where(rare, 0.0, _deviations(found))
    cycles = len(found.cycle)
    spread = (off.T @ off + PRIOR_COUNT * usual) / (cycles - 1 + PRIOR_COUNT)
    prior = PRIOR_COUNT * float(standard_s @ usual @ standard_s)
    widths, chances = inflation(totals, prior_square=max(prior, 1e-12))
    rating = rating_of(case, study)
    return StudyErrors(
        study=study.study,
        observer=study.observer,
        operator=study.operator,
        job=f"{study.pattern} {study.method}",
        seed=seed,
        names=tuple(e.name for e in study.elements),
        times_s=standard_s,
        manual=kinds == "manual",
        rare=rare,
        counted=found.counted,
        cycles=cycles,
        root=_root(spread),
        freedom=cycles - 1 + PRIOR_COUNT,
        inflation=widths,
        chances=chances,
        rated=_acts_of_rating(study, timed),
        seen=found.bottom.sum(axis=0),
        happened=found.happened.sum(axis=0),
        squares=_squares(study, timed),
        rating=rating,
        operator_sd=case.operator_sd_pct / PERCENT,
        day_sd=case.day_sd_pct / PERCENT,
    )


def rating_of(case: Case, study: Study) -> Rating:
    """Error of a study's rater: from his last check, as typed for the study, or assumed.

    What a check shows on average is a known error: it moves the interval. Its scatter averages out over the ratings.
    """
    if found := checked(case.raters, study.observer):
        sd = float(np.hypot(found.bias_se_pct, DRIFT_PCT))
        return Rating(sd_pct=sd, bias_pct=found.bias_pct, one_pct=found.sd_pct, source="check")
    if study.rater_sd_pct is None:
        return Rating()
    return Rating(sd_pct=study.rater_sd_pct, one_pct=study.rater_sd_pct, source="study")


def _deviations(found: Sums) -> NDArray[np.float64]:
    """Relative deviation of each cycle's normal time from the mean, 0 where it is not known, (cycles, elements)."""
    top, bottom = found.normal.sum(axis=0), found.bottom.sum(axis=0)
    mean = np.divide(top, bottom, out=np.zeros_like(top), where=bottom > 0)
    usual = mean * bottom / len(found.cycle)
    return np.divide(found.normal - mean * found.bottom, usual, out=np.zeros_like(found.normal), where=usual > 0)


def _root(spread: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lower factor of a covariance, zero in rows without scatter."""
    live = np.diag(spread) > 0
    root = np.zeros_like(spread)
    if live.any():
        root[np.ix_(live, live)] = np.linalg.cholesky(spread[np.ix_(live, live)])
    return root


def _acts_of_rating(study: Study, timed: Timed) -> NDArray[np.int64]:
    """Number of the one act of rating of each manual element of which all readings have the same rating, else -1."""
    acts = np.full(len(study.elements), -1, np.int64)
    for i, element in enumerate(study.elements):
        given = timed.rating[timed.good & (timed.element == i)]
        if element.kind == "manual" and len(given) and np.ptp(given) == 0:
            acts[i] = 0 if element.rating_pct is None else i + 1
    return acts


def _squares(study: Study, timed: Timed) -> NDArray[np.float64]:
    """Sum of squared relative deviations of the occurrences of each element from their mean normal time."""
    factor = np.nan_to_num(timed.rating / scale(study.rating_scale)["unity"], nan=1.0)
    found = np.zeros(len(study.elements))
    for i, element in enumerate(study.elements):
        here = timed.good & (timed.element == i)
        x = timed.seconds[here] * factor[here]
        if element.occasional and len(x) and x.mean() > 0:
            found[i] = float(((x / x.mean() - 1) ** 2).sum())
    return found
