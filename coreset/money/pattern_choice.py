"""Which patterns go over: the best set, the next-best, and what each pattern adds.

Every set is weighed at the mean of every input; the best few are then compared over draws, which decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.money.cash_flow import flows
from coreset.money.discount import npv
from coreset.money.limits import Need, among, broken, limits, weighed
from coreset.money.set_selection import ROUND_OFF, SEARCHED, NoSet, NotProved, all_sets, by_program
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way, rate_name

SHOWN = 5
DRAWS = 4096
"""Draws on which the best sets are compared, and on which what a pattern adds is calculated."""
ADD_CELLS, LEAST_ADDS = 2**25, 256
"""Draws times patterns times patterns spent at most on what each pattern adds; draws at least."""
LISTED, LISTED_DRAWS = 16, 1024
"""Sets that are best at the means and are then weighed over draws, and how many draws; the best SHOWN of them count."""
PAIRS = 2_000
"""Exchanges of two patterns that are weighed in one round, those that promise most."""
ROUNDS = 8
TOGETHER = 1_000_000
"""Draws times patterns of the sets that are weighed in one calculation, at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternSet:
    """One set of patterns with its mean worth over the draws compared, and what it takes."""

    patterns: tuple[str, ...]
    npv: float
    first_cost: float
    line_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """The chosen set. `sets` are the best and the next-best; `worth` is what each pattern adds to the chosen set.

    `last_in` is the chosen pattern that adds least, `first_out` the one left out that would add most. `how` is
    search (every set tried) or program. `needs` is empty where a set keeps every limit; else the set shown is the one
    nearest to the limits, and each limit that it breaks is named. `unproved` is what a set not found could bring more
    where the program ran out of time, 0 where it did not. [currency]
    """

    chosen: NDArray[np.float64]
    forced: tuple[str, ...]
    sets: tuple[PatternSet, ...]
    worth: dict[str, float]
    last_in: str
    first_out: str
    how: str
    needs: tuple[Need, ...]
    unproved: float


def eligible(plan: Plan, way: Way, sample: Sample) -> list[int]:
    """Patterns that have been timed under the way; all of them where the way has not been timed at all.

    Parameters
    ----------
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    sample : Sample
        Runs of every input, n of them.
    """
    timed = [i for i, code in enumerate(plan.patterns) if rate_name(code, way.method) in sample.values]
    return timed or list(range(len(plan.patterns)))


def _columns(plan: Plan, rows: Sequence[int], sets: NDArray[np.float64]) -> NDArray[np.float64]:
    chosen = np.zeros((len(plan.patterns), sets.shape[1]))
    chosen[list(rows)] = sets
    return chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scales:
    """Weighs sets of the patterns in `rows` at the mean of every input; `forced` are places in `rows`."""

    centre: Sample
    plan: Plan
    way: Way
    money: Money
    rows: Sequence[int]
    forced: Sequence[int]

    def weigh(self, sets: NDArray[np.float64]) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any], NDArray[np.bool_]]:
        """Worth, first cost, hours of sets, one a column, and whether each keeps the limits and the forced."""
        worth, cost, hours = weighed(self.centre, self.plan, self.way, self.money, _columns(self.plan, self.rows, sets))
        allowed = self.complete(sets)
        for _, used, limit in self._limits(sets, cost, hours):
            allowed = allowed & (used <= limit * (1 + ROUND_OFF))
        return worth, cost, hours, allowed

    def complete(self, sets: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Whether each set has a pattern, and every forced one."""
        return (sets[self.forced] > 0).all(axis=0) & (sets.sum(axis=0) > 0)

    def nearest(
        self, sets: NDArray[np.float64], worth: NDArray[Any], cost: NDArray[Any], hours: NDArray[Any]
    ) -> tuple[int, tuple[Need, ...]]:
        """The complete set that breaks the limits by the smallest share in all, and the limits that it breaks.

        Of equal ones the set that is worth most.
        """
        used_of = list(self._limits(sets, cost, hours))
        over = sum(np.maximum(0.0, used / max(limit, ROUND_OFF) - 1.0) for _, used, limit in used_of)
        place = int(np.lexsort((-worth, np.where(self.complete(sets), np.round(over, 12), np.inf)))[0])
        return place, broken(used_of, place)

    def _limits(
        self, sets: NDArray[np.float64], cost: NDArray[Any], hours: NDArray[Any]
    ) -> Iterator[tuple[str, NDArray[np.float64], float]]:
        return limits(self.plan, self.way, self.money, _columns(self.plan, self.rows, sets), cost, hours)


def _program(scales: _Scales) -> tuple[NDArray[Any], float]:
    """The best set where each pattern counts with its own worth; what could be missing for want of a proof.

    What the machine costs before any pattern is found from a pair.
    """
    count, plan, money = len(scales.rows), scales.plan, scales.money
    weighed = scales.weigh(np.column_stack([np.eye(count), np.arange(count) < 2]))[:3]
    fixed = [each[..., 0] + each[..., 1] - each[..., -1] for each in weighed]
    worth, cost, hours = (each[..., :-1] - start[..., None] for each, start in zip(weighed, fixed, strict=True))
    uses, limits = [hours[0]], [plan.hours_available + plan.overtime_h - fixed[2][0]]
    if money.setter_hours_limit is not None and scales.way.mechanised:
        uses, limits = [*uses, hours[1]], [*limits, money.setter_hours_limit - fixed[2][1]]
    if money.budget is not None:
        uses, limits = [*uses, cost], [*limits, money.budget - fixed[1]]
    if money.mask_places is not None and scales.way.mechanised:
        uses, limits = [*uses, np.full(count, plan.figure("masks_each"))], [*limits, money.mask_places]
    if out := scales.way.unable | scales.way.beyond:
        uses, limits = [*uses, among(plan, out)[list(scales.rows)]], [*limits, 0.0]
    try:
        return by_program(worth, np.array(uses, dtype=float), limits, scales.forced), 0.0
    except NotProved as late:
        if late.chosen is None:
            raise
        return late.chosen, late.more


def _exchanges(scales: _Scales, current: NDArray[Any]) -> NDArray[Any]:
    """The current set, every exchange of one pattern, and the exchanges of two that promise most."""
    count = len(scales.rows)
    one = np.abs(current[:, None] - np.column_stack([np.zeros(count), np.eye(count)]))
    worth, cost, hours, _ = scales.weigh(one)
    gain, paid, taken = (each[..., 1:] - each[..., :1] for each in (worth, cost, hours))
    first, second = np.triu_indices(count, 1)
    fits = hours[0, 0] + taken[0, first] + taken[0, second] <= scales.plan.hours_available + scales.plan.overtime_h
    if scales.money.budget is not None:
        fits &= cost[0] + paid[first] + paid[second] <= scales.money.budget
    promise = np.where(fits, 0.0, -np.inf) + gain[first] + gain[second]
    best = np.argsort(-promise, kind="stable")[:PAIRS]
    two = np.repeat(current[:, None], best.size, axis=1)
    for places in (first[best], second[best]):
        two[places, np.arange(best.size)] = 1.0 - two[places, np.arange(best.size)]
    return np.column_stack([one, two])


def _programmed(scales: _Scales) -> tuple[NDArray[Any], float]:
    """Sets to weigh where there are too many to try all: the programmed one, bettered by exchanges until none helps.

    Where none of them keeps the limits, the smallest sets, of which the nearest to the limits can be named.
    """
    smallest = _smallest(len(scales.rows), scales.forced)
    try:
        chosen, unproved = _program(scales)
    except NoSet:
        return smallest, 0.0
    current = chosen.astype(float)
    for _ in range(ROUNDS):
        sets = _exchanges(scales, current)
        worth, _, _, allowed = scales.weigh(sets)
        found = np.where(allowed, worth, -np.inf)
        best = int(np.argmax(found))
        if not found[best] > found[0]:
            break
        current = sets[:, best]
    return sets if allowed.any() else smallest, unproved


def _smallest(count: int, forced: Sequence[int]) -> NDArray[np.float64]:
    """The smallest sets: all that are forced, or each pattern alone where none is."""
    if not forced:
        return np.eye(count)
    only = np.zeros((count, 1))
    only[list(forced)] = 1.0
    return only


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
    places = [rows.index(i) for i in forced]
    scales = _Scales(centre=centre, plan=plan, way=way, money=money, rows=rows, forced=places)
    how, unproved = "search" if len(rows) <= SEARCHED else "program", 0.0
    if how == "search":
        within = all_sets(len(rows))
    else:
        within, unproved = _programmed(scales)
    sets = _columns(plan, rows, within)
    worth, cost, hours, allowed = scales.weigh(within)
    needs: tuple[Need, ...] = ()
    if not allowed.any():
        nearest, needs = scales.nearest(within, worth, cost, hours)
        allowed = np.arange(within.shape[1]) == nearest
    order = [k for k in np.argsort(-np.where(allowed, worth, -np.inf), kind="stable")[:LISTED] if allowed[k]]
    first, part = (sample.rows(0, min(draws, sample.n)) for draws in (LISTED_DRAWS, DRAWS))
    if len(order) > SHOWN:
        means = _mean_worths(first, plan, way, money, sets[:, order])
        order = [order[k] for k in np.argsort(-means, kind="stable")[:SHOWN]]
    drawn = dict(zip(order, _mean_worths(part, plan, way, money, sets[:, order]).tolist(), strict=True))
    order.sort(key=lambda k: -drawn[k])
    chosen = sets[:, order[0]]
    fewer = max(LEAST_ADDS, ADD_CELLS // len(rows) ** 2)
    adds = _adds(part.rows(0, min(fewer, part.n)), plan, way, money, chosen, rows)
    inside = [c for c in adds if chosen[plan.patterns.index(c)]]
    outside = [c for c in adds if not chosen[plan.patterns.index(c)] and c not in way.unable | way.beyond]
    return Mix(
        chosen=chosen[:, None],
        forced=tuple(plan.patterns[i] for i in forced),
        sets=tuple(_named(plan, sets[:, k], drawn[k], cost[k], hours[0, k]) for k in order),
        worth=adds,
        last_in="" if needs else min(inside, key=lambda name: adds[name], default=""),
        first_out="" if needs else max(outside, key=lambda name: adds[name], default=""),
        how=how,
        needs=needs,
        unproved=unproved,
    )


def mean_worth(sample: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray[Any]) -> float:
    """Mean worth of one set, (patterns,), over the runs on which the best sets are compared. [currency]

    Parameters
    ----------
    sample : Sample
        Runs of every input, n of them.
    plan : Plan
        Patterns, hours, crew and order of sales, which do not vary from run to run.
    way : Way
        The option that is weighed.
    money : Money
        Prices, years, rates and limits.
    chosen : ndarray, shape (patterns,)
        1 where a pattern goes over.
    """
    return float(_mean_worths(sample.rows(0, min(DRAWS, sample.n)), plan, way, money, chosen[:, None])[0])


def _mean_worths(part: Sample, plan: Plan, way: Way, money: Money, sets: NDArray[Any]) -> NDArray[np.float64]:
    """Mean worth of each set, one a column, over the same draws; as many sets at a time as fit into memory."""
    together, found = max(1, TOGETHER // (part.n * len(plan.patterns))), []
    for start in range(0, sets.shape[1], together):
        some = sets[:, start : start + together]
        draws = part.repeated(some.shape[1])
        total = flows(draws, plan, way, money, np.repeat(some, part.n, axis=1))
        found.append(npv(total, money.discount_rate).reshape(-1, part.n).mean(axis=1))
    return np.concatenate(found)


def _named(plan: Plan, column: NDArray[Any], worth: float, cost: float, hours: float) -> PatternSet:
    codes = tuple(c for c, inside in zip(plan.patterns, column, strict=True) if inside)
    return PatternSet(patterns=codes, npv=float(worth), first_cost=float(cost), line_hours=float(hours))


def _adds(part: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray[Any], rows: list[int]) -> dict[str, float]:
    """What each pattern adds to the worth of the chosen set: with it less without it, on the same draws."""
    sets = np.repeat(chosen[:, None], 1 + len(rows), axis=1)
    sets[rows, np.arange(1, 1 + len(rows))] = 1.0 - chosen[rows]
    base, *others = _mean_worths(part, plan, way, money, sets).tolist()
    return {plan.patterns[i]: base - w if chosen[i] else w - base for i, w in zip(rows, others, strict=True)}
