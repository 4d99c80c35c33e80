"""Writing off: shares add up to the cost, end where they should, and follow the rule that was named."""

import numpy as np
import pytest

from coreset.money.tax import (
    after_tax,
    declining_balance,
    declining_shares,
    macrs,
    shares_by_year,
    straight_line,
    written_off,
)


def test_declining_shares_of_five_years_by_hand():
    """2/5 of what is left; from year 4 on the rest in equal parts is more: .216 over two years."""
    assert declining_shares(5) == pytest.approx([0.4, 0.24, 0.144, 0.108, 0.108])


@pytest.mark.parametrize("life", [1, 2, 3, 7, 15])
def test_declining_shares_write_all_off_and_never_rise(life):
    """All of the cost, no year more than the one before, the first twice the equal share or everything."""
    shares = declining_shares(life)
    assert shares.size == life and shares.sum() == pytest.approx(1.0)
    assert (np.diff(shares) <= 1e-12).all() and shares[0] == pytest.approx(min(1.0, 2.0 / life))


@pytest.mark.rules("TAX-ddb")
def test_declining_balance_stops_at_what_it_sells_for():
    """Nothing is written off that the sale brings back; a first year of twelve months leaves no part of one behind."""
    assert declining_balance(cost=100.0, salvage=100.0, life=5).tolist() == [0.0] * 5
    assert declining_balance(cost=100.0, salvage=60.0, life=5, first_months=12) == pytest.approx([40, 0, 0, 0, 0])
    assert declining_balance(cost=100.0, salvage=0.0, life=5, first_months=7).size == 6


def test_each_rule_by_its_name():
    """Five and seven years of the printed table, equal shares, an own table; without one nothing is written off."""
    assert shares_by_year("macrs5").tolist() == macrs(5).tolist()
    assert shares_by_year("macrs7").tolist() == macrs(7).tolist()
    assert shares_by_year("straight", years=4) == pytest.approx([0.25] * 4)
    assert shares_by_year("own", own=(0.7, 0.3)).tolist() == [0.7, 0.3]
    assert shares_by_year("own").sum() == shares_by_year("none").sum() == 0.0
    assert shares_by_year("straight", years=4, first_year_share=0.2) == pytest.approx([0.4, 0.2, 0.2, 0.2])


@pytest.mark.rules("TAX-sale")
def test_the_year_of_sale_counts_half_by_the_half_year_convention_only():
    """Sold in the year after the table's last: nothing is halved; straight lines never are. [irs946] half-year rule."""
    table = macrs(5)
    assert written_off(table, years=4, half_in_disposal=True) == pytest.approx([*table[:3], table[3] / 2])
    assert written_off(table, years=6, half_in_disposal=True) == pytest.approx(table)
    assert written_off(straight_line(7), years=5, half_in_disposal=False) == pytest.approx([1 / 7] * 5)
    assert written_off(straight_line(3), years=5, half_in_disposal=True) == pytest.approx([1 / 3] * 3 + [0, 0])


@pytest.mark.rules("TAX-gain")
@pytest.mark.parametrize("years", [3, 6, 9])
def test_all_that_is_taxed_is_the_profit(years):
    """Whatever the rule: tax over all years is the rate times all gains, the sale included, less the cost."""
    flows, rng = np.zeros(years + 1), np.random.default_rng(years)
    flows[0], flows[1:] = -1_000.0, rng.uniform(100, 500, years)
    for rule in ("none", "macrs5", "macrs7", "straight", "declining"):
        shares = written_off(shares_by_year(rule), years=years, half_in_disposal=rule.startswith("macrs"))
        net = after_tax(flows, cost=1_000.0, shares=shares, tax_rate=0.3, salvage=80.0)
        before = flows.sum() + 80.0
        assert net.sum() == pytest.approx(before - 0.3 * (flows[1:].sum() + 80.0 - 1_000.0))
