"""A rater's check: an observer rates known paces, and what comes out of it enters the standard's interval."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange

GOAL_PCT = 5.0  # [freivalds] accuracy aimed at, common practice
FEWEST = 8
WALK_KM_H_AT_100 = 4.8  # 3 mile/h is 100 % of normal pace in US texts [stevenson]; 75 on 0-100 BSI
DEAL_52_CARDS_MIN = 0.50  # 100 % of normal pace, cards dealt into four hands


@dataclass(frozen=True, slots=True, kw_only=True)
class RaterCheck:
    """How an observer rates, in per cent of the known pace.

    `bias_pct`: mean error. `sd_pct`: scatter about it. `flat`: slope of rated on known pace; below 1, fast paces are
    rated too low and slow ones too high. `within_goal`: share of ratings within 5 % of the known pace.
    """

    ratings: int
    bias_pct: float
    bias_se_pct: float
    sd_pct: float
    flat: float
    within_goal: float


def check(known: ArrayLike, rated: ArrayLike) -> RaterCheck:
    """An observer's bias and scatter from ratings of known paces.

    Parameters
    ----------
    known, rated : array_like, (n,)
        Known pace and the observer's rating, on the same scale. [%]

    Raises
    ------
    OutOfRange
        If fewer than eight were rated, or a pace is not positive.
    """
    k, r = np.asarray(known, float), np.asarray(rated, float)
    if len(k) < FEWEST or len(k) != len(r):
        raise OutOfRange(f"ratings of known paces must be {FEWEST} or more, one for each pace, got {len(r)}")
    if (k <= 0).any() or (r <= 0).any():
        raise OutOfRange("paces and ratings must be above 0, got one that is not")
    error = 100 * (r / k - 1)
    off = k - k.mean()
    sd = float(error.std(ddof=1))
    return RaterCheck(
        ratings=len(k),
        bias_pct=float(error.mean()),
        bias_se_pct=sd / math.sqrt(len(k)),
        sd_pct=sd,
        flat=float(off @ r / (off @ off)) if off @ off else 1.0,
        within_goal=float((np.abs(error) <= GOAL_PCT).mean()),
    )


def paces(count: int = 12, *, seed: int = 1, low: float = 70.0, high: float = 130.0) -> NDArray[np.float64]:
    """Known paces to show in a random order, spread over the range. [% of normal pace]"""
    rng = np.random.default_rng(seed)
    spread = np.linspace(low, high, count) + rng.uniform(-2, 2, count)
    return np.round(rng.permutation(spread))


def walk_s(pace_pct: float, *, metres: float = 30.0) -> float:
    """Seconds to walk a marked distance at a pace, for acting it out with a stopwatch.

    Examples
    --------
    >>> round(walk_s(100), 1), round(walk_s(125), 1)
    (22.5, 18.0)
    """
    return metres / (WALK_KM_H_AT_100 / 3.6) / (pace_pct / 100)


def deal_s(pace_pct: float) -> float:
    """Seconds to deal 52 cards into four hands at a pace.

    Examples
    --------
    >>> deal_s(100), deal_s(120)
    (30.0, 25.0)
    """
    return 60 * DEAL_52_CARDS_MIN / (pace_pct / 100)
