"""Writing off: shares add up to the cost, end where they should, and follow the rule that was named."""

import numpy as np
import pytest
from figures_cases import purchase

from coreset.money.tax import (
    declining_shares,
    macrs,
    shares_by_year,
    straight_line,
    written_off,
)


@pytest.mark.rules("TAX-ddb")
def test_declining_shares_of_five_years_by_hand():
    """2/5 of what is left; from year 4 on the rest in equal parts is more: .216 over two years."""
    assert declining_shares(5) == pytest.approx([0.4, 0.24, 0.144, 0.108, 0.108])


@pytest.mark.parametrize("life", [1, 2, 3, 7, 15])
def test_declining_shares_write_all_off_and_never_rise(life):
    """All of the cost, no year more than the one before, the first twice the equal share or everything."""
    shares = declining_shares(life)
    assert shares.size == life and shares.sum() == pytest.approx(1.0)
    assert (np.diff(shares) <= 1e-12).all() and shares[0] == pytest.approx(min(1.0, 2.0 / life))


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
    assert written_off(table, years=4, year_of_sale=0.5) == pytest.approx([*table[:3], table[3] / 2])
    assert written_off(table, years=6, year_of_sale=0.5) == pytest.approx(table)
    assert written_off(straight_line(7), years=5) == pytest.approx([1 / 7] * 5)
    assert written_off(straight_line(3), years=5, year_of_sale=0.5) == pytest.approx([1 / 3] * 3 + [0, 0])


@pytest.mark.rules("TAX-gain")
@pytest.mark.parametrize("years", [3, 6, 9])
def test_all_that_is_taxed_is_the_profit(years):
    """Whatever the rule: tax over all years is the rate times all gains, the sale included, less the cost."""
    bought = {"setter_price": 1_000.0, "injury_cost_per_year": 300.0, "tax_rate": 0.3, "residual": 80.0}
    gains = years * 300.0 + 80.0
    for rule in ("none", "macrs5", "macrs7", "straight", "declining"):
        part = 0.5 if rule.startswith("macrs") else 1.0
        used = written_off(shares_by_year(rule), years=years, year_of_sale=part)
        net = purchase(years, used, **bought)["project_flow"]
        assert net.sum() == pytest.approx(gains - 1_000.0 - 0.3 * (gains - 1_000.0))
