"""Which patterns go over: the best set, the next-best, and what each pattern adds.

Every set is weighed at the mean of every input; the best few are then compared over draws, which decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.money.discount import npv
from coreset.money.flow import cash_flow
from coreset.money.plan import Plan, Way, rate_name
from coreset.money.sample import Sample
from coreset.money.select import SEARCHED, NoSet, all_sets, by_program

SHOWN = 5
DRAWS = 4096
"""Draws on which the best sets are compared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSet:
    """One set of patterns with its mean worth over the draws compared, and what it takes."""

    patterns: tuple[str, ...]
    npv: float
    first_cost: float
    setter_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """The chosen set. `sets` are the best and the next-best; `worth` is what each pattern adds to the chosen set.

    `last_in` is the chosen pattern that adds least, `first_out` the one left out that would add most. `how` is
    search (every set tried) or program. `infeasible` says that the forced patterns do not fit the limits.
    """

    chosen: NDArray[np.float64]
    forced: tuple[str, ...]
    sets: tuple[PatternSet, ...]
    worth: dict[str, float]
    last_in: str
    first_out: str
    how: str
    infeasible: bool


def eligible(plan: Plan, way: Way, sample: Sample) -> list[int]:
    """Patterns that have been timed under the way; all of them where the way has not been timed at all."""
    timed = [i for i, code in enumerate(plan.patterns) if rate_name(code, way.method) in sample.values]
    return timed or list(range(len(plan.patterns)))


def _columns(plan: Plan, rows: Sequence[int], sets: NDArray[np.float64]) -> NDArray[np.float64]:
    chosen = np.zeros((len(plan.patterns), sets.shape[1]))
    chosen[list(rows)] = sets
    return chosen


def _weighed(centre: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray) -> tuple[NDArray, NDArray, NDArray]:
    """Worth, first cost and setter hours of sets, one a column of `chosen`."""
    flow = cash_flow(Sample(n=chosen.shape[1], values=centre.values), plan, way, money, chosen)
    return npv(flow.total, money.discount_rate), flow.first_cost, flow.way_hours


def _allowed(plan: Plan, way: Way, money: Money, chosen: NDArray, cost: NDArray, hours: NDArray) -> NDArray[np.bool_]:
    keeps = hours <= plan.hours_available * (1 + 1e-9)
    if money.budget:
        keeps &= cost <= money.budget * (1 + 1e-9)
    if money.mask_places and way.mechanised:
        keeps &= chosen.sum(axis=0) * plan.masks_each <= money.mask_places
    return keeps


def _programmed(centre: Sample, plan: Plan, way: Way, money: Money, rows: list[int], forced: list[int]) -> NDArray:
    """Sets to weigh where there are too many to try all: the programmed one and everything one exchange away.

    Each pattern counts with its own worth; what the machine costs before any pattern is found from a pair.
    """
    count = len(rows)
    pair = (np.arange(count) < 2).astype(float)
    weighed = _weighed(centre, plan, way, money, _columns(plan, rows, np.column_stack([np.eye(count), pair])))
    worth, cost, hours = (each[:-1] - (each[0] + each[1] - each[-1]) for each in weighed)
    uses, limits = [hours], [plan.hours_available]
    if money.budget:
        uses, limits = [*uses, cost], [*limits, money.budget - (weighed[1][0] - cost[0])]
    if money.mask_places and way.mechanised:
        uses, limits = [*uses, np.full(count, plan.masks_each)], [*limits, money.mask_places]
    chosen = by_program(worth, np.array(uses, dtype=float), limits, [rows.index(i) for i in forced])
    flips = np.abs(chosen[:, None] - np.column_stack([np.zeros(count), np.eye(count)]))
    pairs = [np.abs(flips[:, k, None] - np.eye(count)) for k in range(1, count + 1)]
    return _columns(plan, rows, np.unique(np.column_stack([flips, *pairs]), axis=1))


def best_mix(sample: Sample, plan: Plan, way: Way, money: Money, forced_codes: Sequence[str] = ()) -> Mix:
    """The best set of patterns for a way, not empty; forced patterns are in it.

    Parameters
    ----------
    sample, plan, way, money : Sample, Plan, Way, Money
        Draws (their means are used), what does not vary, the way, the limits.
    forced_codes : sequence of str
        Patterns that must go over because of the lifting load by hand.

    Returns
    -------
    Mix
    """
    centre, rows = sample.centre(), eligible(plan, way, sample)
    forced = [i for i in rows if plan.patterns[i] in set(forced_codes)]
    how = "search" if len(rows) <= SEARCHED else "program"
    if how == "search":
        sets = _columns(plan, rows, all_sets(len(rows)))
    else:
        try:
            sets = _programmed(centre, plan, way, money, rows, forced)
        except NoSet:
            sets = _columns(plan, rows, np.ones((len(rows), 1)))
    worth, cost, hours = _weighed(centre, plan, way, money, sets)
    wanted = (sets[forced] > 0).all(axis=0) & (sets.sum(axis=0) > 0)
    allowed = _allowed(plan, way, money, sets, cost, hours) & wanted
    infeasible = not allowed.any()
    able = wanted if infeasible else allowed
    order = [k for k in np.argsort(-np.where(able, worth, -np.inf), kind="stable")[:SHOWN] if able[k]]
    part = sample.rows(0, min(DRAWS, sample.n))
    drawn = {k: _mean_worth(part, plan, way, money, sets[:, k]) for k in order}
    order.sort(key=lambda k: -drawn[k])
    chosen = sets[:, order[0]] if order else np.zeros(len(plan.patterns))
    adds = _adds(part, plan, way, money, chosen, rows)
    inside = [c for c in adds if chosen[plan.patterns.index(c)]]
    outside = [c for c in adds if not chosen[plan.patterns.index(c)]]
    return Mix(
        chosen=chosen[:, None],
        forced=tuple(plan.patterns[i] for i in forced),
        sets=tuple(_named(plan, sets[:, k], drawn[k], cost[k], hours[k]) for k in order),
        worth=adds,
        last_in=min(inside, key=adds.get, default=""),
        first_out=max(outside, key=adds.get, default=""),
        how=how,
        infeasible=infeasible,
    )


def _mean_worth(part: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray) -> float:
    """Mean worth of one set over some draws."""
    return float(npv(cash_flow(part, plan, way, money, chosen[:, None]).total, money.discount_rate).mean())


def _named(plan: Plan, column: NDArray, worth: float, cost: float, hours: float) -> PatternSet:
    codes = tuple(c for c, inside in zip(plan.patterns, column, strict=True) if inside)
    return PatternSet(patterns=codes, npv=float(worth), first_cost=float(cost), setter_hours=float(hours))


def _adds(part: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray, rows: list[int]) -> dict[str, float]:
    """What each pattern adds to the worth of the chosen set: with it less without it, on the same draws."""
    base, found = _mean_worth(part, plan, way, money, chosen), {}
    for i in rows:
        other = chosen.copy()
        other[i] = 1.0 - chosen[i]
        changed = _mean_worth(part, plan, way, money, other)
        found[plan.patterns[i]] = base - changed if chosen[i] else changed - base
    return found
