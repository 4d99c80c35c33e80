"""What moves the worth: bars and indices of inputs, alone and tied, against sums of normal variables."""

import numpy as np
import pytest

from coreset.case import Range
from coreset.money.distributions import at
from coreset.money.input_effects import _weightiest, drivers, exchanged_squares
from coreset.money.simulation_inputs import Sample

N = 20_000
TIED = {
    "molds_per_year.A": ["molds_per_year.A", "margin_per_casting.A"],
    "wage_per_h": ["wage_per_h"],
    "margin_per_casting.B": ["margin_per_casting.B"],
}


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
    found = {row.name: row for row in drivers(_worth, tied_sample(rho), groups=TIED)}
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
    rows = drivers(lambda s: np.full(s.n, 3.0), Sample(n=8, values=columns))
    assert {row.name: row.total_order for row in rows} == {"a": 0.0, "b": 0.0}
    assert drivers(lambda s: np.full(s.n, 1.0), Sample(n=10, values={"a": 2.0})) == ()


def test_a_known_figure_does_not_move():
    """Low, likely and high the same: every draw is that figure, whatever the meaning of a range."""
    z = np.linspace(-3, 3, 7)
    for meaning in ("10-50-90", "5-50-95", "limits"):
        assert at(Range.exactly(12.5), z, meaning).tolist() == [12.5] * 7


def test_bars_are_the_figure_at_each_edge_alone():
    """a b at (10 %, 90 %) of one and the mean of the other, drawn by their quantiles; a constant has no bar."""
    z = np.linspace(0.0, 1.0, 101)
    sample = Sample(n=101, values={"a": 10 + 2 * z, "b": 3 + z[::-1], "c": 5.0})
    found = {row.name: row for row in drivers(lambda s: s["a"] * s["b"] + s["c"], sample)}
    assert list(found) == ["a", "b"] or list(found) == ["b", "a"]
    a, b = found["a"], found["b"]
    assert (a.low, a.high, b.low, b.high) == pytest.approx((10.2, 11.8, 3.1, 3.9))
    assert (a.at_low, a.at_high) == pytest.approx((10.2 * 3.5 + 5, 11.8 * 3.5 + 5))
    assert (b.at_low, b.at_high) == pytest.approx((11 * 3.1 + 5, 11 * 3.9 + 5))
    assert [row.swing for row in found.values()] == sorted((row.swing for row in found.values()), reverse=True)


def test_parts_of_an_index_by_hand():
    """a is 1 or 3, b 5 or 8: exchanging a moves a + b by 2, exchanging b by 3; both halves are 6, 11, 11 and 6."""
    first = {"a": np.array([1.0, 3.0]), "b": np.array([5.0, 8.0])}
    second = {"a": np.array([3.0, 1.0]), "b": np.array([8.0, 5.0])}
    groups = {"a": ["a"], "b": ["b"]}
    moved, variance = exchanged_squares(lambda c, n: c["a"] + 0 * c["b"], first, second, groups)
    assert (moved, variance) == ({"a": 4.0, "b": 0.0}, 1.0)
    moved, variance = exchanged_squares(lambda c, n: c["a"] + c["b"], first, second, groups)
    assert moved == {"a": 4.0, "b": 9.0} and variance == pytest.approx(np.var([6, 11, 11, 6]))


def test_a_figure_that_nothing_moves_has_no_part_in_any_uncertainty():
    """Its variance is nothing: every share is told as 0, with the parts that it is made of."""
    draws = np.random.default_rng(1).standard_normal(64)
    (row,) = drivers(lambda s: np.full(s.n, 7.0), Sample(n=64, values={"a": draws}))
    assert (row.total_order, row.moved, row.variance) == (0.0, 0.0, 0.0)


def test_a_single_draw_has_bars_but_no_index():
    """One draw cannot be halved: no share of a variance is told."""
    (row,) = drivers(lambda s: s["a"] * 2, Sample(n=1, values={"a": np.array([4.0])}))
    assert (row.at_low, row.at_high) == (8.0, 8.0) and np.isnan(row.total_order)


@pytest.mark.parametrize("middle", [0.0, 1e3])
def test_groups_kept_are_the_widest_bars_and_those_that_go_with_the_figure(middle, monkeypatch):
    """Two of five kept: the widest bar and the one that moves the draws most, whatever their unit and middle."""
    monkeypatch.setattr("coreset.money.input_effects.INDEXED", 2)
    z = np.random.default_rng(1).standard_normal((5, 2_000))
    units = np.array([1.0, 1e6, 1e-6, 1e3, 1e-3])
    part = Sample(
        n=2_000, values={f"{k}": unit * (each + middle) for k, (each, unit) in enumerate(zip(z, units, strict=True))}
    )
    groups = {f"{k}": [f"{k}"] for k in range(5)}
    bars = {
        f"{k}": (0.0, 0.0, 5.0 * (k == 3), 5.0 * (k == 3) + height)
        for k, height in enumerate((1.0, 9.0, -7.0, 2.0, 3.0))
    }
    assert _weightiest(groups, bars, part, 7.0 - 3 * z[2] + z[0]) == {"1", "2"}
    assert _weightiest(groups, bars, part, -7.0 - 3 * z[4] + z[0]) == {"1", "4"}
    monkeypatch.setattr("coreset.money.input_effects.INDEXED", 3)
    assert _weightiest(groups, bars, part, -7.0 - 3 * z[4] + z[0]) == {"1", "4", "2"}
    monkeypatch.setattr("coreset.money.input_effects.INDEXED", 5)
    assert _weightiest(groups, bars, part, z[0]) == set(groups)


@pytest.mark.parametrize("count", [1, 4, 5])
def test_indices_of_a_sum_are_shares_of_its_variance(count):
    """Sum of k x_k over k = 1 .. count of independent inputs: k^2 over the sum of squares; as many as are told."""
    rng = np.random.default_rng(3)
    first, second = ({f"x{k}": rng.standard_normal(40_000) for k in range(1, count + 1)} | {"c": 2.0} for _ in range(2))

    def figure(columns, n):
        assert all(np.size(value) in (1, n) for value in columns.values())
        return columns["c"] + sum(k * columns[f"x{k}"] for k in range(1, count + 1))

    moved, variance = exchanged_squares(figure, first, second, {f"x{k}": [f"x{k}"] for k in range(1, count + 1)})
    found = {name: square / (2 * variance) for name, square in moved.items()}
    squares = sum(k * k for k in range(1, count + 1))
    assert found == pytest.approx({f"x{k}": k * k / squares for k in range(1, count + 1)}, abs=0.015)


def test_an_input_that_bites_beyond_its_edges_gets_an_index(monkeypatch):
    """Of eight inputs u moves nothing between its 10 and 90 % points and most beyond: two are indexed, u among them."""
    monkeypatch.setattr("coreset.money.input_effects.INDEXED", 2)
    z = np.random.default_rng(7).standard_normal((8, 3_000))
    sample = Sample(n=3_000, values=dict(zip("abcdefgu", z, strict=True)))

    def figure(s):
        return sum(k * s[name] for k, name in enumerate("abcdefg", 1)) + 30 * s["u"] * (abs(s["u"]) > 1.5)

    rows = drivers(figure, sample)
    assert {row.name for row in rows if np.isfinite(row.total_order)} == {"g", "u"}
    assert rows[-1].name == "u" and rows[-1].swing == pytest.approx(0.0, abs=0.5) and rows[0].name == "g"
