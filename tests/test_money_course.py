"""The course of the money over the years, on two flows that can be added up by hand."""

import numpy as np
import pytest

from coreset.money.cash_flow import Flow
from coreset.money.cumulative_cash import fan, flow_table, payback_curve

TOTAL = np.array([[-100.0, 60.0, 90.0], [-120.0, 20.0, 30.0], [-80.0, 40.0, 0.0]])
NONE = np.zeros(3)
FLOW = Flow(total=TOTAL, means={"setter": np.array([-100.0, 0.0, 0.0]), "labour": np.array([0.0, 40.0, 40.0])},
            first_cost=-TOTAL[:, 0], yearly=NONE, line_hours=NONE, way_hours=NONE, way_hours_most=NONE,
            hours_saved=NONE, molds_sold=NONE)  # fmt: skip


def test_mean_flow_by_year():
    """-100, 40, 40 at 25 %: 40/1.25 = 32 and 40/1.5625 = 25.6; a part is told in the years that have it."""
    rows = flow_table(FLOW, 0.25)
    assert [row.year for row in rows] == [0, 1, 2]
    assert [row.total for row in rows] == pytest.approx([-100.0, 40.0, 40.0])
    assert [row.cumulative for row in rows] == pytest.approx([-100.0, -60.0, -20.0])
    assert [row.discounted_cumulative for row in rows] == pytest.approx([-100.0, -68.0, -42.4])
    assert [row.parts for row in rows] == [{"setter": -100.0}, {"labour": 40.0}, {"labour": 40.0}]


def test_the_fan_by_year():
    """Discounted sums of the three draws: -100, -52, 5.6; -120, -104, -84.8; -80, -48, -48. Quantiles by numpy."""
    sums = np.array([[-100.0, -52.0, 5.6], [-120.0, -104.0, -84.8], [-80.0, -48.0, -48.0]])
    for row, column in zip(fan(FLOW, 0.25), sums.T, strict=True):
        low, middle, high = np.quantile(column, [0.1, 0.5, 0.9])
        assert (row.low, row.middle, row.high) == pytest.approx((low, middle, high))
    assert [row.year for row in fan(FLOW, 0.25)] == [0, 1, 2]


@pytest.mark.parametrize("years", [1, 3])
def test_chances_of_being_back_by_quarters(years):
    """At once, in 0.3, 0.75, 2 years, never: shares of five at each quarter, the first and the last included."""
    back = np.array([2.0, 0.75, np.inf, 0.0, 0.3])
    curve = payback_curve(back, years)
    assert [at for at, _ in curve] == [k / 4 for k in range(4 * years + 1)]
    for at, share in curve:
        assert share == pytest.approx(sum(b <= at for b in back) / 5)
