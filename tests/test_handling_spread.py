"""Handling: how sure an index is, where the spread of what was measured can be followed by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard
from scipy.stats import norm
from test_handling_smallest import task

from coreset.lifting.screen import screen
from coreset.lifting.uncertainty import spreads, sureness

BEST = {"height": 75.0, "vertical_destination": 75.0}
STILL = lift()
"""Nothing varies and nothing was measured badly."""


def test_an_index_on_a_limit_is_not_above_it():
    """23 and 69 kg under the best conditions are 1 and 3 exactly; 80.5 kg are 3.5 (arithmetic)."""
    for mass, above_1, above_3 in ((23.0, 0, 0), (69.0, 1, 0), (80.5, 1, 1)):
        found = sureness(task(mass=mass, **BEST), STILL, draws=10)
        assert (found.above_1, found.above_3) == (above_1, above_3)
        assert found.low == found.median == found.high == pytest.approx(mass / 23)


def test_what_stands_still_keeps_its_value_at_every_bound():
    """Hands on the floor, no twist, a reach of 10 cm: no draw moves them, so LI is that of VM 0.775."""
    found = sureness(task(mass=10.0, height=0.0, horizontal_origin=10.0, vertical_destination=20.0), STILL, draws=10)
    assert found.low == found.high == pytest.approx(10 / (23 * 0.775)) and math.isnan(found.from_measuring)


def test_a_limit_of_less_than_a_kilogram_is_a_limit():
    """FM 0.13 at ten a minute, long, VM 0.7, HM 25/63 [waters1994]: 23 times these are 0.83 kg."""
    one = task(mass=10.0, height=175.0, vertical_destination=175.0, horizontal_origin=63.0, frequency_per_min=10.0)
    found = sureness(replace(one, duration="long"), STILL, draws=10)
    assert found.median == pytest.approx(10 / (23 * 0.13 * 0.7 * 25 / 63))


@pytest.mark.parametrize(("error", "cycle"), [(12.0, 0.0), (0.0, 12.0), (6.0, 8.0)])
def test_a_twist_about_none_is_drawn_to_both_sides(error, cycle):
    """No twist on average, standard deviation s in all: |A| has its quantiles at s z((1 + p)/2) (half-normal law)."""
    a_lift = lift(measured_error_deg=error, asymmetry_sd_deg=cycle)
    found = sureness(task(mass=10.0, **BEST), a_lift, draws=200_000, seed=4)
    s = math.hypot(error, cycle)
    for point, p in ((found.low, 0.025), (found.median, 0.5), (found.high, 0.975)):
        assert point == pytest.approx(10 / (23 * (1 - 0.0032 * s * norm.ppf((1 + p) / 2))), rel=2e-3)


def test_a_twist_beyond_a_half_turn_is_a_half_turn():
    """170 degrees, give or take 40: every draw can be rated, beyond 135 [waters1994] as nothing to lift."""
    found = sureness(task(mass=10.0, twist=170.0, **BEST), lift(asymmetry_sd_deg=40.0), draws=1000, seed=8)
    assert math.isinf(found.median) and found.above_3 == pytest.approx(norm.sf((135 - 170) / 40), abs=0.03)


def test_a_reach_beyond_the_body_by_its_normal_quantiles():
    """H 45 cm, 5 cm from cycle to cycle: LI is proportional to H, its 2.5 and 97.5 % points lie at 1.96 times that."""
    a_lift = lift(horizontal_sd=5.0)
    found = sureness(task(mass=10.0, horizontal_origin=45.0, **BEST), a_lift, draws=200_000, seed=5)
    for point, z in ((found.low, -1.96), (found.median, 0), (found.high, 1.96)):
        assert point == pytest.approx(10 * (45 + 5 * z) / 25 / 23, rel=5e-3)


def test_a_small_spread_has_its_share_of_measuring():
    """0.3 and 0.4 mm of reach: RWL varies by less than 0.1 kg, and 9/25 of its variance comes from measuring."""
    a_lift = lift(measured_error=0.03, horizontal_sd=0.04)
    one = task(mass=10.0, horizontal_origin=45.0, height=110.0, vertical_destination=100.0)
    found = sureness(one, a_lift, draws=50_000, seed=6)
    reach, height = 1 / 45, 0.003 / (1 - 0.003 * 35)
    measured = 0.03**2 * (reach**2 + height**2)
    assert found.from_measuring == pytest.approx(measured / (measured + (0.04 * reach) ** 2), abs=0.02)


def test_both_ends_vary_apart():
    """Equal reaches at both ends, each 5 cm either way: LI is that of the larger of two draws.

    P(larger of two < x) = 1/2 where each is below x with 0.7071.
    """
    a_lift = lift(horizontal_sd=5.0)
    one = task(mass=10.0, horizontal_origin=45.0, horizontal_destination=45.0, **BEST)
    found = sureness(replace(one, control_at_destination=True), a_lift, draws=100_000, seed=7)
    assert found.median == pytest.approx(10 * (45 + 5 * norm.ppf(math.sqrt(0.5))) / 25 / 23, rel=2e-3)


def test_the_pace_is_drawn_with_its_standard_time():
    """Every resample is twice the standard: half as many lifts a minute, FM 0.81 for 0.75 [waters1994] Table 5."""
    a_lift = lift(horizontal_origin=25.0, horizontal_destination=25.0, vertical_origin=75.0, vertical_destination=75.0,
                  coupling="good", lifts_per_mold=1.0)  # fmt: skip
    a_case = case(a_lift)
    screened = screen(a_case, [standard(60.0)])
    assert screened[0].li == pytest.approx(10 / 23 / 0.75)
    slow = standard(60.0)
    slow.draws_s = np.full(50, 120.0)
    (found,) = spreads(a_case, screened, {("P1", "manual"): slow}, draws=20, seed=1)
    assert found.low == found.high == pytest.approx(10 / 23 / 0.81)
    (known,) = spreads(a_case, screened, {}, draws=20, seed=1)
    assert known.median == pytest.approx(10 / 23 / 0.75)
