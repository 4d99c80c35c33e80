"""Which study is worth its cost: normal worths whose value is an integral, costs entered or not, inputs left out."""

import math

import numpy as np
import pytest
import second_money
from plant import money
from scipy import stats

from coreset.money import study_value
from coreset.money.simulation_inputs import Sample
from coreset.money.study_value import MORE_CYCLES, MOST_TRIED, _judged, _moving, floor_of, knowing, studies
from coreset.money.value_of_information import evpi, evppi, told_apart

N = 20_000
Z = stats.norm.ppf((np.arange(N) + 0.5) / N)
FREE = {"study_cost_per_cycle": 0.0, "volume_quote_cost": 0.0, "vacuum_trial_cost": 0.0}


def mixed(seed):
    """The same quantiles in another order."""
    return np.random.default_rng(seed).permutation(Z)


def worths(sd):
    """Worth of nothing and of a purchase that is worth sd (z + another) and nothing on the mean."""
    return np.stack([np.zeros(N), sd * Z + sd * mixed(1)], axis=1)


def test_inputs_by_falling_worth_of_knowing():
    """Worth = 300 a + 500 b + 0 c: 500 and 300 times phi(0); c, below the floor, tells nothing."""
    a, b, c = Z, mixed(2), mixed(3)
    worth = np.stack([np.zeros(N), 300 * a + 500 * b], axis=1)
    rows = knowing(worth, Sample(n=N, values={"a": a, "c": c, "b": b, "d": 4.0}), 20.0)
    assert [row.name for row in rows] == ["b", "a", "c"]
    assert [row.worth for row in rows[:2]] == pytest.approx(
        [500 * stats.norm.pdf(0), 300 * stats.norm.pdf(0)], rel=0.02
    )
    assert [row.above_noise for row in rows] == [True, True, False]
    (at,) = knowing(worth, Sample(n=N, values={"a": a}), rows[1].worth)
    assert not at.above_noise, "at the floor is not above it"


@pytest.mark.parametrize(
    ("worth", "cost", "floor", "worth_doing"),
    [
        (10.0, 4.0, 5.0, True),
        (10.0, 10.0, 5.0, False),  # gains just its cost
        (10.0, 4.0, 10.0, False),  # just the noise
        (10.0, 11.0, 5.0, False),
        (3.0, 2.0, 5.0, False),  # more than its cost, less than the noise
        (10.0, 0.5, 5.0, True),
        (10.0, 0.0, 5.0, False),  # no cost was entered: nobody can say
    ],
)
def test_a_study_is_worth_doing_above_its_cost_and_the_noise(worth, cost, floor, worth_doing):
    """Both must be passed; net is worth less cost."""
    found = _judged("cycles", worth, cost, floor)
    assert found.worth_doing is worth_doing
    assert (found.cost, found.net) == (cost, worth - cost) if cost else math.isnan(found.cost + found.net)


@pytest.mark.parametrize(("sd", "cost"), [(100.0, 0.01), (100.0, 0.3), (100.0, 1.0), (1e-3, 3e-6)])
def test_cycles_more_are_as_many_as_gain_most(sd, cost):
    """n on top of 40 takes away n/(40 + n) of the variance: sd sqrt(share) phi(0) less n costs, the best of four."""
    sample = Sample(n=N, values={"rate.HUB.core setter": 80 + 2 * Z, "rate.BOX.core setter": 70.0})
    cycles = {("HUB", "core setter"): 40, ("BOX", "core setter"): 40, ("CAP", "core setter"): 40}
    gain = {n: sd * math.sqrt(n / (40 + n)) * stats.norm.pdf(0) for n in MORE_CYCLES}
    (found,) = studies(worths(sd), sample, money(**FREE | {"study_cost_per_cycle": cost}), cycles, floor=0.0, seed=1)
    wanted = max(gain, key=lambda n: gain[n] - n * cost)
    assert (found.kind, found.pattern, found.method, found.more) == ("cycles", "HUB", "core setter", wanted)
    assert found.worth == pytest.approx(gain[wanted], rel=0.02) and found.cost == pytest.approx(wanted * cost)
    assert found.worth_doing == (gain[wanted] > wanted * cost)
    (free,) = studies(worths(sd), sample, money(**FREE), cycles, floor=0.0, seed=1)
    assert free.more == max(MORE_CYCLES) and math.isnan(free.cost)
    (first,) = studies(worths(sd), sample, money(**FREE), {("HUB", "core setter"): 0}, floor=0.0, seed=1)
    assert first.worth == pytest.approx(sd * stats.norm.pdf(0), rel=0.02), "none timed: all doubt is taken to go"


def test_studies_stand_by_what_they_gain():
    """Worth doing first, by net worth; what has no cost by its worth among the rest."""
    a, b, held = Z, mixed(2), (np.arange(N) % 4 > 0).astype(float)
    sample = Sample(n=N, values={"rate.HUB.core setter": a, "rate.BOX.core setter": mixed(4), "molds_per_year.HUB": b,
                                 "held.HUB": held})  # fmt: skip
    worth = np.stack([np.zeros(N), 100 * a + 200 * b + 400 * held - 300], axis=1)
    cycles = {("BOX", "core setter"): 40, ("HUB", "core setter"): 40}
    without = worth[:, 1:] - 1_000
    found = studies(worth, sample, money(study_cost_per_cycle=0.3, volume_quote_cost=60.0, vacuum_trial_cost=0.5),
                    cycles, floor=1.0, seed=1, without=without)  # fmt: skip
    doing = [row for row in found if row.worth_doing]
    assert [row.kind for row in doing] == ["vacuum_trial", "volume_quote", "cycles"]
    assert [row.net for row in doing] == sorted((row.net for row in doing), reverse=True)
    assert found[-1].pattern == "BOX" and not found[-1].worth_doing
    quote = next(row for row in found if row.kind == "volume_quote")
    assert (quote.worth, quote.cost, quote.more, quote.pattern) == (evppi(worth, b), 60.0, 0, "")
    trial = next(row for row in found if row.kind == "vacuum_trial")
    assert trial.worth == pytest.approx(told_apart(np.hstack([worth, without]), held))
    free = studies(worth, sample, money(**FREE), cycles, floor=1.0, seed=1)
    assert [row.worth for row in free] == sorted((row.worth for row in free), reverse=True)
    assert not any(row.worth_doing for row in free)
    small = {"study_cost_per_cycle": 0.3e-3, "volume_quote_cost": 60e-3, "vacuum_trial_cost": 0.5e-3}
    again = studies(worth * 1e-3, sample, money(**small), cycles, floor=1e-3, seed=1, without=without * 1e-3)
    assert [row.kind for row in again] == [row.kind for row in found], "another currency"


def test_what_is_far_below_knowing_everything_is_not_worth_a_word():
    """A trial that saves 5 in one draw of a thousand where all that is open is worth 40: sure, but nothing to tell."""
    held = (np.arange(N) % 1_000 > 0).astype(float)
    worth = np.stack([np.zeros(N), np.where(held == 1, 1_000 + 800 * mixed(3), -5.0)], axis=1)
    sample = Sample(n=N, values={"held.HUB": held})
    (found,) = studies(worth, sample, money(**FREE | {"vacuum_trial_cost": 1e-3}), {}, floor=0.0, seed=1)
    assert found.worth == pytest.approx(0.005) and found.worth < study_value.LEAST * evpi(worth)
    assert not found.worth_doing and found.net > 0
    sure = 1_000 + 800 * Z
    assert evpi(sure) == pytest.approx(800 * second_money.unit_normal_loss(1_000 / 800), rel=0.02)
    assert floor_of(worths(1.0), 1) == floor_of(worths(1.0), 1, 1) != floor_of(worths(1.0), 1, 2)
    assert floor_of(sure, 1) >= study_value.LEAST * evpi(sure)
    assert floor_of(np.abs(sure), 1) == 0.0 == evpi(np.abs(sure))


def test_a_trial_by_chance_alone_is_not_above_the_noise():
    """Held or not has nothing to do with the worth: what the branches seem to tell is what shuffled ones do."""
    held = (np.random.default_rng(8).random(400) < 0.5).astype(float)
    worth = np.stack([np.zeros(400), np.random.default_rng(9).normal(0, 100, 400)], axis=1)
    (found,) = studies(worth, Sample(n=400, values={"held.HUB": held}), money(**FREE | {"vacuum_trial_cost": 1e-9}),
                       {}, floor=0.0, seed=1)  # fmt: skip
    assert not found.worth_doing


@pytest.mark.parametrize("shift", [0.0, 1e4])
def test_inputs_left_out_are_those_that_move_the_worth_least(shift):
    """Of eight inputs the four that go with the worth most, whatever their unit, their middle, and the worth's."""
    columns = np.stack([mixed(k) for k in range(8)])
    worth = np.stack([shift + 0 * Z, shift + columns[1] * 5 - columns[6] * 4 + columns[3] * 3 - 2 * columns[7]], axis=1)
    units = np.array([1e6, 1e-6, 1e4, 1e-5, 1.0, 1e5, 1e-4, 1e-3])[:, None]
    for inputs in (columns, columns * units, columns * units + 1e3 * units):
        for each in (worth, worth[:, 1]):
            assert np.array_equal(_moving(each, inputs, most=MOST_TRIED), inputs[[1, 3, 6, 7]])
        assert np.array_equal(_moving(worth, inputs[:4], most=MOST_TRIED), inputs[:4])
    still = np.vstack([columns[:4], np.full((2, N), 7.0)])
    assert np.array_equal(_moving(worth, still, most=MOST_TRIED), still[:4]), "what never varies moves nothing"
