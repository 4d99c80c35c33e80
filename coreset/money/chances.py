"""What draws say: how likely, between what and what, and what a wrong decision would cost on average."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from coreset.money.distributions import quantiles
from coreset.money.simulation_inputs import HIGH, LOW


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Mean, middle, and the interval that holds 80 % of the draws. Infinite draws count as beyond every limit."""

    mean: float
    low: float
    middle: float
    high: float


def spread(draws: ArrayLike) -> Spread:
    """Spread of draws, shape (n,); edges that fall among infinite draws are infinite."""
    draws = np.asarray(draws, dtype=float)
    low, middle, high = quantiles(draws, (LOW, 0.5, HIGH), higher=True)
    return Spread(mean=float(draws.mean()), low=low, middle=middle, high=high)


def chance(happens: ArrayLike) -> float:
    """Share of draws in which something happens. [-]"""
    return float(np.mean(np.asarray(happens)))


def mean_loss_if_it_loses(worth: ArrayLike) -> float:
    """Mean loss in those runs that lose: mean of -NPV where NPV < 0; 0 where none does. [currency]"""
    worth = np.asarray(worth, dtype=float)
    return float(-worth[worth < 0].mean()) if np.any(worth < 0) else 0.0


def loss_if_bought(worth: ArrayLike) -> float:
    """What is lost on average by buying where not buying was right: mean of max(0, -NPV). [currency]"""
    return float(np.maximum(0.0, -np.asarray(worth)).mean())


def loss_if_not(worth: ArrayLike) -> float:
    """What is missed on average by not buying where buying was right: mean of max(0, NPV). [currency]"""
    return float(np.maximum(0.0, np.asarray(worth)).mean())


def by_year(payback_years: ArrayLike, years: int) -> tuple[float, ...]:
    """Share of the runs paid back in each year; last, of those that are not within the years.

    Examples
    --------
    >>> by_year([0.0, 0.4, 1.0, 1.5, 7.0, float("inf")], 2)
    (0.5, 0.16666666666666666, 0.3333333333333333)
    """
    ends = np.ceil(np.asarray(payback_years, dtype=float))
    place = np.where(ends <= years, np.maximum(ends, 1.0), years + 1.0).astype(int)
    return tuple((np.bincount(place, minlength=years + 2)[1:] / place.size).tolist())


def payback_shares(d: Any) -> tuple[float, ...]:
    """Share of a decision's runs paid back in each year, by its payback rule; as `by_year`.

    Parameters
    ----------
    d : Decision
    """
    return by_year(d.discounted_payback_draws if d.payback_rule == "discounted" else d.payback_draws, d.years)
