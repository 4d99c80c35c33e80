"""Times in their order, what looks odd, learning: by hand, by statsmodels, by curves known beforehand."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.sandbox.stats.runs import runstest_1samp

from coreset.study import learning_curve, outliers, run_order


@pytest.mark.rules("CHART-limits")
def test_a_chart_of_single_readings_by_hand():
    """10, 12, 11, 14: ranges 2, 1, 3, mean 2; 11.75 -/+ 2.660 x 2, and 3.267 x 2 for the ranges: nothing is out."""
    found = run_order.individuals([10.0, 12.0, 11.0, 14.0])
    assert (found.mean, found.moving_mean, found.moving.tolist()) == (11.75, 2.0, [2.0, 1.0, 3.0])
    assert (found.lower, found.upper, found.moving_upper) == pytest.approx((6.43, 17.07, 6.534))
    assert not found.out.any()


@pytest.mark.rules("CHART-limits")
def test_a_chart_tells_what_is_beyond_its_limits():
    """Up and down by much, and a slow drift that leaves the limits without any wide step; limits do not go below 0."""
    high = run_order.individuals([10.0, 11.0] * 5 + [30.0] + [10.0, 11.0] * 5)
    assert np.flatnonzero(high.out).tolist() == [10, 11]
    low = run_order.individuals([30.0, 31.0] * 5 + [10.0] + [30.0, 31.0] * 5)
    assert np.flatnonzero(low.out).tolist() == [10, 11]
    drift = run_order.individuals(np.arange(30.0, 50.0))
    assert drift.lower == pytest.approx(39.5 - 2.66) and drift.upper == pytest.approx(39.5 + 2.66)
    assert drift.out.tolist() == [True] * 7 + [False] * 6 + [True] * 7
    assert run_order.individuals([1.0, 5.0, 1.0]).lower == 0.0
    one = run_order.individuals([4.0])
    assert one.mean == 4.0 and math.isnan(one.upper) and not one.out.any()


@pytest.mark.parametrize(
    "x", [[1.0, 2.0, 3.0, 9.0, 8.0], [1.0, 5.0, 2.0], [3.0, 1.0, 2.0, 6.0, 5.0, 4.0, 7.0], [2.0, 1.0, 2.0, 4.0, 4.5]]
)
def test_runs_by_statsmodels(x):
    """runstest_1samp about the median, without correction; readings at the median left out beforehand."""
    away = np.array(x)[np.array(x) != np.median(x)]
    if len(away) < 3:
        assert run_order.runs_test(x).p == 1.0
    else:
        z, p = runstest_1samp(away, cutoff=np.median(x), correction=False)
        found = run_order.runs_test(x)
        assert (found.statistic, found.p) == pytest.approx((z, p))


@pytest.mark.parametrize("about", [1.5, 4.5])
def test_runs_with_one_reading_alone_on_a_side(about):
    """Three and more readings with one below or above are enough; all on one side, or two readings, are not."""
    z, p = runstest_1samp(np.array([2.0, 1.0, 4.0, 5.0][: 3 if about < 2 else 4]), cutoff=about, correction=False)
    found = run_order.runs_test([2.0, 1.0, 4.0, 5.0][: 3 if about < 2 else 4], about=about)
    assert (found.statistic, found.p) == pytest.approx((z, p))
    assert run_order.runs_test([1.0, 2.0]).p == run_order.runs_test([3.0, 4.0, 5.0], about=2.0).p == 1.0
    assert run_order.runs_test([3.0, 4.0, 5.0], about=6.0).p == 1.0


@pytest.mark.parametrize("x", [[], [1.0], [1.0, 2.0], [1.0, 2.0, 2.0], [2.0, 2.0, 2.0], [1.0, 2.0, 2.0, 2.0]])
def test_runs_of_too_few_or_on_one_side_say_nothing(x):
    """No statistic, p of 1; the median of readings alike leaves none."""
    for about in (None, 0.5, 2.5):
        found = run_order.runs_test(x, about=about)
        assert math.isnan(found.statistic) and found.p == 1.0


def test_what_speaks_and_what_order_tells_of_few():
    """p below 0.05 speaks, 0.05 does not; two readings have a coefficient of -1/2, one and none have 0."""
    for few in ([1.0, 2.0, 3.0], [2.0] * 5, []):
        assert run_order.trend_test(few) == run_order.Tested(statistic=0.0, p=1.0)
    assert run_order.in_order([]).lag_one == 0.0
    assert run_order.Tested(statistic=2.0, p=0.0499).speaks and not run_order.Tested(statistic=2.0, p=0.05).speaks
    assert run_order.in_order([1.0, math.nan, 3.0]).lag_one == -0.5 and run_order.in_order([3.0]).lag_one == 0.0
    assert run_order.in_order([3.0]).effective == 1.0


SLOPE = -np.geomspace(0.02, 1.5, 60)[40]
N = np.arange(1, 41)


def test_a_learning_curve_is_found_exactly():
    """20 + 15 n^b, b being one of those tried: start, plateau, rate 2^b, and the cycle from which it is within 5 %."""
    found = learning_curve.fit(20 + 15 * N**SLOPE)
    assert (found.start, found.plateau, found.rate, found.r_squared) == pytest.approx((35, 20, 2**SLOPE, 1.0))
    assert 15 * found.to_plateau**SLOPE == pytest.approx(0.05 * 20)
    assert learning_curve.fit(20 + 0.5 * N**SLOPE).to_plateau == 1.0
    short = learning_curve.fit((20 + 15 * N**SLOPE) / 60)
    assert (short.start, short.plateau, short.to_plateau) == pytest.approx((35 / 60, 20 / 60, found.to_plateau))


def test_trap_14_the_unit_form_is_not_that_of_averages():
    """80 % by unit takes 534.6 for eight, by cumulative average 409.6; the fit is of units, and says 80 % of those."""
    number, slope = np.arange(1, 9), math.log2(0.8)
    by_unit, totals = 100 * number**slope, 100 * number ** (1 + slope)
    assert (by_unit.sum(), totals[-1]) == pytest.approx((534.6, 409.6), abs=0.05)
    assert learning_curve.fit(by_unit).rate == pytest.approx(0.8, abs=0.01)
    by_average = np.diff(totals, prepend=0.0)
    assert learning_curve.fit(by_average).rate < 0.75


@pytest.mark.parametrize("seconds", [5.0, 7.3, 12.34])
def test_times_all_alike_are_not_learnt(seconds):
    """Whatever the last digits of their sums say."""
    for count in (8, 20, 37):
        assert learning_curve.fit([seconds] * count) is None


def test_times_that_fall_below_any_plateau_have_none():
    """100/n^2 falls faster than any curve tried: a line through 0 on n^-1.5, whose coefficients are those of scipy."""
    y, x = 100 / N**2.0, N**-1.5
    assert stats.linregress(x, y).intercept < 0
    found = learning_curve.fit(y)
    height = (x @ y) / (x @ x)
    assert (found.start, found.plateau, found.to_plateau) == (pytest.approx(height), 0.0, math.inf)
    left = ((y - height * x) ** 2).sum()
    assert found.r_squared == pytest.approx(1 - left / ((y - y.mean()) ** 2).sum()) and found.r_squared < 1


def test_scattered_times_have_the_share_explained_of_a_regression():
    """r squared of the line on n^b is scipy's at the slope found, and no other slope tried explains more."""
    y = 20 + 15 * N**-0.5 + np.random.default_rng(2).normal(0, 1, 40)
    found = learning_curve.fit(y)
    lines = {b: stats.linregress(N**b, y) for b in -np.geomspace(0.02, 1.5, 60)}
    best = max((b for b, line in lines.items() if line.intercept >= 0), key=lambda b: lines[b].rvalue ** 2)
    assert found.rate == pytest.approx(2**best) and found.r_squared == pytest.approx(lines[best].rvalue ** 2)
    assert found.plateau == pytest.approx(lines[best].intercept)
    assert learning_curve.fit(N.astype(float)) is None and learning_curve.fit([*N[:7], math.nan]) is None


def heaps(count, *beyond):
    """Logarithms of times in two heaps about -1 and 1, so that fences stand at -4 and 4, and some beyond."""
    lower = count // 2
    return np.concatenate([-1 + 0.001 * np.arange(lower), 1 - 0.001 * np.arange(count - lower), beyond])


def fence(logs):
    """Upper fence: the upper quartile and 1.5 times the distance of the quartiles."""
    low, high = np.quantile(logs, [0.25, 0.75])
    return high + 1.5 * (high - low)


def test_odd_readings_of_the_test_alone():
    """Fifteen readings, one 2.55 sd off and no fence before it: Grubbs' test speaks; fourteen are too few."""
    x = heaps(14, 3.92)
    g = (3.92 - x.mean()) / x.std(ddof=1)
    assert fence(x) > 3.92 and g > outliers.esd(x, most=1).critical[0]
    assert outliers.flagged(np.exp(x)).tolist() == [False] * 14 + [True]
    assert not outliers.flagged(np.exp(heaps(13, 3.92))).any()


def test_a_tenth_of_the_readings_is_sought_for_at_most():
    """Two of twenty that hide each other are found at the second step; of nineteen one is sought."""
    for count, found in ((20, 2), (19, 0)):
        x = heaps(count - 2, 3.9, 3.92)
        steps = outliers.esd(x, most=2)
        assert (steps.r > steps.critical).tolist() == [False, True] and fence(x) > 3.92
        assert outliers.flagged(np.exp(x)).sum() == found


def test_readings_all_alike_are_not_odd():
    """No scatter, no deviation, whatever the time; of times read to the second only the one that differs is odd."""
    assert outliers.esd([3.0] * 6, most=2).r.tolist() == [0.0, 0.0] and outliers.esd([3.0] * 6, most=2).outliers == 0
    assert len(outliers.esd([1.0, 2.0, 3.0, 9.0], most=9).r) == 2
    for seconds in (3.0, 7.0, 10.0, 12.5, 60.0):
        assert not outliers.flagged([seconds] * 4).any() and not outliers.flagged([seconds] * 20).any()
        assert outliers.flagged([*[seconds] * 9, seconds + 1]).tolist() == [False] * 9 + [True]
    assert outliers.flagged([10.0, 10.0, 10.0, 90.0]).tolist() == [False, False, False, True]
    assert not outliers.flagged([10.0, 10.0, 90.0]).any()
    assert outliers.flagged([10.0, 10.1, 10.2, 900.0, 10.15]).tolist() == [False, False, False, True, False]
