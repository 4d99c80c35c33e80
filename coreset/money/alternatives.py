"""The ways side by side on the same draws, and the same purchase under other volumes. One row each."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.case.option import LEASED, USED
from coreset.money.cash_flow import Flow, flows
from coreset.money.chances import Spread, chance, spread
from coreset.money.combined import option_needs
from coreset.money.discount import annuity_factor, limit_rate, npv, payback
from coreset.money.limits import Need
from coreset.money.pattern_choice import Mix, best_mix, eligible
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

SCENARIO_DRAWS = 16_384


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One way against the current method.

    Every input at its mean (base case): `flow` by year, now first, `first_cost`, `yearly_saving`, `base_npv`,
    `payback_years`, `equivalent_annual_worth`. Over the runs: `npv`, `saving`, `payback` and the chances.

    `methods`: what each of its `patterns` goes over to, `method` or, improved by hand first, another.

    `worst_li` is the highest lifting index of the tasks then done, those of patterns that keep the current method
    included; NaN where none is rated. `removes_risk`: none of them is above the limit any more. `timed`: it has been
    timed, not taken to be as fast as the current method. `needs`: limits of the plant that it breaks at the means,
    empty where it can be done; `chance_budget`, `chance_hours`: chances that budget and line hours are kept, over the
    runs; `chance_payback` that the payback which the plant means is within its limit. `setter_hours`: line hours a year
    of the patterns that go over.
    """

    name: str
    method: str
    patterns: tuple[str, ...]
    methods: tuple[str, ...]
    timed: bool
    first_cost: float
    yearly_saving: float
    base_npv: float
    npv: Spread
    equivalent_annual_worth: float
    chance_npv_positive: float
    payback_years: float
    chance_payback: float
    flow: tuple[float, ...]
    worst_li: float
    removes_risk: bool
    needs: tuple[Need, ...]
    chance_budget: float
    chance_hours: float
    chance_setter_hours: float
    setter_hours: float
    saving: Spread
    payback: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """The same purchase, same patterns, under other volumes: worth by run in `draws`.

    `base_npv`, `payback_years` and `flow` by year are those of the base case.
    """

    name: str
    volume: float
    base_npv: float
    npv: Spread
    chance_npv_positive: float
    payback_years: float
    flow: tuple[float, ...]
    draws: NDArray[np.float64]


def worst_index(screened: Iterable[Any], method: str) -> float:
    """Worst of a method's rated tasks, carries and jobs; NaN where none is rated, infinite where no lift is allowed."""
    return _worst([row for row in screened if row.method == method])


def _worst(rows: Iterable[Any]) -> float:
    return max((row.governing for row in rows if not math.isnan(row.governing)), default=math.nan)


def tasks_of(case: Case, screened: Iterable[Any], over: Mapping[str, str]) -> list[Any]:
    """Handling tasks of an option: of its method for each pattern that goes over, today's for those that stay.

    Parameters
    ----------
    case : Case
        Prices, volumes, line, setter and rules of the plant.
    screened : iterable of Screened
        Rated lifting tasks by pattern and method.
    over : mapping of str to str
        Method by code of each pattern that goes over.
    """
    return [row for row in screened if row.method == over.get(row.pattern, case.baseline)]


def risk_removed(case: Case, screened: Iterable[Any], tasks: Collection[Any]) -> bool:
    """Whether nothing is above the limit, and what was above it today is now rated in full or borne by a hoist.

    Parameters
    ----------
    case : Case
        Prices, volumes, line, setter and rules of the plant.
    screened : iterable of Screened
        Rated lifting tasks by pattern and method.
    tasks : collection of Screened
        Tasks that are done under the option.
    """
    limit, rows = case.money.li_limit or 1.0, list(screened)
    codes = {row.pattern for row in rows}
    risky = {c for c in codes if worst_index([r for r in rows if r.pattern == c], case.baseline) > limit}
    left = [row for row in tasks if row.pattern in risky]
    return rated_in_full(left) and risky <= {row.pattern for row in left} and not _worst(tasks) > limit


def rated_in_full(rows: Iterable[Any]) -> bool:
    """Whether every task has an index that is no mere lower limit, or is borne by a hoist."""
    return all((row.applies and not _at_least(row)) or "hoist" in row.why_not for row in rows)


def _at_least(row: Any) -> bool:
    """Whether the index of a task, or of the job it is part of, is only a lower limit."""
    return bool(row.at_least or (row.job and row.job.at_least))


def chosen_for(case: Case, sample: Sample, plan: Plan, way: Way, mix: Mix) -> NDArray[np.float64]:
    """Patterns that go over: the best set where masks are needed, every timed pattern where a method is changed.

    Another way of paying for the setter is weighed with the set of the purchase, unless no set can be bought.

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
    mix : Mix
        The best set of patterns.
    """
    if way.patterns is not None:
        return np.array([[float(code in way.patterns)] for code in plan.patterns])
    if way.method == case.candidate and (way.name == case.candidate or (not mix.needs and way.name in (LEASED, USED))):
        return mix.chosen
    if way.mechanised:
        by_hand = way.hand.patterns or () if way.hand else ()
        return best_mix(sample, plan, way, case.money, [code for code in mix.forced if code not in by_hand]).chosen
    chosen = np.zeros((len(plan.patterns), 1))
    chosen[[i for i in eligible(plan, way, sample) if plan.patterns[i] not in way.beyond]] = 1.0
    return chosen


def alternative(
    case: Case,
    sample: Sample,
    plan: Plan,
    way: Way,
    chosen: NDArray[Any],
    flow: Flow,
    base: Flow,
    screened: Iterable[Any],
) -> Alternative:
    """The row of one way from its cash flow.

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
    flow : Flow
        Cash flow of the option over all runs. [currency]
    base : Flow
        The same with every input at its mean, one run. [currency]
    screened : iterable of Screened
        Rated lifting tasks by pattern and method.
    """
    money, worth, back = case.money, npv(flow.total, case.money.discount_rate), payback(flow.total)
    rate = limit_rate(money.payback_rule, money.discount_rate)
    over = {c: way.method for c, inside in zip(plan.patterns, chosen[:, 0], strict=True) if inside}
    over |= dict.fromkeys((way.hand.patterns or ()) if way.hand else (), way.hand.method if way.hand else "")
    codes = tuple(code for code in plan.patterns if code in over)
    tasks = tasks_of(case, screened, over)
    base_npv = float(npv(base.total, money.discount_rate)[0])
    return Alternative(
        name=way.name,
        method=way.method,
        patterns=codes,
        methods=tuple(over[code] for code in codes),
        timed=way.timed and (way.hand is None or way.hand.timed),
        first_cost=float(base.first_cost[0]),
        yearly_saving=float(base.yearly[0]),
        base_npv=base_npv,
        npv=spread(worth),
        equivalent_annual_worth=base_npv / annuity_factor(money.discount_rate, money.years),
        chance_npv_positive=chance(worth > 0),
        payback_years=float(payback(base.total[0])),
        chance_payback=chance((payback(flow.total, rate) if rate else back) <= money.payback_limit_years),
        flow=tuple(base.total[0].tolist()),
        worst_li=_worst(tasks),
        removes_risk=risk_removed(case, screened, tasks),
        needs=option_needs(case, sample, plan, way, chosen),
        chance_budget=chance(flow.first_cost <= money.budget) if money.budget is not None else 1.0,
        chance_hours=chance(flow.line_hours <= plan.hours_available + plan.overtime_h),
        chance_setter_hours=1.0 if (most := money.setter_hours_limit) is None else chance(flow.way_hours_most <= most),
        setter_hours=float(flow.way_hours.mean()),
        saving=spread(flow.yearly),
        payback=spread(back),
    )


def scenarios(case: Case, sample: Sample, plan: Plan, way: Way, chosen: NDArray[Any]) -> tuple[Scenario, ...]:
    """Today's volumes, a recession with as many runs, and one shift more with more runs of the same length.

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
    part, money = sample.rows(0, min(SCENARIO_DRAWS, sample.n)), case.money
    shifts = case.line.shifts_per_day + 1.0
    more = money.more_shift_volume or shifts / case.line.shifts_per_day
    shifted = plan.changed(shifts_per_day=shifts)
    runs = {f"runs.{code}": np.asarray(part[f"runs.{code}"]) * more for code in plan.patterns}
    found = [("today", 1.0, plan, part), ("recession", money.recession_volume, plan, part)]
    found.append(("more_shift", more, shifted, part.changed(runs)))
    return tuple(_scenario(case, each, facts, way, chosen, name, factor) for name, factor, facts, each in found)


def _scenario(
    case: Case, part: Sample, plan: Plan, way: Way, chosen: NDArray[Any], name: str, factor: float
) -> Scenario:
    volumes = {f"molds_per_year.{code}": np.asarray(part[f"molds_per_year.{code}"]) * factor for code in plan.patterns}
    changed = part.changed(volumes)
    total, base = (flows(each, plan, way, case.money, chosen) for each in (changed, changed.centre()))
    worth = npv(total, case.money.discount_rate)
    return Scenario(
        name=name,
        volume=factor,
        base_npv=float(npv(base, case.money.discount_rate)[0]),
        npv=spread(worth),
        chance_npv_positive=chance(worth > 0),
        payback_years=float(payback(base[0])),
        flow=tuple(base[0].tolist()),
        draws=worth,
    )
