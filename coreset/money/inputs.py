"""Every input of the cash flow, declared once. What a field of the case means is taken from the field itself."""

from __future__ import annotations

from dataclasses import MISSING, fields

from coreset.case import Line, Money, Pattern, Range, Setter, meaning, yearly_costs
from coreset.figures import Input

MONEY = {
    "setter_price": "currency",
    "installation": "currency",
    "training": "currency",
    "mask_life_molds": "mold",
    "spare_masks": "1",
    "mask_repair_per_year": "currency/year",
    "wage_per_h": "currency/hour/person",
    "employer_factor": "1",
    "line_crew": "person",
    "hours_saved_paid": "1",
    "shift_premium": "1",
    "overtime_premium": "1",
    "overtime_limit_h_per_year": "hour/year",
    "air_per_m3": "currency/m**3",
    "electricity_per_kwh": "currency/kW/hour",
    "residual": "currency",
    "discount_rate": "1",
    "wage_inflation": "1",
    "energy_inflation": "1",
    "price_inflation": "1",
    "tax_rate": "1",
    "masks_capitalised": "1",
    "ramp_up_molds": "mold",
    "ramp_up_start": "1",
    "lease_per_year": "currency/year",
    "injury_cost_per_year": "currency/year",
    "other_line_hours_per_year": "hour/year",
    "commissioning_scrap": "casting",
}
"""Fields of `Money` that the cash flow reads, with their units."""
SOME_YEARS = {
    "delivery_months": "month",
    "warranty_years": "1",
    "installation_lost_hours": "hour",
    "lost_margin_per_h": "currency/hour",
    "overhaul_cost": "currency/year",
    "overhaul_year": "1",
    "replacement_cost": "currency/year",
    "replacement_year": "1",
    "working_capital": "currency",
}
"""Those that come in single years."""
FINANCING = {
    "lease_years": "1",
    "lease_buyout": "currency/year",
    "loan_share": "1",
    "loan_rate": "1",
    "loan_years": "1",
    "grant": "currency",
}
"""Those of lease, loan and grant."""
COSTS = dict.fromkeys(yearly_costs(Money), "currency/year")
"""Those that are items by themselves."""
OF_MONEY = MONEY | COSTS | SOME_YEARS | FINANCING
LINE = {"hours_per_shift": "hour", "shifts_per_day": "1", "days_per_year": "1/year", "saved_hours_used": "1"}
SETTER = {
    "mask_change_min": "minute",
    "mask_prep_min": "minute*person",
    "downtime_share": "1",
    "air_l_per_cycle": "L/mold",
    "power_kw": "kW",
}
PATTERN = {
    "molds_per_year": "mold/year",
    "runs_per_year": "1/year",
    "castings_per_mold": "casting/mold",
    "margin_per_casting": "currency/casting",
    "extra_molds_per_year": "mold/year",
    "cost_per_scrapped_casting": "currency/casting",
}


def _fields(kind: type, units: dict[str, str], axes: str = "") -> tuple[Input, ...]:
    return tuple(Input(key, unit, meaning(kind, key), axes) for key, unit in units.items())


def _optional(kind: type, units: dict[str, str]) -> tuple[Input, ...]:
    """Inputs that have the default of their field where nothing is given."""
    own = {f.name: f.default for f in fields(kind) if f.default is not MISSING}
    plain = {key: value.likely if isinstance(value, Range) else value for key, value in own.items()}
    return tuple(Input(key, unit, meaning(kind, key), default=float(plain[key])) for key, unit in units.items())


FROM_CASE = (
    *_fields(Money, MONEY | COSTS),
    *_fields(Line, LINE),
    *_fields(Setter, SETTER),
    *_fields(Pattern, PATTERN, "p"),
)
OF_METHODS = (
    Input("operators_today", "person", "people who set cores today"),
    Input("operators_proposed", "person", "people who set cores under the proposed method"),
    Input("step_cost", "currency", "one-off cost of the proposed method (racks, platform)", default=0),
    Input("mask_cost", "currency", "one core mask for the pattern", "p"),
)
OF_ROOMS = (
    Input("rate_today", "mold/hour", "molds per scheduled line hour today", "p", carried=True),
    Input("rate_proposed", "mold/hour", "molds per scheduled line hour under the proposed method", "p", carried=True),
    Input("follow", "1/year", "runs per year of a pattern straight after a run of another", "pq", carried=True),
    Input("runs_counted", "1/year", "runs per year of the sequence in which these were counted", "p", carried=True),
    Input("moved", "1", "1 if the pattern goes over to the proposed method", "p"),
    Input("moved_from", "1", "year in which the pattern goes over", "p", default=1),
    Input("holds", "1", "1 if the setter holds the pattern's cores", "p", default=1, carried=True),
    Input("volume_share", "1", "molds of the year over those of today", "py", default=1),
    Input("scrap_saved", "1", "castings not scrapped any more, per casting made", "p", default=0, carried=True),
    Input(
        "core_losses_saved",
        "currency/mold",
        "broken cores and reworked castings of a mold today, less those under the proposed method",
        "p",
        default=0,
        carried=True,
    ),
    Input(
        "core_hours_saved",
        "hour*person/mold",
        "work of people off the line on the cores of a mold today, less that under the proposed method",
        "p",
        default=0,
        carried=True,
    ),
    Input(
        "exposure_removed",
        "1",
        "share of the plant's lifting exposure that goes away with the pattern",
        "p",
        default=1,
        carried=True,
    ),
)
OF_TAX = (
    Input("write_off_share", "1", "share of the initial cost written off in the year", "y", default=0),
    Input("write_off_share_later", "1", "share written off of a later purchase, from its own year on", "y", default=0),
)
CONSTANTS = (
    Input("minutes_per_hour", "minute/hour", "minutes in an hour", default=60, constant=True),
    Input("months_per_year", "month", "months in a year", default=12, constant=True),
    Input("liters_per_m3", "L/m**3", "liters in a cubic meter", default=1000, constant=True),
    Input("one_mold", "mold", "one mold", default=1, constant=True),
)
INPUTS = (*FROM_CASE, *OF_METHODS, *OF_ROOMS, *OF_TAX, *_optional(Money, SOME_YEARS | FINANCING), *CONSTANTS)
