"""What a study is worth: the quick figures against nested draws through the whole money model, and by hand."""

from dataclasses import replace

import numpy as np
import pytest
from plant import parts, plant, rates

from coreset.case import Range
from coreset.money.cash_flow import cash_flow
from coreset.money.discount import npv
from coreset.money.evaluate import weigh
from coreset.money.simulation_inputs import draw
from coreset.money.value_of_information import evsi, told_apart
from coreset.money.year_plan import plan, ways

NAME, N0, MORE = "rate.BOX.core setter", 40, (10, 20, 40, 80)
OUTER, INNER = 100, 1_500


def nested(figure, sample, mean, sd, share, known):
    """EVSI by nested draws: posterior means outside, everything else and what is left of the doubt inside.

    Their common mean is set to the one known from all draws, so that only the branches differ.
    """
    from scipy.stats import norm

    inner = sample.rows(0, INNER)
    left = np.random.default_rng(5).standard_normal(INNER) * sd * np.sqrt(1 - share)
    middles = mean + sd * np.sqrt(share) * norm.ppf((np.arange(OUTER) + 0.5) / OUTER)
    worth = np.array([figure(inner.changed({NAME: middle + left})).mean() for middle in middles])
    worth += known - worth.mean()
    return np.maximum(worth, 0).mean() - max(0.0, worth.mean())


@pytest.mark.parametrize("shift", [4_000, pytest.param(0, marks=pytest.mark.slow)])
def test_more_cycles_against_nested_draws(shift):
    """The Gaussian approximation of a study's worth lies within 6 % of nested draws; figures are printed."""
    case = plant()
    case = replace(case, money=replace(case.money, study_cost_per_cycle=6))
    known = rates(error=0.05)
    facts, way = plan(case, known), ways(case, known)[0]
    sample = draw(case, known, (), draws=30_000, seed=1)
    mean, sd = float(np.mean(sample[NAME])), float(np.std(sample[NAME]))
    sample = sample.changed({NAME: mean + sd * np.random.default_rng(3).standard_normal(sample.n)})
    chosen = np.array([[1.0], [1.0], [0.0], [0.0]])

    def worth_at(part, less):
        return npv(cash_flow(part, facts, way, case.money, chosen).total, case.money.discount_rate) - less

    less = worth_at(sample, 0.0).mean() - shift
    worth = worth_at(sample, less)
    shares = [n / (N0 + n) for n in MORE]
    quick = evsi(worth, sample[NAME], known_share=shares)
    slow = [nested(lambda part: worth_at(part, less), sample, mean, sd, share, worth.mean()) for share in shares]
    for n, one, other in zip(MORE, quick, slow, strict=True):
        print(f"{n} cycles more on {N0}: approximation {one:,.0f}, nested draws {other:,.0f}")
    assert quick == pytest.approx(slow, rel=0.06, abs=30)
    assert max(slow) > 300


def test_a_trial_of_two_outcomes_by_hand():
    """Held 60 %: +100, else -300. Without the trial -60 is not bought; with it 0.6 x 100 = 60 is won (by hand)."""
    held = np.repeat([1, 0], [600, 400])
    worth = np.where(held, 100.0, -300.0)
    assert told_apart(worth, held) == pytest.approx(60.0)
    assert told_apart(np.column_stack([0 * worth, worth, np.full(1_000, 20.0)]), held) == pytest.approx(48.0)
    assert told_apart(np.full(1_000, 50.0), held) == 0.0


def test_a_trial_of_several_patterns_branches_together():
    """Two patterns in doubt whose worth only shows together: apart each trial is worth nothing, together it is."""
    a, b = np.repeat([0, 0, 1, 1], 250), np.tile(np.repeat([0, 1], 250), 2)
    worth = np.where(a == b, 100.0, -100.0)
    assert told_apart(worth, a) == told_apart(worth, b) == 0.0
    assert told_apart(worth, [a, b]) == pytest.approx(50.0)


def test_a_failed_trial_leaves_the_pattern_out():
    """Where BOX may not be held, the trial is worth at least the mask that is then not bought, by its chance."""
    case, *others = parts(plant(), setter_price=Range.exactly(60_000.0))
    doubtful = replace(
        case, patterns=tuple(replace(p, hold_chance=0.5) if p.pattern == "BOX" else p for p in case.patterns)
    )
    found = weigh(doubtful, *others, draws=8_000)
    trial = next(row for row in found.studies if row.kind == "vacuum_trial")
    if "BOX" in found.chosen:
        assert trial.worth > 0.5 * 9_000 * 0.9
