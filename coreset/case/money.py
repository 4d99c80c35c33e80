"""What things cost and what is earned: [money] of case.toml. Nothing is saved unless it is entered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le

from coreset.case.fields import Count, NotNegative, Range, Share, Years, says

ZERO = Range.exactly(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """Prices, wages and the plant's own rules for a purchase."""

    setter_price: Range = says("price of the setter, delivered")
    installation: Range = says("foundations, guards, air and power supply, commissioning", default=ZERO)
    training: Range = says("training of the crew", default=ZERO)
    mask_cost: Range = says("one core mask, where a pattern has none of its own", counted_in="{currency}", default=ZERO)
    mask_life_molds: NotNegative = says(
        "molds a mask lasts; 0 is as long as the setter", counted_in="molds", default=0.0
    )
    mask_repair_per_year: Range = says("repair of one mask per year", counted_in="{currency}/year", default=ZERO)
    spare_masks: Count = says("spare masks for each masked pattern", default=0)
    maintenance_per_year: Range = says(
        "maintenance of the setter per year", counted_in="{currency}/year", default=ZERO, yearly_cost=True
    )
    repairs_per_year: Range = says(
        "repairs of the setter per year, maintenance aside; not paid while its warranty lasts",
        counted_in="{currency}/year",
        default=ZERO,
        yearly_cost=True,
    )
    warranty_years: NotNegative = says(
        "years after delivery in which the vendor pays the repairs", counted_in="years", default=0.0
    )
    delivery_months: Annotated[float, Ge(0), Le(60)] = says(
        "months from the order, when all is paid, until the setter works and savings begin",
        counted_in="months",
        default=0.0,
    )
    wage_per_h: Range = says("wage of one operator", counted_in="{currency}/h")
    employer_factor: Range = says("employer's full cost over the wage", counted_in="times", default=Range.exactly(1.0))
    line_crew: Range | None = says(
        "people paid while the line runs, core setters aside; empty counts none and is asked for",
        counted_in="people",
        default=None,
    )
    hours_saved_paid: Range | None = says(
        "share of saved labor hours that is really not paid; empty counts no saving and is asked for",
        counted_in="share",
        default=None,
        most=1.0,
    )
    shift_premium: NotNegative = says(
        "premium over the wage for each shift after the first, as a share", counted_in="share", default=0.0
    )
    overtime_premium: NotNegative = says("overtime premium over the wage, as a share", counted_in="share", default=0.5)
    overtime_limit_h_per_year: NotNegative = says(
        "overtime limit of the line under any method, line hours/year; 0 allows none", counted_in="h/year", default=0.0
    )
    air_per_m3: Range = says("compressed air, free air", counted_in="{currency}/m³", default=ZERO)
    electricity_per_kwh: Range = says("electricity", counted_in="{currency}/kWh", default=ZERO)
    floor_space_per_year: Range = says(
        "floor space taken, per year", counted_in="{currency}/year", default=ZERO, yearly_cost=True
    )
    residual: Range = says("residual value of the setter at the end", counted_in="{currency}", default=ZERO)
    installation_lost_hours: Range = says("line hours lost while the setter is installed", counted_in="h", default=ZERO)
    lost_margin_per_h: Range = says(
        "margin lost with each of these hours that is not made up", counted_in="{currency}/h", default=ZERO
    )
    overhaul_cost: Range = says("overhaul of the setter, at today's prices", counted_in="{currency}", default=ZERO)
    overhaul_year: Count = says("year of the overhaul; 0 is none", counted_in="year", default=0)
    replacement_cost: Range = says(
        "part of the setter that is replaced, at today's prices", counted_in="{currency}", default=ZERO
    )
    replacement_year: Count = says("year of that replacement; 0 is none", counted_in="year", default=0)
    working_capital: Range = says("money tied up until the end, such as spare parts and cores in stock", default=ZERO)
    years: Years = says("evaluation period, years", default=10)
    discount_rate: Share = says("discount rate per year, nominal", counted_in="share")
    wage_inflation: Annotated[float, Ge(-0.5), Le(1)] = says("wage inflation per year", counted_in="share", default=0.0)
    energy_inflation: Annotated[float, Ge(-0.5), Le(1)] = says(
        "energy price inflation per year", counted_in="share", default=0.0
    )
    price_inflation: Annotated[float, Ge(-0.5), Le(1)] = says(
        "general price inflation per year", counted_in="share", default=0.0
    )
    payback_limit_years: NotNegative = says("longest payback the plant accepts, years; 0 sets no limit", default=5.0)
    payback_rule: Literal["simple", "discounted"] = says("payback that the plant's limit means", default="simple")
    budget: NotNegative | None = says(
        "most that may be spent, masks included; empty is no limit, 0 allows nothing",
        counted_in="{currency}",
        default=None,
    )
    mask_places: Count | None = says("places to store masks; empty is no limit, 0 is no place", default=None)
    setter_hours_limit: NotNegative | None = says(
        "most hours per year that the setter can work, mask changes included; empty is no limit",
        counted_in="h/year",
        default=None,
    )
    tax_rate: Share = says("tax on profit; 0 leaves tax out", counted_in="share", default=0.0)
    depreciation: (
        Literal["none", "macrs3", "macrs5", "macrs7", "macrs10", "straight", "declining", "sum_of_years", "own"] | None
    ) = says("tax depreciation; empty writes nothing off and is asked for where tax is on", default=None)
    macrs_quarter: Annotated[int, Ge(0), Le(4)] = says(
        "quarter in which the setter is placed in service, for the mid-quarter convention; 0 is half-year",
        counted_in="quarter",
        default=0,
    )
    depreciation_years: Years = says(
        "years of straight-line, declining-balance or sum-of-years depreciation", counted_in="years", default=7
    )
    depreciation_own: tuple[float, ...] = says("own table, shares of the cost by year", counted_in="share", default=())
    first_year_share: Share = says("share written off at once in the first year", counted_in="share", default=0.0)
    masks_capitalised: bool = says(
        "whether replacement masks are written off over the years like the setter, not in the year of purchase",
        default=False,
    )
    ramp_up_molds: Annotated[float, Ge(0), Le(1_000_000)] = says(
        "molds until the crew works the setter at standard", counted_in="molds", default=0.0
    )
    ramp_up_start: NotNegative = says("time of the first mold over the standard time", counted_in="times", default=1.0)
    lease_per_year: NotNegative = says(
        "lease of the setter instead of its price; 0 is no offer", counted_in="{currency}/year", default=0.0
    )
    lease_years: Count = says("years of the lease; 0 is the whole evaluation", counted_in="years", default=0)
    lease_buyout: NotNegative = says(
        "purchase price at the end of the lease; 0 is none", counted_in="{currency}", default=0.0
    )
    loan_share: Share = says("share of the setter's price that is borrowed", counted_in="share", default=0.0)
    loan_rate: Share = says("interest on the loan per year", counted_in="share", default=0.0)
    loan_years: Years = says("years in which the loan is paid back, in equal payments", counted_in="years", default=5)
    grant: Range = says("grant received with the purchase; it lowers what may be written off", default=ZERO)
    second_hand_price: NotNegative = says("price of a used one; 0 is no offer", counted_in="{currency}", default=0.0)
    injury_cost_per_year: Range = says(
        "injury cost avoided, from the plant's own claims; off at 0", counted_in="{currency}/year", default=ZERO
    )
    range_meaning: Literal["10-50-90", "5-50-95", "limits"] = says(
        "chances meant by low, likely, high; 'limits' is a triangle between hard ends", default="10-50-90"
    )
    volume_margin_correlation: Annotated[float, Ge(-1), Le(1)] = says("correlation of volumes and margins", default=0.0)
    volume_correlation: Share = says("correlation of the patterns' volumes (one market); 0 is none", default=0.0)
    price_correlation: Share = says("correlation of prices and costs; 0 is none", default=0.0)
    other_line_hours_per_year: NotNegative = says(
        "scheduled line hours per year taken by patterns outside this case", counted_in="h/year", default=0.0
    )
    commissioning_scrap: Count = says("castings scrapped while the setter is brought into use", default=0)
    li_limit: NotNegative = says(
        "lifting index by hand above which a pattern must get a mask; 0 forces none", default=0.0
    )
    recession_volume: NotNegative = says("volumes of a recession over today's", counted_in="times", default=0.7)
    more_shift_volume: NotNegative = says(
        "volumes with one shift more over today's; 0 is in proportion to the shifts", counted_in="times", default=0.0
    )
    study_cost_per_cycle: NotNegative = says("cost of timing one cycle more", counted_in="{currency}", default=0.0)
    volume_quote_cost: NotNegative = says(
        "cost of a firm volume commitment from the customer", counted_in="{currency}", default=0.0
    )
    vacuum_trial_cost: NotNegative = says("cost of a trial with real cores", counted_in="{currency}", default=0.0)


NO_PRICES = Money(setter_price=ZERO, wage_per_h=ZERO, discount_rate=0.08)
"""What a case without prices holds: nothing is valued with it. The rate is the one a new case of the pages begins with,
common practice, no source."""
