"""Two methods compared: scipy and statsmodels, pencil and naive loops as second opinions of each figure told."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.power import NormalIndPower

from coreset.errors import OutOfRange
from coreset.study import comparison

ZIGZAG = np.array([10.0, 12.0, 10.0, 12.0, 10.0, 12.0])
"""Neighbours unlike each other, so that all six readings count."""
HIGHER = np.array([15.0, 11.0, 16.0, 11.5, 14.0, 9.0, 14.0, 10.0])
LOWER = np.array([11.0, 8.0, 12.0, 9.0, 10.0, 8.5, 13.0, 7.0])


def test_welch_by_scipy_with_equal_spread_and_with_none():
    """Equal spread is no lack of it; constants apart are as sure as can be on either side, constants alike are not."""
    theirs = stats.ttest_ind([1.0, 2.0, 3.0], [2.0, 3.0, 4.0], equal_var=False)
    assert comparison.welch([1.0, 2.0, 3.0], [2.0, 3.0, 4.0]) == pytest.approx(
        (theirs.statistic, theirs.df, theirs.pvalue)
    )
    assert comparison.welch([20.0] * 3, [10.0] * 5) == (math.inf, 6.0, 0.0)
    assert comparison.welch([10.0] * 3, [20.0] * 5) == (-math.inf, 6.0, 0.0)
    assert comparison.welch([10.0] * 3, [10.0] * 5) == (0.0, 6.0, 1.0)


@pytest.mark.parametrize("second", [[2.0, 2, 3, 3, 3, 4], [1.0, 2, 2, 3, 3, 7], [5.0, 6, 6, 7, 8, 9]])
def test_ranks_with_many_ties_by_scipy(second):
    """mannwhitneyu with the normal approximation, ties and the continuity correction."""
    first = [1.0, 2, 2, 2, 3, 3, 4, 5]
    theirs = stats.mannwhitneyu(first, second, method="asymptotic")
    assert comparison.rank_test(first, second) == pytest.approx(theirs.pvalue)
    assert comparison.chance_less(first, second) == pytest.approx(theirs.statistic / 48)


def test_ranks_of_samples_that_mirror_each_other_say_nothing():
    """Ranks balanced to the half: p is 1, as scipy has it, not more; all alike, 1 as well; of three, scipy's."""
    for first, second in (([1.0, 4.0], [2.0, 3.0]), ([1.0, 2, 3, 4], [1.0, 2, 3, 4])):
        theirs = stats.mannwhitneyu(first, second, method="asymptotic").pvalue
        assert comparison.rank_test(first, second) == pytest.approx(theirs) == 1.0
    assert comparison.rank_test([5.0] * 4, [5.0] * 4) == 1.0
    theirs = stats.mannwhitneyu([5.0], [6.0, 7.0], method="asymptotic").pvalue
    assert theirs < 0.6 and comparison.rank_test([5.0], [6.0, 7.0]) == pytest.approx(theirs)


def test_spread_without_any_scatter_about_the_distances():
    """All distances from the medians alike: nothing speaks for unequal spread, p is 1; a little scatter is scipy's."""
    assert comparison.spread_test([4.0, 6.0], [1.0, 9.0]) == 1.0
    first, second = [0.4, 0.6, 0.55], [0.1, 0.9, 0.55, 0.5]
    assert comparison.spread_test(first, second) == pytest.approx(stats.levene(first, second, center="median").pvalue)


@pytest.mark.parametrize(("sds", "n"), [((2.0, 2.0), (10.0, 10.0)), ((1.0, 3.0), (4.0, 9.0)), ((3.0, 1.0), (5.0, 8.0))])
def test_the_difference_that_would_show_by_hand(sds, n):
    """(t + z) (s1^2/n1 + s2^2/n2)^0.5, t at n1 + n2 - 2 for 95 % two-sided, z for four studies of five."""
    t, z = stats.t.ppf(0.975, sum(n) - 2), stats.norm.ppf(0.8)
    expected = (t + z) * math.sqrt(sds[0] ** 2 / n[0] + sds[1] ** 2 / n[1])
    assert comparison.detectable(sds, n) == pytest.approx(expected)


def test_the_difference_that_two_readings_would_show():
    """Effective numbers may leave less than one degree of freedom: Student's t at one is taken, 12.706."""
    expected = (stats.t.ppf(0.975, 1) + stats.norm.ppf(0.8)) * math.sqrt(1 / 1.2 + 4 / 1.1)
    assert comparison.detectable((1.0, 2.0), (1.2, 1.1)) == pytest.approx(expected)


def test_cycles_that_would_tell_by_statsmodels():
    """NormalIndPower of equal numbers; unequal spread counts by its sum of squares; no difference, no number."""
    theirs = NormalIndPower().solve_power(effect_size=1.0 / 2.0, alpha=0.05, power=0.8)
    assert comparison.cycles_to_tell((2.0, 2.0), 1.0) == pytest.approx(theirs, rel=1e-4)
    assert comparison.cycles_to_tell((2.0, 2.0), -1.0) == pytest.approx(theirs, rel=1e-4)
    assert comparison.cycles_to_tell((1.0, math.sqrt(7.0)), 1.0) == pytest.approx(theirs, rel=1e-4)
    assert comparison.cycles_to_tell((2.0, 2.0), 0.0) == math.inf


def test_the_interval_of_the_difference_by_scipy():
    """Where every reading counts: Welch's interval of the means, second less first, and its p in the verdict."""
    for first, second in ((HIGHER, LOWER), (LOWER, HIGHER)):
        found = comparison.compare(first, second)
        theirs = stats.ttest_ind(second, first, equal_var=False)
        ends = theirs.confidence_interval()
        assert found.mean_difference.value == pytest.approx(second.mean() - first.mean())
        assert (found.mean_difference.low, found.mean_difference.high) == pytest.approx((ends.low, ends.high))
        assert (found.welch_t, found.welch_df, found.welch_p) == pytest.approx(
            (-theirs.statistic, theirs.df, theirs.pvalue)
        )
    assert (
        comparison.compare(HIGHER, LOWER).verdict == "faster" and comparison.compare(LOWER, HIGHER).verdict == "slower"
    )


def test_methods_of_the_same_mean_differ_by_an_interval_about_nothing():
    """Means alike to the last digit, readings not: the difference is 0, and as unsure as the readings make it."""
    first, second = ZIGZAG, np.array([9.0, 13.0, 9.0, 13.0, 9.0, 13.0])
    found, ends = (
        comparison.compare(first, second),
        stats.ttest_ind(second, first, equal_var=False).confidence_interval(),
    )
    assert (found.verdict, found.mean_difference.value, found.welch_p) == ("unclear", 0.0, 1.0)
    assert (found.mean_difference.low, found.mean_difference.high) == pytest.approx((ends.low, ends.high))
    assert found.mean_difference.high > 1.0


def test_four_cycles_can_be_compared_and_three_cannot():
    """The least number of either; readings that are not known do not count."""
    four = [10.0, 12.0, 10.0, 12.0]
    assert comparison.compare(four, [*four, math.nan]).n == (4, 4)
    for first, second in ((four[:3], four), (four, [*four[:3], math.nan])):
        with pytest.raises(OutOfRange, match="must be four or more to compare, got"):
            comparison.compare(first, second)


@pytest.mark.parametrize("turned", [False, True])
def test_dependent_cycles_are_told_with_less_assurance(turned):
    """Three alike in a row count for fewer than 16: Welch's formulas with that number, wider than scipy with 16."""
    first, second = np.repeat(ZIGZAG, 3)[:16], 1.5 * np.tile(ZIGZAG, 3)[:16] - 6
    first, second = (second, first) if turned else (first, second)
    own = [x.var(ddof=1) / comparison.effective_number(x) for x in (first, second)]
    df = sum(own) ** 2 / sum(
        v**2 / (comparison.effective_number(x) - 1) for v, x in zip(own, (first, second), strict=True)
    )
    half = stats.t.ppf(0.975, df) * math.sqrt(sum(own))
    found, difference = comparison.compare(first, second).mean_difference, second.mean() - first.mean()
    assert (found.low, found.high) == pytest.approx((difference - half, difference + half))
    plain = stats.ttest_ind(second, first, equal_var=False).confidence_interval()
    assert found.high - found.low > 1.2 * (plain.high - plain.low)


def test_cycles_still_to_time_by_hand():
    """Means of 11 and 11.4 s, variances of 1.2: 5 % of 11 s is worth more than the 0.4 s seen, 0.55 s.

    2 x 1.2 x (2.8016/0.55)^2 = 62.27, up to 63, less 6. Means of 12.5 and 11 s, 51.5 and 1.2: 183.8, up to 184, less 6.
    """
    found = comparison.compare(ZIGZAG, ZIGZAG + 0.4)
    assert (found.verdict, found.more_cycles) == ("unclear", 57)
    wide = np.array([7.0, 20.0, 6.0, 18.0, 5.0, 19.0])
    assert (wide.mean(), wide.var(ddof=1)) == pytest.approx((12.5, 51.5))
    assert comparison.compare(wide, ZIGZAG).more_cycles == 178
    assert comparison.compare(ZIGZAG, wide).more_cycles == 178
    assert comparison.compare(HIGHER, LOWER).more_cycles == 0


def test_one_more_cycle_at_least_where_it_is_unclear():
    """t of 3 with three degrees of freedom is not yet sure; the formula, which knows no t, would ask for 3.5 cycles."""
    turns = np.array([1.0, -1.0, 1.0, -1.0])
    found = comparison.compare(10 + 1e-6 * turns, 10 + math.sqrt(3) + turns)
    assert (found.welch_t, found.welch_df) == pytest.approx((-3.0, 3.0))
    assert (found.verdict, found.more_cycles) == ("unclear", 1)


def test_dependent_cycles_ask_for_as_many_more_as_they_count_less():
    """Sixteen readings that count for fewer: the number by the formula is stretched by that, less those taken."""
    first, second = np.repeat(ZIGZAG, 3)[:16], np.tile(ZIGZAG, 3)[:16] + 0.4
    counts = [comparison.effective_number(x) for x in (first, second)]
    assert counts[0] < 12 and counts[1] == 16
    z = stats.norm.ppf(0.975) + stats.norm.ppf(0.8)
    needed = (first.var(ddof=1) + second.var(ddof=1)) * (z / (0.05 * first.mean())) ** 2 * 16 / counts[0]
    assert comparison.compare(first, second).more_cycles == math.ceil(needed) - 16
    turned = (first.var(ddof=1) + second.var(ddof=1)) * (z / (0.05 * second.mean())) ** 2 * 16 / counts[0]
    assert comparison.compare(second, first).more_cycles == math.ceil(turned) - 16
