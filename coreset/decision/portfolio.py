"""Several cases, lines or plants, under one budget: which first. In: offers by name. Out: a choice, without words.

Each case offers the option that its own verdict recommends, so that no constraint of a case is lost here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.decision.verdict import OBLIGED
from coreset.errors import OutOfRange
from coreset.money.chances import Spread, chance, spread
from coreset.money.set_selection import NoSet, by_program

Names = frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offer:
    """What one case offers: as much of its assessment as the choice takes.

    `option` None where the case recommends nothing; `runs` its net present value by run of `seed`, then empty.
    [currency] `sentence`: the answer of the case in its own words; `decimal` its decimal sign, `candidate`
    the method of the setter.
    """

    currency: str
    decimal: str
    candidate: str
    seed: int
    level: str
    option: Any
    runs: NDArray[np.float64]
    sentence: str


def offer(assessment: Any, sentence: str) -> Offer:
    """What a case offers.

    Parameters
    ----------
    assessment : Assessment
        Of the case, with its verdict.
    sentence : str
        Its answer in words.

    Returns
    -------
    Offer
        Without the rest of the assessment, which takes much more room.
    """
    case, v, money = assessment.case, assessment.verdict, assessment.money
    option = v.option if v.recommended else None
    runs = np.empty(0)
    if option is not None:
        place = next(i for i, row in enumerate(money.alternatives) if row.name == option.name)
        runs = np.array(money.worth_draws[:, place + 1])
    return Offer(
        currency=case.currency,
        decimal=case.decimal,
        candidate=case.candidate,
        seed=assessment.seed,
        level=v.level,
        option=option,
        runs=runs,
        sentence=sentence,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """What one case offers.

    `option` None where the case recommends nothing: `level` says why. `funded`: it is in the best set. `per_cost`: mean
    net present value over first cost, by which those that are funded are ordered. [1]
    """

    name: str
    level: str
    option: Any
    funded: bool
    per_cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Portfolio:
    """The best set of projects.

    `projects`: those that are funded first, by falling worth per cost, then the others. `cost`, `worth` of the set;
    `left` of the budget, None without one; `rival`: names of the next-best set, `ahead` the worth of the best one less
    its own, `chance` that it is worth more, over runs in which inputs that cases share by name are the same; None and
    NaN where cases have unlike seeds or runs.
    `next_up`: the project that more budget would add first, `needed` the budget it takes, `gain` what the best set is
    then worth more; empty and NaN where all are funded. [currency]
    """

    currency: str
    budget: float | None
    projects: tuple[Project, ...]
    cost: float
    left: float | None
    worth: float
    rival: tuple[str, ...]
    ahead: Spread | None
    chance: float
    next_up: tuple[str, ...]
    needed: float
    gain: float


def portfolio(offers: Mapping[str, Offer], budget: float | None) -> Portfolio:
    """Choose among cases.

    Parameters
    ----------
    offers : mapping of str to Offer
        By the name of the case.
    budget : float, optional
        Most that may be spent on all of them; None is no limit. [currency]

    Returns
    -------
    Portfolio
        Exact: by integer programming with no gap allowed, every limit checked again.

    Raises
    ------
    OutOfRange
        If cases are in unlike currencies, or what must be done costs more than the budget.
    """
    currencies = sorted({one.currency for one in offers.values()})
    if len(currencies) != 1:
        raise OutOfRange(f"cases must be in one currency, got {', '.join(currencies) or 'none'}")
    able = {name: one.option for name, one in offers.items() if one.option is not None}
    musts = [name for name, one in offers.items() if one.level == OBLIGED]
    best = _best(able, musts, budget)
    rival = _runner_up(able, musts, budget, best)
    ahead = _ahead(offers, able, best, rival)
    more, cost = _best_of_next(able, musts, budget, best), _total(able, best, "first_cost")
    return Portfolio(
        currency=currencies[0],
        budget=budget,
        projects=_ordered(offers, best),
        cost=cost,
        left=None if budget is None else budget - cost,
        worth=_worth(able, best),
        rival=tuple(sorted(rival)) if rival is not None else (),
        ahead=None if ahead is None else spread(ahead),
        chance=math.nan if ahead is None else chance(ahead > 0),
        next_up=tuple(sorted(more - best)),
        needed=_total(able, more, "first_cost") if more > best or more - best else math.nan,
        gain=_worth(able, more) - _worth(able, best) if more - best else math.nan,
    )


def _total(able: Mapping[str, Any], names: Names, field: str) -> float:
    return float(sum(getattr(able[name], field) for name in names))


def _worth(able: Mapping[str, Any], names: Names) -> float:
    return float(sum(able[name].npv.mean for name in names))


def _best(able: Mapping[str, Any], musts: list[str], budget: float | None, without: tuple[Any, ...] = ()) -> Names:
    """Names of the set worth most within the budget; `without` are sets that are not to be the answer again."""
    names = list(able)
    if not names:
        return frozenset()
    uses, limits = [[able[name].first_cost for name in names]], [math.inf if budget is None else budget]
    for other in without:  # at least one name differs: in less out is below the size of the set
        uses.append([1.0 if name in other else -1.0 for name in names])
        limits.append(len(other) - 1.0)
    worth = [able[name].npv.mean for name in names]
    try:
        chosen = by_program(worth, uses, limits, [names.index(name) for name in musts])
    except NoSet as error:
        if without:
            raise
        cost = sum(able[name].first_cost for name in musts)
        raise OutOfRange(f"budget must cover what must be done, {cost:.0f}, got {budget:.0f}") from error
    return frozenset(name for name, inside in zip(names, chosen, strict=True) if inside)


def _runner_up(able: Mapping[str, Any], musts: list[str], budget: float | None, best: Names) -> Names | None:
    try:
        return _best(able, musts, budget, (best,)) if able else None
    except NoSet:
        return None


def _ahead(offers: Mapping[str, Offer], able: Mapping[str, Any], best: Names, rival: Names | None) -> Any:
    """Worth of the best set less that of the next-best, run by run; None where runs cannot be paired."""
    kinds = {(offers[name].seed, offers[name].runs.size) for name in able}
    if rival is None or len(kinds) != 1:
        return None
    return sum((offers[name].runs if name in best else -offers[name].runs) for name in best ^ rival)


def _best_of_next(able: Mapping[str, Any], musts: list[str], budget: float | None, best: Names) -> Names:
    """The best set of the least budget above this one at which another set is worth more."""
    if budget is None:
        return best
    waiting = sorted(able[name].first_cost for name in able if name not in best and able[name].npv.mean > 0)
    steps = [budget + cost for cost in waiting]
    return next((more for step in steps if (more := _best(able, musts, step)) != best), best)


def _ordered(offers: Mapping[str, Offer], best: Names) -> tuple[Project, ...]:
    found = [
        Project(
            name=name,
            level=one.level,
            option=one.option,
            funded=name in best,
            per_cost=math.nan if one.option is None else _per_cost(one.option),
        )
        for name, one in offers.items()
    ]
    return tuple(sorted(found, key=lambda row: (not row.funded, row.option is None, -row.per_cost, row.name)))


def _per_cost(option: Any) -> float:
    return option.npv.mean / option.first_cost if option.first_cost > 0 else math.inf
