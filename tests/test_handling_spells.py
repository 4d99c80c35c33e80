"""Handling: spells, energy and heat of a shift, by sums on paper."""

import math
from dataclasses import replace

import pytest
from handling_cases import case, lift, standard
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from coreset.bodywork.energy import component_kcal_per_min, endurance_min, murrell_rest_min, rest_share
from coreset.bodywork.heat import work_minutes_per_h
from coreset.bodywork.workload import heat_of, workload
from coreset.case import Place
from coreset.errors import OutOfRange
from coreset.lifting.constants import DURATIONS
from coreset.lifting.duration import (
    averaged_per_min,
    class_of,
    duration_class,
    recovery_needed_min,
    sessions,
    worked_together_min,
)
from coreset.lifting.exposure import compared
from coreset.lifting.screen import screen

HAIR = 1e-6
KCAL_MIN_W = 4186.8 / 60


@pytest.mark.rules("N-t-edge", "N-t-long")
def test_the_classes_of_duration_end_at_one_and_two_hours():
    """[waters1994] section 1.3: an hour or less is short, two hours or less moderate; recovery 1.2 and 0.3 of it."""
    assert [class_of(m) for m in (60, 60 + HAIR, 120, 120 + HAIR)] == ["short", "moderate", "moderate", "long"]
    assert [duration_class([], hours_per_shift=h) for h in (1, 2, 2.01)] == ["short", "moderate", "long"]
    assert [recovery_needed_min(m) for m in (60, 120, 120 + HAIR)] == [pytest.approx(72), pytest.approx(36), 0.0]
    assert recovery_needed_min(60 + HAIR) == pytest.approx(18)


@pytest.mark.rules("N-t-moderate")
def test_sessions_are_added_until_there_is_enough_recovery():
    """[waters1994] section 1.3: two hours need 36 minutes of light work; with less the next hour is added."""
    assert worked_together_min([(120, 36), (60, 18)], duration="moderate") == 120
    assert worked_together_min([(120, 35.9), (60, 60)], duration="moderate") == 180
    assert worked_together_min([(60, 72), (50, 60), (40, 48)], duration="short") == 60
    assert worked_together_min([(60, 71), (50, 72), (40, 48)], duration="short") == 110
    assert worked_together_min([(60, 17), (50, 32), (40, 50)], duration="moderate") == 150
    assert worked_together_min([(130, 38)], duration="moderate") == math.inf  # 39 are needed
    assert worked_together_min([(0.5, 20)], duration="moderate") == 15  # the sample that its frequency is averaged over


@pytest.mark.rules("N-t-repeat")
def test_a_pattern_repeats_until_the_shift_is_full():
    """5 on and 10 off is the same work entered once, 8 or 16 times; the light work at the end is before the start.

    The hours cap the class: a shift of an hour is short whatever the spells, and listed work beyond the hours counts.
    """
    for spells in ([(5, 10)], [(55, 66)], [(100, 30)], [(60, 15), (50, 30)]):
        assert len({duration_class(spells * times) for times in (1, 8, 16)}) == 1
    assert [duration_class([(5, 10)], hours_per_shift=h) for h in (1, 2, 2.01, 8)] == [
        "short",
        "moderate",
        "long",
        "long",
    ]
    assert duration_class([(60, 0), (61, 0)], hours_per_shift=1) == "long"
    assert duration_class([(0, 30), (50, 30)]) == duration_class([(50, 60)]) == duration_class([(50, 30), (0, 30)])
    assert duration_class([(0, 20)]) == "short" and averaged_per_min(9.0, [(0, 20)]) == 0


SPELL = st.tuples(st.integers(0, 130), st.integers(0, 90))


@pytest.mark.rules("N-t-least")
@given(
    spells=st.lists(SPELL, min_size=1, max_size=4),
    more=st.lists(SPELL, min_size=4, max_size=4),
    hours=st.sampled_from([0.5, 1, 1.5, 2, 4, 8]),
    edition=st.sampled_from(["1994", "2021"]),
)
@example(spells=[(60, 30)], more=[(1, 0)] * 4, hours=8, edition="1994")
@example(spells=[(14, 17)], more=[(1, 0)] * 4, hours=8, edition="2021")
@example(spells=[(3, 20)], more=[(7, 0)] * 4, hours=8, edition="2021")
def test_more_work_or_less_recovery_is_never_rated_milder(spells, more, hours, edition):
    """Longer work and shorter light work in any spell: neither the class nor the frequency becomes the milder one."""
    harder = [(w + a, max(0, p - b)) for (w, p), (a, b) in zip(spells, more, strict=False)]
    shared = {"hours_per_shift": hours, "edition": edition}
    classes = [DURATIONS.index(duration_class(one, **shared)) for one in (spells, harder)]
    assert classes[0] <= classes[1]
    assert averaged_per_min(9.0, spells) <= averaged_per_min(9.0, harder) + HAIR


def test_a_minute_more_of_light_work_moves_neither_class_nor_pace():
    """5 on/10 off and 5 on/11 off: the same class and frequency, and lifts in the shift as the share of lifting."""
    found = []
    for pause in (10.0, 11.0):
        one = case(lift(), place=Place(sessions_min=((5.0, pause),)))
        one = replace(one, baseline="manual", candidate="manual")
        screened = screen(one, [standard(20.0)])[0]
        shift = compared(one, [standard(20.0)])[0].before
        found.append((screened.duration, screened.frequency_per_min))
        assert shift.lifts == pytest.approx(8 * 180 * 5 / (5 + pause)) and shift.minutes == pytest.approx(
            shift.lifts / 3
        )
    assert found == [("long", pytest.approx(1.0))] * 2


def test_light_work_alone_is_a_spell_and_negative_time_is_not():
    """Nothing lifted for 20 minutes; half a minute of work or of pause is allowed, less than nothing is refused."""
    assert sessions([(0, 20), (0.5, 20), (20, 0.5)]) == [(15, 20), (20, 20.5)]
    for spell in ((-HAIR, 20), (20, -HAIR)):
        with pytest.raises(OutOfRange, match="must be zero or more"):
            sessions([spell])


def test_a_sample_counts_every_minute_of_its_quarter_of_an_hour():
    """[waters1994] section 1.3: the last half minute of the sample is lifted too; 0.2 of each half minute are 6 of 15.

    15 lifts a minute is the last row of Table 5 (memory) and is averaged; above it the rate stands.
    """
    assert averaged_per_min(6, [(14.5, 0), (10, 20)]) == pytest.approx(6)
    assert averaged_per_min(6, [(0.2, 0.3)]) == pytest.approx(6 * 0.4)
    assert averaged_per_min(15, [(5, 10)]) == pytest.approx(5)
    assert averaged_per_min(15 + HAIR, [(5, 10)]) == 15 + HAIR


@pytest.mark.rules("REST-energy")
def test_rest_and_endurance_at_their_ends():
    """[murrell1965] (W - 5)/(W - 1.5) of the total; [bernard2006] from 20 to 100 % of strength, a hair beyond refused.

    At 20 %: -1.5 + 2.1/0.2 - 0.6/0.04 + 0.1/0.008 = 6.5; at 100 %: 0.1 minutes.
    """
    assert rest_share(5.0, limit=5.0, rest=1.5) == 0 and rest_share(8.5, limit=5.0, rest=1.5) == 0.5
    assert murrell_rest_min(8.5, 60) == pytest.approx(30)
    assert endurance_min(0.2) == pytest.approx(6.5) and endurance_min(1.0) == pytest.approx(0.1)
    for share in (0.2 - HAIR, 1 + HAIR):
        with pytest.raises(OutOfRange, match="share of strength"):
            endurance_min(share)
    with pytest.raises(OutOfRange, match="below the limit"):
        rest_share(8.5, limit=1.5, rest=1.5)


@pytest.mark.rules("ENERGY-components")
def test_components_add_up():
    """[acgih1992]: basal 1.0, sitting 0.3, hand light 0.4; walking on top; none of posture and work is basal alone."""
    assert component_kcal_per_min("sitting", "hand light") == pytest.approx(1.7)
    assert component_kcal_per_min("", "", walking_kcal_per_min=2.5) == pytest.approx(3.5)


def load(*lifts, standard_s=30.0, units="metric", **place):
    """Energy and heat of these lifts at 30 s a mold."""
    return workload(
        case(*lifts, place=Place(**place), units=units), pattern="P1", method="manual", standard_s=standard_s
    )


@pytest.mark.rules("ENERGY-mass", "ENERGY-standing")
def test_energy_of_lifts_in_centimetres_and_kilograms():
    """[acgih1992] 4.1 kcal/min for 70 kg, 84 kg here; [garg1978], reprinted, two a minute: 10 kg shared by two, lowered
    from 0.9 to 0.7 m (arm to 0.81 m, stoop below), and 6 kg raised from 0.81 to 1.31 m (arm)."""
    high = lift(task="shelf", core="", mass=6.0, vertical_origin=81.0, vertical_destination=131.0)
    found = load(lift(persons=2), high, body_mass=84.0)
    lowered = 0.268 * 84 * 0.11 + 0.675 * 5 * 0.11 + 5.22 * 0.11 + 0.093 * 84 * 0.09 + (1.02 + 0.37) * 5 * 0.09
    raised = 0.062 * 84 * 0.5 + (3.19 - 0.52) * 6 * 0.5
    assert found.components_kcal_per_min == pytest.approx(4.1) and found.kcal_per_min == pytest.approx(4.1 * 84 / 70)
    assert found.watts == pytest.approx(4.1 * 1.2 * KCAL_MIN_W, rel=1e-4)
    assert found.lifting_kcal_per_min == pytest.approx(0.024 * 84 + 2 * (lowered + raised) / 100)
    assert found.limit_kcal_per_min == pytest.approx(9.5 * 0.33)
    assert found.rest_min_per_h == 0


@pytest.mark.rules("ENERGY-mass")
def test_rest_of_a_heavy_body():
    """[murrell1965]: 4.1 kcal/min for 70 kg are 8.2 for 140 kg: (8.2 - 5)/(8.2 - 1.5) of the hour is rest."""
    assert load(lift(), body_mass=140.0).rest_min_per_h == pytest.approx(60 * 3.2 / 6.7)


def test_energy_of_lifts_in_inches_and_pounds():
    """[garg1978], reprinted: 22 lb are 22 x 0.45359237 kg, raised from 10 to 40 in (0.0254 m each) twice a minute."""
    one = lift(core="", mass=22.0, vertical_origin=10.0, vertical_destination=40.0)
    shared = replace(one, mass=44.0, persons=2)
    kg = 22 * 0.45359237
    once = 0.325 * 70 * (0.81 - 0.254) + (1.41 + 0.76) * kg * (0.81 - 0.254)
    once += 0.062 * 70 * (1.016 - 0.81) + (3.19 - 0.52) * kg * (1.016 - 0.81)
    for each in (one, shared):
        found = load(each, units="us", body_mass=70 / 0.45359237)
        assert found.lifting_kcal_per_min == pytest.approx(0.024 * 70 + 2 * once / 100)
    level = load(lift(vertical_origin=60.0, vertical_destination=60.0), body_mass=70.0)
    assert level.lifting_kcal_per_min == pytest.approx(
        0.024 * 70 + 2 * 0.325 * 70 * 0.21 / 100
    )  # moved level: no lowering


@pytest.mark.parametrize(("mass", "kcal"), [(2.9, 3.1), (3.0, 4.1)])
def test_both_arms_work_heavily_from_3_kg(mass, kcal):
    """[acgih1992]: standing 0.6 and basal 1.0, both arms light 1.5, heavy 2.5; 3 kg is common practice, no source."""
    assert load(lift(core="", mass=mass), body_mass=70.0).kcal_per_min == pytest.approx(kcal)


def test_only_what_is_lifted_by_this_method_takes_energy():
    """A hoist's load, another method's and another pattern's lifts add nothing; a hoist alone is standing, long."""
    alone = load(lift())
    others = lift(hoist=True), lift(method="core setter", task="b"), lift(pattern="P2", task="c")
    assert load(lift(), *others) == alone
    hoist = load(lift(hoist=True), body_mass=70.0)
    assert hoist.kcal_per_min == pytest.approx(1.6) and hoist.limit_kcal_per_min == pytest.approx(9.5 * 0.33)
    assert hoist.lifting_kcal_per_min == pytest.approx(0.024 * 70)


@pytest.mark.rules("ENERGY-arms", "ENERGY-base", "ENERGY-share")
def test_the_energy_limit_takes_the_lowest_hands_and_the_longest_class():
    """[waters1993]: 9.5 kcal/min, 70 % of it only where all hands are at 75 cm or higher; 50, 40, 33 % by duration."""
    high = {"vertical_origin": 90.0, "vertical_destination": 75.0}
    assert load(lift(**high)).limit_kcal_per_min == pytest.approx(9.5 * 0.7 * 0.33)
    low = lift(task="low", vertical_origin=74.0)
    assert load(lift(**high), low).limit_kcal_per_min == pytest.approx(9.5 * 0.33)
    two = lift(duration="short", **high), lift(task="b", duration="moderate", **high)
    assert load(*two).limit_kcal_per_min == pytest.approx(9.5 * 0.7 * 0.4)


@pytest.mark.rules("HEAT-clothing", "HEAT-wbgt")
def test_heat_by_hand():
    """[iso7243_1989] 0.7 x 26 + 0.3 x 36 = 29; double-layer clothing adds 3 K ([iso7243_2017], reprinted).

    Work so that the hour's mean stays at 56.7 - 11.5 log10 M [niosh2016], sitting 1.3 kcal/min [acgih1992] between.
    """
    place = Place(wet_bulb=26.0, globe=36.0, acclimatized=True, clothing="double-layer woven")
    found = heat_of(place, 400.0, units="metric")
    assert found.wbgt_c == pytest.approx(29.0) and found.adjusted_c == pytest.approx(32.0)
    rest_w = 1.3 * KCAL_MIN_W

    def spare(share):
        return 56.7 - 11.5 * math.log10(share * 400 + (1 - share) * rest_w) - 32

    assert found.work_min_per_h == pytest.approx(60 * brentq(spare, 0, 1), abs=1e-3)
    assert (
        heat_of(replace(place, globe=None), 400.0, units="metric") is None
        and heat_of(replace(place, wet_bulb=None), 4.0, units="metric") is None
    )
    cooler = work_minutes_per_h(32.0, work_w=400, rest_w=rest_w, acclimatized=True, rest_wbgt_c=24.0)
    assert cooler > found.work_min_per_h


@pytest.mark.rules("HEAT-mean")
def test_rest_in_a_cooler_place_by_the_mean_of_the_hour():
    """[niosh2016] section 8: both means over the hour, 32 and 24 C, 400 and 100 W; the root by scipy's brentq."""

    def spare(share):
        return 56.7 - 11.5 * math.log10(share * 400 + (1 - share) * 100) - (share * 32 + (1 - share) * 24)

    found = work_minutes_per_h(32.0, work_w=400, rest_w=100, acclimatized=True, rest_wbgt_c=24.0)
    assert found == pytest.approx(60 * brentq(spare, 0, 1), abs=1e-6)
    assert work_minutes_per_h(40.0, work_w=400, rest_w=100, acclimatized=True) == 0
    edge = 56.7 - 11.5 * math.log10(400)
    assert work_minutes_per_h(edge, work_w=400, rest_w=100, acclimatized=True) == 60
