"""[irs946] Tables A-1 to A-5, half-year and mid-quarter: the printed shares and the rule behind them."""

from decimal import ROUND_HALF_UP, Decimal

import numpy as np
import pytest
from printed import rows

from coreset.money.tax import macrs, macrs_mid_quarter, sum_of_years
from coreset.sources import table

FACTOR = {3: 2, 5: 2, 7: 2, 10: 2, 15: Decimal("1.5")}
ROWS = table("irs946/table_a1_half_year").rows


def by_rule(years):
    """Percent of the rounded remainder, two decimals, halves up; straight line once that is more."""
    left, shares = Decimal(100), []
    for year in range(years + 1):
        rest = Decimal(years) + Decimal("0.5") - max(year, Decimal("0.5"))
        part = max(left * FACTOR[years] / years, left / rest if year else 0) if year < years else left
        part = part / 2 if year == 0 else part
        shares.append(min(left, part.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)))
        left -= shares[-1]
    return shares


@pytest.mark.rules("TAX-macrs")
@pytest.mark.parametrize("years", sorted(FACTOR))
def test_rounding_rule_gives_every_printed_share(years):
    """The rule on rounded remainders reproduces the column exactly, and the column adds up to 100 %."""
    printed = [Decimal(r["percent"]) for r in ROWS if r["class_years"] == str(years)]
    assert by_rule(years) == printed
    assert sum(printed) == 100


@pytest.mark.rules("TAX-macrs")
@pytest.mark.parametrize("years", [5, 7])
def test_shares_are_the_table(years):
    """The shares that the calculation uses are the printed ones."""
    assert list(macrs(years) * 100) == pytest.approx(
        [float(r["percent"]) for r in ROWS if r["class_years"] == str(years)]
    )


@pytest.mark.rules("TAX-mid-quarter")
@pytest.mark.parametrize("row", rows("irs946/tables_a2_to_a5_mid_quarter"))
def test_mid_quarter_shares(row):
    """Tables A-2 to A-5 to the last digit, but for 7 years, quarter 2: 17.857 is printed as 17.85, and 3.34 left."""
    got = round(macrs_mid_quarter(int(row.class_years), int(row.quarter))[int(row.year) - 1] * 100, 2)
    odd = (row.class_years, row.quarter) == ("7", "2") and row.year in {"1", "8"}
    assert abs(got - float(row.percent)) <= (0.0101 if odd else 1e-9)


@pytest.mark.parametrize(("years", "quarter"), [(y, q) for y in (3, 5, 7, 10) for q in (1, 2, 3, 4)])
def test_mid_quarter_writes_all_off(years, quarter):
    """Every class and quarter adds up to the cost, and a later quarter writes off less at first."""
    shares = macrs_mid_quarter(years, quarter)
    assert shares.sum() == pytest.approx(1.0, abs=1e-12)
    assert quarter == 1 or shares[0] < macrs_mid_quarter(years, quarter - 1)[0]


def test_sum_of_years_digits_is_a_falling_line_that_adds_up():
    """n, n - 1, ... 1 over their sum."""
    assert sum_of_years(4).tolist() == [0.4, 0.3, 0.2, 0.1]
    assert np.ptp(np.diff(sum_of_years(9))) < 1e-15
