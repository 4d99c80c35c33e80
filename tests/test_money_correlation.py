"""Correlation of volumes, prices and margins: an input whose effect is said beside the answer."""

from dataclasses import replace

import pytest
from plant import parts

from coreset.money.evaluate import weigh
from coreset.money.report.sentences import correlation, remarks


def decided(**money):
    """The invented plant with other correlations, without the vendor's claim."""
    case, *others = parts()
    case = replace(case, setter=replace(case.setter, claimed_cycle_s=0.0), money=replace(case.money, **money))
    return weigh(case, *others, draws=2_000)


@pytest.mark.parametrize("name", ["volume_correlation", "price_correlation", "volume_margin_correlation"])
def test_what_is_shown_without_correlation_is_the_answer_of_a_case_that_states_none(name):
    """The same set on the same runs, but for those inputs: exactly the chance and the interval of the other case."""
    none, tied = decided(), decided(**{name: 0.6})
    assert none.uncorrelated is None and not correlation(none)
    assert tied.nearest == none.nearest
    assert tied.uncorrelated.npv == none.npv_spread != tied.npv_spread
    assert tied.uncorrelated.chance_npv_positive == none.chance_npv_positive
    (words,) = correlation(tied)
    assert words in remarks(tied) and "{" not in words


def test_one_market_widens_the_interval():
    """Volumes that rise and fall together cannot make up for each other."""
    tied = decided(volume_correlation=0.9)
    width = tied.npv_spread.high - tied.npv_spread.low
    assert width > 1.05 * (tied.uncorrelated.npv.high - tied.uncorrelated.npv.low)
    assert tied.npv_spread.mean == pytest.approx(tied.uncorrelated.npv.mean, abs=0.1 * width)
