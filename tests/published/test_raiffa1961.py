"""[raiffa1961]: unit normal loss, and a purchase with two independent normal inputs whose worths are closed forms."""

import numpy as np
import pytest
import second_money
from printed import as_printed, rows

from coreset.money.value_of_information import evpi, evppi, evsi, noise_floor, told_apart

DRAWS = 1_000_000


@pytest.fixture(scope="module")
def two_inputs():
    """Worth x1 + x2 against nothing; x1 normal (30,000, 20,000), x2 normal (-20,000, 15,000)."""
    rng = np.random.default_rng(20)
    return rng.normal(30_000, 20_000, DRAWS), rng.normal(-20_000, 15_000, DRAWS)


@pytest.mark.rules("INFO-perfect", "INFO-regress", "INFO-sample")
def test_draws_give_the_closed_forms(two_inputs):
    """[strong2014] regression on a million draws: within four standard errors, about 0.5 %, of s L(|m|/s)."""
    x1, x2 = two_inputs
    worth, m, share = x1 + x2, 10_000.0, 20_000**2 / (20_000**2 + 30_000**2 / 5)

    def closed(sd):
        return pytest.approx(sd * second_money.unit_normal_loss(m / sd), abs=60)

    assert [evpi(worth), evppi(worth, np.stack([x1, x2]))] == [closed(25_000.0)] * 2
    assert evppi(worth, x1) == closed(20_000.0) and evppi(worth, x2) == closed(15_000.0)
    assert evsi(worth, x1, known_share=share) == closed(20_000.0 * np.sqrt(share))


def test_what_has_nothing_to_do_with_it_is_below_the_floor(two_inputs):
    """An unrelated input scores no more than the noise floor says, and both shrink with more draws."""
    worth = (two_inputs[0] + two_inputs[1])[:10_000] - 10_000
    rng = np.random.default_rng(5)
    floor = noise_floor(worth, rng)
    unrelated = [evppi(worth, rng.standard_normal(worth.size)) for _ in range(20)]
    assert 0 < np.median(unrelated) < floor < evppi(worth, two_inputs[0][:10_000])


def test_a_yes_or_no_input():
    """Knowing a yes or no: 0.7 x 100 - max(0, 0.7 x 100 - 0.3 x 150), by hand 45 (own arithmetic)."""
    rng = np.random.default_rng(1)
    held = (np.arange(100_000) < 70_000).astype(float)
    worth = np.where(held == 1, 100.0, -150.0) + rng.normal(0, 1, held.size)
    assert evppi(worth, held) == pytest.approx(45, abs=0.1)


@pytest.mark.parametrize("seed", range(20))
def test_never_negative(seed):
    """EVPI never falls below 0, however wide the ranges; several choices too."""
    rng = np.random.default_rng(seed)
    worth = rng.normal(rng.normal(0, 3, 4), 1, (500, 4)) * np.array([0.0, 1, 2, 5])
    previous = 0.0
    for width in (0.0, 0.5, 1.0, 2.0):
        value = evpi(worth.mean(axis=0) + (worth - worth.mean(axis=0)) * width)
        assert value >= previous - 1e-12
        previous = value


STATES = 200
"""Runs that a discrete decision is laid out in: each state in as many as its chance says."""


def laid_out(row):
    """Worth of each alternative in every run, (runs, alternatives), and what a survey says there."""
    chances = [round(float(x) * STATES) for x in row.chances.split()]
    worth = np.array([np.repeat([float(x) for x in part.split()], chances) for part in row.worths.split(";")]).T
    positive = [round(float(x) * n) for x, n in zip(row.positive_chances.split(), chances, strict=False)]
    told = [said for yes, n in zip(positive, chances, strict=False) for said in [1.0] * yes + [0.0] * (n - yes)]
    return worth, np.array(told)


@pytest.mark.rules("INFO-runs")
@pytest.mark.parametrize("row", rows("information_items/decisions"))
def test_printed_decisions(row):
    """[information_items] Best mean, mean with perfect information, their difference, and the worth of the survey."""
    worth, told = laid_out(row)
    assert worth.mean(axis=0).max() == as_printed(row.best_mean)
    assert worth.max(axis=1).mean() == as_printed(row.with_perfect)
    assert evpi(worth) == pytest.approx(float(row.perfect), abs=1.0)
    if row.sample:
        assert told_apart(worth, told) == pytest.approx(float(row.sample), abs=float(row.sample_tolerance))
        assert told_apart(worth, told) == pytest.approx(19_000)  # by the chances as they are
