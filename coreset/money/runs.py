"""Pattern by pattern: what going over saves, from which run length and volume on, and what a mold costs each way.

In: draws, plan, way and the chosen set. Out: one row a pattern. The setter itself is paid by all patterns together;
a pattern by itself must earn its own mask and its mask changes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money
from coreset.money.chances import Spread, spread
from coreset.money.discount import annuity_factor
from coreset.money.flow import mask_costs
from coreset.money.mix import Mix, eligible
from coreset.money.plan import Plan, Way, rate_name
from coreset.money.sample import Sample
from coreset.money.yearly import year

DRAWS = 800
"""Draws behind the intervals of one pattern."""
HALVINGS = 13
FARTHEST = 50.0
SECONDS = 3600.0
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternMoney:
    """One pattern. `masked`: goes over in the chosen set. `why_not`: not_timed, own_mask, adds_nothing or limit.

    `saving_per_year` is what its going over saves a year at today's prices, its own mask spread over the years;
    `saving_per_second` what a second off its mold cycle is worth a mold, before changes and mask;
    `worth` the same over the whole reckoning, discounted. Break-evens are infinite where there is none.
    Seconds are of the line, stops and uptime in them. Costs of a mold and a core hold labour of the line; assisted
    also air, changes, the mask and a share of the setter.
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


def _saved(sample: Sample, plan: Plan, way: Way, chosen: Vector, i: int) -> Vector:
    """What pattern i's going over saves a year beside the rest of the chosen set, before its mask, (n,).

    What the machine costs however many patterns use it is left out.
    """
    within, without = chosen.copy(), chosen.copy()
    within[i], without[i] = 1.0, 0.0
    out = {"mask_repair"} | (set() if without.any() else {"maintenance", "floor_space", "injury", "lease"})
    first, second = (year(sample, plan, way, each).items for each in (within, without))
    return sum(first[name] - second[name] for name in first if name not in out)


def _mask(sample: Sample, plan: Plan, way: Way, money: Money, i: int) -> Vector:
    """What a pattern's masks cost a year: the first ones spread by annuity, later ones evenly, and repair, (n,)."""
    if not way.mechanised:
        return np.zeros(sample.n)
    each, volume = mask_costs(sample, plan)[i], np.asarray(sample[f"molds_per_year.{plan.patterns[i]}"])
    worn = np.floor(volume * money.years / plan.mask_life) if plan.mask_life else 0.0
    later = each / plan.masks_each * worn / money.years
    repair = plan.masks_each * np.asarray(sample["mask_repair_per_year"])
    return each / annuity_factor(money.discount_rate, money.years) + later + repair


def net_saving(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector, i: int) -> Vector:
    """What pattern i's going over saves a year, its own mask paid, (n,). [currency/year]"""
    return _saved(sample, plan, way, chosen, i) - _mask(sample, plan, way, money, i)


def _first_gain(saving: Callable[[Vector], Vector], low: Vector, high: Vector) -> Vector:
    """Where a rising saving turns positive, draw by draw, by halving the ratio; infinite where it has not by `high`."""
    reached, low, high = saving(high) > 0, low.copy(), high.copy()
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        gains = saving(middle) > 0
        low, high = np.where(gains, low, middle), np.where(gains, middle, high)
    return np.where(reached, high, np.inf)


def break_even_run(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector, i: int) -> Vector:
    """Run length from which a pattern earns its changes and mask at the same yearly volume, (n,). [molds]"""
    code = plan.patterns[i]
    volume = np.broadcast_to(np.asarray(sample[f"molds_per_year.{code}"]), sample.n).astype(float)

    def saving(run: Vector) -> Vector:
        return net_saving(sample.changed({f"runs.{code}": volume / run}), plan, way, money, chosen, i)

    return _first_gain(saving, np.full(sample.n, 1.0), volume)


def break_even_volume(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector, i: int) -> Vector:
    """Yearly volume from which a pattern earns its mask at the same run length, (n,). [molds/year]

    Looked for between a fiftieth and fifty times of today's volume.
    """
    code = plan.patterns[i]
    volume = np.broadcast_to(np.asarray(sample[f"molds_per_year.{code}"]), sample.n).astype(float)
    runs = np.asarray(sample[f"runs.{code}"])

    def saving(made: Vector) -> Vector:
        changed = {f"molds_per_year.{code}": made, f"runs.{code}": runs * made / volume}
        return net_saving(sample.changed(changed), plan, way, money, chosen, i)

    return _first_gain(saving, volume / FARTHEST, volume * FARTHEST)


def _cost_per_mold(sample: Sample, plan: Plan, way: Way, money: Money, i: int, shared: float) -> tuple[float, float]:
    """Labour of a mold as today; the same under the way with air, changes, mask and share of the setter."""
    centre = sample.centre()
    pay = centre["wage_per_h"] * centre["employer_factor"] * plan.shift_factor
    code = plan.patterns[i]
    today = 1.0 / centre[rate_name(code, plan.baseline)]
    then = 1.0 / centre.values.get(rate_name(code, way.method), 1.0 / today)
    volume = centre[f"molds_per_year.{code}"]
    cost = then * pay * (plan.line_crew + way.operators)
    if way.mechanised:
        cost += plan.air_m3 * centre["air_per_m3"] + then * (shared + plan.power_kw * centre["electricity_per_kwh"])
        cost += centre[f"runs.{code}"] * plan.mask_change_h * pay * (plan.line_crew + way.operators) / volume
        per_year = mask_costs(centre, plan)[i, 0] / annuity_factor(money.discount_rate, money.years)
        cost += (per_year + plan.masks_each * centre["mask_repair_per_year"]) / volume
    return float(today * pay * (plan.line_crew + plan.operators)), float(cost)


def _why_not(case: Case, plan: Plan, mix: Mix, timed: list[int], i: int, net: float) -> str:
    if mix.chosen[i, 0]:
        return ""
    if i not in timed:
        return "not_timed"
    if mix.worth.get(plan.patterns[i], 0.0) > 0:
        return "limit"
    return "own_mask" if net < 0 else "adds_nothing"


def pattern_rows(case: Case, sample: Sample, plan: Plan, way: Way, mix: Mix) -> tuple[PatternMoney, ...]:
    """One row for each pattern of the plan, in the order of the case."""
    part = sample.rows(0, min(DRAWS, sample.n))
    timed = eligible(plan, way, sample)
    centre = sample.centre()
    used = year(centre, plan, way, mix.chosen).way_hours[0] if mix.chosen.any() else 0.0
    price = float(np.mean(sample[way.price])) if way.price else way.fixed_price
    once = price + centre["installation"] + centre["training"] if way.mechanised else way.step_cost
    shared = (once / annuity_factor(case.money.discount_rate, case.money.years) + way.lease) / used if used else 0.0
    shared += centre["maintenance_per_year"] / used if used and way.mechanised else 0.0
    return tuple(_row(case, part, plan, way, mix, i, timed, shared) for i in range(len(plan.patterns)))


def _row(case: Case, part: Sample, plan: Plan, way: Way, mix: Mix, i: int, timed: list[int], shared: float) -> Any:
    code = plan.patterns[i]
    arguments = (part, plan, way, case.money, mix.chosen, i)
    volume = np.broadcast_to(np.asarray(part[f"molds_per_year.{code}"]), part.n)
    nowhere = Spread(mean=np.inf, low=np.inf, middle=np.inf, high=np.inf)
    net, known = spread(net_saving(*arguments)), i in timed
    run = spread(break_even_run(*arguments)) if known else nowhere
    yearly = spread(break_even_volume(*arguments)) if known else nowhere
    gross = float(_saved(part.changed({f"runs.{code}": 0.0}), plan, way, mix.chosen, i).mean())
    today = SECONDS / float(np.mean(part[rate_name(code, plan.baseline)]))
    then = SECONDS / float(np.mean(part.values.get(rate_name(code, way.method), SECONDS / today)))
    costs = _cost_per_mold(part, plan, way, case.money, i, shared)
    cores = float(sum(core.per_mold for core in case.cores_of(code)))
    molds = float(volume.mean())
    saved = today - then
    return PatternMoney(
        pattern=code,
        masked=bool(mix.chosen[i, 0]),
        forced=code in mix.forced,
        why_not=_why_not(case, plan, mix, timed, i, net.mean),
        molds_per_year=molds,
        run_molds=molds / float(part[f"runs.{code}"]),
        cores_per_mold=cores,
        seconds_baseline=today,
        seconds_candidate=then if known else float("nan"),
        seconds_saved=saved if known else float("nan"),
        saving_per_year=net.mean if known else float("nan"),
        saving_low=net.low if known else float("nan"),
        saving_high=net.high if known else float("nan"),
        saving_per_second=gross / (molds * saved) if known and saved else float("nan"),
        worth=mix.worth.get(code, float("nan")),
        break_even_run_molds=run.middle,
        break_even_run_low=run.low,
        break_even_run_high=run.high,
        break_even_molds_per_year=yearly.middle,
        break_even_year_low=yearly.low,
        break_even_year_high=yearly.high,
        cost_per_mold_baseline=costs[0],
        cost_per_mold_candidate=costs[1] if known else float("nan"),
        cost_per_core_baseline=costs[0] / cores if cores else float("nan"),
        cost_per_core_candidate=costs[1] / cores if cores and known else float("nan"),
    )
