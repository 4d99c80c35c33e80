"""Shapes of times against scipy's distributions: densities, likelihoods, weights, distances, least times."""

import math

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import brentq
from scipy.special import psi

from coreset.errors import OutOfRange
from coreset.study import distribution_fit, goodness_of_fit, threshold
from coreset.study.distributions import FAMILIES, by_name

TWELVE = np.array([8.1, 9.0, 9.3, 9.9, 10.4, 10.6, 11.3, 12.0, 13.1, 14.9, 17.2, 22.5])


def theirs(name, first, second, least=0.0):
    """The same distribution from scipy."""
    return {
        "normal": lambda: stats.norm(first, second),
        "lognormal": lambda: stats.lognorm(second, least, math.exp(first)),
        "gamma": lambda: stats.gamma(first, least, second),
        "weibull": lambda: stats.weibull_min(first, least, second),
    }[name]()


PARAMETERS = {"normal": (3.0, 2.0), "lognormal": (1.2, 0.4), "gamma": (3.5, 0.7), "weibull": (1.7, 4.0)}


@pytest.mark.parametrize("name", PARAMETERS)
def test_densities_tails_and_quantiles_are_those_of_scipy(name):
    """Logarithms of density and upper tail, quantiles, at two parameters each."""
    x, p = np.array([0.2, 1.0, 2.5, 6.0, 11.0]), np.array([0.01, 0.3, 0.5, 0.9])
    family, other = by_name(name), theirs(name, *PARAMETERS[name])
    assert family.log_density(x, *PARAMETERS[name]) == pytest.approx(other.logpdf(x))
    assert family.log_tail(x, *PARAMETERS[name]) == pytest.approx(other.logsf(x))
    assert family.quantile(p, *PARAMETERS[name]) == pytest.approx(other.ppf(p))


@pytest.mark.parametrize("scale", [0.5, 40.0])
def test_the_closed_start_of_a_gamma_is_near_the_likeliest(scale):
    """The likeliest shape solves log k - psi(k) = log mean - mean log; the closed form misses it by 0.12 % at most."""
    x = scale * np.exp(np.array([-0.7, -0.4, -0.1, 0.0, 0.1, 0.4, 0.7]))
    s = np.log(x.mean()) - np.log(x).mean()
    assert s == pytest.approx(0.092, abs=0.003)
    shape = brentq(lambda k: math.log(k) - psi(k) - s, 0.1, 100)
    assert by_name("gamma").start(x) == pytest.approx((shape, x.mean() / shape), rel=0.0012)


def test_the_start_of_a_weibull_is_by_moments_of_the_logarithms():
    """pi/6^0.5 over their scatter finds the shape of 1, 2 and 4 within 5 %; times nearly alike have their longest."""
    for shape in (1.0, 2.0, 4.0):
        x = stats.weibull_min(shape, scale=7.0).ppf((np.arange(4000) + 0.5) / 4000)
        assert by_name("weibull").start(x) == pytest.approx((shape, 7.0), rel=0.05)
    assert by_name("weibull").start(np.array([9.99, 10.0, 10.01]))[1] == 10.01


@pytest.mark.parametrize("x", [TWELVE, TWELVE[:8], TWELVE / 20, 3 + np.random.default_rng(3).lognormal(1, 0.7, 60)])
def test_every_figure_of_a_fit_by_scipy(x):
    """Likelihood, AICc of 2 or 3 parameters, weights, quantiles, greatest distance (kstest) and density."""
    found, n = distribution_fit.fits(x, draws=199), len(x)
    score = []
    for fit in found:
        other = theirs(fit.family, *fit.parameters, fit.shift)
        assert fit.log_likelihood == pytest.approx(other.logpdf(x).sum())
        k = 3 if fit.shifted else 2
        assert fit.aicc == pytest.approx(2 * k - 2 * other.logpdf(x).sum() + 2 * k * (k + 1) / (n - k - 1))
        assert fit.anderson_darling == pytest.approx(goodness_of_fit.STATISTIC[fit.family](np.sort(x - fit.shift)))
        assert 0 < fit.p_value <= 1
        assert fit.distance == pytest.approx(stats.kstest(x, other.cdf).statistic)
        assert list(fit.quantiles.values()) == pytest.approx(other.ppf(list(fit.quantiles)))
        assert fit.density([-1.0, 0.0, 9.5, 20.0]) == pytest.approx(other.pdf([-1.0, 0.0, 9.5, 20.0]))
        assert fit.shifted == (fit.shift > 0) and fit.shift < x.min()
        score.append(fit.aicc)
    share = np.exp(-0.5 * (np.array(score) - min(score)))
    assert [fit.weight for fit in found] == pytest.approx(share / share.sum())
    assert {fit.family for fit in found if fit.shifted} == {
        name for name in threshold.QUICK if threshold.share(name, x) > 0
    }
    assert {fit.family for fit in found if not fit.shifted} == {family.name for family in FAMILIES}
    assert score == sorted(score)


def test_a_density_is_nothing_up_to_the_least_time():
    """At the least time itself and before it there is none, even where the shape begins with its highest density."""
    times = 5 + stats.expon(scale=3.0).ppf((np.arange(60) + 0.5) / 60)
    for fit in distribution_fit.fits(times, draws=99):
        if fit.shifted:
            at = np.array([fit.shift - 0.5, fit.shift, fit.shift + 0.5])
            assert fit.density(at)[:2].tolist() == [0.0, 0.0] and fit.density(at)[2] > 0


def test_what_can_be_fitted_at_all():
    """Eight times, three of them done; not seven, not two, none of 0 and not all alike."""
    eight, three = TWELVE[:8], np.arange(8) < 3
    assert distribution_fit.fits(eight) and distribution_fit.fits(eight, three)
    refused = [(eight[:7], None), (eight, np.arange(8) < 2), ([0.0, *eight], None), ([9.0] * 9, None),
               ([*eight[:7], math.nan], None)]  # fmt: skip
    for times, done in refused:
        with pytest.raises(OutOfRange, match="must be 8 or more, positive and not all alike"):
            distribution_fit.fits(times, done)


def test_a_thousand_times_are_all_fitted_and_of_more_a_thousand(monkeypatch):
    """The normal shape of 1,000 times is their mean and sd, whatever the seed; of 2,000 it is that of half of them."""
    x = np.random.default_rng(4).lognormal(2, 0.3, 2000)
    monkeypatch.setattr(distribution_fit, "FAMILIES", (by_name("normal"),))  # the quick one alone

    def normal(times, seed):
        return distribution_fit.fits(times, seed=seed, draws=99)[0].parameters

    assert normal(x[:1000], 1) == normal(x[:1000], 2) == pytest.approx((x[:1000].mean(), x[:1000].std()))
    assert normal(x, 1) != normal(x, 2) and normal(x, 1)[0] == pytest.approx(x.mean(), rel=0.03)


def test_broken_off_tries_are_fitted_as_scipy_does():
    """scipy.stats' likeliest parameters of right-censored data, minimum at 0, of all four shapes."""
    done = np.arange(12) % 4 != 3
    cut = stats.CensoredData.right_censored(TWELVE, ~done)
    shape, _, scale = stats.lognorm.fit(cut, floc=0)
    expected = {
        "normal": stats.norm.fit(cut), "lognormal": (math.log(scale), shape),
        "gamma": stats.gamma.fit(cut, floc=0)[::2], "weibull": stats.weibull_min.fit(cut, floc=0)[::2],
    }  # fmt: skip
    found = {fit.family: fit.parameters for fit in distribution_fit.fits(TWELVE, done) if not fit.shifted}
    for name, parameters in expected.items():
        assert found[name] == pytest.approx(parameters, rel=1e-3), name


def test_broken_off_tries_count_by_their_tail():
    """Likelihood of done times by density and of the others by upper tail, scipy's; least times are of done ones."""
    done = np.array([True] * 9 + [False] * 3)
    for fit in distribution_fit.fits(TWELVE, done):
        other = theirs(fit.family, *fit.parameters, fit.shift)
        assert fit.log_likelihood == pytest.approx(other.logpdf(TWELVE[done]).sum() + other.logsf(TWELVE[~done]).sum())
        if fit.shifted:
            assert fit.shift == pytest.approx(threshold.share(fit.family, TWELVE[done]) * 8.1)
    early = np.array([False] + [True] * 11)
    for fit in distribution_fit.fits(TWELVE, early):
        if fit.shifted:
            assert fit.shift == pytest.approx(threshold.share(fit.family, TWELVE) * 8.1)


@pytest.mark.parametrize("x", [TWELVE, np.array([0.2, 0.9, 1.5, 1.6, 4.0]), np.array([50.0, 51.0, 55.0, 70.0])])
def test_the_quick_likelihoods_are_scipys(x):
    """Mean log-likelihood at the closed estimates, but for the constant of the normal density, as scipy has it."""
    logs = np.log(x)
    given = logs.mean(), logs.std(), x, logs
    first = stats.lognorm(logs.std(), 0, np.exp(logs.mean())).logpdf(x).mean() + 0.5 * math.log(2 * math.pi)
    assert threshold.QUICK["lognormal"](*given) == pytest.approx(first)
    shape, scale = by_name("gamma").start(x)
    assert threshold.QUICK["gamma"](*given) == pytest.approx(stats.gamma(shape, 0, scale).logpdf(x).mean())
    shape = math.pi / math.sqrt(6) / logs.std()
    scale = np.mean(x**shape) ** (1 / shape)
    assert threshold.QUICK["weibull"](*given) == pytest.approx(
        stats.weibull_min(shape, 0, scale).logpdf(x).mean(), rel=1e-4
    )


@pytest.mark.parametrize("name", threshold.QUICK)
def test_shares_of_many_samples_are_those_of_each(name):
    """In one array or one by one; a share is within 0 and 1 and does not ask for the unit of time."""
    samples = 2 + np.random.default_rng(6).lognormal(0.5, 0.6, (6, 20))
    found = threshold.share(name, samples)
    assert found.tolist() == [threshold.share(name, row) for row in samples]
    assert found.tolist() == threshold.share(name, 60 * samples).tolist()
    assert (found >= 0).all() and (found < 1).all() and found.max() > 0
