"""Times in numbers: BCa intervals digit by digit as scipy's from the same draws, large samples by the jackknife."""

import math
import warnings

import numpy as np
import pytest
from scipy import stats

from coreset.study.bootstrap import widening
from coreset.study.descriptive import MANY, QUANTILES, bca, describe

SKEWED = np.random.default_rng(2).lognormal(3, 0.35, 45)
MEASURES = {
    "mean": lambda v, axis=-1: v.mean(axis=axis),
    "sd": lambda v, axis=-1: v.std(axis=axis, ddof=1),
    "cv": lambda v, axis=-1: v.std(axis=axis, ddof=1) / v.mean(axis=axis),
    **{f"q{q}": lambda v, axis=-1, q=q: np.quantile(v, q, axis=axis) for q in QUANTILES},
}


@pytest.mark.parametrize("level", [0.8, 0.95])
@pytest.mark.parametrize("x", [SKEWED, np.round(SKEWED), SKEWED[:6]])
def test_intervals_are_scipys_from_the_same_draws(x, level):
    """scipy.stats.bootstrap, BCa, with a generator of the same seed draws the same readings: ends to nine digits."""
    found = bca(x, lambda v: np.stack([m(v) for m in MEASURES.values()]), seed=3, resamples=799, level=level)
    for name, ends in zip(MEASURES, found, strict=True):
        rng = np.random.default_rng(3)
        with np.errstate(all="ignore"), warnings.catch_warnings():  # where it is not defined
            warnings.simplefilter("ignore")
            theirs = stats.bootstrap((x,), MEASURES[name], confidence_level=level, rng=rng, n_resamples=799)
        if np.isfinite(theirs.confidence_interval).all():
            assert ends == pytest.approx(tuple(theirs.confidence_interval), rel=1e-9), name
    assert all(np.isfinite(ends).all() for ends in found)


def test_a_reading_like_every_other_has_no_acceleration():
    """Leaving one out changes nothing of a quantile among equal readings: its interval is that reading."""
    x = np.array([1.0, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0, 9.0])
    assert bca(x, lambda v: np.quantile(v, [0.5], axis=-1), seed=1, resamples=199) == [(5.0, 5.0)]


@pytest.mark.parametrize("x", [SKEWED, np.repeat(SKEWED[:12], 3)])
def test_intervals_are_stretched_about_their_values(x):
    """Each end lies from its value as far as BCa's, times the widening; the order of figures is theirs."""
    found, times = describe(x, seed=5, resamples=399), widening(x)
    raw = bca(x, lambda v: np.stack([m(v) for m in MEASURES.values()]), seed=5, resamples=399)
    values = [float(m(x)) for m in MEASURES.values()]
    ends = [found.mean_interval, found.sd_interval, found.cv_interval, *(row[1:] for row in found.quantiles.values())]
    for value, (low, high), told in zip(values, raw, ends, strict=True):
        assert told == pytest.approx((value - (value - low) * times, value + (high - value) * times))
    assert [found.mean, found.sd, found.cv, *(row[0] for row in found.quantiles.values())] == pytest.approx(values)
    assert (found.n, found.how, tuple(found.quantiles)) == (len(x), "bca", QUANTILES)


def test_what_too_few_or_even_readings_leave_unknown():
    """Three have figures without intervals, four have both; one has no scatter, none has nothing, even ones no end."""
    three, four = describe([4.0, 5.0, 6.0, math.nan]), describe([4.0, 5.0, 6.0, 9.0])
    assert (three.n, three.mean, three.sd, three.cv) == (3, 5.0, 1.0, 0.2) and np.isnan(three.mean_interval).all()
    assert np.isfinite(four.mean_interval).all() and np.isfinite(four.quantiles[0.5]).all()
    two, one, none = describe([4.0, 6.0]), describe([4.0]), describe([])
    assert two.sd == pytest.approx(math.sqrt(2)) and one.mean == 4.0 and math.isnan(one.sd)
    assert none.n == 0 and math.isnan(none.mean) and np.isnan(none.quantiles[0.5]).all()
    even = describe([7.0] * 9)
    assert even.sd == 0.0 and np.isnan(even.sd_interval).all() and even.quantiles[0.9][0] == 7.0
    little = describe([7.0, 7.1, 7.0, 7.2, 7.1])
    assert little.sd < 1 and np.isfinite(little.sd_interval).all()


LARGE = np.random.default_rng(8).lognormal(2, 0.5, 1500)
EVEN = np.random.default_rng(7).permutation(np.linspace(0.1, 2.0, 1200))


@pytest.mark.parametrize(("level", "x"), [(0.8, LARGE), (0.95, LARGE), (0.95, EVEN)])
def test_large_samples_by_student_and_the_jackknife(level, x):
    """Mean by scipy's t; sd and cv from what each reading left out changes, the jackknife: half-widths to 1 %."""
    found, times = describe(x, level=level), widening(x)
    assert found.how == "large"
    n, z = len(x), stats.norm.ppf(0.5 + level / 2)
    half = stats.t.ppf(0.5 + level / 2, n - 1) * stats.sem(x) * times
    assert found.mean_interval == pytest.approx((x.mean() - half, x.mean() + half))
    left = x[None, :].repeat(n, axis=0)[~np.eye(n, dtype=bool)].reshape(n, n - 1)
    for name, value, ends in (("sd", found.sd, found.sd_interval), ("cv", found.cv, found.cv_interval)):
        without = MEASURES[name](left)
        half = z * math.sqrt((n - 1) / n * ((without - without.mean()) ** 2).sum()) * times
        assert (value - ends[0], ends[1] - value) == pytest.approx((half, half), rel=0.01), name


@pytest.mark.parametrize("level", [0.8, 0.95])
def test_quantiles_of_large_samples_lie_between_ordered_readings(level):
    """Of n readings as many lie below a quantile as the binomial says: points by scipy, one place to either side."""
    found, times, ordered = describe(LARGE, level=level), widening(LARGE), np.sort(LARGE)
    for q, (value, low, high) in found.quantiles.items():
        first, last = stats.binom.ppf([0.5 - level / 2, 0.5 + level / 2], len(LARGE), q).astype(int)
        bare = value - (value - low) / times, value + (high - value) / times
        assert ordered[first - 1] - 1e-9 <= bare[0] <= ordered[first] + 1e-9
        assert ordered[last] - 1e-9 <= bare[1] <= ordered[last + 1] + 1e-9


def test_large_begins_beyond_a_thousand():
    """1,000 readings are drawn again, and so differently with another seed, 1,001 are not; both tell about the same."""
    few, many = ([describe(LARGE[:n], resamples=399, seed=k) for k in (1, 2)] for n in (MANY, MANY + 1))
    assert (few[0].how, many[0].how) == ("bca", "large")
    assert few[0].mean_interval != few[1].mean_interval and many[0] == many[1]
    assert few[0].mean_interval == pytest.approx(many[0].mean_interval, rel=0.02)


def test_a_measure_that_no_draw_reaches_has_ends_all_the_same():
    """All readings differ, in no draw of these do they: how many differ lies above all draws, and below none."""
    x = np.arange(1.0, 31.0)
    for sign in (1, -1):
        ends = bca(x, lambda v, sign=sign: sign * (np.diff(np.sort(v), axis=-1) > 0).sum(axis=-1)[None], resamples=199)[
            0
        ]
        assert np.isfinite(ends).all() and max(abs(end) for end in ends) < 29
