"""From a case and what the other rooms found to the decision, in one pure function.

In: times, rates and lifting indices with their draws. Out: `Decision`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from coreset.case import Case
from coreset.money import alternatives
from coreset.money.base_case import BaseCase, base_case
from coreset.money.chances import chance, loss_if_bought, loss_if_not, mean_loss_if_it_loses, spread
from coreset.money.claims import claims
from coreset.money.cumulative_cash import fan, flow_table, payback_curve
from coreset.money.decision import NOT_FEASIBLE, Decision, verdict
from coreset.money.discount import annuity_factor, npv, payback, whole_payback
from coreset.money.irr import irr_roots, mirr, sign_changes
from coreset.money.notes import notes
from coreset.money.pattern_choice import eligible
from coreset.money.weighed import every_option, unwatched
from coreset.money.what_to_learn import Weighing, gap, if_claim_held
from coreset.money.year_plan import rate_name


def weigh(
    case: Case,
    standards: Iterable[Any],
    mold_cycles: Iterable[Any],
    rates: Iterable[Any],
    screened: Iterable[Any],
    *,
    draws: int = 100_000,
    seed: int | None = None,
    progress: Callable[[float], None] = unwatched,
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
    progress : callable
        Told the share done, 0 to 1, after every block of draws and every step.

    Returns
    -------
    Decision

    Raises
    ------
    OutOfRange
        If no pattern has a rate under the current method.
    """
    seed = case.seed if seed is None else seed
    rates, screened, mold_cycles = tuple(rates), tuple(screened), tuple(mold_cycles)
    weighed = every_option(case, rates, screened, (draws, seed), progress)
    w, rows, scrap = weighed.purchase, weighed.rows, weighed.scrap
    base = base_case(w.sample, w.facts, w.way, case.money, w.mix.chosen)
    found = _measures(w, base) | _backs(w) | _hours(w) | _choice(w)
    found["chance_payback"] = rows[0].chance_payback
    found["claims"] = claims(case, mold_cycles)
    found["claim_npv"] = if_claim_held(w, found["claims"], rates)
    timed = {w.facts.patterns[i] for i in eligible(w.facts, w.way, w.sample)}
    found["notes"] = notes(case, found, scrap, rows, w.mix, weighed.forced, patterns=w.facts.patterns, timed=timed)
    progress(1.0)
    return Decision(
        case=case,
        standards=tuple(standards),
        rates=rates,
        screened=screened,
        weighed=weighed,
        currency=case.currency,
        baseline=case.baseline,
        candidate=case.candidate,
        draws=draws,
        seed=seed,
        range_meaning=case.money.range_meaning,
        alternatives=rows,
        cheapest_risk_step=_cheapest_step(rows, alternatives.worst_index(screened, case.baseline), case),
        scrap=scrap,
        **found,
    )


def _cheapest_step(rows: Iterable[Any], today: float, case: Case) -> str:
    """Name of the cheapest way at which no rated task is above the limit; empty if none, or none is needed."""
    if not today > (case.money.li_limit or 1.0):
        return ""
    able = [row for row in rows if row.removes_risk and not row.needs]
    return min(able, key=lambda row: row.first_cost).name if able else ""


def _measures(w: Weighing, base: BaseCase) -> dict[str, Any]:
    """Worth of the base case and of the runs, and how sure it is."""
    money, flow, worth = w.case.money, w.base_flow.total[0], npv(w.flow.total, w.rate)
    sure = chance(worth > 0)
    return {
        "base": base,
        "gap": gap(base, w.flow, w.rate),
        "npv_at_means": base.number("npv"),
        "saving_at_means": float(w.base_flow.yearly[0]),
        "years": money.years,
        "discount_rate": w.rate,
        "verdict": NOT_FEASIBLE if w.mix.needs else verdict(sure),
        "needs": w.mix.needs,
        "first_cost": float(w.base_flow.first_cost[0]),
        "yearly_saving": spread(w.flow.yearly),
        "cash_flow": flow_table(w.base_flow, w.rate),
        "fan": fan(w.flow, w.rate),
        "npv": float(worth.mean()),
        "npv_spread": spread(worth),
        "npv_draws": worth,
        "saving_draws": w.flow.yearly,
        "worth_draws": w.worth,
        "chance_npv_positive": sure,
        "chance_npv_negative": chance(worth < 0),
        "mean_loss_if_it_loses": mean_loss_if_it_loses(worth),
        "loss_if_bought": loss_if_bought(worth),
        "loss_if_not": loss_if_not(worth),
        "irr": irr_roots(flow),
        "irr_sign_changes": int(sign_changes(flow)),
        "mirr": float(mirr(flow, finance_rate=w.rate, reinvest_rate=w.rate)),
    }


def _backs(w: Weighing) -> dict[str, Any]:
    """Payback by each convention, and the chance that it is within the plant's limit."""
    flow, back, later = w.base_flow.total[0], payback(w.flow.total), payback(w.flow.total, w.rate)
    limit = w.case.money.payback_limit_years
    return {
        "payback_years": float(payback(flow)),
        "payback_spread": spread(back),
        "payback_draws": back,
        "payback_whole_years": float(whole_payback(flow)),
        "discounted_payback_years": float(payback(flow, w.rate)),
        "discounted_payback_spread": spread(later),
        "discounted_payback_draws": later,
        "payback_limit_years": limit,
        "payback_rule": w.case.money.payback_rule,
        "payback_curve": payback_curve(back, w.case.money.years),
    }


def _hours(w: Weighing) -> dict[str, Any]:
    """Line hours, and what a year costs by the current method and under the way."""
    centre, facts = w.sample.centre(), w.facts
    needed = sum(centre[f"molds_per_year.{c}"] / centre[rate_name(c, facts.baseline)] for c in facts.patterns)
    made = min(needed, facts.hours_available + facts.overtime_h)
    cost = float(made * w.pay * (centre["line_crew"] + facts.operators))
    annual = w.base_npv / annuity_factor(w.rate, w.case.money.years)
    return {
        "hours_saved": float(w.base_flow.hours_saved[0]),
        "molds_sold": float(w.base_flow.molds_sold[0]),
        "hours_needed": float(needed),
        "hours_available": facts.hours_available,
        "overtime_limit_h": facts.overtime_h,
        "line_hours": float(w.flow.line_hours.mean()),
        "setter_hours": float(w.flow.way_hours.mean()),
        "equivalent_annual_cost_baseline": cost,
        "equivalent_annual_cost_candidate": cost - annual,
    }


def _choice(w: Weighing) -> dict[str, Any]:
    """Which patterns, what each is worth, other volumes; a set lies as far from the best as over few draws."""
    worth, mix = w.base_npv, w.mix
    weighed = tuple(c for c, inside in zip(w.facts.patterns, mix.chosen[:, 0], strict=True) if inside)
    return {
        "chosen": () if mix.needs else weighed,
        "nearest": weighed,
        "forced": mix.forced,
        "sets": tuple(replace(row, npv=row.npv - mix.sets[0].npv + worth) for row in mix.sets),
        "last_in": mix.last_in,
        "first_out": mix.first_out,
    }
