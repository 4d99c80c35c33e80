"""Fields of a form in groups of a subject each; what is seldom entered is advanced. In: fields. Out: groups."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from coreset.forms.fields import Asked
from coreset.text import say

GROUPS: dict[str, dict[str, tuple[str, ...]]] = {
    "Money": {
        "purchase": (
            "setter_price",
            "installation",
            "training",
            "mask_cost",
            "mask_life_molds",
            "spare_masks",
            "mask_repair_per_year",
            "maintenance_per_year",
            "residual",
        ),
        "people": (
            "wage_per_h",
            "employer_factor",
            "line_crew",
            "hours_saved_paid",
            "shift_premium",
            "overtime_premium",
            "overtime_limit_h_per_year",
        ),
        "rules": (
            "discount_rate",
            "years",
            "payback_limit_years",
            "payback_rule",
            "budget",
            "mask_places",
            "setter_hours_limit",
            "li_limit",
            "range_meaning",
        ),
        "running": ("air_per_m3", "electricity_per_kwh", "floor_space_per_year", "other_line_hours_per_year"),
    },
    "Line": {
        "schedule": ("hours_per_shift", "shifts_per_day", "days_per_year", "breaks_min", "uptime", "other_stops_pct"),
        "molding": ("kind", "changeover_min", "core_window_s", "mold_positions", "index_s"),
        "pouring": ("pouring_mode", "pouring_s", "pouring_batch", "cooling_places", "shakeout_s"),
    },
    "Pattern": {
        "pattern": ("pattern", "title", "castings_per_mold", "margin_per_casting", "mask_cost"),
        "volume": ("molds_per_year", "runs_per_year", "extra_molds_per_year", "volume_growth"),
        "line": ("section", "cooling_min", "pouring_s", "poured_mass", "hold_chance"),
    },
    "Core": {
        "core": ("pattern", "core", "per_mold", "mass", "length", "width", "height"),
        "hold": ("print_area", "cups", "cup_lip", "permeability_afs", "leak_path"),
    },
    "Lift": {
        "lift": ("pattern", "method", "task", "core", "mass", "lifts_per_mold", "hands", "persons", "hoist"),
        "origin": ("horizontal_origin", "vertical_origin", "asymmetry_origin_deg"),
        "destination": (
            "horizontal_destination",
            "vertical_destination",
            "asymmetry_destination_deg",
            "coupling",
            "duration",
        ),
    },
}
"""Groups of a kind of value and their fields; what stands in none of them is advanced."""
SELDOM: dict[str, dict[str, tuple[str, ...]]] = {
    "Money": {
        "start": (
            "delivery_months",
            "installation_lost_hours",
            "lost_margin_per_h",
            "commissioning_scrap",
            "ramp_up_molds",
            "ramp_up_start",
            "working_capital",
        ),
        "later": (
            "repairs_per_year",
            "warranty_years",
            "overhaul_cost",
            "overhaul_year",
            "replacement_cost",
            "replacement_year",
            "wage_inflation",
            "energy_inflation",
            "price_inflation",
        ),
        "tax": (
            "tax_rate",
            "depreciation",
            "macrs_quarter",
            "depreciation_years",
            "depreciation_own",
            "first_year_share",
            "masks_capitalised",
        ),
        "financing": (
            "lease_per_year",
            "lease_years",
            "lease_buyout",
            "loan_share",
            "loan_rate",
            "loan_years",
            "grant",
            "second_hand_price",
        ),
        "uncertainty": (
            "volume_correlation",
            "price_correlation",
            "volume_margin_correlation",
            "recession_volume",
            "more_shift_volume",
            "injury_cost_per_year",
        ),
    },
    "Lift": {
        "light": ("effort_borg", "exertion_s", "wrist_deg", "carry"),
        "variation": (
            "horizontal_sd",
            "vertical_sd",
            "asymmetry_sd_deg",
            "measured_error",
            "measured_error_deg",
            "mass_max",
        ),
    },
}
"""Advanced groups; what stands in none at all is the group `more`."""
MOST = 10
"""Fields of a group at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields of one subject; `name` is a key of front.group."""

    name: str
    fields: tuple[Asked, ...]
    advanced: bool = False
    number: int = 1

    @property
    def title(self) -> str:
        """What it is called; further groups of the rest are numbered."""
        name = say(f"front.group.{self.name}")
        return name if self.number == 1 else say("front.facts.again", name=name, no=self.number)


def groups(kind: type, asked: Iterable[Asked]) -> tuple[Group, ...]:
    """Groups of at most ten fields, required ones first, then the advanced ones.

    Parameters
    ----------
    kind : type
        Kind of the values; one that is not in `GROUPS` has its first ten fields in one group.
    asked : fields
        In the order of the file.
    """
    every = {one.name: one for one in asked}
    stated = GROUPS.get(kind.__name__, {})
    found = [Group(name=name, fields=_of(every, names)) for name, names in stated.items()]
    if not stated:
        first = sorted(every.values(), key=lambda one: not one.required)[:MOST]
        found = [Group(name="main", fields=tuple(one for one in every.values() if one in first))]
    seldom = SELDOM.get(kind.__name__, {})
    found += [Group(name=name, fields=_of(every, names), advanced=True) for name, names in seldom.items()]
    taken = {one.name for group in found for one in group.fields}
    rest = [one for one in every.values() if one.name not in taken]
    parts = [tuple(rest[at : at + MOST]) for at in range(0, len(rest), MOST)]
    more = [Group(name="more", fields=part, advanced=True, number=at) for at, part in enumerate(parts, start=1)]
    return tuple(group for group in (*found, *more) if group.fields)


def _of(every: dict[str, Asked], names: Iterable[str]) -> tuple[Asked, ...]:
    found = [every[name] for name in names if name in every]
    return tuple(sorted(found, key=lambda one: not one.required))
