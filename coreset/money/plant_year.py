"""A year of the plant under one way, against as today, at today's prices. In: draws and which patterns go over.

Out: items, positive where the way saves. An hour of the line is either not paid for or sold, never both. Set-ups of a
pattern are the same either way and left out, which makes free hours plenty and the gain from selling them small.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.money.line_hours import Totals, hours
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

WAGE, ENERGY, PRICE, FLAT = "wage", "energy", "price", "flat"
ITEMS = {
    "labour": WAGE,
    "overtime": WAGE,
    "mask_changes": WAGE,
    "throughput": PRICE,
    "scrap": PRICE,
    "maintenance": PRICE,
    "mask_repair": PRICE,
    "floor_space": PRICE,
    "injury": PRICE,
    "air": ENERGY,
    "electricity": ENERGY,
    "lease": FLAT,
}
"""Items of a year and the inflation that each follows."""
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Year:
    """One year against as today, every figure (n,): items in money a year, hours in line hours a year,
    `molds_sold` beyond what could be sold as today.

    `way_hours` are the setter's own, `line_hours` all that the line needs for today's volume under the method.
    `molds` made under the way, (patterns, n). `labour_per_hour` is what the crew of one such line hour costs.
    """

    items: dict[str, Vector]
    hours_saved: Vector
    molds_sold: Vector
    way_hours: Vector
    line_hours: Vector
    molds: Vector
    labour_per_hour: Vector


def pay_per_hour(sample: Sample, plan: Plan) -> Vector:
    """Employer's cost of one person's hour, (n,)."""
    return np.broadcast_to(np.asarray(sample["wage_per_h"]) * sample["employer_factor"] * plan.shift_factor, sample.n)


def _people(sample: Sample, plan: Plan, way: Way, h: Totals) -> dict[str, Vector]:
    """What people cost less: hours not paid for, overtime not worked, mask changes (a cost)."""
    pay = pay_per_hour(sample, plan)
    crew, crew_way = plan.line_crew + plan.operators, plan.line_crew + way.operators
    then = crew * (h.then + h.sold_then) + (crew_way - crew) * h.by_way
    saved = crew * (h.today + h.sold_today) - then
    over = [np.maximum(0.0, t - plan.hours_available) for t in (h.today, h.then + h.changing + h.aside)]
    premium = np.asarray(sample["wage_per_h"]) * plan.overtime_premium
    return {
        "labour": pay * np.where(saved > 0, saved * plan.paid_share, saved),
        "overtime": premium * (crew * over[0] - max(crew, crew_way) * over[1]),
        "mask_changes": -pay * (crew_way * h.changing + crew * h.aside),
    }


def _upkeep(sample: Sample, plan: Plan, way: Way, h: Totals, used: Vector, masked: Vector) -> dict[str, Vector]:
    """What the setter and its masks cost a year; nothing where no pattern goes over."""
    used = used * float(way.mechanised)
    return {
        "maintenance": -used * sample["maintenance_per_year"],
        "mask_repair": -masked * plan.masks_each * float(way.mechanised) * sample["mask_repair_per_year"],
        "floor_space": -used * sample["floor_space_per_year"],
        "injury": used * sample["injury_cost_per_year"],
        "air": -used * h.molds * plan.air_m3 * sample["air_per_m3"],
        "electricity": -used * h.by_way * plan.power_kw * sample["electricity_per_kwh"],
        "lease": -used * way.lease,
    }


def items(sample: Sample, plan: Plan, way: Way, h: Totals, *, used: Vector, masked: Vector) -> dict[str, Vector]:
    """Items of a year from its sums; `used` is 1 where any pattern goes over, `masked` how many do, () or (n,)."""
    goods = {"throughput": h.throughput, "scrap": h.scrap}
    return _people(sample, plan, way, h) | goods | _upkeep(sample, plan, way, h, used, masked)


def year(sample: Sample, plan: Plan, way: Way, chosen: Vector) -> Year:
    """Reckon one year under the way for the chosen patterns.

    Parameters
    ----------
    sample : Sample
        Draws of every input.
    plan : Plan
        What does not vary.
    way : Way
        The way that chosen patterns go over to.
    chosen : ndarray, shape (patterns, 1) or (patterns, n)
        1 where a pattern goes over, 0 where it stays as today.

    Returns
    -------
    Year
        Savings against as today; costs are negative.
    """
    pay = pay_per_hour(sample, plan)
    by_pattern = hours(sample, plan, way, chosen, pay)
    h = by_pattern.totals()
    found = items(sample, plan, way, h, used=chosen.max(axis=0), masked=chosen.sum(axis=0))
    return Year(
        items={name: np.broadcast_to(value, sample.n) for name, value in found.items()},
        hours_saved=h.today - h.then - h.changing - h.aside,
        molds_sold=h.molds_sold,
        way_hours=h.by_way + h.changing,
        line_hours=h.then + h.changing + h.aside,
        molds=by_pattern.molds,
        labour_per_hour=pay * (plan.line_crew + way.operators),
    )
