"""[irs946] Table A-1, half-year convention: the printed shares and the rule behind them."""

from decimal import ROUND_HALF_UP, Decimal

import pytest

from coreset.money.tax import macrs
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


@pytest.mark.parametrize("years", sorted(FACTOR))
def test_rounding_rule_gives_every_printed_share(years):
    """The rule on rounded remainders reproduces the column exactly, and the column adds up to 100 %."""
    printed = [Decimal(r["percent"]) for r in ROWS if r["class_years"] == str(years)]
    assert by_rule(years) == printed
    assert sum(printed) == 100


@pytest.mark.parametrize("years", [5, 7])
def test_shares_are_the_table(years):
    """The shares that the reckoning uses are the printed ones."""
    assert list(macrs(years) * 100) == pytest.approx(
        [float(r["percent"]) for r in ROWS if r["class_years"] == str(years)]
    )
