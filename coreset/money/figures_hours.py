"""Figures of people, line hours and sales of a year: what the proposed method saves of the line's and people's time.

A line hour that is saved is either not paid or sold, never both. Hours are first those of the full volume, which the
limits of the plant are held against; what is saved is taken at the share of it that both methods can make.
"""

from __future__ import annotations

from coreset.figures import Figure

LEVELS = (
    Figure("wage_level", "1", "wages over today's", "(1 + wage_inflation) ** year"),
    Figure("energy_level", "1", "energy prices over today's", "(1 + energy_inflation) ** year"),
    Figure("price_level", "1", "other prices over today's", "(1 + price_inflation) ** year"),
)
PEOPLE = (
    Figure("crew_today", "person", "people paid per line hour today", "line_crew + operators_today"),
    Figure(
        "crew_proposed",
        "person",
        "people paid per line hour on the proposed method",
        "line_crew + operators_proposed",
    ),
    Figure(
        "shift_factor",
        "1",
        "mean wage over that of the first shift",
        "1 + shift_premium * max(shifts_per_day - 1, 0) / shifts_per_day",
    ),
    Figure("pay", "currency/hour/person", "employer's cost of one hour", "wage_per_h * employer_factor * shift_factor"),
)
HOURS = (
    Figure(
        "hours_available",
        "hour/year",
        "line hours available to these patterns",
        "max(hours_per_shift * shifts_per_day * days_per_year - other_line_hours_per_year, 0)",
    ),
    Figure("running", "1", "1 in a year in which the pattern is made", "1 if volume_share > 0 else 0"),
    Figure("due", "1", "1 from the year in which the pattern is to go over", "1 if year >= moved_from else 0"),
    Figure("phased_in", "1", "1 where the pattern has gone over", "moved * due"),
    Figure(
        "delivered",
        "1",
        "share of the year in which the setter is delivered",
        "min(max(year - delivery_months / months_per_year, 0), 1)",
    ),
    Figure("able", "1", "1 where the setter, once delivered, takes the pattern", "phased_in * holds"),
    Figure("on_method", "1", "share of the year in which the pattern runs on the proposed method", "able * delivered"),
    Figure("volume", "mold/year", "molds asked for", "molds_per_year * volume_share"),
    Figure("mold_hours_today", "hour/mold", "line time per mold today", "1 / rate_today"),
    Figure("mold_hours_at_rate", "hour/mold", "line time per mold while the setter works", "1 / rate_proposed"),
    Figure(
        "mold_hours_on_method",
        "hour/mold",
        "line time per mold on the proposed method, time with the setter down included",
        "mold_hours_today - able * (1 - downtime_share) * (mold_hours_today - mold_hours_at_rate)",
    ),
    Figure(
        "mold_hours_proposed",
        "hour/mold",
        "line time per mold, mean of the year",
        "delivered * mold_hours_on_method + (1 - delivered) * mold_hours_today",
    ),
    Figure("line_hours_today", "hour/year", "line hours today", "volume * mold_hours_today"),
    Figure(
        "hours_saved_at_rate",
        "hour/year",
        "line hours saved while the setter works",
        "on_method * volume * (mold_hours_today - mold_hours_at_rate)",
    ),
    Figure(
        "hours_lost_to_downtime",
        "hour/year",
        "line hours not saved because the setter is down",
        "downtime_share * hours_saved_at_rate",
    ),
    Figure(
        "line_hours_saved",
        "hour/year",
        "line hours saved by the pattern",
        "hours_saved_at_rate - hours_lost_to_downtime",
    ),
    Figure("mask_change_h", "hour", "time of one mask change", "mask_change_min / minutes_per_hour"),
    Figure(
        "mask_change_hours",
        "hour/year",
        "line hours of mask changes",
        "mask_change_h * over_patterns(on_method * running * runs_per_year)",
    ),
    Figure("run_scale", "1", "runs over those for which pairs of runs were counted", "runs_per_year / runs_counted"),
    Figure("setter_running", "1", "share of the year in which it is made on it", "on_method * running"),
    Figure(
        "runs_after_setter",
        "1/year",
        "runs straight after a run with the setter",
        "met(follow, setter_running, run_scale)",
    ),
    Figure(
        "swing_aside_hours",
        "hour/year",
        "line hours in which the setter is swung aside",
        "mask_change_h * over_patterns((1 - able) * running * runs_after_setter)",
    ),
    Figure("hours_needed_today", "hour/year", "line hours of all patterns today", "over_patterns(line_hours_today)"),
    Figure(
        "hours_needed_proposed",
        "hour/year",
        "line hours of all patterns under the proposed method",
        "hours_needed_today - over_patterns(line_hours_saved)",
    ),
    Figure(
        "hours_occupied_proposed",
        "hour/year",
        "the same with mask changes and swing-aside",
        "hours_needed_proposed + mask_change_hours + swing_aside_hours",
    ),
    Figure(
        "hours_asked",
        "hour/year",
        "line hours of the full volume by the slower of both methods",
        "max(hours_needed_today, hours_occupied_proposed)",
    ),
    Figure(
        "share_made",
        "1",
        "share of the volume that both methods can make within schedule and overtime limit",
        "min((hours_available + overtime_limit_h_per_year) / hours_asked, 1) if hours_asked > 0 else 1",
    ),
    Figure(
        "hours_saved",
        "hour/year",
        "line hours saved, mask changes and swing-aside paid",
        "share_made * (hours_needed_today - hours_occupied_proposed)",
    ),
)
SALES = (
    Figure("margin", "currency/mold", "margin of one mold", "margin_per_casting * castings_per_mold"),
    Figure("margin_per_h", "currency/hour", "margin of one line hour today", "margin * rate_today"),
    Figure(
        "least_margin_per_h",
        "currency/hour",
        "what a saved line hour brings if it is not sold",
        "pay * crew_today * hours_saved_paid",
    ),
    Figure(
        "sellable", "mold/year", "molds that could be sold beyond volume", "extra_molds_per_year * saved_hours_used"
    ),
    Figure(
        "sellable_hours_today",
        "hour/year",
        "line hours that these would fill today",
        "sellable * mold_hours_today * (margin > least_margin_per_h * mold_hours_today)",
    ),
    Figure(
        "sellable_hours_proposed",
        "hour/year",
        "line hours that these would fill under the proposed method",
        "sellable * mold_hours_proposed * (margin > least_margin_per_h * mold_hours_proposed)",
    ),
    Figure("free_hours_today", "hour/year", "line hours free today", "max(hours_available - hours_needed_today, 0)"),
    Figure(
        "free_hours_proposed",
        "hour/year",
        "line hours free under the proposed method",
        "max(hours_available - hours_occupied_proposed, 0)",
    ),
    Figure(
        "hours_sold_today",
        "hour/year",
        "free line hours sold today",
        "min(max(free_hours_today - ahead(sellable_hours_today, margin_per_h), 0), sellable_hours_today)",
    ),
    Figure(
        "hours_sold_proposed",
        "hour/year",
        "free line hours sold under the proposed method",
        "min(max(free_hours_proposed - ahead(sellable_hours_proposed, margin_per_h), 0), sellable_hours_proposed)",
    ),
    Figure("molds_sold_today", "mold/year", "more molds sold today", "hours_sold_today / mold_hours_today"),
    Figure(
        "molds_sold_proposed",
        "mold/year",
        "more molds sold under the proposed method",
        "hours_sold_proposed / mold_hours_proposed",
    ),
    Figure(
        "molds_sold_more",
        "mold/year",
        "molds sold beyond what could be sold today",
        "over_patterns(molds_sold_proposed - molds_sold_today)",
    ),
    Figure(
        "molds_on_setter",
        "mold/year",
        "molds made on the proposed method",
        "on_method * (volume * share_made + molds_sold_proposed)",
    ),
    Figure("molds_on_setter_all", "mold/year", "molds on the proposed method", "over_patterns(molds_on_setter)"),
    Figure(
        "setter_hours",
        "hour/year",
        "line hours on the proposed method",
        "over_patterns(molds_on_setter * mold_hours_on_method)",
    ),
    Figure(
        "setter_hours_with_changes",
        "hour/year",
        "line hours on the proposed method, mask changes included",
        "setter_hours + share_made * mask_change_hours",
    ),
)
LABOR = (
    Figure(
        "hours_sold_more",
        "hour/year",
        "saved line hours that are sold instead",
        "over_patterns(hours_sold_proposed) - over_patterns(hours_sold_today)",
    ),
    Figure(
        "person_hours_saved",
        "hour*person/year",
        "hours of people saved",
        "crew_today * (share_made * over_patterns(line_hours_saved) - hours_sold_more)"
        " - (crew_proposed - crew_today) * setter_hours",
    ),
    Figure(
        "person_hours_not_paid",
        "hour*person/year",
        "hours of people that are really not paid",
        "person_hours_saved * hours_saved_paid if person_hours_saved > 0 else person_hours_saved",
    ),
    Figure(
        "overtime_hours_today",
        "hour/year",
        "line hours in overtime today",
        "max(share_made * hours_needed_today - hours_available, 0)",
    ),
    Figure(
        "overtime_hours_proposed",
        "hour/year",
        "line hours in overtime under the proposed method",
        "max(share_made * hours_occupied_proposed - hours_available, 0)",
    ),
)
