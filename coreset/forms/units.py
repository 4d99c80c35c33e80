"""The unit that a field of a form shows in its label. In: a field of the case, unit set, currency. Out: text."""

from __future__ import annotations

from dataclasses import Field
from typing import Any

from coreset.case import shown_unit
from coreset.money.figures import MODEL
from coreset.money.report import base_figures
from coreset.text import say

SHARE, YEARS, MONEY, WATCHED = "share", "years", "{currency}", "min or looks"
BY_NAME = {
    "watched": WATCHED,
    "effective": WATCHED,
    "contingency": WATCHED,
    "delay": WATCHED,
    "personal": WATCHED,
    "avoidable": WATCHED,
    "foreign": WATCHED,
    "not_seen": WATCHED,
    "hours_saved_paid": SHARE,
    "shift_premium": SHARE,
    "overtime_premium": SHARE,
    "discount_rate": SHARE,
    "wage_inflation": SHARE,
    "energy_inflation": SHARE,
    "price_inflation": SHARE,
    "tax_rate": SHARE,
    "first_year_share": SHARE,
    "loan_share": SHARE,
    "loan_rate": SHARE,
    "volume_growth": SHARE,
    "uptime": SHARE,
    "downtime_share": SHARE,
    "hold_chance": SHARE,
    "depreciation_own": SHARE,
    "recession_volume": "times",
    "more_shift_volume": "times",
    "ramp_up_start": "times",
    "employer_factor": "times",
    "pouring_cv": "times",
    "safety_factor": "times",
    "depreciation_years": YEARS,
    "loan_years": YEARS,
    "lease_years": YEARS,
    "overhaul_year": "year",
    "replacement_year": "year",
    "macrs_quarter": "quarter",
    "starts_in_year": "year",
    "ends_after_year": "year",
    "goes_over_in_year": "year",
    "year": "year",
    "budget": MONEY,
    "amount": MONEY,
    "step_cost": MONEY,
    "lease_buyout": MONEY,
    "second_hand_price": MONEY,
    "study_cost_per_cycle": MONEY,
    "volume_quote_cost": MONEY,
    "vacuum_trial_cost": MONEY,
    "mask_cost": MONEY,
    "injury_cost_per_year": "{currency}/year",
    "lease_per_year": "{currency}/year",
    "maintenance_per_year": "{currency}/year",
    "floor_space_per_year": "{currency}/year",
    "mask_repair_per_year": "{currency}/year",
    "overhaul_cost": MONEY,
    "replacement_cost": MONEY,
    "residual": MONEY,
    "installation_lost_hours": "h",
    "lost_margin_per_h": "{currency}/h",
    "cost": "{currency}/core",
    "rework_cost": "{currency}/casting",
    "cost_per_scrapped_casting": "{currency}/casting",
    "margin_per_casting": "{currency}/casting",
    "wage_per_h": "{currency}/h",
    "air_per_m3": "{currency}/m³",
    "electricity_per_kwh": "{currency}/kWh",
    "line_crew": "people",
    "operators": "people",
    "crew": "people",
    "persons": "people",
    "hours_per_shift": "h",
    "hours": "h",
    "overtime_limit_h_per_year": "h/year",
    "other_line_hours_per_year": "h/year",
    "days_per_year": "days/year",
    "shifts_per_day": "shifts/day",
    "molds_per_year": "molds/year",
    "extra_molds_per_year": "molds/year",
    "runs_per_year": "runs/year",
    "mask_life_molds": "molds",
    "ramp_up_molds": "molds",
    "air_l_per_cycle": "l/mold",
    "lifts_per_mold": "lifts/mold",
    "lifts_per_run": "lifts/run",
    "frequency_per_min": "lifts/min",
    "distance_m": "m",
    "percent": "%",
    "effort_borg": "0–10",
}
"""Units by name of the field, the same in each kind of value that has the field."""


def unit_of(field: Field[Any], units: str, currency: str) -> str:
    """Unit of a number, of a range or of several numbers; empty for a bare count, an index or a text.

    Parameters
    ----------
    field : dataclasses.Field
        Of a kind of value of the case.
    units : str
        Unit set of the case.
    currency : str
        Currency of the case; without it the word for money stands in its place.
    """
    if shown := shown_unit(field, units):
        return shown
    money = currency or say("front.unit.money")
    if field.name in BY_NAME:
        known = BY_NAME[field.name]
        return say("front.unit.share") if known == SHARE else known.format(currency=money)
    declared = MODEL.inputs.get(field.name)
    return base_figures.shown_unit(declared.unit, money) if declared is not None else ""
