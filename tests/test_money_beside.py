"""One pattern beside the rest where a loss of hours counts in full and a saving in part: two whole years, again."""

from dataclasses import replace

import numpy as np
import pytest
from money_year import ITEMS, year
from test_money_many import scales

from coreset.case import Range
from coreset.money.marginal_saving import chosen_set, saved

INJURY = Range.exactly(900.0)
SHARED = ("maintenance", "floor_space", "injury", "lease")
"""Items of the machine, however many patterns use it."""


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("operators", [1, 3, 5])
def test_a_pattern_that_turns_a_saving_into_a_loss(seed, operators):
    """Of hours saved 30 % are really not paid for; more operators make some sets lose: pattern by pattern as by years.

    The volume and runs of the pattern are changed too, sales fill the free hours, and every other pattern saves scrap.
    """
    days = (190, 230, 275)[seed % 3]
    case, sample, facts, way = scales(
        6, seed, days=days, draws=60, hours_saved_paid=Range.exactly(0.3), injury_cost_per_year=INJURY
    )
    way = replace(way, operators=operators)
    sample = sample.changed({f"scrap.{code}": 0.002 * k for k, code in enumerate(facts.patterns) if k % 2})
    chosen = (np.random.default_rng(seed).random((6, 1)) < 0.5).astype(float)
    summed, signs = chosen_set(sample, facts, way, case.money, chosen), set()
    for i, code in enumerate(facts.patterns):
        for times, runs in ((1.0, None), (0.3, 7.0), (2.5, 90.0)):
            volume = np.asarray(sample[f"molds_per_year.{code}"]) * times
            runs = np.full(sample.n, sample[f"runs.{code}"] if runs is None else runs)
            changed = sample.changed({f"molds_per_year.{code}": volume, f"runs.{code}": runs})
            with_it, without = chosen.copy(), chosen.copy()
            with_it[i], without[i] = 1.0, 0.0
            two = [year(changed, facts, way, each).items for each in (with_it, without)]
            signs |= set(np.sign(two[0]["labour"])) | set(np.sign(two[1]["labour"]))
            out = {"mask_repair"} | (set(SHARED) if without.any() else set())
            wanted = sum(two[0][name] - two[1][name] for name in ITEMS if name not in out)
            got = saved(summed, [i], volume=volume[None], runs=runs[None])[0]
            np.testing.assert_allclose(got, wanted, rtol=1e-9, atol=1e-6)
    assert operators == 1 or -1.0 in signs
