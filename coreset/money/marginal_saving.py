"""One pattern beside the rest of the chosen set: what its going over saves a year, at any volume and run length.

In: draws and the chosen set, summed up once. Out: savings of one pattern. Only that pattern is reckoned anew, and where
the others' sales of free hours end is looked up, so that the work does not grow with the square of the patterns.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.money.line_hours import Hours, Totals, hours
from coreset.money.plant_year import items, pay_per_hour
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

Vector = NDArray[np.float64]
SHARED = frozenset({"maintenance", "floor_space", "injury", "lease"})
"""Items of the machine, however many patterns use it."""
SOLD = ("hours", "molds", "margin", "way_hours", "way_molds", "scrap")
"""What an hour of the line that is sold brings of each, the columns of `Sales`."""


def _per_hour(h: Hours, per_mold: Vector, gone: Vector, i: int) -> Vector:
    """What an hour sold of pattern i brings, (n, columns of SOLD)."""
    each = 1.0 / per_mold
    margin, scrap = h.margin[i] * each, gone * each * h.scrap_saved[i]
    return np.stack(np.broadcast_arrays(np.ones_like(each), each, margin, gone, gone * each, scrap), axis=1)


@dataclass(frozen=True, slots=True)
class Sales:
    """Free hours sold in order of margin: `ends` (sold + 1, n) are the hours gone after each pattern, `totals`
    (sold + 1, n, SOLD) what they have brought by then, `rates` (sold, n, SOLD) what one hour of each brings.
    """

    order: tuple[int, ...]
    ends: Vector
    rates: Vector
    totals: Vector

    @classmethod
    def of(cls, plan: Plan, h: Hours, per_mold: Vector, gone: Vector) -> Sales:
        """The sales of a year where everything wanted could be sold."""
        order = tuple(i for i in plan.order if h.extra[i].any())
        n = per_mold.shape[1]
        filled = [h.wanted(i, per_mold[i]) for i in order]
        rates = [_per_hour(h, per_mold[i], gone[i], i) for i in order]
        brought = [each[:, None] * rate for each, rate in zip(filled, rates, strict=True)]
        return cls(
            order=order,
            ends=np.cumsum([np.zeros(n), *filled], axis=0),
            rates=np.array(rates).reshape(len(order), n, len(SOLD)),
            totals=np.cumsum([np.zeros((n, len(SOLD))), *brought], axis=0),
        )

    def up_to(self, pool: Vector) -> Vector:
        """What so many free hours bring, (n, SOLD)."""
        if not self.order:
            return np.zeros((pool.size, len(SOLD)))
        rows, k = np.arange(pool.size), (self.ends[1:] <= pool).sum(axis=0)
        begun = np.minimum(k, len(self.order) - 1)
        part = np.where(k < len(self.order), pool - self.ends[k, rows], 0.0)
        return self.totals[k, rows] + part[:, None] * self.rates[begun, rows]

    def changed(self, pool: Vector, i: int, wanted: Vector, rate: Vector) -> Vector:
        """The same where pattern i wants other hours that bring otherwise."""
        pool = np.maximum(pool, 0.0)
        if i not in self.order:
            return self.up_to(pool)
        place = self.order.index(i)
        start, end = self.ends[place], self.ends[place + 1]
        own = np.clip(pool - start, 0.0, wanted)[:, None] * rate
        beyond = np.maximum(pool - start - wanted, 0.0)
        return self.up_to(np.minimum(pool, start)) + own + self.up_to(end + beyond) - self.totals[place + 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The chosen set, (patterns, 1), summed up; `plain` are the sums of today's volume, sales aside, each (n,).

    `before` and `behind`, (patterns, n): runs a year of a pattern straight after a run by the way, and runs by hand
    straight after one of the pattern, runs of the pattern itself aside.
    """

    sample: Sample
    plan: Plan
    way: Way
    chosen: Vector
    hours: Hours
    plain: dict[str, Vector]
    before: Vector
    behind: Vector
    sales_today: Sales
    sales_then: Sales


def beside(sample: Sample, plan: Plan, way: Way, chosen: Vector) -> Beside:
    """Sum up a chosen set over the draws."""
    h = hours(sample, plan, way, chosen, pay_per_hour(sample, plan))
    meet = plan.follows - np.diag(np.diag(plan.follows))
    every = _one(h, slice(None), h.gone, h.per_mold_then, h.volume, h.changing)
    return Beside(
        sample=sample,
        plan=plan,
        way=way,
        chosen=chosen,
        hours=h,
        plain={name: values.sum(axis=0) for name, values in every.items()},
        before=meet.T @ h.gone,
        behind=meet @ (1.0 - h.gone),
        sales_today=Sales.of(plan, h, h.per_mold_today, np.zeros_like(h.gone)),
        sales_then=Sales.of(plan, h, h.per_mold_then, h.gone),
    )


def _one(h: Hours, i: Any, gone: Vector, per_mold: Vector, volume: Vector, changing: Vector) -> dict[str, Vector]:
    """What a pattern by itself adds to the sums, sales aside."""
    return {
        "today": volume * h.per_mold_today[i],
        "then": volume * per_mold,
        "changing": changing,
        "by_way": gone * volume * per_mold,
        "molds": gone * volume,
        "scrap": gone * volume * h.scrap_saved[i],
    }


def _meets(b: Beside, i: int, gone: Vector) -> Vector:
    """Runs by hand straight after one by the way in which pattern i has a part, (n,)."""
    return (1.0 - gone) * b.before[i] + gone * b.behind[i]


def _totals(b: Beside, i: int, goes: float, volume: Vector, runs: Vector) -> Totals:
    """The sums of the set where pattern i goes over (1) or not (0), at some volume and runs."""
    h, plan, mechanised = b.hours, b.plan, b.way.mechanised
    held = b.sample.values.get(f"held.{plan.patterns[i]}", 1.0) if mechanised else 1.0
    gone = np.broadcast_to(np.multiply(held, goes), b.sample.n)
    per_mold = gone * h.per_mold_way[i] + (1.0 - gone) * h.per_mold_today[i]
    change = plan.mask_change_h if mechanised else 0.0
    changing = change * gone * runs
    old = _one(h, i, h.gone[i], h.per_mold_then[i], h.volume[i], h.changing[i])
    found = {
        name: b.plain[name] - old[name] + new for name, new in _one(h, i, gone, per_mold, volume, changing).items()
    }
    rarer = np.minimum(np.asarray(runs) / plan.runs[i], 1.0)
    aside = h.aside + change * (rarer * _meets(b, i, gone) - _meets(b, i, h.gone[i]))
    today = b.sales_today.up_to(np.maximum(plan.hours_available - found["today"], 0.0)).T
    free = plan.hours_available - found["then"] - found["changing"] - aside
    then = b.sales_then.changed(free, i, h.wanted(i, per_mold), _per_hour(h, per_mold, gone, i)).T
    return Totals(
        today=found["today"],
        then=found["then"],
        sold_today=today[0],
        sold_then=then[0],
        changing=found["changing"],
        aside=aside,
        by_way=found["by_way"] + then[3],
        molds=found["molds"] + then[4],
        molds_sold=then[1] - today[1],
        throughput=then[2] - today[2],
        scrap=found["scrap"] + then[5],
    )


def saved(b: Beside, i: int, *, volume: Vector | None = None, runs: Vector | float | None = None) -> Vector:
    """What pattern i's going over saves a year beside the rest of the chosen set, before its mask, (n,).

    What the machine costs however many patterns use it is left out, unless no other pattern uses it. [currency/year]

    Parameters
    ----------
    b : Beside
        The chosen set summed up.
    i : int
        Place of the pattern in the plan.
    volume, runs : array_like, optional
        Molds and runs a year in place of the sample's, () or (n,).
    """
    volume = b.hours.volume[i] if volume is None else volume
    runs = b.sample[f"runs.{b.plan.patterns[i]}"] if runs is None else runs
    others = float(b.chosen.sum() - b.chosen[i, 0])
    out = {"mask_repair"} | (SHARED if others else set())
    found = []
    for goes in (1.0, 0.0):
        h, count = _totals(b, i, goes, volume, runs), others + goes
        found.append(items(b.sample, b.plan, b.way, h, used=np.float64(count > 0), masked=np.float64(count)))
    return sum(found[0][name] - found[1][name] for name in found[0] if name not in out) + np.zeros(b.sample.n)
