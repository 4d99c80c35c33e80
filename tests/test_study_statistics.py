"""Statistics of studies: scipy, statsmodels and naive versions as second opinions; what the verdicts say."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.weightstats import CompareMeans, DescrStatsW

from coreset.errors import OutOfRange
from coreset.sources import table
from coreset.study import (
    comparison,
    distribution_fit,
    distributions,
    goodness_of_fit,
    known_paces,
    learning_curve,
    outliers,
    rating_test,
    run_order,
    sample_size,
    survival,
    threshold,
)
from coreset.study.descriptive import bca, describe
from coreset.study.regression import fit
from coreset.study.standard_data import choose

RNG = np.random.default_rng(2)
SKEWED = RNG.lognormal(3, 0.35, 45)
OTHER = RNG.lognormal(2.9, 0.45, 38)


@pytest.mark.rules("BOOT-bca")
def test_bca_intervals_agree_with_scipy():
    """scipy.stats.bootstrap, BCa, mean and 90th percentile: ends within 2 and 3 %."""

    def both(v):
        return np.stack([v.mean(axis=-1), np.quantile(v, 0.9, axis=-1)])

    found = bca(SKEWED, both, seed=3, resamples=9999)
    mean = stats.bootstrap((SKEWED,), np.mean, rng=4, n_resamples=9999).confidence_interval
    p90 = stats.bootstrap(
        (SKEWED,), lambda v, axis: np.quantile(v, 0.9, axis=axis), rng=4, n_resamples=9999
    ).confidence_interval
    assert found[0] == pytest.approx(tuple(mean), rel=0.02)
    assert found[1] == pytest.approx(tuple(p90), rel=0.03)


def test_intervals_are_stretched_for_small_and_dependent_samples():
    """The interval of the mean is about Student's t for independent readings, wider where neighbours are alike."""
    x = np.sort(np.random.default_rng(8).normal(20, 2, 40))
    mixed = np.random.default_rng(9).permutation(x)
    wide, narrow = (describe(v).mean_interval for v in (x, mixed))
    assert wide[1] - wide[0] > 2 * (narrow[1] - narrow[0])


def test_large_samples_agree_with_resampling():
    """Beyond 1,000 readings the formulas give what BCa gives, to a tenth of the width."""
    x = np.random.default_rng(5).lognormal(3, 0.3, 1200)
    found = describe(x)
    assert found.how == "large"
    ends = bca(x, lambda v: np.array([v.mean(axis=-1), v.std(axis=-1, ddof=1)]), resamples=2000)
    for a, b in zip((found.mean_interval, found.sd_interval), ends, strict=True):
        assert a == pytest.approx(b, abs=0.1 * (b[1] - b[0]) + 1e-9)


@pytest.mark.rules("RANK-sum", "SPREAD-medians")
def test_welch_rank_and_spread_agree_with_scipy_and_statsmodels():
    """ttest_ind, mannwhitneyu, levene about medians; statsmodels' unequal-variance t."""
    t, df, p = comparison.welch(SKEWED, OTHER)
    other = stats.ttest_ind(SKEWED, OTHER, equal_var=False)
    assert (t, df, p) == pytest.approx((other.statistic, other.df, other.pvalue))
    means = CompareMeans(DescrStatsW(SKEWED), DescrStatsW(OTHER)).ttest_ind(usevar="unequal")
    assert (t, p, df) == pytest.approx(means)
    u = stats.mannwhitneyu(SKEWED, OTHER, method="asymptotic")
    assert comparison.rank_test(SKEWED, OTHER) == pytest.approx(u.pvalue)
    assert comparison.chance_less(SKEWED, OTHER) == pytest.approx(u.statistic / (45 * 38))
    assert comparison.spread_test(SKEWED, OTHER) == pytest.approx(stats.levene(SKEWED, OTHER, center="median").pvalue)


@pytest.mark.rules("TREND-rank")
def test_trend_and_ranks_agree_with_scipy():
    """spearmanr and rankdata, ties included."""
    x = np.round(SKEWED)
    assert np.array_equal(run_order.ranks(x), stats.rankdata(x))
    other = stats.spearmanr(np.arange(len(x)), x)
    found = run_order.trend_test(x)
    assert (found.statistic, found.p) == pytest.approx((other.statistic, other.pvalue))


@pytest.mark.parametrize("name", ["lognorm", "gamma", "weibull_min"])
def test_fits_agree_with_scipy(name):
    """Maximum likelihood with the minimum at 0: shape and scale within a tenth of a per cent."""
    theirs = getattr(stats, name).fit(SKEWED, floc=0)
    family = {"lognorm": "lognormal", "gamma": "gamma", "weibull_min": "weibull"}[name]
    ours = next(f for f in distribution_fit.fits(SKEWED) if f.family == family and not f.shifted).parameters
    expected = (math.log(theirs[2]), theirs[0]) if name == "lognorm" else (theirs[0], theirs[2])
    assert ours == pytest.approx(expected, rel=1e-3)


@pytest.mark.rules("FIT-anderson")
def test_anderson_darling_agrees_with_scipy():
    """scipy.stats.anderson's statistic for the normal case; Monte Carlo p against scipy.stats.goodness_of_fit."""
    ours = goodness_of_fit.STATISTIC["normal"](np.sort(SKEWED))
    theirs = stats.goodness_of_fit(stats.norm, SKEWED, statistic="ad", n_mc_samples=999, rng=1)
    assert ours == pytest.approx(theirs.statistic, rel=1e-6)
    p = goodness_of_fit.fitted_test("normal", SKEWED, (0.0, 1.0), np.random.default_rng(1))[1]
    assert p == pytest.approx(theirs.pvalue, abs=0.03)


def test_the_least_time_that_is_sought_is_the_likeliest():
    """The search over shares of the shortest time, against scipy's likelihood at the same closed-form estimates."""
    x = np.sort(2 + RNG.lognormal(0.5, 0.6, 60))
    for family, theirs in (("lognormal", stats.lognorm), ("gamma", stats.gamma)):

        def likelihood(one, family=family, theirs=theirs):
            y = x - one * x.min()
            first, second = distributions.by_name(family).start(y)
            given = (second, 0, np.exp(first)) if family == "lognormal" else (first, 0, second)
            return theirs.logpdf(y, *given).sum()

        best = max(threshold.SHIFTS, key=likelihood)
        assert threshold.share(family, x) == pytest.approx(best)


@pytest.mark.parametrize("count", [15, pytest.param(60, marks=pytest.mark.slow)])
def test_the_test_of_a_shifted_shape_holds_its_level(count):
    """Shifted lognormal times: p is spread evenly, its mean near a half and few below a tenth, within four errors."""
    found = []
    for i in range(count):
        x = 3 + np.random.default_rng([7, i]).lognormal(1, 0.5, 40)
        fit = next((f for f in distribution_fit.fits(x, draws=99) if f.shifted and f.family == "lognormal"), None)
        found += [fit.p_value] if fit else []
    assert len(found) > count * 2 / 3
    assert np.mean(found) == pytest.approx(0.5, abs=4 * np.sqrt(1 / 12 / len(found)))
    assert np.mean(np.array(found) <= 0.1) < 0.1 + 4 * np.sqrt(0.09 / len(found))


def test_the_test_of_a_shape_finds_two_heaps_out():
    """Times in two heaps fit no shape; those of a shifted lognormal lie close to it."""
    heaps = np.concatenate([RNG.normal(10, 0.4, 60), RNG.normal(16, 0.4, 60)])
    assert all(f.p_value < 0.05 for f in distribution_fit.fits(heaps))
    one = next(f for f in distribution_fit.fits(3 + RNG.lognormal(1, 0.5, 80)) if f.shifted and f.family == "lognormal")
    assert 0 < one.distance < 0.2


def test_broken_off_tries_lift_the_fit_and_have_no_p():
    """Exponential times cut at 10: with cut ones as lower bounds the mean is found (scipy's censored fit agrees)."""
    x = np.random.default_rng(3).weibull(1.0, 300) * 10
    done = x <= 10
    cut = np.minimum(x, 10)
    found = next(f for f in distribution_fit.fits(cut, done) if f.family == "weibull" and not f.shifted)
    data = stats.CensoredData.right_censored(cut, ~done)
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    assert found.parameters == (pytest.approx(shape, rel=0.01), pytest.approx(scale, rel=0.01))
    assert math.isnan(found.p_value) and found.distance < 0.1
    assert found.quantiles[0.9] > distribution_fit.fits(cut[done])[0].quantiles[0.9]


def test_the_right_shape_wins_with_many_readings():
    """AICc gives most weight to the shape the times were drawn from."""
    x = np.random.default_rng(9).gamma(3.0, 5.0, 1500)
    assert distribution_fit.fits(x)[0].family == "gamma"
    y = 20 + np.random.default_rng(9).lognormal(1.5, 0.6, 1500)
    best = distribution_fit.fits(y)[0]
    assert best.shifted
    assert best.shift > 15


@pytest.mark.rules("FIT-aicc")
def test_weights_and_quantiles_of_fits():
    """Weights add to 1; the best shape's quantiles lie near the empirical ones."""
    found = distribution_fit.fits(SKEWED)
    assert sum(f.weight for f in found) == pytest.approx(1)
    assert found[0].quantiles[0.5] == pytest.approx(np.median(SKEWED), rel=0.08)
    x = np.linspace(0.1, 120, 4000)
    assert np.trapezoid(found[0].density(x), x) == pytest.approx(1, abs=0.01)


@pytest.mark.rules("TRIES-product")
def test_kaplan_meier_against_a_naive_version():
    """Share not done, step by step, as it would be done with a pencil."""
    t, d = np.array([5.0, 7, 7, 8, 9, 12, 12, 15]), np.array([1, 1, 0, 1, 0, 1, 1, 0], bool)
    found, share = survival.curve(t, d), 1.0
    for step, seen in zip(found.time, found.share, strict=True):
        share *= 1 - sum(d & (t == step)) / sum(t >= step)
        assert seen == pytest.approx(share)
    theirs = stats.ecdf(stats.CensoredData(uncensored=t[d], right=t[~d])).sf
    assert found.share == pytest.approx(theirs.evaluate(found.time))


@pytest.mark.rules("TRIES-logrank")
def test_logrank_agrees_with_scipy():
    """scipy.stats.logrank with censored tries."""
    d1, d2 = RNG.random(45) > 0.1, RNG.random(38) > 0.2
    z, p = survival.logrank((SKEWED, d1), (OTHER, d2))
    theirs = stats.logrank(
        stats.CensoredData(uncensored=SKEWED[d1], right=SKEWED[~d1]),
        stats.CensoredData(uncensored=OTHER[d2], right=OTHER[~d2]),
    )
    assert abs(z) == pytest.approx(abs(theirs.statistic), rel=1e-6)
    assert p == pytest.approx(theirs.pvalue, rel=1e-6)


@pytest.mark.rules("DATA-left-out", "DATA-predict")
def test_regression_agrees_with_statsmodels():
    """Coefficients and the interval of prediction of an untimed case, statsmodels OLS."""
    import statsmodels.api as sm

    cores = np.array([1.0, 2, 3, 4, 6, 8])
    seconds = np.array([12.1, 17.8, 24.9, 29.5, 42.2, 52.0])
    found = fit(seconds, {"cores": cores})
    theirs = sm.OLS(seconds, sm.add_constant(cores)).fit()
    assert found.coefficients == pytest.approx(theirs.params)
    frame = theirs.get_prediction([[1.0, 5.0]]).summary_frame(alpha=0.05)
    expected = frame[["mean", "obs_ci_lower", "obs_ci_upper"]].to_numpy()[0]
    assert found.predict(5.0) == pytest.approx(tuple(expected))
    assert not found.covers(9.0)
    naive = [
        seconds[i] - fit(np.delete(seconds, i), {"cores": np.delete(cores, i)}).predict(cores[i])[0] for i in range(6)
    ]
    assert found.left_out_sd == pytest.approx(np.sqrt(np.mean(np.square(naive))))
    influence = theirs.get_influence().resid_press
    assert found.left_out_sd == pytest.approx(np.sqrt(np.mean(influence**2)))


@pytest.mark.parametrize("count", [60, pytest.param(300, marks=pytest.mark.slow)])
def test_the_driver_is_the_one_that_made_the_times(count):
    """Times made from mass, from cores and distance, or neither: found 85 times in 100; what is stated goes first."""
    drives = {
        "cores": np.array([1.0, 2, 6, 3, 4, 8, 2, 5]), "mass": np.array([12.0, 7, 21, 15, 4, 30, 22, 9]),
        "heaviest": np.array([12.0, 4, 5, 5, 1, 6, 14, 2]), "distance": np.array([3.0, 9, 4, 12, 2, 5, 8, 14]),
    }  # fmt: skip
    made = {
        ("mass",): 3 + 0.8 * drives["mass"], ("cores", "distance"): 3 + 4 * drives["cores"] + 0.9 * drives["distance"],
        (): np.full(8, 5.0),
    }  # fmt: skip
    rng = np.random.default_rng(8)
    for names, times in made.items():
        found = [choose("e", times + rng.normal(0, 0.5, 8), drives).fitted.drives for _ in range(count)]
        assert found.count(names) >= 0.85 * count, (names, found.count(names))
    stated = choose("e", made["mass",] + rng.normal(0, 0.5, 8), drives, stated="cores")
    assert (stated.fitted.drives, stated.stated) == (("cores",), True)
    short = {name: column[:5] for name, column in drives.items()}
    assert all(" + " not in names for names, _ in choose("e", made["mass",][:5], short).tried)


@pytest.mark.rules("ODD-fences")
def test_flags_are_told_not_dropped():
    """A reading of four times the usual is flagged, the rest is not."""
    x = np.append(np.random.default_rng(11).lognormal(3, 0.1, 40), 80.0)
    flags = outliers.flagged(x)
    assert flags[-1]
    assert flags.sum() <= 3


def test_learning_is_found_where_it_is():
    """Times that fall from 40 towards 20 give a rate below 1 and a plateau near 20; flat times fit nothing."""
    n = np.arange(1, 101)
    found = learning_curve.fit(20 + 20 * n**-0.6 + np.random.default_rng(3).normal(0, 0.3, 100))
    assert found.plateau == pytest.approx(20, abs=1.5)
    assert found.r_squared > 0.9
    assert found.rate == pytest.approx(2**-0.6, abs=0.08)


def test_verdicts():
    """Faster, slower, or cannot tell yet with the cycles that would tell."""
    rng = np.random.default_rng(4)
    a = rng.lognormal(3.5, 0.2, 50)
    assert comparison.compare(a, 0.7 * rng.lognormal(3.5, 0.2, 50)).verdict == "faster"
    assert comparison.compare(a, 1.5 * rng.lognormal(3.5, 0.2, 50)).verdict == "slower"
    same = comparison.compare(a, rng.permutation(a) * 1.001)
    assert same.verdict == "unclear"
    assert same.more_cycles > 0
    assert same.chance_faster.low < 0.5 < same.chance_faster.high


def test_the_cycles_asked_for_do_tell():
    """With the advised number of cycles, four studies of five find the difference (seeded)."""
    sds, difference = (5.0, 6.0), 2.5
    n = math.ceil(comparison.cycles_to_tell(sds, difference))
    rng = np.random.default_rng(6)
    found = [comparison.welch(rng.normal(30, 5, n), rng.normal(30 - difference, 6, n))[2] < 0.05 for _ in range(400)]
    assert np.mean(found) == pytest.approx(0.8, abs=0.06)


def test_pairs_of_operators():
    """Three operators timed under both: mean of their differences with Student's t at two degrees of freedom."""
    theirs = stats.ttest_1samp([-3.0, -4.0, -2.5], 0)
    mean, low, high, p = comparison.paired([-3.0, -4.0, -2.5])
    assert mean == pytest.approx(-3.1667, abs=1e-4)
    assert (low, high) == pytest.approx(tuple(theirs.confidence_interval()))
    assert p == pytest.approx(theirs.pvalue)
    with pytest.raises(OutOfRange, match="operators timed under both methods must be two or more, got 1"):
        comparison.paired([1.0])


def test_rater_check_finds_bias_and_scatter():
    """An observer 4 % high with 3 % scatter is found so; eight ratings are the least."""
    known = np.array([scene.known_pct for scene in known_paces.scenes(2, each=100)])
    rated = known * (1.04 + np.random.default_rng(1).normal(0, 0.03, 200))
    found = rating_test.check(known, rated)
    assert found.bias_pct == pytest.approx(4, abs=0.6)
    assert found.sd_pct == pytest.approx(3, abs=0.4)
    assert found.error_pct == pytest.approx(np.sqrt(np.mean((100 * (rated / known - 1)) ** 2)), rel=0.01)
    line = stats.linregress(known, rated)
    assert (found.slope, found.level_pct) == (pytest.approx(line.slope), pytest.approx(line.intercept))
    assert found.slope_se == pytest.approx(line.stderr)
    left = rated - line.intercept - line.slope * known
    assert found.line_sd_pct == pytest.approx(100 * np.sqrt(left @ left / 198) / known.mean())
    with pytest.raises(OutOfRange, match="must be 8 or more"):
        rating_test.check([100], [100])


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(1, 100), min_size=5, max_size=30), st.floats(0.5, 20))
def test_the_unit_of_time_does_not_matter(times, unit):
    """Readings needed, flags and tests are the same in seconds and in any other unit."""
    x = np.array(times)
    if np.ptp(x) < 1e-3:
        return
    assert sample_size.needed(x) == pytest.approx(sample_size.needed(unit * x), abs=1)
    assert run_order.trend_test(x).p == pytest.approx(run_order.trend_test(unit * x).p)


def test_readings_needed_are_enough():
    """The t form's number reaches the precision, one less does not (its own definition, done naively)."""
    n = sample_size.by_t(10.0, 2.0)

    def half(k):
        return stats.t.ppf(0.975, k - 1) * 2.0 / math.sqrt(k)

    assert half(n) <= 0.5 < half(n - 1)


def test_scenes_are_the_printed_paces_in_an_order_of_the_seed():
    """[work_study_items] 3 mile/h and 52 cards in 0.50 min at daywork, 4 mile/h at 100 BSI; a seed repeats, no more."""
    for row in table("work_study_items/known_paces").rows:
        rating, printed = float(row["rating_pct"]), float(row["value"])
        walk = known_paces.walk_m_s(rating, row["rating_scale"]) * 3600 / 1609.344
        deal = 52 * known_paces.deal_s(rating, row["rating_scale"]) / 60
        assert (walk if row["shown"] == "walking" else deal) == pytest.approx(printed)
    first, again, other = known_paces.scenes(1), known_paces.scenes(1), known_paces.scenes(2)
    assert first == again != other
    assert {scene.shown for scene in first[:8]} == {"walking", "dealing"}
    assert known_paces.seed_of("OB7", 0, 1) != known_paces.seed_of("OB7", 1, 1)
    for name in ("60-80", "75-100", "100-133", "0-100 BSI"):
        offered = known_paces.offered(name)
        known = [scene.known_pct for scene in known_paces.scenes(3, scale_name=name)]
        assert offered[0] <= min(known) and max(known) <= offered[-1]
        assert [round(s.metres_s, 1) for s in known_paces.scenes(3, scale_name=name)] == pytest.approx(
            [round(s.metres_s, 1) for s in known_paces.scenes(3)], abs=0.11
        )
