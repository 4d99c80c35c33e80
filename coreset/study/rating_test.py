"""A rater's check: an observer rates known paces; bias and scatter come out, and enter the standard's interval."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from coreset.case import RatedPace
from coreset.errors import OutOfRange

GOAL_PCT = 5.0  # [freivalds] accuracy aimed at, common practice
FEWEST = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class RaterCheck:
    """How an observer rates, in per cent of the known pace.

    `bias_pct`: systematic error, the mean of all errors. `sd_pct`: random error, their scatter about it. `error_pct`:
    both together, the root of the sum of their squares; it enters the interval of a standard. `slope`, `level_pct`:
    line of rated on known pace; a slope below 1 rates fast paces too low and slow ones too high. `line_sd_pct`:
    scatter about that line, in per cent of the mean pace. `within_goal`: share of ratings within 5 % of the pace.
    """

    ratings: int
    bias_pct: float
    bias_se_pct: float
    sd_pct: float
    error_pct: float
    slope: float
    slope_se: float
    level_pct: float
    line_sd_pct: float
    within_goal: float


def check(known: ArrayLike, rated: ArrayLike) -> RaterCheck:
    """An observer's systematic and random error from ratings of known paces.

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
    error = 100 * (r - k) / k  # so that 105 for 100 is 5 %, not a last digit more
    bias, sd = float(error.mean()), float(error.std(ddof=1))
    slope, slope_se, level, line_sd = _line(k, r)
    return RaterCheck(
        ratings=len(k),
        bias_pct=bias,
        bias_se_pct=sd / math.sqrt(len(k)),
        sd_pct=sd,
        error_pct=math.hypot(bias, sd),
        slope=slope,
        slope_se=slope_se,
        level_pct=level,
        line_sd_pct=100 * line_sd / float(k.mean()),
        within_goal=float((np.abs(error) <= GOAL_PCT).mean()),
    )


def _line(known: np.ndarray, rated: np.ndarray) -> tuple[float, float, float, float]:
    """Slope, its standard error, level and scatter of rated on known; slope 1 where one pace was shown throughout."""
    off = known - known.mean()
    square = float(off @ off)
    slope = float(off @ rated) / square if square else 1.0
    level = float(rated.mean() - slope * known.mean())
    left = rated - level - slope * known
    sd = math.sqrt(float(left @ left) / (len(known) - 2))
    return slope, sd / math.sqrt(square) if square else math.nan, level, sd


def of_observer(raters: Iterable[RatedPace], observer: str) -> tuple[RatedPace, ...]:
    """The rows of an observer's last check, by the order of the rows; none if there is none."""
    own = [row for row in raters if row.observer == observer]
    last = own[-1].taken if own else ""
    return tuple(row for row in own if row.taken == last)


def checked(raters: Iterable[RatedPace], observer: str) -> RaterCheck | None:
    """What an observer's last check came to; None where there is none, or too few paces were rated in it."""
    rows = of_observer(raters, observer)
    if len(rows) < FEWEST:
        return None
    return check([row.known_pct for row in rows], [row.rated_pct for row in rows])
