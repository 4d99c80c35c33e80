"""What knowing is worth, against published ways of calculation it: normal integrals, polynomials, small tables."""

import math

import numpy as np
import pytest
import second_money
from scipy import integrate, stats

from coreset.money.value_of_information import (
    SHUFFLES,
    _basis,
    evpi,
    evppi,
    evsi,
    noise_floor,
    perfect,
    told_apart,
)

N = 40_000
Z = stats.norm.ppf((np.arange(N) + 0.5) / N)
"""A standard normal by its quantiles, so that sums over the draws are integrals without scatter."""


def shuffled(seed):
    """The same quantiles in another order: independent of Z."""
    return np.random.default_rng(seed).permutation(Z)


@pytest.mark.parametrize("z", [-1.5, 0.0, 0.3, 2.0])
def test_unit_normal_loss_is_an_integral(z):
    """Mean of what a standard normal exceeds z by, by scipy's quadrature."""
    by_scipy = integrate.quad(lambda x: (x - z) * stats.norm.pdf(x), z, 12)[0]
    assert second_money.unit_normal_loss(z) == pytest.approx(by_scipy, abs=1e-9)


@pytest.mark.rules("INFO-perfect")
@pytest.mark.parametrize(("mean", "sd"), [(0.0, 1.0), (300.0, 1_000.0), (-2_000.0, 1_500.0)])
def test_knowing_everything_of_a_normal_worth(mean, sd):
    """sd times the unit normal loss of |mean|/sd: the textbook's worth of perfect information for two choices."""
    assert evpi(mean + sd * Z) == pytest.approx(sd * second_money.unit_normal_loss(abs(mean) / sd), rel=2e-3)


@pytest.mark.rules("INFO-runs")
def test_knowing_everything_by_a_small_table():
    """Three choices in four draws. Best of each: 9, 4, 7, 0, mean 5; best mean 3: knowing is worth 2 (by hand)."""
    worth = np.array([[0.0, 9.0, 1.0], [0.0, 3.0, 4.0], [0.0, -1.0, 7.0], [0.0, -3.0, 0.0]])
    assert evpi(worth) == pytest.approx(5.0 - 3.0)
    parts = perfect(worth)
    assert (parts.of_each_draw, parts.on_the_mean, parts.best) == (5.0, 3.0, 2) and parts.best_in == (1, 1, 2)
    assert evpi(worth + 100.0) == pytest.approx(2.0), "the same added to every choice"
    assert evpi(worth[:, :1]) == 0.0


@pytest.mark.parametrize("share", [0.0, 0.3, 0.8, 1.0])
def test_what_is_expected_of_powers_after_a_study(share):
    """r + e with e normal of variance 1 - share: means of its 1st, 2nd and 3rd power by Gauss-Hermite quadrature."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(12)
    weights, z = weights / weights.sum(), np.array([-2.0, -0.4, 0.0, 1.3])
    r = z * math.sqrt(share)
    drawn = r[:, None] + math.sqrt(1 - share) * nodes
    wanted = [np.ones(4), *((drawn**power @ weights) for power in (1, 2, 3))]
    assert _basis(z[None], share) == pytest.approx(np.array(wanted), abs=1e-12)


def test_two_values_need_no_powers():
    """A column of two values has a straight line alone, three values have the cube; both stand beside each other."""
    two, three = np.array([-1.0, 1.0, -1.0, 1.0, 1.0]), np.array([-1.0, 0.0, 1.0, 0.0, 0.0])
    assert _basis(two[None]) == pytest.approx(np.array([np.ones(5), two]))
    assert len(_basis(three[None])) == 4 and len(_basis(np.stack([two, three]))) == 5


@pytest.mark.rules("INFO-gaussian")
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 1.0])
@pytest.mark.parametrize("mean", [-300.0, 100.0])
def test_a_study_of_a_straight_line(mean, share):
    """Worth = mean + 800 z + 500 other: after the study 800 sqrt(share) z is left, worth its unit normal loss.

    The preposterior of a normal with known variance, any textbook of decision analysis; a share of 1 is knowing z.
    """
    worth, left = mean + 800 * Z + 500 * shuffled(1), 800 * math.sqrt(share)
    wanted = left * second_money.unit_normal_loss(abs(mean) / left)
    assert evsi(worth, 50 + 7 * Z, known_share=share) == pytest.approx(wanted, rel=0.01, abs=1.0)
    assert evsi(worth, 50 + 7 * Z, known_share=[share, share]).shape == (2,)


@pytest.mark.rules("INFO-gaussian")
@pytest.mark.parametrize("share", [0.25, 0.6, 1.0])
def test_a_study_of_a_cube(share):
    """Worth = 100 z^3 - 60 z + 40 z^2 - 30: the mean after the study by quadrature, its worth by scipy's."""

    def after(z):
        r, left = z * math.sqrt(share), 1 - share
        return 100 * (r**3 + 3 * r * left) - 60 * r + 40 * (r**2 + left) - 30

    gained = integrate.quad(lambda z: max(0.0, after(z)) * stats.norm.pdf(z), -9, 9, limit=400)[0]
    worth = 100 * Z**3 - 60 * Z + 40 * Z**2 - 30
    assert evsi(worth, Z, known_share=share) == pytest.approx(gained - max(0.0, 40 - 30), rel=0.01)
    for unit in (1e-3, 1e3):
        assert evsi(worth, unit * Z, known_share=share) == pytest.approx(evsi(worth, Z, known_share=share))
    doubled = np.column_stack([200 * np.ones(N), 200 + worth])
    assert evsi(doubled, Z, known_share=share) == pytest.approx(evsi(worth, Z, known_share=share))


def test_a_study_that_tells_nothing_is_worth_nothing():
    """No share of the variance: nothing, whichever choice is best. An input that never varies likewise."""
    for mean in (-50.0, 50.0):
        worth = mean + 300 * Z + 100 * Z**2
        assert evsi(worth, Z, known_share=1e-12) == pytest.approx(0.0, abs=0.02)
        assert evppi(worth, np.full(N, 5.0)) == pytest.approx(0.0, abs=1e-6)
        assert evppi(worth, np.stack([Z, np.full(N, 5.0)])) == pytest.approx(evppi(worth, Z), rel=1e-6)


def test_inputs_known_together_and_apart():
    """Worth = 300 z + 400 other - 100: together 500, apart 300 and 400 times the unit normal loss of their own."""
    other = shuffled(2)
    worth = 300 * Z + 400 * other - 100
    for inputs, sd in ((Z, 300), (other, 400), (np.stack([Z, other]), 500)):
        assert evppi(worth, inputs) == pytest.approx(sd * second_money.unit_normal_loss(100 / sd), rel=0.02)
    assert evppi(worth, np.stack([1e6 + Z, 1e-6 * other])) == pytest.approx(evppi(worth, np.stack([Z, other])))


def test_one_input_of_two_values_is_told_exactly():
    """Held in 60 % of the draws: the regression on 0 and 1 is the mean of each branch, as the branches give."""
    held = np.repeat([1.0, 0.0], [600, 400])
    worth = np.where(held == 1, 100.0, -300.0) + np.tile([5.0, -5.0], 500)
    assert evppi(worth, held) == pytest.approx(60.0) and told_apart(worth, held) == pytest.approx(60.0)


def test_branches_of_two_trials_are_four():
    """Two trials of 0 and 1 in eight draws: means of the four branches 4, -6, 2, -2, each of two draws (by hand)."""
    first, second = np.array([0, 0, 1, 1, 0, 0, 1, 1]), np.array([0, 0, 0, 0, 1, 1, 1, 1])
    worth = np.array([3.0, 5.0, -7.0, -5.0, 1.0, 3.0, -4.0, 0.0])
    assert told_apart(worth, [first, second]) == pytest.approx((4 + 0 + 2 + 0) / 4 - 0.0)
    assert told_apart(worth, first) == pytest.approx((3 + 0) / 2)
    assert told_apart(worth, second) == 0.0
    assert told_apart(worth + 1.0, first) == pytest.approx((4 + 0) / 2 - 0.5), "bought without the trial for 0.5"
    assert told_apart(worth + 0.5, second) == pytest.approx((0.0 + 0.5) / 2), "branches of -0.5 and 0.5, mean 0"


def test_the_noise_floor_is_the_worst_of_a_few_blind_inputs():
    """Inputs drawn apart from the worth, one or three together: the largest worth that any seems to have."""
    worth = 10 * Z[::40]
    for columns in (1, 3):
        rng = np.random.default_rng(6)
        blind = [evppi(worth, rng.standard_normal((columns, worth.size))) for _ in range(SHUFFLES)]
        assert noise_floor(worth, np.random.default_rng(6), columns) == pytest.approx(max(blind))
        assert 0 < max(blind) < evpi(worth)
    assert noise_floor(worth, np.random.default_rng(6)) == noise_floor(worth, np.random.default_rng(6), 1)
