"""Tax year by year on known flows: what is written off when, by hand, for masks bought again as well."""

import numpy as np
import pytest
from test_money_flow import flow

from coreset.case import Range

RATE = 0.25
LASTING = 170_000 + 25_000 + 2 * 9_000
AT_ONCE = 6_000 + 10 * (9.0 + 15.0) / 2
BOUGHT = {3: 9_000, 4: 9_000, 6: 9_000, 8: 18_000}
"""Masks of 150,000 molds: HUB's 60,000 a year wear out in years 3, 6 and 8, BOX's 40,000 in 4 and 8."""


def taxed(**money):
    """Flow and tax by year, nothing growing; sold for 15,000 at the end."""
    given = {"commissioning_scrap": 10, "mask_life_molds": 150_000, "residual": Range.exactly(15_000.0)} | money
    before, after = flow(**given), flow(tax_rate=RATE, **given)
    assert after.first_cost == pytest.approx(before.first_cost)
    tax = after.total - before.total
    assert after.means["tax"] == pytest.approx(tax[0]) and np.ptp(tax, axis=0) == pytest.approx(np.zeros(11))
    gains = before.total[0].copy()
    gains[0], gains[-1] = 0.0, gains[-1] - 15_000
    return gains, tax[0]


def written(shares):
    """Written off by year of what lasts, by these shares of the first years; what is paid at once in year 1."""
    found = np.zeros(11)
    found[1 : 1 + len(shares)] = np.multiply(shares, LASTING)
    found[1] += AT_ONCE
    return found


@pytest.mark.parametrize(
    ("rule", "shares"),
    [
        ({"depreciation": "none"}, []),
        ({"depreciation": "straight", "depreciation_years": 4}, [0.25] * 4),
        ({"depreciation": "straight", "depreciation_years": 4, "first_year_share": 0.2}, [0.4, 0.2, 0.2, 0.2]),
        ({"depreciation": "own", "depreciation_own": (0.5, 0.0, 0.3)}, [0.5, 0.0, 0.3]),
        ({"depreciation": "declining", "depreciation_years": 5}, [0.4, 0.24, 0.144, 0.108, 0.108]),
        ({"depreciation": "macrs5"}, [0.2, 0.32, 0.192, 0.1152, 0.1152, 0.0576]),  # [irs946] Table A-1
    ],
)
def test_tax_of_each_year_by_rule(rule, shares):
    """A quarter of gains less what is written off; at the end a quarter of the sale over the book value."""
    gains, tax = taxed(**rule)
    wanted = -RATE * (gains - written(shares))
    wanted[-1] -= RATE * (15_000 - LASTING * (1 - sum(shares)))
    assert tax == pytest.approx(wanted, abs=1e-6)
    assert tax[0] == 0.0


def test_sold_before_all_is_written_off_by_the_printed_table():
    """Ten-year calculation cut to three: year of sale half, the rest is book value. [irs946] Table A-1."""
    given = {"depreciation": "macrs5", "years": 3, "residual": Range.exactly(15_000.0), "tax_rate": RATE}
    before, after = flow(**given | {"tax_rate": 0.0}), flow(**given)
    shares = np.array([0.2, 0.32, 0.192 / 2])
    off = np.array([0.0, *(shares * LASTING)])
    off[1] += 6_000
    gains = before.total[0].copy()
    gains[0], gains[-1] = 0.0, gains[-1] - 15_000
    wanted = -RATE * (gains - off)
    wanted[-1] -= RATE * (15_000 - LASTING * (1 - shares.sum()))
    assert (after.total - before.total)[0] == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("years", [1, 4, 20])
def test_masks_bought_again_are_written_off_from_their_own_year(years):
    """Straight lines over so many years, each mask from the year it is bought; what is left at the end in the last."""
    rule = {"depreciation": "straight", "depreciation_years": years}
    (_, at_once), (_, later) = taxed(**rule), taxed(masks_capitalised=True, **rule)
    off = np.zeros(11)
    for year, cost in BOUGHT.items():
        off[year] -= cost  # no longer at once
        for k in range(year, min(year + years, 11)):
            off[k] += cost / years
        off[10] += cost * max(0, year + years - 11) / years
    assert later - at_once == pytest.approx(RATE * off, abs=1e-6) and off.sum() == pytest.approx(0.0)
