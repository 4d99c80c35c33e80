"""What does not vary from draw to draw: hours, crews, runs, and the ways that are weighed against each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.line.job_mix import following

MINUTES, LITRES = 60.0, 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of setting cores that the plant may choose, beside as today.

    `price` names the input that is paid for the machine ('' if none); `lease` is paid each year instead. `method` is
    what the chosen patterns go over to.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plant as the money sees it; one entry a pattern in the tuples, in the order of `patterns`."""

    patterns: tuple[str, ...]
    castings: tuple[float, ...]
    scrap_cost: tuple[float, ...]
    baseline: str
    candidate: str
    operators: int
    line_crew: float
    hours_available: float
    overtime_h: float
    """Line hours a year that overtime may add, under any method."""
    mask_change_h: float
    follows: NDArray[np.float64]
    """Runs a year of a pattern (column) that come straight after a run of another (row) in the year's sequence."""
    runs: NDArray[np.float64]
    """Runs a year for which that sequence holds."""
    downtime: float
    fills_hours: bool
    paid_share: float
    overtime_premium: float
    shift_factor: float
    air_m3: float
    power_kw: float
    masks_each: int
    mask_life: float
    order: tuple[int, ...]
    """Patterns by falling margin of an hour of the line: who gets freed hours first."""


def rate_name(pattern: str, method: str) -> str:
    """Name of the input that holds molds an hour of one pattern under one method."""
    return f"rate.{pattern}.{method}"


def plan(case: Case, rates: Iterable[Any]) -> Plan:
    """The plan of a case: patterns whose rate under the method as today is known."""
    known = {(rate.pattern, rate.method): rate.molds_per_h for rate in rates}
    patterns = [p for p in case.patterns if (p.pattern, case.baseline) in known]
    worth = [known[p.pattern, case.baseline] * p.castings_per_mold * p.margin_per_casting.likely for p in patterns]
    line, setter, money = case.line, case.setter, case.money
    after = following(patterns)
    return Plan(
        patterns=tuple(p.pattern for p in patterns),
        castings=tuple(float(p.castings_per_mold) for p in patterns),
        scrap_cost=tuple(p.cost_per_scrapped_casting for p in patterns),
        baseline=case.baseline,
        candidate=case.candidate,
        operators=_operators(case, case.baseline),
        line_crew=money.line_crew,
        hours_available=hours_left(case, line.shifts_per_day),
        overtime_h=money.overtime_limit_h_per_year,
        mask_change_h=setter.mask_change_min / MINUTES,
        follows=np.array([[float(after[a.pattern, b.pattern]) for b in patterns] for a in patterns]),
        runs=np.array([p.runs_per_year for p in patterns]),
        downtime=max(0.0, setter.downtime_share),
        fills_hours=line.saved_hours_used,
        paid_share=money.hours_saved_paid,
        overtime_premium=money.overtime_premium,
        shift_factor=shift_factor(money.shift_premium, line.shifts_per_day),
        air_m3=setter.air_l_per_cycle / LITRES,
        power_kw=setter.power_kw,
        masks_each=1 + money.spare_masks,
        mask_life=money.mask_life_molds,
        order=tuple(sorted(range(len(patterns)), key=lambda i: -worth[i])),
    )


def hours_left(case: Case, shifts: float) -> float:
    """Line hours a year of so many shifts a day that patterns outside the case leave."""
    scheduled = case.line.hours_per_shift * shifts * case.line.days_per_year
    return max(0.0, scheduled - case.money.other_line_hours_per_year)


def shift_factor(premium: float, shifts: float) -> float:
    """Mean wage over the wage of the first shift, where every later shift has a premium. [-]

    Examples
    --------
    >>> shift_factor(0.10, 1), shift_factor(0.10, 2)
    (1.0, 1.05)
    """
    return 1.0 + premium * max(0.0, shifts - 1.0) / shifts


def _operators(case: Case, name: str) -> int:
    return next((m.operators for m in case.methods if m.method == name), 1)


def ways(case: Case, rates: Iterable[Any]) -> tuple[Way, ...]:
    """Every way to weigh: the candidate first, then leased and used if offered, then each other method of the case.

    A method that nobody has timed is weighed at today's times and says so.
    """
    timed = {rate.method for rate in rates}
    found = [_way(case, case.candidate, timed)]
    if found[0].mechanised and case.money.lease_per_year > 0:
        found.append(_way(case, case.candidate, timed, name="leased", price="", lease=case.money.lease_per_year))
    if found[0].mechanised and case.money.second_hand_price > 0:
        used = case.money.second_hand_price
        found.append(_way(case, case.candidate, timed, name="second-hand", price="", fixed_price=used))
    others = [m.method for m in case.methods if m.method not in {case.baseline, case.candidate}]
    return tuple(found + [_way(case, name, timed) for name in others])


def _way(case: Case, method: str, timed: set[str], **changes: Any) -> Way:
    found = next((m for m in case.methods if m.method == method), None)
    mechanised = found.mechanised if found else True
    facts: dict[str, Any] = {
        "name": method,
        "method": method,
        "mechanised": mechanised,
        "operators": found.operators if found else 1,
        "price": "setter_price" if mechanised else "",
        "step_cost": found.step_cost if found else 0.0,
        "timed": method in timed,
    }
    return Way(**{**facts, **changes})
