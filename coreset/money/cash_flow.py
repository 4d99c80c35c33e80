"""Cash flow by year, nominal, against as today. In: draws, a way, the chosen patterns. Out: flows and their parts.

Prices and wages are entered as of today and grow to the end of each year; the residual value is in money of its day.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.money.discount import growth
from coreset.money.plant_year import ENERGY, FLAT, ITEMS, PRICE, WAGE, Year, year
from coreset.money.ramp_up import extra_molds
from coreset.money.simulation_inputs import MASK, Sample
from coreset.money.tax import after_tax, shares_by_year, written_off
from coreset.money.year_plan import Plan, Way

BLOCK_CELLS, LEAST_BLOCK = 65_536, 256
"""Draws times patterns reckoned at a time, so that the work stays in the processor's cache; draws at least."""
WORN_AT = 1e-9
"""Share of a mask's life that is rounding, not wear."""
VECTORS = ("total", "first_cost", "yearly", "way_hours", "line_hours", "hours_saved", "molds_sold")
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Cash flows of a way against as today.

    `total` (n, years + 1) after tax; `means` is the mean of each part by year (years + 1,), which add up to the mean
    of the total; `first_cost` (n,); `yearly` (n,) is the saving of a year at today's prices without tax; hours (n,) of
    the line a year.
    """

    total: Vector
    means: dict[str, Vector]
    first_cost: Vector
    yearly: Vector
    way_hours: Vector
    line_hours: Vector
    hours_saved: Vector
    molds_sold: Vector


def _inflation(money: Money) -> dict[str, Vector]:
    rates = {WAGE: money.wage_inflation, ENERGY: money.energy_inflation, PRICE: money.price_inflation, FLAT: 0.0}
    return {name: growth(rate, money.years) for name, rate in rates.items()}


def _outlay(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector) -> dict[str, Vector]:
    """What is paid now, by part, positive. Masks by pattern; the rest once if any pattern goes over."""
    used = np.broadcast_to(np.max(chosen, axis=0), sample.n)
    parts = {"step": used * way.step_cost}
    if not way.mechanised:
        return parts
    share = chosen / np.maximum(1.0, chosen.sum(axis=0))
    scrap = (share * np.asarray(plan.scrap_cost)[:, None]).sum(axis=0) * money.commissioning_scrap
    price = sample[way.price] if way.price else way.fixed_price
    return parts | {
        "setter": used * price,
        "installation": used * sample["installation"],
        "training": used * sample["training"],
        "commissioning": used * scrap,
        "masks": (mask_costs(sample, plan) * chosen).sum(axis=0) * np.ones(sample.n),
    }


def mask_cost(sample: Sample, plan: Plan, i: int) -> Vector | float:
    """Cost of the masks of one pattern, spares included, (n,) or ()."""
    return np.asarray(sample.values.get(f"{MASK}.{plan.patterns[i]}", sample[MASK])) * plan.masks_each


def mask_costs(sample: Sample, plan: Plan) -> Vector:
    """Cost of the masks of each pattern, spares included, (patterns, n)."""
    costs = np.empty((len(plan.patterns), sample.n))
    for i in range(len(plan.patterns)):
        costs[i] = mask_cost(sample, plan, i)
    return costs


def bought_again(lives: Vector) -> Vector:
    """Masks bought again by the time that so many lives of one are worn; none for a life that just ends. [-]"""
    return np.maximum(0.0, np.ceil(lives - WORN_AT) - 1.0)


def _replaced(plan: Plan, money: Money, chosen: Vector, each: Vector, y: Year) -> Vector:
    """Cost of masks bought again in each year because their life in molds ran out, (years, n)."""
    found = np.zeros((money.years, y.molds.shape[1]))
    if not plan.mask_life:
        return found
    rows = np.flatnonzero(y.molds.max(axis=1) * money.years > plan.mask_life)
    used, price = y.molds[rows] / plan.mask_life, each[rows] * chosen[rows] / plan.masks_each
    before = np.zeros_like(used)
    for t in range(1, money.years + 1):
        bought = bought_again(used * t)
        found[t - 1] = ((bought - before) * price).sum(axis=0)
        before = bought
    return found


def _learning(plan: Plan, money: Money, y: Year) -> Vector:
    """Labour lost in each year until the crew works at standard, at today's wage, (years, n)."""
    made = y.molds.sum(axis=0)
    by_then = made * np.arange(money.years + 1.0)[:, None]
    lost = np.diff(extra_molds(by_then, start=money.ramp_up_start, molds=money.ramp_up_molds), axis=0)
    return lost * y.way_hours / np.maximum(made, 1.0) * y.labour_per_hour


def _parts(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector) -> tuple[dict, dict, Year]:
    """Outlays (n,), parts of the running years (n, years + 1), and the year behind them."""
    y, up = year(sample, plan, way, chosen), _inflation(money)
    running = {name: y.items[name][:, None] * up[kind] for name, kind in ITEMS.items() if np.any(y.items[name])}
    for values in running.values():
        values[:, 0] = 0.0
    if way.mechanised:
        each = mask_costs(sample, plan)
        extra = {
            "mask_replacement": (_replaced(plan, money, chosen, each, y), PRICE),
            "ramp_up": (_learning(plan, money, y), WAGE),
        }
        for name, (by_year, kind) in extra.items():
            if np.any(by_year):
                running[name] = -np.stack([np.zeros(sample.n), *by_year], axis=1) * up[kind]
    return _outlay(sample, plan, way, money, chosen), running, y


def _taxed(total: Vector, outlay: dict, bought: Vector, sold: Vector, money: Money) -> Vector:
    """Flows after tax: training, commissioning and steps are written off at once, the rest by the rule.

    Masks `bought` again, (n, years + 1), are written off at once too, or by the rule from the year they are bought.
    """
    shares = shares_by_year(
        money.depreciation,
        years=money.depreciation_years,
        own=money.depreciation_own,
        first_year_share=money.first_year_share,
        quarter=money.macrs_quarter,
    )
    used = written_off(shares, years=money.years, half_in_disposal=money.depreciation.startswith("macrs"))
    lasting = sum(outlay[name] for name in ("setter", "installation", "masks") if name in outlay)
    at_once = sum(outlay[name] for name in ("training", "commissioning", "step") if name in outlay)
    total = after_tax(total, cost=np.asarray(lasting), shares=used, tax_rate=money.tax_rate, salvage=sold)
    total[:, 1] += money.tax_rate * at_once
    if money.masks_capitalised:
        total[:, 1:] += money.tax_rate * (_written_later(bought[:, 1:], shares) - bought[:, 1:])
    return total


def _written_later(bought: Vector, shares: Vector) -> Vector:
    """What is written off by year of things bought in each year, both (n, years); the rest of it in the last year."""
    years = bought.shape[1]
    used = np.zeros(years)
    used[: min(years, shares.size)] = shares[:years]
    written = np.stack([(bought[:, : t + 1] * used[t::-1]).sum(axis=1) for t in range(years)], axis=1)
    written[:, -1] += bought.sum(axis=1) - written.sum(axis=1)
    return written


def _block(sample: Sample, plan: Plan, way: Way, money: Money, chosen: Vector) -> Flow:
    outlay, running, y = _parts(sample, plan, way, money, chosen)
    used = np.broadcast_to(np.max(chosen, axis=0), sample.n)
    sold = used * sample["residual"] if way.price == "setter_price" else np.zeros(sample.n)
    total = np.zeros((sample.n, money.years + 1))
    for values in running.values():
        total += values
    first = sum(outlay.values())
    total[:, 0] -= first
    means = {name: values.mean(axis=0) for name, values in running.items()}
    now = np.arange(money.years + 1.0) == 0
    means |= {name: -value.mean() * now for name, value in outlay.items() if np.any(value)}
    if np.any(sold):
        means["residual"] = sold.mean() * now[::-1]
    if money.tax_rate:
        before = total.mean(axis=0) + sold.mean() * now[::-1]
        bought = -running.get("mask_replacement", np.zeros_like(total))
        total = _taxed(total, outlay, bought, sold, money)
        means["tax"] = total.mean(axis=0) - before
    else:
        total[:, -1] += sold
    return Flow(
        total=total,
        means=means,
        first_cost=np.broadcast_to(first, sample.n),
        yearly=sum(y.items.values()),
        way_hours=y.way_hours,
        line_hours=y.line_hours,
        hours_saved=y.hours_saved,
        molds_sold=y.molds_sold,
    )


def _unwatched(draws: int) -> None:
    """Progress that nobody watches."""


def cash_flow(
    sample: Sample,
    plan: Plan,
    way: Way,
    money: Money,
    chosen: Vector,
    *,
    progress: Callable[[int], None] = _unwatched,
) -> Flow:
    """Cash flow of one way for the chosen patterns, over all draws.

    Parameters
    ----------
    sample, plan, way : Sample, Plan, Way
        Draws, what does not vary, and the way.
    money : Money
        Years, inflation, tax, life of masks, learning.
    chosen : ndarray, shape (patterns, 1) or (patterns, n)
        1 where a pattern goes over.
    progress : callable
        Told the number of draws of each block when it is done.

    Returns
    -------
    Flow
    """
    blocks, sizes = [], []
    block = max(LEAST_BLOCK, BLOCK_CELLS // len(plan.patterns))
    for start in range(0, sample.n, block):
        stop = min(start + block, sample.n)
        part = chosen if chosen.shape[1] == 1 else chosen[:, start:stop]
        blocks.append(_block(sample.rows(start, stop), plan, way, money, part))
        sizes.append((stop - start) / sample.n)
        progress(stop - start)
    names = dict.fromkeys(name for block in blocks for name in block.means)
    zero = np.zeros(money.years + 1)
    weighted = list(zip(blocks, sizes, strict=True))
    return Flow(
        means={name: sum(b.means.get(name, zero) * w for b, w in weighted) for name in names},
        **{name: np.concatenate([getattr(b, name) for b in blocks]) for name in VECTORS},
    )
