"""Limits of the plant: what a set of patterns takes of budget, mask places and hours, and which limits it breaks.

In: inputs at their means, a method, sets of patterns. Out: use of each limit, and what a broken one would have to be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.money.cash_flow import cash_flow
from coreset.money.discount import npv
from coreset.money.set_selection import ROUND_OFF
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A limit that no set keeps: budget [currency], mask_places [-], line_hours, setter_hours [h/year], cores_taken or
    lifting [patterns].

    `least` is what the set nearest to all limits takes of it, `has` what the plant allows; cores_taken counts patterns
    whose cores the setter cannot hold or fit, lifting those whose lifts are then beyond the equation; none may go over.
    """

    limit: str
    least: float
    has: float


def weighed(
    centre: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray[Any]
) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Worth, first cost and hours (of the line, of the setter; two rows) of sets, one a column of `chosen`.

    Parameters
    ----------
    centre : Sample
        Every input at its mean: one run.
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    money : Money
        Prices, years, rates and limits.
    chosen : ndarray, shape (patterns, sets)
        1 where a pattern goes over, one set a column.
    """
    flow = cash_flow(Sample(n=chosen.shape[1], values=centre.values), plan, way, money, chosen)
    return npv(flow.total, money.discount_rate), flow.first_cost, np.stack([flow.line_hours, flow.way_hours_most])


def limits(
    plan: Plan, way: Way, money: Money, chosen: NDArray[Any], cost: NDArray[Any], hours: NDArray[Any]
) -> Iterator[tuple[str, NDArray[np.float64], float]]:
    """Each limit with what every set takes of it and how much there is.

    Parameters
    ----------
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    money : Money
        Prices, years, rates and limits.
    chosen : ndarray, shape (patterns, sets)
        1 where a pattern goes over, one set a column.
    cost : ndarray, shape (sets,)
        Initial investment. [currency]
    hours : ndarray, shape (2, sets)
        Line hours, and those of the setter with its mask changes, of the fullest year. [h/year]
    """
    yield "line_hours", hours[0], plan.hours_available + plan.overtime_h
    if money.setter_hours_limit is not None and way.mechanised:
        yield "setter_hours", hours[1], money.setter_hours_limit
    if money.budget is not None:
        yield "budget", cost, money.budget
    if money.mask_places is not None and way.mechanised:
        yield "mask_places", chosen.sum(axis=0) * plan.figure("masks_each"), money.mask_places
    for name, codes in (("cores_taken", way.unable), ("lifting", way.beyond)):
        if codes:
            yield name, among(plan, codes) @ chosen, 0.0


def among(plan: Plan, codes: Collection[str]) -> NDArray[np.float64]:
    """1 for each pattern of the plan that is among some, (patterns,)."""
    return np.array([float(code in codes) for code in plan.patterns])


def broken(limits: Iterable[tuple[str, NDArray[np.float64], float]], place: int) -> tuple[Need, ...]:
    """Those limits that the set in column `place` breaks."""
    return tuple(
        Need(limit=name, least=float(used[place]), has=float(limit))
        for name, used, limit in limits
        if used[place] > limit * (1 + ROUND_OFF)
    )


def limits_broken(sample: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray[Any]) -> tuple[Need, ...]:
    """Limits that one set breaks at the mean of every input; `chosen` has shape (patterns, 1).

    Parameters
    ----------
    sample : Sample
        Runs of every input, n of them.
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    money : Money
        Prices, years, rates and limits.
    chosen : ndarray, shape (patterns, 1)
        1 where a pattern goes over.
    """
    _, cost, hours = weighed(sample.centre(), plan, way, money, chosen)
    return broken(limits(plan, way, money, chosen, cost, hours), 0)
