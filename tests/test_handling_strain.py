"""Handling: hand work, carrying and factors at the borders of their tables, and which method fits."""

import math

import pytest
from handling_cases import case, lift, standard
from test_handling_smallest import task

from coreset.bodywork.applicable_method import fittings, methods_for
from coreset.bodywork.hand_work import (
    Hands,
    intensity_multiplier,
    revised_exertion,
    revised_hours,
    revised_intensity,
    revised_rate,
    revised_strain_index,
    revised_wrist,
    strain_index,
    wrist_multiplier,
)
from coreset.bodywork.static_hold import holds
from coreset.case import Place
from coreset.errors import OutOfRange
from coreset.lifting.controls import whole_measures
from coreset.lifting.en_iso import carrying, factored_index, long_shift_multiplier
from coreset.lifting.screen import screen

HAIR = 1e-6


@pytest.mark.rules("SI-wrist")
@pytest.mark.unverified
def test_each_rating_of_the_wrist_holds_its_upper_end():
    """[moore1995], ends from memory: flexion to 15, 30, 50, extension to 25, 40, 55 degrees count 1, 1.5, 2, then 3."""
    for ends, sign in (((15, 30, 50), 1), ((25, 40, 55), -1)):
        for end, inside, beyond in zip(ends, (1.0, 1.5, 2.0), (1.5, 2.0, 3.0), strict=True):
            assert wrist_multiplier(sign * end) == inside and wrist_multiplier(sign * (end + HAIR)) == beyond


def strain(**what):
    """Hand work of ten one-second efforts a minute at 3 on the Borg scale."""
    return strain_index(Hands(**{"effort_borg": 3.0, "efforts_per_min": 10.0, "exertion_s": 1.0} | what))


@pytest.mark.parametrize(
    ("what", "status"),
    [
        ({}, "reprinted"),
        ({"wrist_deg": 5.0}, "reprinted"),
        ({"wrist_deg": 5.0 + HAIR}, "memory"),
        ({"wrist_deg": -6.0}, "memory"),
        ({"speed_pct": 100.0 + HAIR}, "memory"),
        ({"speed_pct": 60.0}, "reprinted"),
        ({"exertion_s": 6.0}, "memory"),
    ],
)
def test_a_strain_index_says_when_it_rests_on_memory(what, status):
    """The ends of wrist and speed and the rate without pause are from memory; the rest of [moore1995] is reprinted."""
    assert strain(**what).status == status


@pytest.mark.rules("SI-product")
@pytest.mark.unverified
def test_a_strain_index_multiplies_its_six():
    """[moore1995]: Borg 3 gives 3, a sixth of the time 1, ten a minute 1.5, 40 degrees 2, 110 % 1.5, 8 h 1: 13.5."""
    found = strain(wrist_deg=40.0, speed_pct=110.0)
    assert found.multipliers == {"intensity": 3, "exertion": 1, "rate": 1.5, "wrist": 2, "speed": 1.5, "hours": 1}
    assert found.index == 13.5 and found.binding == "intensity"
    assert [strain(hours=h).multipliers["hours"] for h in (0.5, 1, 2, 4, 8, 8 + HAIR)] == [0.25, 0.5, 0.75, 1, 1, 1.5]


def test_hand_work_that_cannot_be_is_refused():
    """A wrist to 90 degrees and efforts that fill all their time are possible, a hair more is not."""
    assert strain(wrist_deg=90.0).index > 0 and strain(exertion_s=6.0).index > 0
    for what in ({"wrist_deg": 90.0 + HAIR}, {"wrist_deg": -90.0 - HAIR}, {"exertion_s": 6.0 + HAIR}):
        with pytest.raises(OutOfRange, match=r"must be within 90|must fit into"):
            strain(**what)
    for borg in (-HAIR, 10 + HAIR):
        with pytest.raises(OutOfRange, match="Borg"):
            intensity_multiplier(borg)


@pytest.mark.rules("RSI-DM", "RSI-EM", "RSI-HM", "RSI-IM", "RSI-PM", "RSI-product")
def test_the_revised_index_multiplies_its_five():
    """[garg2017], reprinted, all written out: both branches, half a degree of flexion, extension beyond 30."""
    assert revised_intensity(0.3) == pytest.approx(30 * 0.3**3 - 15.6 * 0.3**2 + 13 * 0.3 + 0.4)
    assert revised_intensity(0.6) == pytest.approx(36 * 0.6**3 - 33.3 * 0.6**2 + 24.77 * 0.6 - 1.86)
    assert revised_rate(10) == pytest.approx(2.6) and revised_rate(100) == pytest.approx(0.00334 * 100**1.96)
    assert revised_exertion(2) == pytest.approx(1.07) and revised_exertion(100) == pytest.approx(
        19.17 * math.log(100) - 59.44
    )
    assert revised_wrist(0.5) == pytest.approx(1.2 * math.exp(0.0045) - 0.2) and revised_wrist(0) == pytest.approx(1)
    assert revised_wrist(-30) == 1 and revised_wrist(-40) == pytest.approx(1.028)
    assert revised_hours(4) == pytest.approx(0.042 * 4 + 0.09 * math.log(4) + 0.477)
    straight = revised_strain_index(Hands(effort_borg=3, efforts_per_min=10, exertion_s=2))
    assert straight.multipliers["wrist"] == pytest.approx(1)
    whole = revised_strain_index(Hands(effort_borg=3, efforts_per_min=10, exertion_s=2, wrist_deg=-40, hours=4))
    parts = revised_intensity(0.3), 2.6, 1.07, 1.028, revised_hours(4)
    assert whole.index == pytest.approx(math.prod(parts)) and tuple(whole.multipliers.values()) == pytest.approx(parts)


@pytest.mark.rules("CARRY-limits")
@pytest.mark.unverified
def test_each_limit_of_carrying_can_bind():
    """[iso11228_2003], memory, 20 m: 1 a minute, 15 kg a minute, 750 kg an hour; 10 m: 10,000 kg in 8 h; 25 kg."""
    for mass, way, per_min, minutes, binding, share in (
        (1.0, 20.0, 0.9, 5.0, "frequency", 0.9),
        (20.0, 20.0, 0.8, 5.0, "kg_per_min", 16 / 15),
        (20.0, 20.0, 0.8, 60.0, "kg_per_h", 16 * 60 / 750),
        (20.0, 10.0, 0.8, 480.0, "mass", 20 / 25),
        (20.0, 10.0, 1.2, 480.0, "kg_per_8h", 24 * 480 / 10_000),
    ):
        found = carrying(mass, way, per_min=per_min, minutes_per_shift=minutes)
        assert (found.binding, found.share) == (binding, pytest.approx(share))
    whole = carrying(20.0, 20.0, per_min=0.8)
    eight = {"mass": 20, "frequency": 0.8, "kg_per_min": 16, "kg_per_h": 960, "kg_per_8h": 7680}
    assert whole.carried == pytest.approx(eight) and not whole.at_least
    farther = carrying(20.0, 20.0 + HAIR, per_min=0.8)
    assert farther.at_least and farther.share == whole.share


@pytest.mark.rules("SHIFT-long")
@pytest.mark.unverified
def test_factors_at_their_ends():
    """[iso11228_2021], memory: 12 hours are the last of the factors; without any limit there is no index."""
    assert long_shift_multiplier(8) == 1 and long_shift_multiplier(12) < 1
    with pytest.raises(OutOfRange, match="at most 12 hours"):
        long_shift_multiplier(12 + HAIR)
    assert math.isinf(factored_index(0.0, 10, hands=2, persons=1).index)
    assert factored_index(0.5, 10, hands=2, persons=1).index == pytest.approx(20)


@pytest.mark.parametrize(
    ("mass", "per_min", "units", "fits"),
    [
        (3.0 - HAIR, 4.0, "metric", True),
        (3.0, 4.0, "metric", False),
        (2.0, 4.0 - HAIR, "metric", False),
        (6.6 - HAIR, 4.0, "us", True),
        (6.6, 4.0, "us", False),
    ],
)
def test_light_and_frequent_work_is_hand_work(mass, per_min, units, fits):
    """Below 3 kg or 6.6 lb ([iso11228_2003] scope), from four a minute ([moore1995] second rating of the rate)."""
    methods, _ = methods_for(lift(), mass=mass, frequency_per_min=per_min, units=units)
    assert ("hand_work" in methods) is fits and "lifting" in methods


@pytest.mark.rules("EN-scope")
def test_carrying_begins_beyond_two_metres():
    """[en1005_2] scope: lifting up to 2 m of carrying (memory)."""
    for carry, methods in ((2.0, ("lifting",)), (2.0 + HAIR, ("lifting", "carrying"))):
        assert methods_for(lift(carry=carry), mass=10, frequency_per_min=1, units="metric")[0] == methods


def fit(*lifts, seconds=30.0, mass=10.0, **place):
    """What fits these lifts at a mold in so many seconds."""
    a_case = case(*lifts, place=Place(**place), mass=mass)
    return fittings(a_case, screen(a_case, [standard(seconds)] if seconds else []))


@pytest.mark.unverified
def test_carrying_through_the_hours_of_the_shift():
    """[iso11228_2003], memory: two a minute of 10 kg over 2.5 m in ten hours are 12,000 kg of 10,000."""
    (found,) = fit(lift(carry=2.5), hours_per_shift=10.0)
    assert found.carrying.share == pytest.approx(1.2) and found.carrying.distance_m == 4
    near, far = fit(lift(carry=20.0), lift(task="b", carry=20.5))
    assert near.carrying is not None and near.missing == ()
    assert far.carrying.at_least and far.carrying.share == near.carrying.share and far.missing == ()


def test_hand_work_needs_effort_and_seconds_and_time_for_them():
    """One of the two is not enough; a minute's efforts may fill the minute; without a pace nothing is answered."""
    stated = {"hands": 1, "effort_borg": 3.0, "exertion_s": 30.0, "core": "", "mass": 2.0}
    full, over, no_effort, no_seconds = fit(
        lift(**stated),
        lift(**stated | {"task": "b", "exertion_s": 30.1}),
        lift(**stated | {"task": "c", "effort_borg": 0.0}),
        lift(**stated | {"task": "d", "exertion_s": 0.0}),
    )
    assert full.strain is not None and full.missing == ()
    assert (over.strain, over.missing) == (None, ("exertion_longer_than_cycle",))
    assert no_effort.missing == no_seconds.missing == ("effort",)
    (unknown,) = fit(lift(**stated), seconds=None)
    assert (unknown.strain, unknown.missing) == (None, ("pace",))
    (no_mass,) = fit(lift(core="", carry=3.0))
    assert (no_mass.carrying, no_mass.missing) == (None, ("pace",))


@pytest.mark.unverified
def test_two_persons_as_a_measure_up_to_twelve_hours():
    """[hse2004] two thirds of both limits, half of three; [iso11228_2021], memory: none beyond 12 h or at RWL 0."""
    one = task(mass=20.0, height=75.0, vertical_destination=75.0)

    def measures(what, hours):
        return {row.code: row.index for row in whole_measures(what, lift(), hours=hours)}

    assert measures(one, 8.0)["two_persons"] == pytest.approx(20 / (2 * 23 * 2 / 3))
    assert measures(one, 8.0)["three_persons"] == pytest.approx(20 / (3 * 23 / 2))
    assert "two_persons" in measures(one, 12.0) and "two_persons" not in measures(one, 12.0 + HAIR)
    far = measures(task(mass=20.0, horizontal_origin=70.0), 8.0)
    assert "two_persons" not in far and far["halves"] is None


@pytest.mark.rules("HOLD-endurance")
@pytest.mark.unverified
def test_holds_count_from_a_fifth_of_strength():
    """[bernard2006]: Borg 2 is 20 % and has an endurance of 6.5 minutes, 1.9 has none; above 10 is all of it."""
    lifts = [lift(task=f"t{borg}", effort_borg=borg, exertion_s=3.0) for borg in (1.9, 2.0, 10.0)]
    weak, fifth, full = holds(case(*lifts), "P1", "manual", [standard(120.0)])
    assert weak.endurance_min == 0 and fifth.endurance_min == pytest.approx(6.5) and fifth.per_h == pytest.approx(30)
    assert full.share == 1 and full.endurance_min == pytest.approx(0.1)
