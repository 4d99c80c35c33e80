"""Items of the cash flow: what recurs each year, what comes in some years, what is paid at the start.

`operating` items recur, `occasional` ones come in some years; the price level of both is in `growth`, beyond which each
has a growth of its own as an input. `capital` is paid at the start and written off by the rule, `expensed` is paid at
the start and deducted in year 1. Positive is a saving.
"""

from __future__ import annotations

from coreset.case import Money, item_of, yearly_costs
from coreset.figures import Figure

YEARLY = "currency/year"
OPERATING, OCCASIONAL, CAPITAL, EXPENSED = "operating", "occasional", "capital", "expensed"
WAGE, ENERGY, PRICE = "wage_level", "energy_level", "price_level"
PAID_IN = {"repairs_per_year": "out_of_warranty"}
"""Share of the year in which a yearly cost is paid, where it is not that in which the setter is delivered."""

OPERATION = (
    Figure("labour", YEARLY, "labor", "person_hours_not_paid * pay", OPERATING, growth=WAGE),
    Figure(
        "overtime",
        YEARLY,
        "overtime premium",
        "wage_per_h * overtime_premium"
        " * (crew_today * overtime_hours_today - max(crew_today, crew_proposed) * overtime_hours_proposed)",
        OPERATING,
        growth=WAGE,
    ),
    Figure(
        "mask_changes",
        YEARLY,
        "mask changes",
        "-pay * share_made * (crew_proposed * mask_change_hours + crew_today * swing_aside_hours)",
        OPERATING,
        growth=WAGE,
    ),
    Figure(
        "throughput",
        YEARLY,
        "margin of molds sold",
        "over_patterns(margin * (molds_sold_proposed - molds_sold_today))",
        OPERATING,
        growth=PRICE,
    ),
    Figure(
        "scrap",
        YEARLY,
        "scrap",
        "over_patterns(molds_on_setter * castings_per_mold * scrap_saved * cost_per_scrapped_casting)",
        OPERATING,
        growth=PRICE,
    ),
    Figure(
        "core_losses",
        YEARLY,
        "broken cores and rework",
        "over_patterns(molds_on_setter * core_losses_saved)",
        OPERATING,
        growth=PRICE,
    ),
    Figure(
        "core_hours",
        "hour*person/year",
        "hours of people off the line saved on cores",
        "over_patterns(molds_on_setter * core_hours_saved)",
    ),
    Figure(
        "core_supply",
        YEARLY,
        "core supply",
        "pay * (core_hours * hours_saved_paid if core_hours > 0 else core_hours)",
        OPERATING,
        growth=WAGE,
    ),
    Figure(
        "mask_preparation",
        YEARLY,
        "preparing mask changes",
        "-pay * share_made * mask_prep_min / minutes_per_hour * over_patterns(on_method * running * runs_per_year)",
        OPERATING,
        growth=WAGE,
    ),
    Figure("used", "1", "1 if any pattern goes over", "1 if over_patterns(moved) > 0 else 0"),
    Figure("masks_each", "1", "masks per pattern, spares included", "1 + spare_masks"),
    Figure(
        "out_of_warranty",
        "1",
        "share of the year in which the setter is delivered and its warranty is over",
        "min(max(year - delivery_months / months_per_year - warranty_years, 0), 1)",
    ),
    *(
        Figure(
            item_of(key),
            YEARLY,
            item_of(key).replace("_", " "),
            f"-{key} * used * {PAID_IN.get(key, 'delivered')}",
            OPERATING,
            growth=PRICE,
        )
        for key in yearly_costs(Money)
    ),
    Figure(
        "mask_repair",
        YEARLY,
        "mask repair",
        "-mask_repair_per_year * masks_each * over_patterns(phased_in * running) * delivered",
        OPERATING,
        growth=PRICE,
    ),
    Figure(
        "injury",
        YEARLY,
        "injury cost avoided",
        "injury_cost_per_year * min(over_patterns(exposure_removed * on_method * running), 1)",
        OPERATING,
        growth=PRICE,
    ),
    Figure(
        "air",
        YEARLY,
        "compressed air",
        "-molds_on_setter_all * air_l_per_cycle / liters_per_m3 * air_per_m3",
        OPERATING,
        growth=ENERGY,
    ),
    Figure(
        "electricity", YEARLY, "electricity", "-setter_hours * power_kw * electricity_per_kwh", OPERATING, growth=ENERGY
    ),
    Figure(
        "leased",
        "1",
        "1 while the lease runs; it is renewed where it has no purchase price at its end",
        "1 if lease_years <= 0 or lease_buyout <= 0 or year <= lease_years else 0",
    ),
    Figure("lease", YEARLY, "lease", "-lease_per_year * used * leased", OPERATING, growth="1"),
)
SOME_YEARS = (
    Figure("masks_bought", "1", "replacement masks needed", "renewed(molds_on_setter, mask_life_molds)"),
    Figure(
        "mask_replacement",
        YEARLY,
        "replacement masks",
        "-over_patterns(mask_cost * moved * masks_bought)",
        OCCASIONAL,
        growth=PRICE,
    ),
    Figure(
        "first_masks_due",
        "1",
        "1 in the year before the pattern is to go over, if that is not the first",
        "(moved_from > 1) * (moved_from <= years) * (year == moved_from - 1)",
    ),
    Figure(
        "mask_phase_in",
        YEARLY,
        "masks of patterns that go over later",
        "-masks_each * over_patterns(mask_cost * moved * first_masks_due)",
        OCCASIONAL,
        growth=PRICE,
    ),
    Figure(
        "overhaul",
        YEARLY,
        "overhaul",
        "-overhaul_cost * used if year == overhaul_year else 0",
        OCCASIONAL,
        growth=PRICE,
    ),
    Figure(
        "replacement",
        YEARLY,
        "replacement of a part",
        "-replacement_cost * used if year == replacement_year else 0",
        OCCASIONAL,
        growth=PRICE,
    ),
    Figure(
        "buyout", YEARLY, "purchase at the end of the lease", "-lease_buyout * used * (year == lease_years)", OCCASIONAL
    ),
    Figure(
        "learning",
        "1",
        "exponent of the learning curve",
        "log(ramp_up_start) / log(ramp_up_molds / one_mold) if ramp_up_molds > one_mold and ramp_up_start > 1 else 0",
        source="crawford1944",
        rule="LEARN-unit",
    ),
    Figure(
        "slow_molds",
        "1",
        "molds made by the end of the year while learning",
        "min(cumulative(molds_on_setter_all), ramp_up_molds) / one_mold",
    ),
    Figure(
        "time_reached",
        "1",
        "time of the last of them over that of the first",
        "slow_molds ** -learning if slow_molds >= 1 else 1",
        source="crawford1944",
        rule="LEARN-unit",
    ),
    Figure(
        "molds_lost_by",
        "1",
        "time lost by then, in molds at standard time",
        "ramp_up_start * ((slow_molds * time_reached - 1) / (1 - learning) + (1 + time_reached) / 2"
        " + learning / 12 * (1 - time_reached / slow_molds)) - slow_molds"
        " if slow_molds >= 1 and learning > 0 else 0",
        numbers=(12,),
    ),
    Figure(
        "ramp_up",
        YEARLY,
        "ramp-up loss",
        "-(molds_lost_by - before(molds_lost_by)) * one_mold * setter_hours_with_changes / molds_on_setter_all"
        " * pay * crew_proposed if molds_on_setter_all > 0 else 0",
        OCCASIONAL,
        growth=WAGE,
    ),
)
AT_THE_START = (
    Figure("setter", "currency", "setter", "setter_price * used", CAPITAL),
    Figure("setter_installation", "currency", "installation", "installation * used", CAPITAL),
    Figure(
        "masks",
        "currency",
        "core masks",
        "masks_each * over_patterns(mask_cost * moved * (moved_from <= 1))",
        CAPITAL,
    ),
    Figure("crew_training", "currency", "training", "training * used", EXPENSED),
    Figure(
        "commissioning",
        "currency",
        "castings scrapped at start-up",
        "commissioning_scrap * over_patterns(moved * cost_per_scrapped_casting) / max(over_patterns(moved), 1)",
        EXPENSED,
    ),
    Figure("step", "currency", "racks, platform and the like", "step_cost * used", EXPENSED),
    Figure(
        "production_lost",
        "currency",
        "production lost at installation",
        "installation_lost_hours * (pay * crew_today + lost_margin_per_h) * used",
        EXPENSED,
    ),
    Figure("capital_tied_up", "currency", "working capital", "working_capital * used", "tied_up"),
)
