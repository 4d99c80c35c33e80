"""Pattern by pattern: what going over saves, from which run length and volume on, and what a mold costs each way.

In: draws, plan, way and the chosen set. Out: one row a pattern. The setter itself is paid by all patterns together;
a pattern by itself must earn its own mask and its mask changes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money, yearly_costs
from coreset.money.cash_flow import cash_flow
from coreset.money.chances import spread
from coreset.money.discount import annuity_factor
from coreset.money.first_gain import Places
from coreset.money.marginal_saving import ChosenSet, chosen_set, saved
from coreset.money.option_inputs import option_inputs
from coreset.money.pattern_choice import Mix, eligible
from coreset.money.pattern_saving import break_even_run, break_even_volume, mask_cost, masks, masks_each, net_saving
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way, rate_name

DRAWS = 800
"""Runs behind the intervals of one pattern."""
LEAST_DRAWS, CELLS = 24, 1_000_000
"""Runs at least where there are many patterns; patterns times patterns times runs at most else."""
BREAK_EVENS = tuple(f"break_even_{of}" for of in ("run_molds", "run_low", "run_high", "molds_per_year"))
BREAK_EVENS = (*BREAK_EVENS, "break_even_year_low", "break_even_year_high")
PAID_AT_FIRST = ("setter_price", "installation", "training")
PAID_EACH_YEAR = ("lease_per_year", *yearly_costs(Money))
"""Inputs that the hours of the machine bear."""
SECONDS, LITERS = 3600.0, 1000.0
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternMoney:
    """One pattern. `masked`: goes over in the chosen set.

    `why_not`: not_timed, not_taken (the setter cannot hold or fit its cores), beyond (its lifts would be beyond the
    lifting equation), own_mask, adds_nothing, limit, or not_feasible where no set keeps the limits.

    `saving_per_year` is what its going over saves a year at today's prices, its own mask spread over the years;
    `saving_per_second` what a second off its mold cycle is worth a mold, before changes and mask; `mask_per_year` what
    its masks cost a year; `worth` the same over all years, discounted. Break-evens are infinite where there is none.
    Seconds are of the line, stops and uptime in them. Costs of a mold and a core hold labor of the line; core setter
    also air, changes, the mask and a share of the setter. `draws`: saving, run and volume behind the intervals.
    """

    pattern: str
    masked: bool
    forced: bool
    why_not: str
    molds_per_year: float
    run_molds: float
    cores_per_mold: float
    seconds_baseline: float
    seconds_candidate: float
    seconds_saved: float
    saving_per_year: float
    saving_low: float
    saving_high: float
    saving_per_second: float
    mask_per_year: float
    worth: float
    break_even_run_molds: float
    break_even_run_low: float
    break_even_run_high: float
    break_even_molds_per_year: float
    break_even_year_low: float
    break_even_year_high: float
    cost_per_mold_baseline: float
    cost_per_mold_candidate: float
    cost_per_core_baseline: float
    cost_per_core_candidate: float
    draws: dict[str, Vector] = field(default_factory=dict, compare=False, repr=False)


def _cost_per_mold(centre: Sample, plan: Plan, way: Way, money: Money, i: int, shared: float) -> tuple[float, float]:
    """Labor of a mold by the current method; the same by the option with air, changes, mask and share of the setter."""
    pay = centre["wage_per_h"] * centre["employer_factor"] * plan.figure("shift_factor")
    code = plan.patterns[i]
    today = 1.0 / centre[rate_name(code, plan.baseline)]
    then = 1.0 / centre.values.get(rate_name(code, way.method), 1.0 / today)
    volume = centre[f"molds_per_year.{code}"]
    cost = then * pay * (centre["line_crew"] + way.operators)
    if way.mechanised:
        cost += plan.stated["air_l_per_cycle"] / LITERS * centre["air_per_m3"] + then * (
            shared + plan.stated["power_kw"] * centre["electricity_per_kwh"]
        )
        cost += (
            centre[f"runs.{code}"] * plan.figure("mask_change_h") * pay * (centre["line_crew"] + way.operators) / volume
        )
        per_year = mask_cost(centre, plan, i) / annuity_factor(money.discount_rate, money.years)
        cost += (per_year + masks_each(plan) * centre["mask_repair_per_year"]) / volume
    return float(today * pay * (centre["line_crew"] + plan.operators)), float(cost)


def _why_not(plan: Plan, way: Way, mix: Mix, i: int, net: float) -> str:
    if mix.needs:
        return "not_feasible"
    if mix.chosen[i, 0]:
        return ""
    if plan.patterns[i] in way.unable | way.beyond:
        return "not_taken" if plan.patterns[i] in way.unable else "beyond"
    if mix.worth.get(plan.patterns[i], 0.0) > 0:
        return "limit"
    return "own_mask" if net < 0 else "adds_nothing"


def pattern_rows(case: Case, sample: Sample, plan: Plan, way: Way, mix: Mix) -> tuple[PatternMoney, ...]:
    """One row for each pattern of the plan, in the order of the case.

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
    fewer = min(DRAWS, max(LEAST_DRAWS, CELLS // (2 * len(plan.patterns) ** 2)))
    part = sample.rows(0, min(fewer, sample.n))
    timed, of = eligible(plan, way, sample), chosen_set(part, plan, way, case.money, mix.chosen)
    means = part.centre()
    draws = _draws(of, case.money, timed)
    shared = _shared(case, sample.centre(), plan, way, mix)
    cores = _cores(case)
    return tuple(
        PatternMoney(
            forced=code in mix.forced,
            masked=bool(mix.chosen[i, 0]) and not mix.needs,
            worth=mix.worth.get(code, math.nan),
            **_times(of, i, i in timed),
            **_savings(of, mix, i, {name: values[i] for name, values in draws.items() if i in values}),
            **_costs(case, means, plan, way, i, shared if i in timed else math.nan, cores.get(code, 0.0)),
        )
        for i, code in enumerate(plan.patterns)
    )


def _cores(case: Case) -> dict[str, float]:
    """Cores in one mold by pattern."""
    return {core.pattern: float(case.core_count(core.pattern)) for core in case.cores}


def _shared(case: Case, centre: Sample, plan: Plan, way: Way, mix: Mix) -> float:
    """What the machine costs for each hour that the chosen set uses it."""
    used = cash_flow(centre, plan, way, case.money, mix.chosen).way_hours[0]
    if not (way.mechanised and used):
        return 0.0
    inputs = option_inputs(centre, plan, way, case.money, mix.chosen)
    first, each_year = (sum(np.asarray(inputs[key]).item() for key in keys) for keys in (PAID_AT_FIRST, PAID_EACH_YEAR))
    return float(first / annuity_factor(case.money.discount_rate, case.money.years) + each_year) / used


def _times(of: ChosenSet, i: int, known: bool) -> dict[str, Any]:
    """Volume, run and line seconds of one pattern."""
    code, part = of.plan.patterns[i], of.sample
    molds = float(np.mean(part[f"molds_per_year.{code}"]))
    today = SECONDS / float(np.mean(part[rate_name(code, of.plan.baseline)]))
    then = SECONDS / float(np.mean(part.values.get(rate_name(code, of.way.method), SECONDS / today)))
    return {
        "pattern": code,
        "molds_per_year": molds,
        "run_molds": molds / float(part[f"runs.{code}"]),
        "seconds_baseline": today,
        "seconds_candidate": then if known else math.nan,
        "seconds_saved": today - then if known else math.nan,
    }


def _draws(of: ChosenSet, money: Money, rows: Sequence[int] | Places) -> dict[str, dict[int, Vector]]:
    """Run by run for each timed pattern: net and gross saving, break-evens and cost of masks."""
    found = {
        "saving": net_saving(of, money, rows),
        "run": break_even_run(of, money, rows),
        "volume": break_even_volume(of, money, rows),
        "gross": saved(of, rows, runs=np.zeros((len(rows), of.sample.n))),
        "mask": masks(of, money, rows, of.volume[list(rows)]),
    }
    return {name: dict(zip(rows, values, strict=True)) for name, values in found.items()}


def _savings(of: ChosenSet, mix: Mix, i: int, draws: dict[str, Vector]) -> dict[str, Any]:
    """What going over saves, from which run and volume on, or why it does not."""
    if not draws:
        names = ("saving_per_year", "saving_low", "saving_high", "saving_per_second", "mask_per_year")
        return dict.fromkeys(names, math.nan) | dict.fromkeys(BREAK_EVENS, math.inf) | {"why_not": "not_timed"}
    net, run, volume = (spread(draws[name]) for name in ("saving", "run", "volume"))
    edges = (run.middle, run.low, run.high, volume.middle, volume.low, volume.high)
    seconds = _times(of, i, True)
    of_mold = seconds["molds_per_year"] * seconds["seconds_saved"]
    return dict(zip(BREAK_EVENS, edges, strict=True)) | {
        "saving_per_year": net.mean,
        "saving_low": net.low,
        "saving_high": net.high,
        "saving_per_second": float(draws["gross"].mean()) / of_mold if of_mold else math.nan,
        "mask_per_year": float(draws["mask"].mean()),
        "why_not": _why_not(of.plan, of.way, mix, i, net.mean),
        "draws": {name: draws[name] for name in ("saving", "run", "volume")},
    }


def _costs(case: Case, means: Sample, plan: Plan, way: Way, i: int, shared: float, cores: float) -> dict[str, Any]:
    """What a mold and a core cost each way."""
    today, then = _cost_per_mold(means, plan, way, case.money, i, shared)
    return {
        "cores_per_mold": cores,
        "cost_per_mold_baseline": today,
        "cost_per_mold_candidate": then,
        "cost_per_core_baseline": today / cores if cores else math.nan,
        "cost_per_core_candidate": then / cores if cores else math.nan,
    }
