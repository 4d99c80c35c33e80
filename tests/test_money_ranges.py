"""Ranges as distributions: scipy's lognormal, normal and triangle at the same chances, and means that stay in range."""

import math

import numpy as np
import pytest
from scipy import stats

from coreset.case import Range
from coreset.money.distributions import LOPSIDED, SCORE, at, normal_chance

Z = np.linspace(-4, 4, 801)
EVEN_Z = stats.norm.ppf((np.arange(20_000) + 0.5) / 20_000)
EDGE = {"10-50-90": 0.9, "5-50-95": 0.95}


def near(found, wanted, **tolerance):
    """All alike; quicker than comparing item by item."""
    np.testing.assert_allclose(found, wanted, **tolerance)


@pytest.mark.parametrize("meaning", EDGE)
@pytest.mark.parametrize(("below", "above"), [(1.0, 3.0), (3.0, 1.0), (1.0, 1.1), (100.0, 399.0)])
def test_uneven_steps_are_scipys_shifted_lognormal(meaning, below, above):
    """The three-parameter lognormal through 1,000 - below, 1,000 and 1,000 + above (turned round where it leans down).

    exp(s score) is the larger step over the smaller, and scale and shift follow from the middle (own algebra).
    """
    score = stats.norm.ppf(EDGE[meaning])
    assert SCORE[meaning] == pytest.approx(score, abs=1e-12)
    large, small = max(below, above), min(below, above)
    scale = small / (1 - small / large)
    law = stats.lognorm(s=math.log(large / small) / score, loc=-scale, scale=scale)
    wanted = law.ppf(stats.norm.cdf(Z)) if above > below else -law.ppf(stats.norm.cdf(-Z))
    found = at(Range(low=1_000 - below, likely=1_000, high=1_000 + above), Z, meaning)
    near(found, 1_000 + wanted, rtol=1e-9)


@pytest.mark.parametrize("meaning", EDGE)
@pytest.mark.parametrize("step", [1.0, 400.0])
def test_even_steps_are_a_normal(meaning, step):
    """Standard deviation is the step over the score; steps that differ by rounding are as good as even."""
    sd = step / stats.norm.ppf(EDGE[meaning])
    for high in (step, step * (1 + 1e-9), step * (1 + 1e-5)):
        near(at(Range(low=2_000 - step, likely=2_000, high=2_000 + high), Z, meaning), 2_000 + sd * Z, rtol=1e-4)


@pytest.mark.parametrize("meaning", EDGE)
@pytest.mark.parametrize(("below", "above"), [(0.0, 9.0), (2.0, 9.0), (9.0, 2.0), (9.0, 0.0), (1e-3, 9.0), (1.0, 4.01)])
def test_very_uneven_steps_are_two_halves_of_a_normal(meaning, below, above):
    """Each side has the standard deviation of its step; the mean is (above - below) phi(0)/score off the middle."""
    score = stats.norm.ppf(EDGE[meaning])
    figure = Range(low=50 - below, likely=50, high=50 + above)
    near(at(figure, Z, meaning), 50 + Z * np.where(Z < 0, below, above) / score, rtol=1e-12)
    mean = 50 + (above - below) * stats.norm.pdf(0) / score
    assert at(figure, EVEN_Z, meaning).mean() == pytest.approx(mean, abs=1e-3)


@pytest.mark.parametrize("meaning", EDGE)
def test_a_mean_stays_in_the_range_however_uneven_its_steps(meaning):
    """A law: low, likely, high of 10, 50, 90 %: the mean lies between, and moves little from one ratio to the next.

    By a lognormal the mean of (99, 100, 200) would be 875, of (95, 100, 200) still 179.
    """
    means = []
    for ratio in (1.0, 2.0, 3.0, 3.9, 4.1, 6.0, 20.0, 100.0, 1e6):
        for turned in (False, True):
            steps = (1.0, 1.0 / ratio) if turned else (1.0 / ratio, 1.0)
            mean = at(Range(low=-9 - steps[0], likely=-9, high=steps[1] - 9), EVEN_Z, meaning).mean() + 9
            assert abs(mean) < 0.35
            assert turned is False or mean == pytest.approx(-means[-1], abs=1e-9)
            means += [] if turned else [mean]
    assert (np.diff(means) > -0.04).all() and (np.diff(means) < 0.2).all()
    assert LOPSIDED == 4.0


@pytest.mark.parametrize("meaning", [*EDGE, "limits"])
@pytest.mark.parametrize("steps", [(0.0, 3.0), (3.0, 0.0), (1.0, 1.0), (1.0, 2.0), (2.0, 1.0), (1.0, 9.0), (9.0, 1.0)])
def test_a_higher_score_is_a_higher_value(meaning, steps):
    """Two figures at the same scores move together, whatever their shapes; below nothing there is nothing."""
    for likely in (10.0, -2.0, steps[0]):
        figure = Range(low=likely - steps[0], likely=likely, high=likely + steps[1])
        found = at(figure, Z, meaning)
        assert (np.diff(found) >= 0).all() and found[-1] > found[0]
        assert (found.min() >= 0) if figure.low >= 0 else (found.min() < 0)
    small = at(Range(low=0.0, likely=1e-3, high=2e-3), Z, meaning)
    assert small.min() == pytest.approx(0.0, abs=1e-4) and small.max() < 5e-3


@pytest.mark.parametrize("likely", [2.0, 3.0, 6.5, 10.0])
def test_hard_limits_are_scipys_triangle(likely):
    """scipy.stats.triang from 2 to 10 at the same chances, the middle at an end as well."""
    law = stats.triang((likely - 2) / 8, loc=2, scale=8)
    near(at(Range(low=2, likely=likely, high=10), Z, "limits"), law.ppf(stats.norm.cdf(Z)), atol=2e-3)
    inner = Z[abs(Z) < 2.5]
    near(at(Range(low=2, likely=likely, high=10), inner, "limits"), law.ppf(stats.norm.cdf(inner)), atol=1e-5)


def test_chances_of_scores_are_scipys():
    """To 1e-7, also where the table ends."""
    z = np.linspace(-9, 9, 4_001)
    near(normal_chance(z), stats.norm.cdf(z), atol=1e-7, rtol=0)
