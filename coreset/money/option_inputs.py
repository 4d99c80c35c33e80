"""Inputs of the cash flow for one option: what the case states, what the runs draw, and which patterns go over."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.case import Money, yearly_costs
from coreset.money.simulation_inputs import MASK, OF_PLANT, Sample
from coreset.money.tax import DISPOSAL_SHARE, shares_by_year, written_off
from coreset.money.year_plan import Plan, Way, exposure_name, rate_name

OF_THE_SETTER = (
    "installation",
    "training",
    "mask_repair_per_year",
    *yearly_costs(Money),
    "injury_cost_per_year",
    "residual",
    "commissioning_scrap",
    "ramp_up_molds",
    "installation_lost_hours",
    "overhaul_cost",
    "replacement_cost",
    "delivery_months",
    "working_capital",
    "loan_share",
    "grant",
    "mask_change_min",
    "mask_prep_min",
    "downtime_share",
    "air_l_per_cycle",
    "power_kw",
)
"""Inputs that are 0 for an option without the setter."""
OF_THE_LEASE = ("lease_per_year", "lease_buyout")
Inputs = dict[str, ArrayLike]


def option_inputs(sample: Sample, plan: Plan, way: Way, money: Money, moved: NDArray[np.float64]) -> Inputs:
    """Values of every input for one option.

    Parameters
    ----------
    sample : Sample
        Runs of what is uncertain.
    plan : Plan
        What is stated, patterns that are in, and how their runs follow each other.
    way : Way
        The option.
    money : Money
        Years and rule of depreciation.
    moved : ndarray, shape (patterns, 1) or (patterns, runs)
        1 where a pattern goes over.

    Returns
    -------
    dict of str to array_like
        By key of :data:`coreset.money.inputs.INPUTS`; by pattern as (patterns, 1, runs or 1).
    """
    found: Inputs = {**plan.stated, **{key: sample[key] for key in OF_PLANT}, **_by_pattern(sample, plan, way)}
    found |= {
        "moved": np.asarray(moved, dtype=float)[:, None, :],
        "follow": plan.follows,
        "runs_counted": plan.runs,
        "operators_today": float(plan.operators),
        "operators_proposed": float(way.operators),
        "step_cost": way.step_cost,
        "moved_from": np.array(plan.moved_from)[:, None, None],
    }
    if plan.volume_share is not None:
        found["volume_share"] = plan.volume_share
    own = {key: sample[value] if isinstance(value, str) else value for key, value in way.inputs.items()}
    if "mask_cost" in own:
        own["mask_cost"] = _stacked([own["mask_cost"]] * len(plan.patterns), sample.n)
    found |= own
    if not way.mechanised:
        found |= dict.fromkeys((*OF_THE_SETTER, "setter_price", "mask_cost", *OF_THE_LEASE), 0.0)
    return found | _write_off(money)


def _by_pattern(sample: Sample, plan: Plan, way: Way) -> Inputs:
    values, codes = sample.values, plan.patterns

    def rows(name: Callable[[str], str], default: Callable[[str], Any] | None = None) -> NDArray[np.float64]:
        known = [values.get(name(c), default(c)) if default else values[name(c)] for c in codes]
        return _stacked(known, sample.n)

    def today(code: str) -> Any:
        return values[rate_name(code, plan.baseline)]

    def exposed(code: str) -> str:
        return exposure_name(code, way.method)

    counted = way.method == plan.candidate
    return {
        **{
            field: rows(f"{field}.{{}}".format)
            for field in ("molds_per_year", "margin_per_casting", "extra_molds_per_year")
        },
        "runs_per_year": rows(lambda c: f"runs.{c}"),
        "castings_per_mold": _stacked(plan.castings, 1),
        "cost_per_scrapped_casting": _stacked(plan.scrap_cost, 1),
        "mask_cost": rows(lambda c: f"{MASK}.{c}", lambda c: values[MASK]),
        "rate_today": rows(lambda c: rate_name(c, plan.baseline)),
        "rate_proposed": rows(lambda c: rate_name(c, way.method), today) * _slowed(plan, way),
        "holds": rows(lambda c: f"held.{c}", lambda c: 1.0) if way.mechanised else 1.0,
        "exposure_removed": rows(exposed, lambda c: 0.0),
        "core_losses_saved": _stacked([plan.supplied(c, way.method).losses for c in codes], 1),
        "core_hours_saved": _stacked([plan.supplied(c, way.method).people_h for c in codes], 1),
        "scrap_saved": rows(lambda c: f"scrap.{c}", lambda c: 0.0) if counted else 0.0,
    }


def _slowed(plan: Plan, way: Way) -> Any:
    """Molds per hour over those timed where a vendor claims fewer, (patterns, 1, 1) or 1."""
    return np.array([way.slowed.get(c, 1.0) for c in plan.patterns]).reshape(-1, 1, 1) if way.slowed else 1.0


def _stacked(values: Any, runs: int) -> NDArray[np.float64]:
    """One value a pattern, each a number or (runs,), as (patterns, 1, runs or 1)."""
    if all(np.ndim(value) == 0 for value in values):
        return np.array(values, dtype=float).reshape(-1, 1, 1)
    found = np.empty((len(values), 1, runs))
    for row, value in zip(found, values, strict=True):
        row[0] = value
    return found


def _write_off(money: Money) -> Inputs:
    """Shares written off by year until the end, and those of what is bought later."""
    shares = shares_by_year(
        money.depreciation or "none",
        years=money.depreciation_years,
        own=money.depreciation_own,
        first_year_share=money.first_year_share,
        quarter=money.macrs_quarter,
    )
    part = DISPOSAL_SHARE["mid_quarter" if money.macrs_quarter else "half_year"]
    macrs = (money.depreciation or "").startswith("macrs")
    used = written_off(shares, years=money.years, year_of_sale=part if macrs else 1.0)
    return {"write_off_share": used, "write_off_share_later": written_off(shares, years=money.years)}
