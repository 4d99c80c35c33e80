"""Rules of other methods that no other test holds alone; each docstring names its rule."""

import math

import numpy as np
import pytest
from brief_case import assessment
from scipy import integrate, special

from coreset.bodywork.hand_work import revised_exertion, revised_hours, revised_intensity, revised_rate, revised_wrist
from coreset.money.report.tax_working import written_off
from coreset.money.scrap import castings_needed
from coreset.money.tax import macrs, macrs_mid_quarter


@pytest.mark.rules("RSI-EM", "RSI-HM", "RSI-IM", "RSI-PM")
def test_limits_of_the_revised_strain_index():
    """[garg2017] RSI-IM, RSI-EM, RSI-PM, RSI-HM: full strength, no efforts, straight and bent wrist, an hour, a shift.

    IM(1) = 36 - 33.3 + 24.77 - 1.86 = 25.61; EM(0) = 0.1; PM(0) = 1.2 - 0.2 = 1, 30 degrees back still 1, 40 back
    1 + 0.00028 x 100; HM(1) = 0.042 + 0.477, HM(8) = 0.336 + 0.090 ln 8 + 0.477.
    """
    assert revised_intensity(1.0) == pytest.approx(25.61)
    assert revised_rate(0.0) == pytest.approx(0.1)
    assert revised_exertion(0.0) == pytest.approx(0.45)
    assert [revised_wrist(angle) for angle in (0.0, -30.0, -40.0)] == pytest.approx([1.0, 1.0, 1.028])
    assert revised_hours(1.0) == pytest.approx(0.519)
    assert revised_hours(8.0) == pytest.approx(0.336 + 0.090 * math.log(8) + 0.477)


@pytest.mark.rules("CHART-d4")
def test_the_range_factor_that_prints_disagree_on():
    """[nist_handbook] CHART-d4: 1 + 3 d3/d2 for three readings by quadrature is 2.5747, printed 2.574 or 2.575."""

    def tail(low, high):
        """Chance that all three readings are between the two."""
        return (special.ndtr(high) - special.ndtr(low)) ** 3

    d2 = integrate.quad(lambda x: 1 - special.ndtr(-x) ** 3 - special.ndtr(x) ** 3, -8, 8)[0]
    grid = np.linspace(-8, 8, 1601)
    # Mean of the squared range: twice the double integral over low < high of P(min < low, max > high).
    low, high = np.meshgrid(grid, grid, indexing="ij")
    apart = 1 - special.ndtr(high) ** 3 - special.ndtr(-low) ** 3 + tail(low, high)
    second = 2 * np.where(low < high, apart, 0.0).sum() * (grid[1] - grid[0]) ** 2
    second += np.diagonal(apart).sum() * (grid[1] - grid[0]) ** 2
    d4 = 1 + 3 * math.sqrt(second - d2**2) / d2
    assert d4 == pytest.approx(2.5747, abs=2e-4)
    assert min(abs(d4 - 2.574), abs(d4 - 2.575)) < 1e-3


@pytest.mark.rules("SCRAP-needed")
@pytest.mark.parametrize(("p", "q"), [(0.06, 0.03), (0.2, 0.1)])
def test_castings_needed_tell_two_shares_apart(p, q):
    """[fleiss1981] With so many castings of each, a true difference is found in four of five samples at 5 %."""
    n = int(np.ceil(castings_needed(p, q)))
    a, b = (np.random.default_rng(4).binomial(n, share, 40_000) / n for share in (p, q))
    mean = (a + b) / 2
    told = np.abs(a - b) > special.ndtri(0.975) * np.sqrt(2 * mean * (1 - mean) / n)
    assert told.mean() == pytest.approx(0.80, abs=0.012)


@pytest.mark.rules("TAX-sale-quarter")
@pytest.mark.parametrize(("quarter", "part"), [(0, 0.5), (2, 0.875)])
def test_the_year_of_sale_counts_to_the_middle_of_its_last_quarter(quarter, part):
    """[irs946], memory: sold at the end of year 3 of 7, 7/8 of its share counts; half by the half-year convention."""
    money = {"depreciation": "macrs7", "macrs_quarter": quarter, "tax_rate": 0.3, "years": 3}
    found = assessment(draws=200, **money)
    printed = 100 * (macrs_mid_quarter(7, quarter) if quarter else macrs(7))[:3]
    lines = written_off(found.case, found.money)
    assert [line.value for line in lines] == pytest.approx([printed[0], printed[1], printed[2] * part])
    assert [line.source for line in lines][-1] == ("irs946" if quarter else "newnan")
