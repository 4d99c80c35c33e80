"""Rates of return that were put in come out again: several, double, at nothing, near -100 %, beyond all sense."""

import numpy as np
import pytest

from coreset.money.irr import irr_roots, mirr, sign_changes


def flow_of(*rates, rest=(1.0,)):
    """A flow whose rates are these alone: the product of v - 1/(1 + r), times a sum that has no positive root."""
    found = np.asarray(rest, dtype=float)
    for rate in rates:
        found = np.polynomial.polynomial.polymul(found, [-1 / (1 + rate), 1.0])
    return found


@pytest.mark.parametrize(
    "rates",
    [(0.0,), (0.1,), (-0.5,), (40.0,), (-0.9, 0.0), (0.0, 0.5), (0.1, 0.2), (-0.3, 0.1, 3.0), (-0.8, -0.2, 0.4, 6.0),
     (0.0, 0.05, 0.3, 1.0, 2.0)],
)  # fmt: skip
@pytest.mark.parametrize("rest", [(1.0,), (2.0, 1.0), (1.0, 0.4, 1.0), (3.0, 0.0, 0.0, 1.0)])
def test_rates_put_in_come_out(rates, rest):
    """One to five rates, alone or with factors that have no rate; turned round; with years of no money about."""
    for flow in (flow_of(*rates, rest=rest), -flow_of(*rates, rest=rest)):
        for years in ([*flow], [0.0, 0.0, *flow], [*flow, 0.0], [0.0, *flow, 0.0, 0.0, 0.0]):
            assert irr_roots(years) == pytest.approx(rates, rel=1e-7, abs=1e-7)


@pytest.mark.parametrize("seed", range(40))
def test_random_rates_put_in_come_out(seed):
    """One to four rates from -80 % to 500 %, apart from each other by a twentieth at least."""
    rng = np.random.default_rng(seed)
    logs = np.cumsum(rng.uniform(0.05, 0.9, rng.integers(1, 5))) + rng.uniform(-1.6, 0.0)
    rates = np.expm1(logs)
    wanted = [irr_roots(flow_of(*rates) * unit) for unit in (1.0, -1e9, 1e200, 1e-200)]
    for found in wanted:
        assert found == pytest.approx(tuple(rates), rel=1e-6, abs=1e-6)


def test_double_rates_among_others():
    """10 % twice, with 50 % once, with -20 % once: each is told once, and one that is nearly there not at all."""
    assert irr_roots(flow_of(0.1, 0.1)) == pytest.approx((0.1,), abs=1e-6)
    assert irr_roots(flow_of(0.1, 0.1, 0.5)) == pytest.approx((0.1, 0.5), abs=1e-6)
    assert irr_roots(flow_of(-0.2, 0.1, 0.1)) == pytest.approx((-0.2, 0.1), abs=1e-6)
    near = flow_of(0.1, 0.1)
    assert irr_roots(near + [0.0, 0.0, 1e-6]) == () and len(irr_roots(near - [0.0, 0.0, 1e-6])) == 2


def test_a_rate_of_nothing_is_told_once():
    """What is paid comes back to the cent: 0 %, once, exactly."""
    for flow in ([-100, 100], [-100, 50, 50], [7, 0, -7], [-100, 25, 25, 25, 25]):
        assert irr_roots(flow) == (0.0,)


@pytest.mark.parametrize(("last", "months"), [(1e-200, 120), (1e-12, 10), (1e12, 10), (1e200, 120), (1e-3, 600)])
def test_rates_near_the_ends(last, months):
    """1 paid, `last` back after so many months: last^(1/months) - 1, without overflow on the way."""
    flow = np.zeros(months + 1)
    flow[[0, -1]] = -1.0, last
    wanted = np.expm1(np.log(last) / months)
    assert irr_roots(flow) == pytest.approx((wanted,), rel=1e-9)


def test_changes_of_sign_leave_zeros_out():
    """At the front, between and at the end; nothing at all has none."""
    table = [[0, -1, 0, 1], [-1, 0, 0, -1], [0, 0, 0, 0], [1, -1, 1, -1], [0, 3, 0, 0], [-2, 0, 5, 0]]
    assert sign_changes(table).tolist() == [1, 0, 0, 3, 0, 1]


@pytest.mark.parametrize("unit", [1e-9, 1.0, 1e9])
def test_a_modified_rate_needs_gains_and_outlays(unit):
    """100 paid, 121 got two years on: 10 % whatever the rates. Only paid, only got: none."""
    flow = np.array([-100.0, 0.0, 121.0]) * unit
    for rates in ({"finance_rate": 0.3, "reinvest_rate": 0.0}, {"finance_rate": 0.0, "reinvest_rate": 0.2}):
        assert mirr(flow, **rates) == pytest.approx(0.1)
        assert np.isnan(mirr(-np.abs(flow), **rates)) and np.isnan(mirr(np.abs(flow), **rates))
    both = np.array([-100.0, -110.0, 0.0, 50.0, 400.0]) * unit
    wanted = ((50 * 1.2 + 400) / (100 + 110 / 1.1)) ** 0.25 - 1
    assert mirr(both, finance_rate=0.1, reinvest_rate=0.2) == pytest.approx(wanted)
