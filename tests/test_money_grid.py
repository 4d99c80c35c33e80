"""The grid of run length and cores: which patterns it rests on, how far it reaches, what a cell says."""

import math
from types import SimpleNamespace

import pytest

from coreset.money.decision import LIKELY, SURE, verdict
from coreset.money.run_length_grid import run_grid


def row(molds=1_000.0, cores=4, saved=8.0, run=50.0, second=0.01):
    """One pattern."""
    return SimpleNamespace(molds_per_year=molds, cores_per_mold=cores, seconds_saved=saved, run_molds=run,
                           saving_per_second=second)  # fmt: skip


def test_only_patterns_with_cores_that_were_timed_count():
    """One without cores, one not timed, however many molds: the grid is that of the other two."""
    sound = [row(), row(molds=3_000.0, cores=2, saved=10.0, second=0.03)]
    found = run_grid([row(molds=9e6, cores=0, run=5e3), *sound, row(molds=9e6, saved=math.nan, run=5e3)], 5.0)
    assert found == run_grid(sound, 5.0)
    assert run_grid([row(cores=0), row(saved=math.nan)], 5.0) is None and run_grid([], 5.0) is None


def test_a_second_is_worth_what_those_say_that_save_any():
    """A pattern that loses time counts for the seconds a core, not for what one is worth; half a second counts."""
    slow = row(molds=1_000.0, cores=4, saved=-2.0, second=7.0)
    even = row(molds=1_000.0, cores=2, saved=0.0, second=math.nan)
    unknown = row(molds=1_000.0, cores=1, saved=3.0, second=math.nan)
    little = row(molds=2_000.0, cores=3, saved=0.5, second=0.02)
    found = run_grid([slow, even, unknown, little], 5.0)
    assert found.seconds_per_core == pytest.approx((-2_000 + 0 + 3_000 + 1_000) / (4_000 + 2_000 + 1_000 + 6_000))
    assert found.worth_of_second == pytest.approx(0.02)
    assert run_grid([slow, even], 5.0).worth_of_second == 0.0
    for cell in run_grid([slow, even], 5.0).cells:
        assert cell.saving_per_mold == pytest.approx(-5.0 / cell.run_molds)
    assert found.change_cost == 5.0


@pytest.mark.parametrize(
    ("longest", "last"),
    [(0.5, 10), (3.0, 10), (10.0, 20), (40.0, 80), (39.9, 40), (54.0, 80), (2_560.0, 5_120), (1e6, 5_120)],
)
def test_lengths_double_up_to_twice_the_longest_run(longest, last):
    """10, 20, 40 ... as far as twice the longest run of the plant, 10 at least."""
    cells = run_grid([row(run=longest), row(run=0.1)], 5.0).cells
    lengths = sorted({cell.run_molds for cell in cells})
    assert lengths == [10 * 2**k for k in range(len(lengths))] and lengths[-1] == last


@pytest.mark.parametrize(
    ("chance", "word"),
    [(1.0, "pays"), (0.95, "pays"), (0.9499, "likely_pays"), (0.80, "likely_pays"), (0.7999, "open"), (0.2, "open"),
     (0.1999, "unlikely"), (0.05, "unlikely"), (0.0499, "does_not_pay"), (0.0, "does_not_pay")],
)  # fmt: skip
def test_words_change_at_the_chances_stated(chance, word):
    """The word holds from its chance on, rounding of 1 - 0.8 aside."""
    assert (SURE, LIKELY) == (0.95, 0.80)
    assert verdict(chance) == word
