"""Handling: energy by terms of lifting, carrying, walking and holding, beside the classes of the component table."""

from dataclasses import replace

import pytest
from handling_cases import case, lift
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.bodywork.carry_energy import Carried, carry_kcal, hold_kcal, lift_kcal, push_kcal, walk_kcal
from coreset.bodywork.energy import Vertical, vertical_kcal
from coreset.bodywork.report.workload import energy_sentence, workload_rows
from coreset.bodywork.workload import workload
from coreset.case import Place
from coreset.errors import OutOfRange


def load(*lifts, standard_s=60.0, **place):
    """Energy and heat of these lifts."""
    return workload(case(*lifts, place=Place(**place)), pattern="P1", method="manual", standard_s=standard_s)


@pytest.mark.rules("ENERGY-others")
def test_a_core_cycle_by_its_terms():
    """[garg1978], terms written out: 12 kg and a man of 80 kg, 3 m at the waist at 1 m/s, held 4 s, 3 m back.

    carry (68 + 2.54 x 80 + 4.08 x 12 + 11.4 x 12) x 0.05 min, walk (51 + 2.54 x 80) x 0.05 min, in hundredths.
    """
    core = Carried(load_kg=12, distance_m=3, body_kg=80)
    assert carry_kcal(core) == pytest.approx((68 + 2.54 * 80 + 4.08 * 12 + 11.4 * 12) * 0.05 / 100)
    assert carry_kcal(replace(core, place="sides")) == pytest.approx(
        (80 + 2.43 * 80 + 4.63 * 12 + 4.62 * 12) * 0.05 / 100
    )
    fast = replace(core, speed_m_s=2.0)
    assert walk_kcal(core) == pytest.approx((51 + 2.54 * 80) * 0.05 / 100)
    assert walk_kcal(fast) == pytest.approx((51 + 2.54 * 80 * 4) * 0.025 / 100)
    with pytest.raises(OutOfRange, match="place must be one of"):
        carry_kcal(replace(core, place="head"))


@pytest.mark.rules("ENERGY-others")
def test_one_hand_has_a_term_of_its_own():
    """[garg1978]: 0.352 BW (0.81 - h1) + 3.03 L (h2 - h1) below the bend; lowered or above it, as with two hands."""
    move = Vertical(load_kg=4, low_m=0.3, high_m=0.7, body_kg=70)
    assert lift_kcal(move, hands=1) == pytest.approx((0.352 * 70 * 0.51 + 3.03 * 4 * 0.4) / 100)
    assert lift_kcal(replace(move, lowering=True), hands=1) == lift_kcal(replace(move, lowering=True))
    with pytest.raises(OutOfRange, match="must be a lift"):
        vertical_kcal(replace(move, style="one_hand", lowering=True))


@pytest.mark.rules("ENERGY-push", "ENERGY-push-height")
def test_holding_and_pushing_have_terms_of_their_own():
    """[garg1978]: 0.062 L t at the waist, 0.037 at the sides, 0.088 with one hand; a push at 0.8 m and at 1.5 m.

    A hold of 30 s with 12 kg, and 98.0665 N (10 kgf) over 5 m by a man of 80 kg, each once a minute.
    """
    core = Carried(load_kg=12, distance_m=0, body_kg=80)
    assert hold_kcal(core, 30.0) == pytest.approx(0.062 * 12 * 0.5)
    assert hold_kcal(replace(core, place="sides"), 30.0) == pytest.approx(0.037 * 12 * 0.5)
    assert hold_kcal(core, 30.0, hands=1) == pytest.approx(0.088 * 12 * 0.5)
    low = 0.01 * 5 * (0.112 * 80 + (1.15 + 0.505) * 10)
    assert push_kcal(10.0, 5.0, body_kg=80.0, men=True) == pytest.approx((low, 5 * (0.086 + 0.036 * 10)))
    still = lift(core="", mass=12.0)
    plain, held, pushed = (
        load(replace(still, **what), body_mass=80.0)
        for what in ({}, {"hold_s": 30.0}, {"push_start": 150.0, "push_keep": 98.0665, "push_distance": 5.0})
    )
    assert held.lifting_kcal_per_min - plain.lifting_kcal_per_min == pytest.approx(0.062 * 12 * 0.5)
    assert pushed.lifting_kcal_per_min - plain.lifting_kcal_per_min == pytest.approx(5 * (0.086 + 0.036 * 10))
    hoisted = load(replace(still, hoist=True, push_keep=98.0665, push_distance=5.0), body_mass=80.0)
    assert hoisted.lifting_kcal_per_min == pytest.approx(0.024 * 80 + 5 * (0.086 + 0.036 * 10))


def test_a_lift_through_the_bend_is_two():
    """From 0.70 to 0.95 m: stooped up to 0.81 m, by the arms from there."""
    whole = Vertical(load_kg=12, low_m=0.70, high_m=0.95, body_kg=80)
    below = vertical_kcal(replace(whole, high_m=0.81))
    above = vertical_kcal(replace(whole, low_m=0.81, style="arm"))
    assert lift_kcal(whole) == pytest.approx(below + above) and min(below, above) > 0


def test_the_headline_follows_load_and_pace():
    """Twice the load or the pace takes more by the terms; the classes stay; heat and rest take the larger."""
    light, heavy, fast = (
        load(lift(core="", mass=m, carry=4.0), standard_s=s, body_mass=70.0) for m, s in ((6, 60), (12, 60), (6, 20))
    )
    assert light.kcal_per_min == heavy.kcal_per_min == fast.kcal_per_min
    assert light.lifting_kcal_per_min < heavy.lifting_kcal_per_min < fast.lifting_kcal_per_min
    hard = load(lift(core="", mass=20.0, carry=15.0, lifts_per_mold=4.0), standard_s=60.0)
    assert hard.watts == pytest.approx(hard.lifting_high_kcal_per_min * 4186.8 / 60, rel=1e-4)
    assert hard.lifting_high_kcal_per_min > hard.kcal_per_min and hard.rest_min_per_h > light.rest_min_per_h
    said = energy_sentence([light, hard])
    assert said.startswith("By the terms of standing, lifting and carrying, 1 of 2") and "classes" in said
    assert f"{light.lifting_kcal_per_min:.1f} (" in next(
        value for name, value in workload_rows([light])[0].items() if "terms" in name
    )
    assert energy_sentence([]) == ""


@settings(max_examples=25, deadline=None)
@given(st.floats(1, 25), st.floats(0, 10), st.floats(0, 12), st.floats(0, 8), st.floats(15, 120), st.floats(0, 60))
def test_more_load_way_or_pace_never_takes_less_energy(mass, more, way, farther, seconds, slower):
    """Central value, least and most rise with the load, the way and the pace, and the central one lies between."""
    easy = load(lift(core="", mass=mass, carry=way), standard_s=seconds + slower)
    hard = load(lift(core="", mass=mass + more, carry=way + farther), standard_s=seconds)
    for name in ("lifting_low_kcal_per_min", "lifting_kcal_per_min", "lifting_high_kcal_per_min", "watts"):
        assert getattr(easy, name) <= getattr(hard, name) + 1e-9
    assert easy.lifting_low_kcal_per_min <= easy.lifting_kcal_per_min <= easy.lifting_high_kcal_per_min
