"""Line hours of a year as today and with some patterns over: what today's volume takes, and what is sold of the rest.

In: draws and which patterns go over. Out: hours and molds by pattern, and their sums over the patterns. An hour of the
line is either not paid for or sold, never both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way, rate_name

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """Sums over the patterns, each (n,).

    Line hours of today's volume and of what is sold beyond it, as today and under the way; hours of mask changes and of
    swinging the setter aside; hours, molds and scrap saved under the way; molds and margin won by selling.
    """

    today: Vector
    then: Vector
    sold_today: Vector
    sold_then: Vector
    changing: Vector
    aside: Vector
    by_way: Vector
    molds: Vector
    molds_sold: Vector
    throughput: Vector
    scrap: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """One year by pattern, (patterns, n). `changing` is the change of masks; `aside`, (n,), the same time for runs by
    hand straight after a masked one, when the setter swings aside.

    `gone` is the share of a pattern that really goes over: 0 where it is not chosen or not held; `per_mold_way` would
    be its hours a mold if it were. `extra` molds could be sold, where a mold's `margin` is above `least` an hour, (n,).
    """

    gone: Vector
    volume: Vector
    per_mold_today: Vector
    per_mold_way: Vector
    per_mold_then: Vector
    changing: Vector
    aside: Vector
    margin: Vector
    scrap_saved: Vector
    extra: Vector
    least: Vector
    more_today: Vector
    more_then: Vector

    @property
    def molds(self) -> Vector:
        """Molds made under the way, (patterns, n)."""
        return self.gone * (self.volume + self.more_then)

    def wanted(self, i: int, per_mold: Vector) -> Vector:
        """Line hours a year that more molds of pattern i could fill at so many hours a mold, (n,)."""
        return self.extra[i] * per_mold * (self.margin[i] > self.least * per_mold)

    def totals(self) -> Totals:
        """The sums over all patterns."""
        molds, more = self.molds, self.more_then - self.more_today
        return Totals(
            today=(self.volume * self.per_mold_today).sum(axis=0),
            then=(self.volume * self.per_mold_then).sum(axis=0),
            sold_today=(self.more_today * self.per_mold_today).sum(axis=0),
            sold_then=(self.more_then * self.per_mold_then).sum(axis=0),
            changing=self.changing.sum(axis=0),
            aside=self.aside,
            by_way=(molds * self.per_mold_then).sum(axis=0),
            molds=molds.sum(axis=0),
            molds_sold=more.sum(axis=0),
            throughput=(self.margin * more).sum(axis=0),
            scrap=(molds * self.scrap_saved).sum(axis=0),
        )


def column(sample: Sample, plan: Plan, field: str, default: float | None = None) -> Vector:
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


def _filled(order: Iterable[int], per_mold: Vector, pool: Vector, wanted: Callable) -> Vector:
    """Molds more that are sold, in order of margin, within demand and the free hours, (patterns, n)."""
    more = np.zeros_like(per_mold)
    left = np.maximum(pool, 0.0)
    for i in order:
        hours = np.minimum(left, wanted(i, per_mold[i]))
        more[i] = hours / per_mold[i]
        left = left - hours
    return more


def _sold(plan: Plan, h: Hours) -> Hours:
    """The same year with free hours sold where that brings more than not paying for them."""
    order = [i for i in plan.order if h.extra[i].any()]
    today = plan.hours_available - (h.volume * h.per_mold_today).sum(axis=0)
    then = plan.hours_available - (h.volume * h.per_mold_then).sum(axis=0)
    then = then - h.changing.sum(axis=0) - h.aside
    return replace(
        h,
        more_today=_filled(order, h.per_mold_today, today, h.wanted),
        more_then=_filled(order, h.per_mold_then, then, h.wanted),
    )


def _aside(plan: Plan, gone: Vector, runs: Vector) -> Vector:
    """Runs a year by hand straight after a masked one, (n,), as the job mix of the line has it.

    Where more or fewer runs are tried, two patterns meet as often more or less as the rarer of them is run.
    """
    meet, scale = plan.follows, runs / plan.runs[:, None]
    after = meet.T @ gone
    if (scale == scale[0]).all():
        return scale[0] * ((1.0 - gone) * after).sum(axis=0)
    other = np.flatnonzero((scale != 1.0).any(axis=1))
    same = np.delete(np.arange(len(runs)), other)
    for i in other:
        after += meet[i, :, None] * gone[i] * (np.minimum(scale[i], scale) - 1.0)
        after[i] += (meet[same, i] @ gone[same]) * (np.minimum(scale[i], 1.0) - 1.0)
    return ((1.0 - gone) * after).sum(axis=0)


def hours(sample: Sample, plan: Plan, way: Way, chosen: Vector, pay: Vector) -> Hours:
    """Line hours of a year as today and with the chosen patterns under the way."""
    gone = np.broadcast_to(chosen, (len(plan.patterns), sample.n))
    gone = gone * column(sample, plan, "held", 1.0) if way.mechanised else gone
    castings = np.asarray(plan.castings)[:, None]
    today, by_way = _hours_per_mold(sample, plan, way)
    change = plan.mask_change_h if way.mechanised else 0.0
    counted = column(sample, plan, "scrap", 0.0) if way.method == plan.candidate else np.zeros_like(castings)
    nothing, runs = np.zeros_like(today), column(sample, plan, "runs")
    found = Hours(
        gone=gone,
        volume=column(sample, plan, "molds_per_year"),
        per_mold_today=today,
        per_mold_way=by_way,
        per_mold_then=gone * by_way + (1.0 - gone) * today,
        changing=change * gone * runs,
        aside=change * _aside(plan, gone, runs) if change else nothing[0],
        margin=column(sample, plan, "margin_per_casting") * castings,
        scrap_saved=np.asarray(plan.scrap_cost)[:, None] * castings * counted,
        extra=column(sample, plan, "extra_molds_per_year") if plan.fills_hours else nothing,
        least=pay * (plan.line_crew + plan.operators) * plan.paid_share,
        more_today=nothing,
        more_then=nothing,
    )
    return _sold(plan, found) if found.extra.any() else found
