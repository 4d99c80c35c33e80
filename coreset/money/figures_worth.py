"""Totals, tax, worth and financing: what the items of the cash flow come to, for project and equity."""

from __future__ import annotations

from coreset.figures import Figure

YEARLY = "currency/year"

TAX = (
    Figure("first_cost", "currency", "initial investment", 'every("capital") + every("expensed")'),
    Figure("operating_total", YEARLY, "saving before tax", 'every("operating") + every("occasional")'),
    Figure("saving_now", YEARLY, "saving of a year at today's prices before tax", 'every("operating_now")'),
    Figure("sale", YEARLY, "sale of the setter", "residual * used if year == years else 0"),
    Figure(
        "book_value_left", "currency", "book value at the end", 'every("capital") * (1 - over_years(write_off_share))'
    ),
    Figure(
        "later_purchases",
        YEARLY,
        "later purchases that are written off over years",
        "masks_capitalised * (mask_replacement + mask_phase_in) + replacement + buyout",
    ),
    Figure(
        "later_write_off",
        YEARLY,
        "write-off of later purchases",
        "later_shares(later_purchases, write_off_share_later)",
    ),
    Figure(
        "later_timing",
        YEARLY,
        "write-off of later purchases less what was deducted",
        "later_write_off - later_purchases - (over_years(later_write_off - later_purchases) if year == years else 0)",
    ),
    Figure(
        "taxable",
        YEARLY,
        "taxable income",
        'operating_total - every("capital") * write_off_share - (every("expensed") if year == 1 else 0)'
        " + (sale - book_value_left if year == years else 0) + later_timing",
    ),
    Figure("tax", YEARLY, "tax", "-tax_rate * taxable"),
    Figure(
        "capital_released",
        YEARLY,
        "working capital released",
        "capital_tied_up if year == years else 0",
    ),
    Figure("net", YEARLY, "net cash flow", "operating_total + sale + tax + capital_released"),
)
WORTH = (
    Figure(
        "project_flow",
        "currency",
        "cash flow of the project",
        "timeline(-first_cost - capital_tied_up, net)",
    ),
    Figure("cumulative_flow", "currency", "cumulative cash flow", "cumulative(project_flow)"),
    Figure("discounted_flow", "currency", "discounted cash flow", "project_flow / (1 + discount_rate) ** period"),
    Figure("cumulative_discounted", "currency", "cumulative discounted cash flow", "cumulative(discounted_flow)"),
    Figure(
        "paid_back_in",
        "1",
        "when the shortfall of the year before is made up",
        "0 if before(cumulative_flow) >= 0 else period - 1"
        " + (min(-before(cumulative_flow) / project_flow, 1) if project_flow > 0 else 1)",
    ),
    Figure(
        "paid_back_discounted_in",
        "1",
        "the same, discounted",
        "0 if before(cumulative_discounted) >= 0 else period - 1"
        " + (min(-before(cumulative_discounted) / discounted_flow, 1) if discounted_flow > 0 else 1)",
    ),
    Figure("npv", "currency", "net present value", "npv(discount_rate, project_flow)"),
    Figure("irr", "1", "internal rate of return", "irr(project_flow)"),
    Figure("payback_years", "1", "payback", "highest(paid_back_in) if last(cumulative_flow) >= 0 else never"),
    Figure(
        "discounted_payback_years",
        "1",
        "discounted payback",
        "highest(paid_back_discounted_in) if last(cumulative_discounted) >= 0 else never",
    ),
    Figure("saving_year_1", YEARLY, "net cash flow of year 1", "over_years(net * (year == 1))"),
)
EQUITY = (
    Figure("loan", "currency", "loan", "setter * loan_share"),
    Figure(
        "loan_payment",
        YEARLY,
        "payment on the loan",
        "(loan * loan_rate / (1 - (1 + loan_rate) ** -loan_years) if loan_rate > 0 else loan / loan_years)"
        " if year <= loan_years else 0",
    ),
    Figure(
        "loan_owed",
        YEARLY,
        "loan owed at the beginning of the year",
        "(loan * ((1 + loan_rate) ** loan_years - (1 + loan_rate) ** (year - 1)) / ((1 + loan_rate) ** loan_years - 1)"
        " if loan_rate > 0 else loan * (1 - (year - 1) / loan_years)) if year <= loan_years else 0",
    ),
    Figure("interest", YEARLY, "interest on the loan", "loan_owed * loan_rate"),
    Figure("interest_tax", YEARLY, "tax saved by the interest", "tax_rate * interest"),
    Figure("grant_received", "currency", "grant", "grant * used"),
    Figure(
        "grant_tax",
        YEARLY,
        "tax because the grant lowers the write-off",
        "-tax_rate * grant_received * (write_off_share + (1 - over_years(write_off_share) if year == years else 0))",
    ),
    Figure(
        "equity_flow",
        "currency",
        "cash flow of the plant's own money, loan and grant included",
        "timeline(loan + grant_received - first_cost - capital_tied_up, net - loan_payment + interest_tax + grant_tax)",
    ),
    Figure("equity_npv", "currency", "net present value of the plant's own money", "npv(discount_rate, equity_flow)"),
)
