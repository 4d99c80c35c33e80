"""Pattern by pattern: what going over saves, from which run length and volume on, and what a mold costs each way.

In: draws, plan, way and the chosen set. Out: one row a pattern. The setter itself is paid by all patterns together;
a pattern by itself must earn its own mask and its mask changes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money
from coreset.money.cash_flow import bought_again, mask_cost
from coreset.money.chances import spread
from coreset.money.discount import annuity_factor
from coreset.money.marginal_saving import Beside, beside, saved
from coreset.money.pattern_choice import Mix, eligible
from coreset.money.plant_year import year
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way, rate_name

DRAWS = 800
"""Draws behind the intervals of one pattern."""
HALVINGS = 13
FARTHEST = 50.0
BREAK_EVENS = (
    "break_even_run_molds",
    "break_even_run_low",
    "break_even_run_high",
    "break_even_molds_per_year",
    "break_even_year_low",
    "break_even_year_high",
)
SECONDS = 3600.0
Vector = NDArray[np.float64]

LEAST_VOLUME = 1e-6
"""Volume that stands for none, so that a share of it is defined. [molds/year]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternMoney:
    """One pattern. `masked`: goes over in the chosen set. `why_not`: not_timed, own_mask, adds_nothing or limit.

    `saving_per_year` is what its going over saves a year at today's prices, its own mask spread over the years;
    `saving_per_second` what a second off its mold cycle is worth a mold, before changes and mask; `mask_per_year` what
    its masks cost a year;
    `worth` the same over the whole reckoning, discounted. Break-evens are infinite where there is none.
    Seconds are of the line, stops and uptime in them. Costs of a mold and a core hold labour of the line; assisted
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


def _mask(b: Beside, money: Money, i: int, volume: Vector) -> Vector:
    """What a pattern's masks cost a year: the first ones spread by annuity, later ones evenly, and repair, (n,)."""
    if not b.way.mechanised:
        return np.zeros(b.sample.n)
    each = mask_cost(b.sample, b.plan, i)
    worn = bought_again(volume * money.years / b.plan.mask_life) if b.plan.mask_life else 0.0
    later = each / b.plan.masks_each * worn / money.years
    repair = b.plan.masks_each * np.asarray(b.sample["mask_repair_per_year"])
    return each / annuity_factor(money.discount_rate, money.years) + later + repair + np.zeros(b.sample.n)


def _first_gain(saving: Callable[[Vector], Vector], low: Vector, high: Vector) -> Vector:
    """Where a rising saving turns positive, draw by draw, by halving the ratio; infinite where it has not by `high`."""
    reached, low, high = saving(high) > 0, low.copy(), high.copy()
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        gains = saving(middle) > 0
        low, high = np.where(gains, low, middle), np.where(gains, middle, high)
    return np.where(reached, high, np.inf)


def net_saving(b: Beside, money: Money, i: int, volume: Vector | None = None, runs: Any = None) -> Vector:
    """What pattern i's going over saves a year, its own mask paid, (n,). [currency/year]"""
    volume = b.hours.volume[i] if volume is None else volume
    return saved(b, i, volume=volume, runs=runs) - _mask(b, money, i, volume)


def break_even_run(b: Beside, money: Money, i: int) -> Vector:
    """Run length from which a pattern earns its changes and mask at the same yearly volume, (n,). [molds]"""
    volume = b.hours.volume[i]

    def saving(run: Vector) -> Vector:
        return net_saving(b, money, i, volume, volume / run)

    return _first_gain(saving, np.ones_like(volume), np.maximum(volume, 1.0))


def break_even_volume(b: Beside, money: Money, i: int) -> Vector:
    """Yearly volume from which a pattern earns its mask at the same run length, (n,). [molds/year]

    Looked for between a fiftieth and fifty times of today's volume.
    """
    volume = np.maximum(b.hours.volume[i], LEAST_VOLUME)
    runs = np.asarray(b.sample[f"runs.{b.plan.patterns[i]}"])

    def saving(made: Vector) -> Vector:
        return net_saving(b, money, i, made, runs * made / volume)

    return _first_gain(saving, volume / FARTHEST, volume * FARTHEST)


def _cost_per_mold(centre: Sample, plan: Plan, way: Way, money: Money, i: int, shared: float) -> tuple[float, float]:
    """Labour of a mold as today; the same under the way with air, changes, mask and share of the setter."""
    pay = centre["wage_per_h"] * centre["employer_factor"] * plan.shift_factor
    code = plan.patterns[i]
    today = 1.0 / centre[rate_name(code, plan.baseline)]
    then = 1.0 / centre.values.get(rate_name(code, way.method), 1.0 / today)
    volume = centre[f"molds_per_year.{code}"]
    cost = then * pay * (plan.line_crew + way.operators)
    if way.mechanised:
        cost += plan.air_m3 * centre["air_per_m3"] + then * (shared + plan.power_kw * centre["electricity_per_kwh"])
        cost += centre[f"runs.{code}"] * plan.mask_change_h * pay * (plan.line_crew + way.operators) / volume
        per_year = mask_cost(centre, plan, i) / annuity_factor(money.discount_rate, money.years)
        cost += (per_year + plan.masks_each * centre["mask_repair_per_year"]) / volume
    return float(today * pay * (plan.line_crew + plan.operators)), float(cost)


def _why_not(plan: Plan, mix: Mix, i: int, net: float) -> str:
    if mix.chosen[i, 0]:
        return ""
    if mix.worth.get(plan.patterns[i], 0.0) > 0:
        return "limit"
    return "own_mask" if net < 0 else "adds_nothing"


def pattern_rows(case: Case, sample: Sample, plan: Plan, way: Way, mix: Mix) -> tuple[PatternMoney, ...]:
    """One row for each pattern of the plan, in the order of the case."""
    part = sample.rows(0, min(DRAWS, sample.n))
    timed, b = set(eligible(plan, way, sample)), beside(part, plan, way, mix.chosen)
    means = part.centre()
    shared = _shared(case, sample.centre(), plan, way, mix)
    cores = _cores(case)
    return tuple(
        PatternMoney(
            forced=code in mix.forced,
            masked=bool(mix.chosen[i, 0]),
            worth=mix.worth.get(code, math.nan),
            **_times(b, i, i in timed),
            **_savings(case, b, mix, i, i in timed),
            **_costs(case, means, plan, way, i, shared if i in timed else math.nan, cores.get(code, 0.0)),
        )
        for i, code in enumerate(plan.patterns)
    )


def _cores(case: Case) -> dict[str, float]:
    """Cores in one mold by pattern."""
    found: dict[str, float] = {}
    for core in case.cores:
        found[core.pattern] = found.get(core.pattern, 0.0) + core.per_mold
    return found


def _shared(case: Case, centre: Sample, plan: Plan, way: Way, mix: Mix) -> float:
    """What the machine costs for each hour that the chosen set uses it."""
    used = year(centre, plan, way, mix.chosen).way_hours[0]
    if not (way.mechanised and used):
        return 0.0
    price = centre[way.price] if way.price else way.fixed_price
    once = price + centre["installation"] + centre["training"]
    a_year = once / annuity_factor(case.money.discount_rate, case.money.years)
    return (a_year + way.lease + centre["maintenance_per_year"]) / used


def _times(b: Beside, i: int, known: bool) -> dict[str, Any]:
    """Volume, run and line seconds of one pattern."""
    code, part = b.plan.patterns[i], b.sample
    molds = float(np.mean(part[f"molds_per_year.{code}"]))
    today = SECONDS / float(np.mean(part[rate_name(code, b.plan.baseline)]))
    then = SECONDS / float(np.mean(part.values.get(rate_name(code, b.way.method), SECONDS / today)))
    return {
        "pattern": code,
        "molds_per_year": molds,
        "run_molds": molds / float(part[f"runs.{code}"]),
        "seconds_baseline": today,
        "seconds_candidate": then if known else math.nan,
        "seconds_saved": today - then if known else math.nan,
    }


def _savings(case: Case, b: Beside, mix: Mix, i: int, known: bool) -> dict[str, Any]:
    """What going over saves, from which run and volume on, or why it does not."""
    if not known:
        names = ("saving_per_year", "saving_low", "saving_high", "saving_per_second", "mask_per_year")
        return dict.fromkeys(names, math.nan) | dict.fromkeys(BREAK_EVENS, math.inf) | {"why_not": "not_timed"}
    makers = {"saving": net_saving, "run": break_even_run, "volume": break_even_volume}
    draws = {name: make(b, case.money, i) for name, make in makers.items()}
    net, run, volume = (spread(each) for each in draws.values())
    edges = (run.middle, run.low, run.high, volume.middle, volume.low, volume.high)
    seconds = _times(b, i, known)
    gross = float(saved(b, i, runs=0.0).mean())
    of_mold = seconds["molds_per_year"] * seconds["seconds_saved"]
    return dict(zip(BREAK_EVENS, edges, strict=True)) | {
        "saving_per_year": net.mean,
        "saving_low": net.low,
        "saving_high": net.high,
        "saving_per_second": gross / of_mold if of_mold else math.nan,
        "mask_per_year": float(_mask(b, case.money, i, b.hours.volume[i]).mean()),
        "why_not": _why_not(b.plan, mix, i, net.mean),
        "draws": draws,
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
