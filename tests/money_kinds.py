"""Worked examples of finance: the figure that each kind of example asks for."""

from coreset.money.discount import annuity_factor, npv, payback, whole_payback
from coreset.money.irr import mirr
from coreset.money.tax import after_tax, declining_balance, straight_line
from coreset.rounding import half_up


def figure_of(row):
    """The figure that a printed example asks for."""
    flow = [float(c) for c in row.flow.split()]
    rates = [float(r) for r in row.rate.split()]
    if row.kind == "eac":
        first, annual, years = flow
        return annual + first / annuity_factor(rates[0], int(years))
    if row.kind == "annual_flow":
        return npv(flow, rates[0]) / annuity_factor(rates[0], len(flow) - 1)
    if row.kind == "annual_worth":
        first, annual, years = flow
        net = after_tax(
            [-first, *[annual] * int(years)], cost=first, shares=straight_line(int(years)), tax_rate=rates[1]
        )
        return npv(net, rates[0]) / annuity_factor(rates[0], int(years))
    if row.kind == "db":
        cost, salvage, life, months = rates
        share = half_up(1 - (salvage / cost) ** (1 / life), 3)
        amounts = declining_balance(cost=cost, salvage=0, life=int(life), factor=share * life, first_months=int(months))
        return amounts[int(flow[0]) - 1]
    if row.kind == "ddb":
        cost, salvage, life, *factor = rates
        amounts = declining_balance(cost=cost, salvage=salvage, life=int(life), factor=(factor or [2.0])[0])
        return amounts[int(flow[0]) - 1]
    if row.kind == "mirr":
        return mirr(flow, finance_rate=rates[0], reinvest_rate=rates[1])
    measures = {"npv": npv, "npv_of_rounded": npv, "discounted_payback": payback, "whole_payback": whole_payback}
    return measures[row.kind](flow, rates[0])
