"""Drawn ratios and percentiles of two methods, and the chance that one is faster: by pencil and by naive loops."""

import math

import numpy as np
import pytest
from scipy import stats

from coreset.study import comparison

ZIGZAG = np.array([10.0, 12.0, 10.0, 12.0, 10.0, 12.0])
STEADY = np.full(6, 10.0)
STRETCH = math.sqrt(6 / 5)
"""For the divisor that drawing again implies, six readings that all count."""


def ends(figure):
    """The three numbers of a figure."""
    return figure.value, figure.low, figure.high


def test_the_ratio_of_means_by_pencil():
    """Six draws of 10 or 12 s: of 64 ways 1 has no 12 and 7 have one at most, so 2.5 % ends at one, 97.5 % at five.

    Means 10 + 2/6 and 10 + 10/6, stretched about 11.
    """
    short, long = 11 - 2 / 3 * STRETCH, 11 + 2 / 3 * STRETCH
    assert ends(comparison.compare(ZIGZAG, STEADY).mean_ratio) == pytest.approx((10 / 11, 10 / long, 10 / short))
    assert ends(comparison.compare(STEADY, ZIGZAG).mean_ratio) == pytest.approx((1.1, short / 10, long / 10))


def test_the_ninetieth_percentile_by_pencil():
    """It lies half way between the fifth and the sixth of six: 12 s, with one 12 drawn 11, with none 10."""
    low = 12 - 1 * STRETCH
    found = comparison.compare(ZIGZAG, STEADY)
    assert ends(found.p90_difference) == pytest.approx((-2.0, -2.0, 10 - low))
    assert ends(found.p90_ratio) == pytest.approx((10 / 12, 10 / 12, 10 / low))
    found = comparison.compare(STEADY, ZIGZAG)
    assert ends(found.p90_difference) == pytest.approx((2.0, low - 10, 2.0))
    assert ends(found.p90_ratio) == pytest.approx((1.2, low / 10, 1.2))


def test_dependent_readings_stretch_the_draws():
    """The same readings in another order: the ends go out by the root of n over the number that counts."""
    blocks = np.repeat([10.0, 12.0], 3)
    counts = comparison.effective_number(blocks)
    assert counts < 3
    far = 2 / 3 * math.sqrt(6 / 5 * 6 / counts)
    assert ends(comparison.compare(STEADY, blocks).mean_ratio) == pytest.approx((1.1, (11 - far) / 10, (11 + far) / 10))


def test_the_ratio_of_means_of_many_by_the_normal_approximation():
    """Ratio of means r with the variance r^2 (cv1^2/n1 + cv2^2/n2), which is the delta method: ends within 10 %."""
    rng = np.random.default_rng(12)
    first, second = rng.normal(30, 3, 120), rng.normal(20, 3, 90)
    of_first, of_second = (stats.variation(x) ** 2 / comparison.effective_number(x) for x in (first, second))
    found = comparison.compare(first, second)
    ratio = second.mean() / first.mean()
    half = 1.96 * ratio * math.sqrt(of_first + of_second)
    assert found.mean_ratio.value == pytest.approx(ratio)
    assert (ratio - found.mean_ratio.low, found.mean_ratio.high - ratio) == pytest.approx((half, half), rel=0.1)


def naive_chance(first, second):
    """Share of pairs in which the second is less, and what each reading has of it, loop by loop."""
    won = np.array([[(b < a) + 0.5 * (b == a) for b in second] for a in first])
    return won.mean(), won.mean(axis=1), won.mean(axis=0)


@pytest.mark.rules("CHANCE-placements")
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_chance_of_being_faster_by_naive_loops(seed):
    """Scatter of placements over the readings of each that count; ties are half, in and between the samples."""
    rng = np.random.default_rng(seed)
    first, second = rng.integers(8, 20, 9).astype(float), rng.integers(6, 16, 7).astype(float)
    chance, of_first, of_second = naive_chance(first, second)
    counts = comparison.effective_number(first), comparison.effective_number(second)
    half = stats.norm.ppf(0.975) * math.sqrt(of_first.var(ddof=1) / counts[0] + of_second.var(ddof=1) / counts[1])
    found = comparison.compare(first, second).chance_faster
    assert ends(found) == pytest.approx((chance, max(0, chance - half), min(1, chance + half)))


def test_a_chance_ends_at_certainty():
    """Nearly always faster or slower: the interval is cut off at 1 and at 0, and does not go beyond."""
    first = np.array([10.0, 12.0, 10.5, 12.5, 10.2, 12.2])
    second = np.array([9.0, 10.1, 9.2, 9.8, 9.1, 9.9])
    found, turned = comparison.compare(first, second).chance_faster, comparison.compare(second, first).chance_faster
    assert (found.high, turned.low) == (1.0, 0.0)
    assert found.value == pytest.approx(1 - turned.value) == pytest.approx(35 / 36)
    assert found.low == pytest.approx(1 - turned.high) and 0.8 < found.low < found.value


def test_two_operators_are_enough_for_pairs_by_scipy():
    """ttest_1samp with one degree of freedom; differences all alike are sure, or say nothing where they are 0."""
    theirs = stats.ttest_1samp([-3.0, -4.0], 0)
    assert comparison.paired([-3.0, -4.0]) == pytest.approx((-3.5, *theirs.confidence_interval(), theirs.pvalue))
    assert comparison.paired([-3.0, -3.0]) == (-3.0, -3.0, -3.0, 0.0)
    assert comparison.paired([0.0, 0.0, 0.0]) == (0.0, 0.0, 0.0, 1.0)
