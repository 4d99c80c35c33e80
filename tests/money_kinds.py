"""Worked examples of finance: the figure that each kind of example asks for."""

from figures_cases import purchase

from coreset.money.discount import annuity_factor, npv, payback, whole_payback
from coreset.money.irr import mirr
from coreset.money.tax import declining_shares, straight_line


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
        bought = {"setter_price": first, "injury_cost_per_year": annual, "tax_rate": rates[1]}
        net = purchase(int(years), straight_line(int(years)), **bought)["project_flow"]
        return npv(net, rates[0]) / annuity_factor(rates[0], int(years))
    if row.kind == "ddb":
        cost, _salvage, life, *factor = rates
        return cost * declining_shares(int(life), *factor)[int(flow[0]) - 1]
    if row.kind == "mirr":
        return mirr(flow, finance_rate=rates[0], reinvest_rate=rates[1])
    measures = {"npv": npv, "npv_of_rounded": npv, "discounted_payback": payback, "whole_payback": whole_payback}
    return measures[row.kind](flow, rates[0])
