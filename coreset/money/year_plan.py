"""What does not vary from draw to draw: hours, crews, runs, and the ways that are weighed against each other."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Range
from coreset.figures import Size, evaluate
from coreset.line.hold_range import not_taken
from coreset.line.job_mix import following
from coreset.money.figures import MODEL
from coreset.money.inputs import LINE, MONEY, SETTER


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of setting cores that the plant may choose, beside as today.

    `price` names the input that is paid for the machine ('' if none); `lease` is paid each year instead. `method` is
    what the chosen patterns go over to. Patterns that cannot go over: `unable`, whose cores the setter
    cannot hold or fit; `beyond`, of which a lift or the whole job under the method is beyond the lifting equation.
    """

    name: str
    method: str
    mechanised: bool
    operators: int
    price: str = ""
    fixed_price: float = 0.0
    lease: float = 0.0
    step_cost: float = 0.0
    timed: bool = True
    unable: frozenset[str] = frozenset()
    beyond: frozenset[str] = frozenset()


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
    order: tuple[int, ...]
    """Patterns by falling margin of an hour of the line: who gets freed hours first."""

    def figure(self, key: str) -> float:
        """A single figure of the cash flow that follows from what is stated, such as `hours_available`."""
        if key in self.stated:
            return self.stated[key]
        return float(evaluate(MODEL, self.stated, Size(patterns=1, years=1), keep=[key])[key].item())

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


def rate_name(pattern: str, method: str) -> str:
    """Name of the input that holds molds an hour of one pattern under one method."""
    return f"rate.{pattern}.{method}"


def exposure_name(pattern: str, method: str) -> str:
    """Name of the input that holds the share of exposure removed when a pattern goes over to a method."""
    return f"exposure.{pattern}.{method}"


def plan(case: Case, rates: Iterable[Any]) -> Plan:
    """The plan of a case: patterns whose rate under the method as today is known."""
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
        order=tuple(sorted(range(len(patterns)), key=lambda i: -worth[i])),
    )


def _stated(case: Case) -> dict[str, float]:
    """Inputs of the cash flow that are no ranges, by key; what was not entered counts as 0."""
    found = {key: getattr(case.money, key) for key in MONEY} | {key: getattr(case.line, key) for key in LINE}
    found |= {key: getattr(case.setter, key) for key in SETTER}
    found["downtime_share"] = max(0.0, case.setter.downtime_share)
    return {key: float(value or 0.0) for key, value in found.items() if not isinstance(value, Range)}


def _operators(case: Case, name: str) -> int:
    return next((m.operators for m in case.methods if m.method == name), 1)


def ways(case: Case, rates: Iterable[Any], screened: Iterable[Any] = ()) -> tuple[Way, ...]:
    """Every way to weigh: the candidate first, then leased and used if offered, then each other method of the case.

    A method that nobody has timed is weighed at today's times and says so. `screened` are the rated lifts by pattern
    and method: a pattern of which one is beyond the equation under a method does not go over to it.
    """
    timed, tasks = {rate.method for rate in rates}, tuple(screened)
    bought = _way(case, case.candidate, timed, tasks)
    found = [bought]
    if bought.mechanised and case.money.lease_per_year > 0:
        found.append(replace(bought, name="leased", price="", lease=case.money.lease_per_year))
    if bought.mechanised and case.money.second_hand_price > 0:
        found.append(replace(bought, name="second-hand", price="", fixed_price=case.money.second_hand_price))
    others = [m.method for m in case.methods if m.method not in {case.baseline, case.candidate}]
    return tuple(found + [_way(case, name, timed, tasks) for name in others])


def _way(case: Case, method: str, timed: set[str], screened: Iterable[Any]) -> Way:
    found = next((m for m in case.methods if m.method == method), None)
    mechanised = found.mechanised if found else True
    return Way(
        name=method,
        method=method,
        mechanised=mechanised,
        operators=found.operators if found else 1,
        price="setter_price" if mechanised else "",
        step_cost=found.step_cost if found else 0.0,
        timed=method in timed,
        unable=not_taken(case) if mechanised else frozenset(),
        beyond=frozenset(row.pattern for row in screened if row.method == method and row.governing == math.inf),
    )
