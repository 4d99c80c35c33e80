"""A year of the plant under one way, against as today, at today's prices. In: draws and which patterns go over.

Out: items, positive where the way saves. An hour of the line is either not paid for or sold, never both. Set-ups of a
pattern are the same either way and left out, which makes free hours plenty and the gain from selling them small.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.money.plan import Plan, Way, rate_name
from coreset.money.sample import Sample

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
class Hours:
    """Line hours a year, (patterns, n) or (n,): as today and then, and what is sold of the free ones.

    `gone` is the share of a pattern that really goes over: 0 where it is not chosen or not held. `changing` is the
    change of masks, `aside` the same time for runs by hand straight after a masked one, when the setter swings aside.
    """

    gone: Vector
    volume: Vector
    per_mold_today: Vector
    per_mold_then: Vector
    changing: Vector
    aside: Vector
    more_today: Vector
    more_then: Vector

    @property
    def today(self) -> Vector:
        """Hours that today's volume takes as today."""
        return (self.volume * self.per_mold_today).sum(axis=0)

    @property
    def then(self) -> Vector:
        """Hours that today's volume takes under the way, mask changes aside."""
        return (self.volume * self.per_mold_then).sum(axis=0)

    @property
    def sold_today(self) -> Vector:
        """Hours that can be filled with more molds already as today."""
        return (self.more_today * self.per_mold_today).sum(axis=0)

    @property
    def sold_then(self) -> Vector:
        """Hours that can be filled with more molds under the way."""
        return (self.more_then * self.per_mold_then).sum(axis=0)

    @property
    def by_way(self) -> Vector:
        """Hours worked under the way, mask changes aside."""
        return (self.gone * (self.volume + self.more_then) * self.per_mold_then).sum(axis=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Year:
    """One year against as today, every figure (n,): items in money a year, hours in line hours a year,
    `molds_sold` beyond what could be sold as today.

    `molds` made under the way, (patterns, n). `labour_per_hour` is what the crew of one such line hour costs.
    """

    items: dict[str, Vector]
    hours_saved: Vector
    molds_sold: Vector
    way_hours: Vector
    molds: Vector
    labour_per_hour: Vector


def _column(sample: Sample, plan: Plan, field: str, default: float | None = None) -> Vector:
    """One input of every pattern, (patterns, n)."""
    found = np.empty((len(plan.patterns), sample.n))
    for k, code in enumerate(plan.patterns):
        name = f"{field}.{code}"
        found[k] = sample.values[name] if default is None else sample.values.get(name, default)
    return found


def _hours_per_mold(sample: Sample, plan: Plan, way: Way) -> tuple[Vector, Vector]:
    """Line hours a mold as today and under the way; while the setter is down, cores are set as today."""
    today, then = np.empty((2, len(plan.patterns), sample.n))
    for k, code in enumerate(plan.patterns):
        now = sample[rate_name(code, plan.baseline)]
        today[k] = 1.0 / np.asarray(now)
        then[k] = 1.0 / np.asarray(sample.values.get(rate_name(code, way.method), now))
    down = plan.downtime if way.mechanised else 0.0
    return today, ((1.0 - down) * then + down * today if down else then)


def _filled(plan: Plan, per_mold: Vector, pool: Vector, wanted: Vector, worth_it: Vector) -> Vector:
    """Molds more that are sold, in order of margin, within demand and the free hours, (patterns, n)."""
    more = np.zeros_like(per_mold)
    left = np.maximum(pool, 0.0)
    for i in plan.order:
        hours = np.minimum(left, wanted[i] * per_mold[i] * worth_it[i])
        more[i] = hours / per_mold[i]
        left = left - hours
    return more


def hours(sample: Sample, plan: Plan, way: Way, chosen: Vector, pay: Vector) -> Hours:
    """Line hours of a year as today and with the chosen patterns under the way."""
    gone = np.broadcast_to(chosen, (len(plan.patterns), sample.n))
    gone = gone * _column(sample, plan, "held", 1.0) if way.mechanised else gone
    volume, wanted = _column(sample, plan, "molds_per_year"), _column(sample, plan, "extra_molds_per_year")
    today, then = _hours_per_mold(sample, plan, way)
    then = gone * then + (1.0 - gone) * today
    changing, aside = _changes(sample, plan, gone) if way.mechanised else np.zeros((2, sample.n))
    more = [np.zeros_like(today)] * 2
    if plan.fills_hours and wanted.any():
        margin = _column(sample, plan, "margin_per_casting") * np.asarray(plan.castings)[:, None]
        worth = pay * (plan.line_crew + plan.operators) * plan.paid_share
        busy = (volume * today).sum(axis=0), (volume * then).sum(axis=0) + changing + aside
        more = [
            _filled(plan, each, plan.hours_available - taken, wanted, margin > worth * each)
            for each, taken in zip((today, then), busy, strict=True)
        ]
    return Hours(
        gone=gone,
        volume=volume,
        per_mold_today=today,
        per_mold_then=then,
        changing=changing,
        aside=aside,
        more_today=more[0],
        more_then=more[1],
    )


def _changes(sample: Sample, plan: Plan, gone: Vector) -> tuple[Vector, Vector]:
    """Hours a year of mask changes, and of swinging the setter aside before runs by hand, each (n,).

    As the job mix of the line has it: a run by hand straight after a masked one takes as long as a change of mask.
    Where more or fewer runs are tried, two patterns meet as often more or less as the rarer of them is run.
    """
    runs, meet = _column(sample, plan, "runs"), np.asarray(plan.follows)
    scale = runs / np.asarray(plan.runs)[:, None]
    other = np.flatnonzero((scale != 1.0).any(axis=1))
    after, same = meet.T @ gone, np.delete(np.arange(len(runs)), other)
    for i in other:
        after += meet[i, :, None] * gone[i] * (np.minimum(scale[i], scale) - 1.0)
        after[i] += (meet[same, i] @ gone[same]) * (np.minimum(scale[i], 1.0) - 1.0)
    aside = ((1.0 - gone) * after).sum(axis=0)
    return plan.mask_change_h * (gone * runs).sum(axis=0), plan.mask_change_h * aside


def _people(sample: Sample, plan: Plan, way: Way, h: Hours, pay: Vector) -> dict[str, Vector]:
    """What people cost less: hours not paid for, overtime not worked, mask changes (a cost)."""
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


def _goods(sample: Sample, plan: Plan, way: Way, h: Hours) -> dict[str, Vector]:
    """What more or better castings bring."""
    castings = np.asarray(plan.castings)[:, None]
    margin = _column(sample, plan, "margin_per_casting") * castings
    cost = np.asarray(plan.scrap_cost)[:, None] * castings
    saved = _column(sample, plan, "scrap", 0.0) if way.method == plan.candidate else np.zeros_like(castings)
    return {
        "throughput": (margin * (h.more_then - h.more_today)).sum(axis=0),
        "scrap": (h.gone * (h.volume + h.more_then) * cost * saved).sum(axis=0),
    }


def _upkeep(sample: Sample, plan: Plan, way: Way, h: Hours, chosen: Vector) -> dict[str, Vector]:
    """What the setter and its masks cost a year; nothing where no pattern goes over."""
    used = np.max(chosen, axis=0) * float(way.mechanised)
    masks = chosen.sum(axis=0) * plan.masks_each * float(way.mechanised)
    molds = (h.gone * (h.volume + h.more_then)).sum(axis=0)
    return {
        "maintenance": -used * sample["maintenance_per_year"],
        "mask_repair": -masks * sample["mask_repair_per_year"],
        "floor_space": -used * sample["floor_space_per_year"],
        "injury": used * sample["injury_cost_per_year"],
        "air": -used * molds * plan.air_m3 * sample["air_per_m3"],
        "electricity": -used * h.by_way * plan.power_kw * sample["electricity_per_kwh"],
        "lease": -used * way.lease,
    }


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
    pay = np.asarray(sample["wage_per_h"]) * sample["employer_factor"] * plan.shift_factor
    pay = np.broadcast_to(pay, sample.n)
    h = hours(sample, plan, way, chosen, pay)
    items = _people(sample, plan, way, h, pay) | _goods(sample, plan, way, h) | _upkeep(sample, plan, way, h, chosen)
    return Year(
        items={name: np.broadcast_to(value, sample.n) for name, value in items.items()},
        hours_saved=h.today - h.then - h.changing - h.aside,
        molds_sold=(h.more_then - h.more_today).sum(axis=0),
        way_hours=h.by_way + h.changing,
        molds=h.gone * (h.volume + h.more_then),
        labour_per_hour=pay * (plan.line_crew + way.operators),
    )
