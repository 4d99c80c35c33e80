"""[irs946] Tables A-1 to A-5, half-year and mid-quarter: the printed shares and the rule behind them."""

from decimal import ROUND_HALF_UP, Decimal

import numpy as np
import pytest

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


def by_the_rule(years, quarter):
    """Twice the straight line on what is left, straight line once that is more, each year rounded to 0.01 %."""
    first, left, shares = (Decimal("4.5") - quarter) / 4, Decimal(100), []
    for year in range(years + 1):
        rest = years + 1 - first - year
        part = left * 2 / years * first if year == 0 else max(left * 2 / years, left / max(rest, 1))
        shares.append(min(left, part.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)))
        left -= shares[-1]
    return [float(share) for share in shares]


@pytest.mark.rules("TAX-mid-quarter")
@pytest.mark.parametrize(("years", "quarter"), [(y, q) for y in (3, 5, 7, 10) for q in (1, 2, 3, 4)])
def test_mid_quarter_shares(years, quarter):
    """Tables A-2 to A-5 follow from the rule, but for 7 years, quarter 2: 17.857 is printed as 17.85, and 3.34 left."""
    printed = (100 * macrs_mid_quarter(years, quarter)).tolist()
    expected = by_the_rule(years, quarter)
    if (years, quarter) == (7, 2):
        assert (printed[0], printed[-1]) == pytest.approx((17.85, 3.34))
        printed[0], printed[-1] = printed[0] + 0.01, printed[-1] - 0.01
    assert printed == pytest.approx(expected, abs=1e-9)


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
