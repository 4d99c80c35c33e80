"""What moves the worth: bars and indices of inputs, alone and tied, against sums of normal variables."""

import numpy as np
import pytest

from coreset.case import Range
from coreset.errors import OutOfRange
from coreset.money.air import compressor_cost
from coreset.money.drivers import drivers, total_order
from coreset.money.ranges import at
from coreset.money.sample import Sample

N = 20_000


def tied_sample(rho):
    """Volume and margin of A correlated, a margin of B whose volume is known, and a wage; all standard normal."""
    rng = np.random.default_rng(4)
    volume, other, wage, alone = rng.standard_normal((4, N))
    margin = rho * volume + np.sqrt(1 - rho * rho) * other
    names = ("molds_per_year.A", "margin_per_casting.A", "wage_per_h", "margin_per_casting.B")
    known = {"molds_per_year.B": 7.0}
    return Sample(n=N, values=dict(zip(names, (volume, margin, wage, alone), strict=True)) | known)


@pytest.mark.parametrize("rho", [0.0, 0.5, -0.4])
def test_a_margin_tied_to_its_volume_is_indexed_with_it(rho):
    """Worth = volume + margin + wage + 2 B: the pair's share of the variance is (2 + 2 rho)/(2 + 2 rho + 1 + 4).

    Variance of a sum of correlated variables, any textbook. The margin has no share of its own; one whose volume is
    known keeps its own.
    """
    pair, whole = 2 + 2 * rho, 7 + 2 * rho
    found = {row.name: row for row in drivers(_worth, tied_sample(rho), tied=True)}
    assert found["molds_per_year.A"].total_order == pytest.approx(pair / whole, abs=0.03)
    assert found["wage_per_h"].total_order == pytest.approx(1 / whole, abs=0.03)
    assert found["margin_per_casting.B"].total_order == pytest.approx(4 / whole, abs=0.03)
    assert np.isnan(found["margin_per_casting.A"].total_order)
    assert list(found)[0] == "margin_per_casting.B"


def _worth(sample):
    names = ("molds_per_year.A", "margin_per_casting.A", "wage_per_h")
    return sum(sample[name] for name in names) + 2 * sample["margin_per_casting.B"]


def test_without_ties_each_input_is_indexed_by_itself():
    """The same sum untied and uncorrelated: 1/7 each, 4/7 for the one that counts twice; edges are the 10 % points."""
    found = {row.name: row for row in drivers(_worth, tied_sample(0.0))}
    for name, share in (("molds_per_year.A", 1 / 7), ("margin_per_casting.A", 1 / 7), ("margin_per_casting.B", 4 / 7)):
        assert found[name].total_order == pytest.approx(share, abs=0.03)
        assert (found[name].low, found[name].high) == pytest.approx((-1.2816, 1.2816), abs=0.04)
    assert found["margin_per_casting.B"].swing == pytest.approx(2 * 2 * 1.2816, abs=0.15)


def test_nothing_uncertain_moves_nothing():
    """A figure that is the same in every draw has shares of 0; without uncertain inputs there is no row."""
    columns = {"a": np.arange(8.0), "b": np.arange(8.0) ** 2}
    assert total_order(lambda _, n: np.full(n, 3.0), columns, columns, {"a": ["a"], "b": ["b"]}) == {"a": 0.0, "b": 0.0}
    assert drivers(lambda s: np.full(s.n, 1.0), Sample(n=10, values={"a": 2.0})) == ()


def test_a_known_figure_does_not_move():
    """Low, likely and high the same: every draw is that figure, whatever the meaning of a range."""
    z = np.linspace(-3, 3, 7)
    for meaning in ("10-50-90", "5-50-95", "limits"):
        assert at(Range.exactly(12.5), z, meaning).tolist() == [12.5] * 7


@pytest.mark.parametrize("efficiency", [0.0, 1.01])
def test_a_motor_gives_no_more_than_it_takes(efficiency):
    """An efficiency of nothing, or above 1, is refused."""
    with pytest.raises(OutOfRange, match="efficiency must be above 0 and at most 1"):
        compressor_cost(power_hp=1, hours=1, price_per_kwh=1, time_share=1, load=1, efficiency=efficiency)
