"""From a case and what the other rooms found to the decision, in one pure function.

In: times, rates and lifting indices with their draws. Out: `Decision`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from coreset.case import Case
from coreset.errors import OutOfRange
from coreset.money import choices, further
from coreset.money.chances import chance, loss_if_bought, loss_if_not, spread
from coreset.money.decision import Decision, FanYear, FlowYear, verdict
from coreset.money.discount import annuity_factor, factors, npv, payback, whole_payback
from coreset.money.drivers import drivers
from coreset.money.flow import Flow, cash_flow
from coreset.money.grid import run_grid
from coreset.money.information import evpi
from coreset.money.irr import irr_roots, mirr, sign_changes
from coreset.money.mix import Mix, best_mix
from coreset.money.notes import notes
from coreset.money.plan import Plan, Way, plan, rate_name, ways
from coreset.money.runs import pattern_rows
from coreset.money.sample import HIGH, LOW, Sample, draw
from coreset.money.scrap import findings

FAN_DRAWS = 20_000
KNOWING_DRAWS = 32_768
"""Draws on which the worth of knowing is regressed; its noise floor is of as many."""


def weigh(
    case: Case,
    standards: Iterable[Any],
    mold_cycles: Iterable[Any],
    rates: Iterable[Any],
    screened: Iterable[Any],
    *,
    draws: int = 100_000,
    seed: int | None = None,
) -> Decision:
    """Weigh the purchase of a case.

    Parameters
    ----------
    case : Case
        Prices, volumes, line, setter and rules.
    standards : iterable of Standard
        Cycles timed so far by pattern and method.
    mold_cycles : iterable of MoldCycle
        Mold cycles, for the test of the vendor's claim.
    rates : iterable of Rate
        Molds per scheduled hour by pattern and method, with draws.
    screened : iterable of Screened
        Lifting indices by pattern and method.
    draws : int
        Draws of every input.
    seed : int, optional
        Seed of the draws; the case's own if left out.

    Returns
    -------
    Decision

    Raises
    ------
    OutOfRange
        If no pattern has a rate under the method as today.
    """
    seed = case.seed if seed is None else seed
    rates, screened, mold_cycles = tuple(rates), tuple(screened), tuple(mold_cycles)
    facts, scrap = plan(case, rates), findings(case)
    if not facts.patterns:
        raise OutOfRange(f"at least one pattern must be timed under {case.baseline!r}, got none")
    sample = draw(case, rates, scrap, draws=draws, seed=seed)
    open_ways = ways(case, rates)
    mix = best_mix(sample, facts, open_ways[0], case.money, _forced(case, screened))
    weighed = []
    for way in open_ways:
        chosen = choices.chosen_for(case, sample, facts, way, mix)
        weighed.append((way, chosen, cash_flow(sample, facts, way, case.money, chosen)))
    worth = np.stack([np.zeros(draws), *(npv(flow.total, case.money.discount_rate) for _, _, flow in weighed)]).T
    rows = tuple(choices.alternative(case, facts, way, chosen, flow, screened) for way, chosen, flow in weighed)
    way, _, flow = weighed[0]
    found = _measures(case, facts, sample, flow)
    centre = cash_flow(sample.centre(), facts, way, case.money, mix.chosen).total
    found["npv_at_means"] = float(npv(centre, case.money.discount_rate)[0])
    found |= _choice(case, facts, sample, way, mix, found["npv"])
    found |= _knowledge(case, sample, facts, way, mix, worth, standards, seed)
    found["claims"] = choices.claims(case, mold_cycles)
    found["claim_npv"] = _if_claim_held(case, sample, facts, way, mix, found["claims"], rates)
    found["notes"] = notes(case, found, scrap, rows, mix)
    return Decision(
        currency=case.currency,
        baseline=case.baseline,
        candidate=case.candidate,
        draws=draws,
        seed=seed,
        alternatives=rows,
        cheapest_risk_step=_cheapest_step(rows, choices.worst_index(screened, case.baseline), case),
        scrap=scrap,
        **found,
    )


def _forced(case: Case, screened: Iterable[Any]) -> tuple[str, ...]:
    """Patterns whose lifting index by hand is above the plant's own limit."""
    limit = case.money.li_limit
    codes = [p.pattern for p in case.patterns] if limit > 0 else []
    tasks = list(screened)
    return tuple(
        code for code in codes if choices.worst_index([t for t in tasks if t.pattern == code], case.baseline) > limit
    )


def _cheapest_step(rows: Iterable[Any], today: float, case: Case) -> str:
    """Name of the cheapest way at which no rated task is above the limit; empty if none, or none is needed."""
    if not today > (case.money.li_limit or 1.0):
        return ""
    able = [row for row in rows if row.removes_risk]
    return min(able, key=lambda row: row.first_cost).name if able else ""


def _table(flow: Flow, rate: float) -> tuple[FlowYear, ...]:
    total = flow.total.mean(axis=0)
    plain, discounted = np.cumsum(total), np.cumsum(total * factors(rate, total.size - 1))
    return tuple(
        FlowYear(
            year=t,
            parts={name: float(values[t]) for name, values in flow.means.items() if values[t]},
            total=float(total[t]),
            cumulative=float(plain[t]),
            discounted_cumulative=float(discounted[t]),
        )
        for t in range(total.size)
    )


def _fan(flow: Flow, rate: float) -> tuple[FanYear, ...]:
    part = flow.total[:FAN_DRAWS]
    total = np.cumsum(part * factors(rate, part.shape[1] - 1), axis=1)
    edges = np.quantile(total, [LOW, 0.5, HIGH], axis=0).T
    return tuple(FanYear(year=t, low=float(a), middle=float(b), high=float(c)) for t, (a, b, c) in enumerate(edges))


def _measures(case: Case, facts: Plan, sample: Sample, flow: Flow) -> dict[str, Any]:
    """Measures of the mean flow, and their spread over the draws."""
    money, mean = case.money, flow.total.mean(axis=0)
    rate, worth = money.discount_rate, npv(flow.total, money.discount_rate)
    back, back_discounted = payback(flow.total), payback(flow.total, rate)
    centre = sample.centre()
    needed = sum(centre[f"molds_per_year.{c}"] / centre[rate_name(c, facts.baseline)] for c in facts.patterns)
    pay = centre["wage_per_h"] * centre["employer_factor"] * facts.shift_factor * (facts.line_crew + facts.operators)
    annual = float(worth.mean()) / annuity_factor(rate, money.years)
    sure = chance(worth > 0)
    return {
        "years": money.years,
        "discount_rate": rate,
        "verdict": verdict(sure),
        "first_cost": float(flow.first_cost.mean()),
        "yearly_saving": spread(flow.yearly),
        "hours_saved": float(flow.hours_saved.mean()),
        "molds_sold": float(flow.molds_sold.mean()),
        "hours_needed": float(needed),
        "hours_available": facts.hours_available,
        "setter_hours": float(flow.way_hours.mean()),
        "cash_flow": _table(flow, rate),
        "fan": _fan(flow, rate),
        "npv": float(worth.mean()),
        "npv_spread": spread(worth),
        "irr": irr_roots(mean),
        "irr_sign_changes": int(sign_changes(mean)),
        "mirr": float(mirr(mean, finance_rate=rate, reinvest_rate=rate)),
        "payback_years": float(payback(mean)),
        "payback_spread": spread(back),
        "payback_whole_years": float(whole_payback(mean)),
        "discounted_payback_years": float(payback(mean, rate)),
        "discounted_payback_spread": spread(back_discounted),
        "payback_limit_years": money.payback_limit_years,
        "chance_npv_positive": sure,
        "chance_payback": chance(back <= money.payback_limit_years),
        "loss_if_bought": loss_if_bought(worth),
        "loss_if_not": loss_if_not(worth),
        "equivalent_annual_cost_baseline": float(pay * needed),
        "equivalent_annual_cost_candidate": float(pay * needed) - annual,
        "npv_draws": worth,
        "payback_draws": back,
    }


def _choice(case: Case, facts: Plan, sample: Sample, way: Way, mix: Mix, worth: float) -> dict[str, Any]:
    """Which patterns, what each is worth, other volumes; sets differ from the best, worth `worth`, by few draws."""
    rows, centre = pattern_rows(case, sample, facts, way, mix), sample.centre()
    crew = facts.line_crew + way.operators
    pay = centre["wage_per_h"] * centre["employer_factor"] * facts.shift_factor
    change = facts.mask_change_h * crew * pay
    return {
        "chosen": tuple(c for c, inside in zip(facts.patterns, mix.chosen[:, 0], strict=True) if inside),
        "forced": mix.forced,
        "patterns": rows,
        "grid": run_grid(rows, float(change)),
        "sets": tuple(replace(row, npv=row.npv - mix.sets[0].npv + worth) for row in mix.sets),
        "last_in": mix.last_in,
        "first_out": mix.first_out,
        "scenarios": choices.scenarios(case, sample, facts, way, mix.chosen),
    }


def _knowledge(
    case: Case, sample: Sample, facts: Plan, way: Way, mix: Mix, worth: Any, standards: Iterable[Any], seed: int
) -> dict[str, Any]:
    """What moves the answer and what would be worth studying."""
    rate = case.money.discount_rate
    fewer, fewer_worth = sample.rows(0, min(KNOWING_DRAWS, sample.n)), worth[:KNOWING_DRAWS]
    floor = further.floor_of(fewer_worth, seed)
    cycles: dict[tuple[str, str], int] = {}
    for row in standards:
        cycles[row.pattern, row.method] = cycles.get((row.pattern, row.method), 0) + int(row.cycles)
    return {
        "drivers": drivers(
            lambda part: npv(cash_flow(part, facts, way, case.money, mix.chosen).total, rate),
            sample,
            tied=bool(case.money.volume_margin_correlation),
        ),
        "evpi": evpi(worth),
        "noise_floor": floor,
        "knowing": further.knowing(fewer_worth, fewer, floor),
        "studies": further.studies(fewer_worth, fewer, case.money, cycles, floor=floor, seed=seed),
    }


def _if_claim_held(
    case: Case, sample: Sample, facts: Plan, way: Way, mix: Mix, claims: Iterable[Any], rates: Iterable[Any]
) -> float:
    """NPV at the mean of every input if the mold cycle were what the vendor claims; NaN without a claim.

    What pouring, cooling or shake-out hold down stays held down.
    """
    centre, changed = sample.centre(), {}
    ceiling = {rate.pattern: _ceiling(rate) for rate in rates if rate.method == case.candidate}
    for row in claims:
        name = rate_name(row.pattern, case.candidate)
        if name in centre.values and row.claimed_s > 0:
            changed[name] = min(centre[name] * row.studied_s / row.claimed_s, ceiling[row.pattern])
    if not changed:
        return math.nan
    flow = cash_flow(centre.changed(changed), facts, way, case.money, mix.chosen)
    return float(npv(flow.total, case.money.discount_rate)[0])


def _ceiling(rate: Any) -> float:
    """Molds per scheduled hour that the rest of the line can take."""
    beyond = [value for where, value in getattr(rate, "limits", {}).items() if where != "molding"]
    return min(beyond, default=math.inf) * getattr(rate, "uptime", 1.0)
