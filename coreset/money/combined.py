"""An option of two steps: some patterns are improved by hand first, then others go over to the setter. Out: cash flow.

Each step is a change of the plant as the step before left it, so that their flows against the current method add up.
Where hours are short, the molds that the first step alone makes possible count in neither: a cautious answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money
from coreset.money.cash_flow import Flow, cash_flow
from coreset.money.limits import Need, broken, limits, limits_broken
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way, rate_name

OF_THE_LAST = ("way_hours", "way_hours_most", "line_hours")
"""Parts of a flow that are those of the plant after both steps; all others add up."""


def after_hand(case: Case, sample: Sample, plan: Plan, way: Way) -> tuple[Case, Sample]:
    """Case and runs as the step by hand leaves them: its patterns as fast as it makes them, its cost off the budget.

    Parameters
    ----------
    case : Case
        Prices, volumes, line, setter and rules of the plant.
    sample : Sample
        Runs of every input, n of them.
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    """
    if way.hand is None:
        return case, sample
    rates = {
        rate_name(code, plan.baseline): sample.values[rate_name(code, way.hand.method)]
        for code in way.hand.patterns or ()
        if rate_name(code, way.hand.method) in sample.values
    }
    budget = case.money.budget
    left = None if budget is None else budget - way.hand.step_cost
    return replace(case, money=replace(case.money, budget=left)), sample.changed(rates)


def option_flow(
    case: Case,
    sample: Sample,
    plan: Plan,
    way: Way,
    chosen: NDArray[Any],
    *,
    progress: Callable[[int], None] | None = None,
) -> Flow:
    """Cash flow of an option against the current method, over all runs; of one step, or of two.

    Parameters
    ----------
    case, sample, plan, way
        As for :func:`coreset.money.cash_flow.cash_flow`; the runs with the current method as it is today.
    chosen : ndarray, shape (patterns, 1)
        1 where a pattern goes over in the last step.
    progress : callable, optional
        Told the number of runs of each block of the last step.
    """
    _, then = after_hand(case, sample, plan, way)
    last = cash_flow(then, plan, way, case.money, chosen, progress=progress)
    if way.hand is None:
        return last
    by_hand = np.array([[float(code in (way.hand.patterns or ()))] for code in plan.patterns])
    first = cash_flow(sample, plan, way.hand, case.money, by_hand)
    parts = {
        name: getattr(last, name) if name in OF_THE_LAST else getattr(first, name) + getattr(last, name)
        for name in (field.name for field in fields(Flow))
        if name != "means"
    }
    none = np.zeros(case.money.years + 1)
    items = dict.fromkeys([*first.means, *last.means])
    return Flow(means={i: first.means.get(i, none) + last.means.get(i, none) for i in items}, **parts)


def option_needs(case: Case, sample: Sample, plan: Plan, way: Way, chosen: NDArray[Any]) -> tuple[Need, ...]:
    """Limits of the plant that an option breaks at the means, the cost of both steps taken together.

    Parameters
    ----------
    case : Case
        Prices, volumes, line, setter and rules of the plant.
    sample : Sample
        Runs of every input, n of them.
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    chosen : ndarray, shape (patterns, 1)
        1 where a pattern goes over.
    """
    money: Money = case.money
    if way.hand is None:
        return limits_broken(sample, plan, way, money, chosen)
    flow = option_flow(case, sample.centre(), plan, way, chosen)
    return broken(
        limits(plan, way, money, chosen, flow.first_cost, np.stack([flow.line_hours, flow.way_hours_most])), 0
    )
