"""The forecast after the purchase: what is still to come, updated by what was measured, and why it differs.

In: the decision as it was taken, the same on the case as it stands now, what was entered. Out: `Reforecast`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from math import factorial
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.case import Actual
from coreset.case.actual import SAVED
from coreset.figures import evaluate
from coreset.money.base_case import BaseCase
from coreset.money.cash_flow import NAMES
from coreset.money.chances import Spread, chance, spread
from coreset.money.decision import Decision
from coreset.money.discount import npv, payback
from coreset.money.figures import MODEL
from coreset.money.inputs import INPUTS
from coreset.money.promise import Promised, PromisedInputs

REASONS = ("volume", "time", "price", "share", "other")
KEYS = {
    "volume": {"molds_per_year", "runs_per_year", "runs_counted", "follow", "volume_share", "extra_molds_per_year",
               "hours_per_shift", "shifts_per_day", "days_per_year", "other_line_hours_per_year"},
    "time": {"rate_today", "rate_proposed", "mask_change_min", "downtime_share", "ramp_up_molds", "ramp_up_start"},
    "share": {"saved_hours_used", "hours_saved_paid"},
}  # fmt: skip
"""Inputs behind each reason; of the others, those in money are prices."""
RATES_OF_PAY = {
    "employer_factor", "shift_premium", "overtime_premium", "wage_inflation", "energy_inflation", "price_inflation"
}  # fmt: skip
OF_LABOR = {"labour", "overtime"}
"""Items whose amount against the calculation is the share of the time saved that was really not paid."""
HALF = 0.5
"""Share of the promised amounts that must be measured before a claim counts as confirmed: our own rule, no source."""
OPEN, CONFIRMED, SO_FAR, BELOW, REFUTED = "open", "confirmed", "so_far", "below", "refuted"
Entered = Mapping[tuple[int, str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reforecast:
    """What the purchase comes to by what is known now.

    `promised` is the net present value with the range that was promised, `npv` the one forecast now: measured amounts,
    the rest of each measured yearly item in the proportion of what was measured to what the case implies, the case as
    it stands for all else; its range is as wide as that of the runs, not narrowed by what was measured. The mean of
    both is the base case. `factors`: that proportion by item. `reasons`: why the measured items differ from their
    promise, by REASONS; their sum is that difference; empty where the two cases do not have the same patterns and
    years. `coverage`: share of the promised amounts of the years that have run that was measured. `claim`: open
    (nothing measured), confirmed, so_far (met, but less than half is measured), below (the promised range is missed),
    refuted (worth nothing any more). [currency]
    """

    promised: Spread
    npv: Spread
    chance_npv_positive: float
    payback_years: float
    factors: dict[str, float]
    reasons: dict[str, float]
    coverage: float
    claim: str


def entered_by_place(actuals: Iterable[Actual]) -> dict[tuple[int, str], float]:
    """Flow entered by year and item; rows of the same year and item are added up."""
    found: dict[tuple[int, str], float] = {}
    for row in actuals:
        found[row.year, row.item] = found.get((row.year, row.item), 0.0) + row.flow
    return found


def reforecast(promised: Decision | Promised, now: Decision, actuals: Iterable[Actual]) -> Reforecast:
    """The forecast of the whole purchase, updated by what was measured.

    Parameters
    ----------
    promised : Decision or Promised
        The decision as it was taken, or what was stored at its approval.
    now : Decision
        The same on the case as it stands now.
    actuals : iterable of Actual
        What was really paid and saved.

    Returns
    -------
    Reforecast
    """
    entered = entered_by_place(actuals)
    flow = updated_flow(now, entered)
    base = float(npv(flow, now.discount_rate))
    worth = now.npv_draws - now.npv_at_means + base
    coverage = _coverage(promised, entered)
    return Reforecast(
        promised=replace(promised.npv_spread, mean=promised.npv_at_means),
        npv=replace(spread(worth), mean=base),
        chance_npv_positive=chance(worth > 0),
        payback_years=float(payback(flow)),
        factors=factors(now, entered),
        reasons=reasons(promised, now, entered),
        coverage=coverage,
        claim=_claim(promised.npv_spread, base, coverage),
    )


def _claim(promised: Spread, worth: float, coverage: float) -> str:
    if not coverage:
        return OPEN
    if worth < min(0.0, promised.low):
        return REFUTED
    if worth < promised.low:
        return BELOW
    return CONFIRMED if coverage >= HALF else SO_FAR


def _coverage(promised: Decision | Promised, entered: Entered) -> float:
    """Share of the promised amounts, paid and saved alike, of the years that have run that was measured."""
    last = min(max((year for year, _ in entered), default=0), promised.years)
    amounts = {(t, item): abs(v) for t in range(last + 1) for item, v in promised.cash_flow[t].parts.items()}
    total = sum(amounts.values())
    return sum(value for place, value in amounts.items() if place in entered) / total if total else 0.0


def factors(now: Decision, entered: Entered) -> dict[str, float]:
    """Measured over implied by the case as it stands, for each yearly item of which any year was measured. [-]"""
    found = {}
    for key in MODEL.kinds["operating"]:
        item = NAMES.get(key, key)
        years = [t for t, name in entered if name == item and 1 <= t <= now.years]
        implied = sum(now.cash_flow[t].parts.get(item, 0.0) for t in years)
        if implied:
            found[item] = sum(entered[t, item] for t in years) / implied
    return found


def updated_flow(now: Decision, entered: Entered) -> NDArray[np.float64]:
    """Flow of the base case by year, now first, (years + 1,), with what was measured and the rest in its proportion.

    Tax follows each difference in its year, first costs by the rule of depreciation, where no tax was entered.
    """
    changes: dict[str, NDArray[np.float64]] = {}
    share = factors(now, entered)
    items = dict.fromkeys([*(item for _, item in entered), *share])
    for item in items:
        implied = np.array([row.parts.get(item, 0.0) for row in now.cash_flow])
        actual = implied * np.where(np.arange(implied.size) > 0, share.get(item, 1.0), 1.0)
        for (t, name), value in entered.items():
            if name == item and t < actual.size:
                actual[t] = value
        changes[item] = actual - implied
    flow = np.array([row.total for row in now.cash_flow]) + sum(changes.values(), np.zeros(now.years + 1))
    return flow + _tax(now.base, changes, {t for t, item in entered if item == "tax"})


def _tax(base: BaseCase, changes: Mapping[str, NDArray[np.float64]], taxed: Collection[int]) -> NDArray[np.float64]:
    """Tax on the differences from the case, by year; none in years whose tax was entered."""
    capital, expensed, tied_up = (
        {NAMES.get(key, key) for key in MODEL.kinds[kind]} for kind in ("capital", "expensed", "tied_up")
    )
    taxable = np.zeros(base.years + 1)
    written_off = np.broadcast_to(np.ravel(np.asarray(base.inputs["write_off_share"], dtype=float)), base.years)
    for item, change in changes.items():
        if item in capital:
            taxable[1:] += change[0] * written_off
            taxable[-1] += change[0] * (1.0 - written_off.sum())
        elif item in expensed:
            taxable[1] += change[0]
        elif item not in tied_up | {"tax", "capital_released"}:
            taxable += change
    taxable[[t for t in taxed if t <= base.years]] = 0.0
    return -float(np.mean(np.asarray(base.inputs["tax_rate"]))) * taxable


def reasons(promised: Decision | Promised, now: Decision, entered: Entered) -> dict[str, float]:
    """Why the measured items differ from their promise: by reason, adding up to the difference. [currency]

    What changed in the case is split by exchanging the inputs behind each reason in every order, means over the orders
    (the Shapley value, from memory); what was measured beyond that is the share realized for labor, the price for what
    was paid.

    Parameters
    ----------
    promised : Decision or Promised
        Cash flow of the decision.
    now : Decision
        The same with today's inputs.
    entered : mapping of (year, item) to float
        What was measured. [currency]
    """
    places = [(t, item) for t, item in entered if t <= min(promised.years, now.years)]
    if not places or (promised.base.patterns, promised.years) != (now.base.patterns, now.years):
        return {}
    of_inputs = _of_inputs(promised.base, now.base, places)
    found = dict.fromkeys(REASONS, 0.0) | of_inputs
    for t, item in places:
        implied = now.cash_flow[t].parts.get(item, 0.0)
        known = "share" if item in OF_LABOR else "other" if item in SAVED else "price"
        found[known] += entered[t, item] - implied
        found["other"] += implied - promised.cash_flow[t].parts.get(item, 0.0)
    found["other"] -= sum(of_inputs.values())
    return found


def _of_inputs(
    before: BaseCase | PromisedInputs, after: BaseCase, places: Collection[tuple[int, str]]
) -> dict[str, float]:
    """Difference of the measured items between two cases at their means, by reason."""
    unlike = {key for key in after.inputs if not _same(before.inputs.get(key), after.inputs[key])}
    groups = {reason: {key for key in unlike if _reason(key) == reason} for reason in REASONS}
    groups = {reason: keys for reason, keys in groups.items() if keys}
    value = {
        changed: _measured(before, after, set().union(*(groups[reason] for reason in changed)), places)
        for size in range(len(groups) + 1)
        for changed in combinations(groups, size)
    }
    return {reason: _mean_over_orders(reason, tuple(groups), value) for reason in groups}


def _mean_over_orders(reason: str, names: tuple[str, ...], value: Mapping[tuple[str, ...], float]) -> float:
    """What a reason adds, mean over all orders in which the reasons may come."""
    n, others = len(names), [name for name in names if name != reason]
    total = 0.0
    for size in range(n):
        weight = factorial(size) * factorial(n - size - 1) / factorial(n)
        for some in combinations(others, size):
            with_it = tuple(name for name in names if name in some or name == reason)
            total += weight * (value[with_it] - value[some])
    return total


def _measured(
    before: BaseCase | PromisedInputs, after: BaseCase, changed: Collection[str], places: Collection[tuple[int, str]]
) -> float:
    """Sum of the measured items with some inputs as they are now, the others as they were promised."""
    inputs: dict[str, ArrayLike] = {**after.inputs, **before.inputs} | {key: after.inputs[key] for key in changed}
    keys = {item: key for key in (*MODEL.figures,) if (item := NAMES.get(key, key)) in {name for _, name in places}}
    found = evaluate(MODEL, inputs, after.size, keep=list(keys.values()))
    return sum(_of_year(found[keys[item]], t) for t, item in places if item in keys)


def _of_year(values: NDArray[np.float64], t: int) -> float:
    """An item in one year, now paid at year 0."""
    row = values[0, :, 0]
    return float(-row[0] if t == 0 else row[min(t, row.size) - 1])


def _same(a: Any, b: Any) -> bool:
    return a is not None and np.array_equal(np.asarray(a), np.asarray(b))


def _reason(key: str) -> str:
    for reason, keys in KEYS.items():
        if key in keys:
            return reason
    unit = next((one.unit for one in INPUTS if one.key == key), "")
    return "price" if "currency" in unit or key in RATES_OF_PAY else "other"
