"""Tests of fit against scipy's statistics, p values at the ends, and tries broken off against statsmodels' curve."""

import math
import warnings

import numpy as np
import pytest
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight

from coreset.study import goodness_of_fit, survival, threshold

X = np.random.default_rng(14).lognormal(2, 0.4, 40)


def squared(x, other):
    """Anderson-Darling by its sum, term by term."""
    x, n = np.sort(x), len(x)
    terms = [(2 * i + 1) * (other.logcdf(x[i]) + other.logsf(x[n - 1 - i])) for i in range(n)]
    return -n - sum(terms) / n


def test_the_statistic_by_hand():
    """Two readings at a quarter and three: -2 - (1 (ln 1/4 + ln 1/4) + 3 (ln 3/4 + ln 3/4))/2 = 0.2493."""
    found = -2 + math.log(4) - 3 * math.log(0.75)
    assert goodness_of_fit.anderson_darling([0.25, 0.75]) == pytest.approx(found)
    assert goodness_of_fit.anderson_darling([[0.25, 0.75], [0.5, 0.5]]) == pytest.approx([found, -2 + 4 * math.log(2)])
    assert goodness_of_fit.anderson_darling([0.25, 0.75], [0.75, 0.25]) == pytest.approx(found)
    assert (
        np.isfinite(goodness_of_fit.anderson_darling([0.0, 0.5, 1.0]))
        and goodness_of_fit.anderson_darling([0.0, 1.0]) > -2
    )


@pytest.mark.parametrize("x", [X, 60 * X[:9], np.array([0.01, 0.4, 0.9, 2.5, 9.0, 30.0])])
def test_fitted_statistics_are_those_at_scipys_likeliest(x):
    """Parameters by scipy.stats' fit, minimum at 0, the sum by its distribution functions."""
    ordered = np.sort(x)
    weibull = stats.weibull_min(*stats.weibull_min.fit(x, floc=0, method="mle"))
    gamma = stats.gamma(*stats.gamma.fit(x, floc=0))
    logs = np.log(x)
    lognormal = stats.lognorm(logs.std(ddof=1), 0, np.exp(logs.mean()))
    for name, other in (("weibull", weibull), ("gamma", gamma), ("lognormal", lognormal)):
        assert goodness_of_fit.STATISTIC[name](ordered) == pytest.approx(squared(x, other), rel=1e-3)
    both = np.stack([ordered, np.sort(3 * ordered[::-1])])
    assert goodness_of_fit.STATISTIC["weibull"](both) == pytest.approx(goodness_of_fit.STATISTIC["weibull"](ordered))


@pytest.mark.parametrize(
    ("size", "draws", "least", "count"),
    [(40, 999, None, 999), (40, 50, None, 199), (400, 999, None, 500), (4000, 999, None, 199), (100, 999, 0.0, 500),
     (40, 300, 0.0, 300), (40, 50, 0.0, 99), (1000, 999, 0.0, 99)],
)  # fmt: skip
def test_what_fits_worst_of_all_draws_has_one_over_their_number_and_one(size, draws, least, count):
    """Two heaps are worse than any draw: p is 1/(draws + 1); draws are 200,000 numbers at most, 50,000 with a shift."""
    heaps = 5 + np.concatenate([np.linspace(0, 0.1, size // 2), np.linspace(100, 100.1, size // 2)])
    p = goodness_of_fit.fitted_test("lognormal", heaps, (1.0, 0.5), np.random.default_rng(1), draws, shift=least)[1]
    assert p == pytest.approx(1 / (count + 1))


def test_what_fits_better_than_every_draw_has_a_p_of_one():
    """Readings at the quantiles of the normal shape, in any order: no draw lies as near, and p is 1."""
    x = stats.norm(10, 1).ppf((np.arange(50) + 0.5) / 50)
    one = goodness_of_fit.fitted_test("normal", x[::-1], (10.0, 1.0), np.random.default_rng(1), 199)
    assert one == (pytest.approx(squared(x, stats.norm(x.mean(), x.std(ddof=1)))), 1.0)


@pytest.mark.parametrize("name", ["normal", "lognormal", "weibull", "gamma"])
def test_draws_have_the_shape_they_are_drawn_from(name):
    """kstest of 4,000 draws against scipy's distribution at the same parameters."""
    first, second = {"normal": (9.0, 2.0), "lognormal": (1.0, 0.4), "weibull": (1.8, 5.0), "gamma": (3.0, 0.7)}[name]
    other = {
        "normal": stats.norm(first, second), "lognormal": stats.lognorm(second, 0, math.exp(first)),
        "weibull": stats.weibull_min(first, 0, second), "gamma": stats.gamma(first, 0, second),
    }[name]  # fmt: skip
    made = goodness_of_fit.drawn(name, (first, second), (4, 1000), np.random.default_rng(5))
    assert made.shape == (4, 1000) and stats.kstest(made.ravel(), other.cdf).pvalue > 0.01


def test_a_shifted_shape_is_judged_above_its_least_time():
    """The statistic of the times less their likeliest least one; 40 s more in each leave it where it was."""
    x = np.sort(4 + X)
    least = threshold.share("lognormal", x) * x.min()
    assert least > 0
    found = goodness_of_fit.fitted_test("lognormal", x, (2.0, 0.4), np.random.default_rng(1), 99, shift=least)[0]
    assert found == pytest.approx(goodness_of_fit.STATISTIC["lognormal"](x - least))


TIMES = np.array([5.0, 7, 7, 8, 9, 12, 12, 15, 16, 18, 21, 30])
DONE = np.array([1, 1, 0, 1, 0, 1, 1, 0, 1, 1, 1, 0], bool)


@pytest.mark.parametrize("level", [0.8, 0.95])
@pytest.mark.parametrize("count", [1, 2, 4, 12])
@pytest.mark.parametrize("done", [DONE, np.ones(12, bool)])
def test_the_interval_of_a_time_by_which_a_share_is_done_by_statsmodels(done, count, level):
    """SurvfuncRight.quantile_ci on the same scale; one try, or a share that only the last one reaches, has none."""
    found = survival.curve(TIMES[:count], done[:count])
    with np.errstate(all="ignore"), warnings.catch_warnings():  # at the last step it divides by 0
        warnings.simplefilter("ignore")
        theirs = SurvfuncRight(TIMES[:count], done[:count].astype(int))
        for q in (0.25, 0.5, 0.75, 0.9, 0.999):
            low, high = theirs.quantile_ci(q, alpha=1 - level, method="cloglog")
            expected = (low, high) if math.isfinite(low) else (math.nan, math.inf)
            assert found.interval(q, level) == pytest.approx(expected, nan_ok=True), q
    share = stats.ecdf(
        stats.CensoredData(uncensored=TIMES[:count][done[:count]], right=TIMES[:count][~done[:count]])
    ).sf
    for q in (0.25, 0.5, 0.75):
        reached = found.time[share.evaluate(found.time) <= 1 - q + 1e-9]
        assert found.quantile(q) == pytest.approx(reached[0] if len(reached) else math.nan, nan_ok=True)


def test_greenwoods_variance_by_hand():
    """Ten tries, one done at 1 and one of the nine left at 2: 1/(10 x 9), and 1/(9 x 8) more."""
    found = survival.curve([1.0, 2.0, *[3.0] * 8], [True, True, *[False] * 8])
    assert found.variance == pytest.approx([1 / 90, 1 / 90 + 1 / 72]) and found.share == pytest.approx([0.9, 0.8])


@pytest.mark.parametrize("n", [4, 6, 10, 14])
def test_a_share_is_done_with_the_try_that_completes_it(n):
    """Of n tries that all were done, one a second, half are done at n/2, all at n; what is not reached is unknown."""
    found = survival.curve(np.arange(1.0, n + 1), np.ones(n, bool))
    assert found.quantile(0.5) == n / 2 and found.quantile(1.0) == n
    assert [found.quantile(k / n) for k in range(1, n + 1)] == list(range(1, n + 1))
    cut = survival.curve(np.arange(1.0, n + 1), np.arange(n) < n / 2 - 1)
    assert math.isnan(cut.quantile(0.5)) and cut.interval(0.9999)[1] == math.inf
    none = survival.curve([5.0, 6.0], [False, False])
    assert math.isnan(none.quantile(0.1)) and math.isnan(none.interval()[0]) and none.interval()[1] == math.inf


def test_logrank_of_tries_that_end_at_once():
    """All done at one time leave nothing to rank: z 0, p 1; two against two by hand.

    1 and 4 against 2 and 3: expected 2/4 + 1/3 + 1/2 + 1, variance 1/4 + 2/9 + 1/4.
    """
    assert survival.logrank(([5.0], [True]), ([5.0], [True])) == (0.0, 1.0)
    assert survival.logrank(([5.0, 6.0], [False] * 2), ([5.0], [False])) == (0.0, 1.0)
    z, p = survival.logrank(([1.0, 4.0], [True] * 2), ([2.0, 3.0], [True] * 2))
    assert z == pytest.approx((2 - 1 / 2 - 1 / 3 - 1 / 2 - 1) / math.sqrt(1 / 4 + 2 / 9 + 1 / 4))
    assert p == pytest.approx(2 * stats.norm.sf(abs(z)))
    z, p = survival.logrank(([1.0, 1.0, 4.0], [True] * 3), ([1.0, 3.0, 5.0], [True] * 3))
    theirs = stats.logrank([1.0, 1.0, 4.0], [1.0, 3.0, 5.0])
    assert (z, p) == pytest.approx((theirs.statistic, theirs.pvalue))
