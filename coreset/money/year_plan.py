"""What does not vary from draw to draw: hours, crews, runs, and the ways that are weighed against each other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money, Option, Pattern, Range, Setter, range_names
from coreset.case.growth import growth_input
from coreset.case.option import LEASED, RULED_OUT, USED, with_setter
from coreset.figures import Size, evaluate
from coreset.line.core_supply import CoreSupply, core_supply
from coreset.line.hold_range import not_taken
from coreset.line.job_mix import following
from coreset.money.figures import MODEL
from coreset.money.inputs import INPUTS, LINE, OF_MONEY, SETTER
from coreset.units import S_PER_H

INPUT_KEYS = frozenset(one.key for one in INPUTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of setting cores that the plant may choose, beside the current method.

    `method` is what the chosen patterns go over to. `inputs`: inputs of the cash flow that the option states itself, by
    key, each a number or the name of an input of the simulation. `patterns`: those that go over, None for the best set;
    `ruled_out`: the plant takes it on no account. Patterns that cannot go over: `unable`, whose cores the setter
    cannot hold or fit; `beyond`, of which a lift or the whole job under the method is beyond the lifting equation.
    `hand`: what other patterns go over to first, by hand. `slowed`: molds per hour over those timed, by pattern, where
    a vendor claims a longer mold cycle.
    """

    name: str
    method: str
    mechanised: bool
    operators: int
    step_cost: float = 0.0
    timed: bool = True
    inputs: Mapping[str, float | str] = field(default_factory=dict)
    patterns: tuple[str, ...] | None = None
    ruled_out: bool = False
    unable: frozenset[str] = frozenset()
    beyond: frozenset[str] = frozenset()
    hand: Way | None = None
    slowed: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplied:
    """Saved on the cores of one mold: broken ones and rework [currency], work of people off the line [person-h]."""

    losses: float
    people_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plant as the money sees it; one entry a pattern in the tuples, in the order of `patterns`.

    `stated` are inputs of the cash flow as the case states them, by key: prices that are no ranges, line and setter.
    """

    patterns: tuple[str, ...]
    castings: tuple[float, ...]
    scrap_cost: tuple[float, ...]
    baseline: str
    candidate: str
    operators: int
    stated: Mapping[str, float]
    follows: NDArray[np.float64]
    """Runs a year of a pattern (column) that come straight after a run of another (row) in the year's sequence."""
    runs: NDArray[np.float64]
    """Runs a year for which that sequence holds."""
    moved_from: tuple[float, ...]
    """Year in which each pattern goes over, 1 for the first."""
    volume_share: NDArray[np.float64] | None
    """Molds of each year over those of today, (patterns, years, 1); None where no volume changes."""
    order: tuple[int, ...]
    """Patterns by falling margin of an hour of the line: who gets freed hours first."""
    supply: Mapping[tuple[str, str], CoreSupply] = field(default_factory=dict)
    """What cores take beyond their setting, by pattern and method."""

    def supplied(self, pattern: str, method: str) -> Supplied:
        """What a mold of the pattern takes less under a method than today; nothing where one of them is not known."""
        now, then = (self.supply.get((pattern, name)) for name in (self.baseline, method))
        if now is None or then is None:
            return Supplied(losses=0.0, people_h=0.0)
        return Supplied(losses=now.losses - then.losses, people_h=now.people_h - then.people_h)

    def figure(self, key: str) -> float:
        """A single figure of the cash flow that follows from what is stated, such as `hours_available`."""
        return self.stated[key] if key in self.stated else _followed(tuple(self.stated.items()), key)

    @property
    def hours_available(self) -> float:
        """Line hours a year that patterns outside the case leave."""
        return self.figure("hours_available")

    @property
    def overtime_h(self) -> float:
        """Line hours a year that overtime may add, under any method."""
        return self.stated["overtime_limit_h_per_year"]

    def changed(self, **stated: float) -> Plan:
        """The same with other values of what is stated."""
        return replace(self, stated={**self.stated, **stated})


@lru_cache(maxsize=64)
def _followed(stated: tuple[tuple[str, float], ...], key: str) -> float:
    return float(evaluate(MODEL, dict(stated), Size(patterns=1, years=1), keep=[key])[key].item())


def rate_name(pattern: str, method: str) -> str:
    """Name of the input that holds molds an hour of one pattern under one method."""
    return f"rate.{pattern}.{method}"


def exposure_name(pattern: str, method: str) -> str:
    """Name of the input that holds the share of exposure removed when a pattern goes over to a method."""
    return f"exposure.{pattern}.{method}"


def plan(case: Case, rates: Iterable[Any]) -> Plan:
    """The plan of a case: patterns whose rate under the current method is known."""
    known = {(rate.pattern, rate.method): rate.molds_per_h for rate in rates}
    patterns = [p for p in case.patterns if (p.pattern, case.baseline) in known]
    worth = [known[p.pattern, case.baseline] * p.castings_per_mold * p.margin_per_casting.likely for p in patterns]
    after = following(patterns)
    return Plan(
        patterns=tuple(p.pattern for p in patterns),
        castings=tuple(float(p.castings_per_mold) for p in patterns),
        scrap_cost=tuple(p.cost_per_scrapped_casting for p in patterns),
        baseline=case.baseline,
        candidate=case.candidate,
        operators=_operators(case, case.baseline),
        stated=_stated(case),
        follows=np.array([[float(after[a.pattern, b.pattern]) for b in patterns] for a in patterns]),
        runs=np.array([p.runs_per_year for p in patterns]),
        moved_from=tuple(float(p.goes_over_in_year or max(p.starts_in_year, 1)) for p in patterns),
        volume_share=volume_share(patterns, case.money.years),
        order=tuple(sorted(range(len(patterns)), key=lambda i: -worth[i])),
        supply={(p.pattern, m.method): core_supply(case, p.pattern, m.method) for p in patterns for m in case.methods},
    )


def volume_share(patterns: Sequence[Pattern], years: int) -> NDArray[np.float64] | None:
    """Molds of each year over those of today: as typed or by growth, within the years of each pattern's program."""
    year, found = np.arange(1, years + 1), []
    for p in patterns:
        made = (year >= p.starts_in_year) & (year <= (p.ends_after_year or years))
        found.append(made * (_typed(p, years) if p.molds_by_year else (1.0 + p.volume_growth) ** (year - 1)))
    shares = np.array(found).reshape(len(found), years, 1)
    return None if (shares == 1.0).all() else shares


def _typed(pattern: Pattern, years: int) -> NDArray[np.float64]:
    """Molds typed for each year over today's likely volume, the last one held to the end, (years,)."""
    molds = (*pattern.molds_by_year, *(pattern.molds_by_year[-1],) * years)[:years]
    return np.array(molds, dtype=float) / pattern.molds_per_year.likely


def _stated(case: Case) -> dict[str, float]:
    """Inputs of the cash flow that are no ranges, by key."""
    found = {key: getattr(case.money, key) for key in OF_MONEY if key not in range_names(Money)}
    found |= {key: getattr(case.line, key) for key in LINE}
    found |= {key: getattr(case.setter, key) for key in SETTER}
    found["downtime_share"] = max(0.0, case.setter.downtime_share)
    found |= {growth_input(row.item): row.per_year for row in case.growth}
    return {key: float(value) for key, value in found.items()}


def _operators(case: Case, name: str) -> int:
    return next((m.operators for m in case.methods if m.method == name), 1)


def ways(case: Case, rates: Iterable[Any], screened: Iterable[Any] = ()) -> tuple[Way, ...]:
    """Every way to weigh: the candidate, leased and used if offered, options of the case, each other method of it.

    A method that nobody has timed is weighed at today's times and says so. `screened` are the rated lifts by pattern
    and method: a pattern of which one is beyond the equation under a method does not go over to it.

    Parameters
    ----------
    case : Case
        Prices, volumes, line, setter and rules of the plant.
    rates : iterable of Rate
        Molds per scheduled hour by pattern and method. [molds/h]
    screened : iterable of Screened
        Rated lifting tasks by pattern and method.
    """
    rates = tuple(rates)
    timed, tasks = {rate.method for rate in rates}, tuple(screened)
    bought = _way(case, case.candidate, timed, tasks)
    found = [bought]
    unlike = {"setter_price": 0.0, "residual": 0.0, "grant": 0.0}
    if bought.mechanised and (lease := _lease(case)):
        found.append(replace(bought, name=LEASED, inputs=unlike | lease))
    if bought.mechanised and case.money.second_hand_price > 0:
        priced = {"setter_price": case.money.second_hand_price, "warranty_years": 0.0}
        found.append(replace(bought, name=USED, inputs={**bought.inputs, **unlike, **priced}))
    found += [
        replace(_option(case, option, timed, tasks), slowed=_slowed(case, option, rates)) for option in case.options
    ]
    others = [m.method for m in case.methods if m.method not in {case.baseline, case.candidate}]
    return tuple(found + [_way(case, name, timed, tasks) for name in others])


def _lease(case: Case) -> dict[str, float | str]:
    """What the lease of [money] costs, and the residual value once it is bought; nothing where no lease is offered."""
    money = case.money
    found = {"lease_per_year": money.lease_per_year, "lease_buyout": money.lease_buyout}
    bought = money.lease_buyout > 0 and 1 <= money.lease_years <= money.years
    return found | ({"residual": "residual"} if bought else {}) if money.lease_per_year > 0 else {}


def option_input(key: str, option: str) -> str:
    """Name of the simulation's input that holds a range stated by one option."""
    return f"{key}.{option}"


def _option(case: Case, option: Option, timed: set[str], screened: Iterable[Any]) -> Way:
    """One option of the case: a method with prices and a setter of its own, other figures as the case has them."""
    way = _way(with_setter(case, option.option), option.method or case.candidate, timed, screened)
    stated = {**option.stated(Money), **option.stated(Setter)}
    own = {
        key: option_input(key, option.option) if isinstance(value, Range) else float(value)
        for key, value in stated.items()
        if key in INPUT_KEYS
    }
    hand = _way(case, option.hand_method, timed, screened) if option.by_hand else None
    return replace(
        way,
        name=option.option,
        unable=way.unable | frozenset(option.by_hand),
        hand=replace(hand, patterns=option.by_hand) if hand else None,
        inputs={**way.inputs, **own} if way.mechanised else {},
        patterns=option.patterns or None,
        ruled_out=option.rule == RULED_OUT,
    )


def _slowed(case: Case, option: Option, rates: Iterable[Any]) -> dict[str, float]:
    """Molds per hour at the mold cycle that a vendor claims over those timed, by pattern; only where it is slower."""
    claim = option.claim(case.candidate)
    rows = [row for row in rates if claim and row.method == case.candidate]
    shares = {row.pattern: claim * row.limits["molding"] / S_PER_H for row in rows}
    return {row.pattern: row.at(share) / row.at(1.0) for row in rows if (share := shares[row.pattern]) > 1.0}


def _way(case: Case, method: str, timed: set[str], screened: Iterable[Any]) -> Way:
    found = next((m for m in case.methods if m.method == method), None)
    mechanised = found.mechanised if found else True
    return Way(
        name=method,
        method=method,
        mechanised=mechanised,
        operators=found.operators if found else 1,
        step_cost=found.step_cost if found else 0.0,
        timed=method in timed,
        inputs={"lease_per_year": 0.0, "lease_buyout": 0.0},
        unable=not_taken(case) if mechanised else frozenset(),
        beyond=frozenset(row.pattern for row in screened if row.method == method and row.governing == math.inf),
    )
