"""Handling: which method fits, what the others say, exposure of the crew, energy and heat of a case."""

from dataclasses import replace

import pytest
from handling_cases import case, lift, standard

from coreset.bodywork.applicable_method import fittings
from coreset.bodywork.workload import workloads
from coreset.case import Pattern, Place, Range
from coreset.lifting.duration import averaged_per_min
from coreset.lifting.exposure import compared, shift
from coreset.lifting.job import index_at, job_of
from coreset.lifting.job_status import job_statuses
from coreset.lifting.pace_and_mix import BEYOND_STANDARD, curves
from coreset.lifting.report.exposure import fitting_rows
from coreset.lifting.report.job_status import status_words
from coreset.lifting.screen import screen


def fit(a_lift, seconds=30.0, **what):
    """What fits a single lift."""
    a_case = case(a_lift, **what)
    return fittings(a_case, screen(a_case, [standard(seconds)]))[0]


@pytest.mark.parametrize(
    ("what", "methods"),
    [
        ({}, ("lifting",)),
        ({"hands": 1, "mass": 1.5}, ("hand_work",)),
        ({"hands": 1, "mass": 6.0}, ("factored", "hand_work")),
        ({"persons": 2, "mass": 30.0}, ("factored",)),
        ({"mass": 1.0, "lifts_per_mold": 3.0}, ("lifting", "hand_work")),
        ({"seated": True}, ("hand_work",)),
        ({"carry": 5.0}, ("lifting", "carrying")),
        ({"carry": 5.0, "hands": 1, "mass": 6.0}, ("factored", "hand_work")),
        ({"hoist": True}, ("remaining",)),
        ({"hoist": True, "reach_s": 9.0}, ("reach", "remaining")),
        ({"reach_s": 9.0}, ("lifting", "reach")),
    ],
)
def test_the_method_follows_from_the_data(what, methods):
    """Two hands, one hand, two persons, light and frequent, seated, carried, held by a hoist."""
    assert fit(lift(**what)).methods == methods


def test_a_reach_held_while_standing_is_recorded_and_never_within():
    """No limit of postures is built in: with a hoist the job is not covered, a lift by hand is a lower limit."""
    light = lift(core="", mass=2.0, horizontal_destination=30.0)
    blow = lift(task="blow out", core="", mass=1.0, hoist=True)

    def job(*lifts):
        a_case = case(*lifts)
        found = job_statuses(a_case, [standard(60.0)], screen(a_case, [standard(60.0)]))
        return next(one for one in found if one.pattern and one.method == "manual")

    assert job(light, blow).status == "within"
    held = job(light, replace(blow, reach_s=12.0))
    assert status_words(held) == "not covered: needs an assessment of working postures"
    assert job(replace(light, reach_s=12.0)).status == "at_least"
    (row,) = rows_of(replace(light, reach_s=12.0))
    assert "12 s of each mold: recorded, not rated" in row["What it says"]


def rows_of(one):
    """What the methods say of a single lift."""
    a_case = case(one)
    screened = screen(a_case, [standard(60.0)])
    return fitting_rows(fittings(a_case, screened), screened, "metric")


@pytest.mark.rules("EN-factors")
@pytest.mark.unverified
def test_two_persons_and_one_hand_carry_factors_of_another_standard():
    """[hse2004]: two lift 2/3 of both limits; [en1005_2], memory: one hand 0.6. The NIOSH result itself is none."""
    alone = screen(case(lift(mass=12.0)), [standard(30)])[0]
    two = fit(lift(mass=12.0, persons=2)).factored
    one = fit(lift(mass=12.0, hands=1)).factored
    assert two.index == pytest.approx(12 / (2 * alone.rwl * 2 / 3)) and two.status == "reprinted"
    assert one.index == pytest.approx(12 / (0.6 * alone.rwl))
    assert screen(case(lift(mass=12.0, persons=2)), [standard(30)])[0].li is None


def test_hand_work_needs_effort_and_its_length():
    """Without a Borg rating and seconds of exertion there is no Strain Index, and the task says what is missing."""
    assert fit(lift(hands=1, mass=1.5)).missing == ("effort",)
    found = fit(lift(hands=1, mass=1.5, effort_borg=3.0, exertion_s=2.0))
    assert found.strain.index == 3.0 * 0.5 * 0.5 * 1.0 * 1.0 * 1.0
    assert found.revised.status == "reprinted"
    assert fit(lift(hands=1, effort_borg=3.0, exertion_s=40.0)).missing == ("exertion_longer_than_cycle",)


def test_a_hoist_leaves_something_to_judge():
    """The weight is borne; pushing, hand force and pinch points remain."""
    assert "push_pull" in fit(lift(hoist=True)).remaining


@pytest.mark.unverified
def test_carrying_in_either_unit_set():
    """[iso11228_2003], memory: 10 kg over 4 m and 22.05 lb over 13.1 ft are the same carrying task."""
    metric = fit(lift(carry=4.0)).carrying
    us = fit(
        lift(carry=13.12, horizontal_origin=14, vertical_origin=35, horizontal_destination=20, vertical_destination=28),
        units="us",
        mass=22.05,
    ).carrying
    assert us.share == pytest.approx(metric.share, rel=1e-3)
    far = fit(lift(carry=25.0)).carrying
    assert far.at_least and far.distance_m == 20 and far.share > metric.share


def test_exposure_of_a_shift():
    """480 minutes at 30 s are 960 molds: one lift each of 10 kg; a crew of two shares it (arithmetic)."""
    found = shift(case(lift()), [standard(30)], method="manual")
    assert (found.molds, found.lifts, found.mass_handled) == (960, 960, 9600)
    assert found.above[1.0] == 480 and found.above[3.0] == 0
    shared = shift(case(lift(), place=Place(crew=2)), [standard(30)], method="manual")
    assert shared.mass_handled == 4800
    fixed = shift(case(lift()), [standard(30)], method="manual", molds=100)
    assert (fixed.lifts, fixed.minutes) == (100, 50)


def test_a_shift_over_the_job_mix_counts_each_pattern_by_its_molds():
    """Two patterns, one with a standard of 20 s and three times the molds; one without a standard is named."""
    import dataclasses

    more = (
        Pattern(pattern="P2", molds_per_year=Range.exactly(60_000), runs_per_year=10),
        Pattern(pattern="P3", molds_per_year=Range.exactly(5_000), runs_per_year=10),
    )
    base = case(lift(), lift(pattern="P2", task="other", core="", mass=2.0))
    mixed = dataclasses.replace(base, patterns=base.patterns + more)
    found = shift(mixed, [standard(40), standard(20, pattern="P2")], method="manual")
    assert found.molds == pytest.approx(480 * 60 / 25)
    assert found.minutes == pytest.approx(480)
    assert found.unknown == ("P3",)
    assert found.mass_handled == pytest.approx(found.molds * (0.25 * 10 + 0.75 * 2))


def test_who_gets_better_and_who_worse():
    """Manual and core setter beside each other: a shorter reach at the same pace is better, a faster pace worse."""
    hand = lift(horizontal_destination=55.0)
    near = lift(task="mask", method="core setter", horizontal_destination=35.0)
    better = compared(case(hand, near), [standard(30), standard(30, "core setter")])[0]
    assert better.verdict == "better" and better.before.index > better.after.index
    worse = compared(case(hand, near), [standard(30), standard(11, "core setter")])[0]
    assert worse.verdict == "worse" and worse.after.mass_handled > worse.before.mass_handled
    outside = compared(case(lift(horizontal_destination=70.0), near), [standard(30), standard(30, "core setter")])[0]
    assert outside.verdict == "better" and outside.before.forbidden
    assert outside.before.left_out == ("set core",)
    silent = compared(case(lift(persons=2), near), [standard(30), standard(30, "core setter")])[0]
    assert silent.verdict == "unknown"


def test_energy_and_heat_of_a_case():
    """[acgih1992]: standing 0.6, both arms heavy 2.5, basal 1.0 are 4.1 kcal/min; limit 3.135 or 2.19 at 8 hours."""
    place = Place(wet_bulb=24.0, globe=36.0, temperature=25.0, acclimatized=True)
    found = workloads(case(lift(), place=place), [standard(30)])[0]
    assert found.kcal_per_min == pytest.approx(4.1)
    assert found.limit_kcal_per_min == pytest.approx(3.135)
    assert found.rest_min_per_h == 0
    assert found.heat.wbgt_c == pytest.approx(27.6) == pytest.approx(found.heat.adjusted_c)
    assert found.heat.niosh.wbgt_c == pytest.approx(28.45, abs=0.01)
    assert found.heat.work_min_per_h == 60
    assert found.lifting_kcal_per_min > 0.024 * 70
    assert workloads(case(lift()), [standard(30)])[0].heat is None


def test_minutes_in_which_nothing_should_be_lifted_are_not_hidden():
    """A reach beyond the limit: all its minutes are told as such, none as not covered, none as above a limit."""
    found = shift(case(lift(horizontal_destination=70.0)), [standard(30)], method="manual")
    assert found.forbidden_min == pytest.approx(480) and found.without_index_min == 0
    assert set(found.above.values()) == {0.0}
    shared = shift(case(lift(persons=2)), [standard(30)], method="manual")
    assert shared.forbidden_min == 0 and shared.without_index_min == pytest.approx(480)


def test_a_shift_of_a_crew_by_hand():
    """8 h at 30 s a mold are 960 molds: two lifts of 10 kg each, by two people, shared by a crew of four."""
    place = Place(hours_per_shift=8.0, crew=4)
    one = case(lift(lifts_per_mold=2.0, persons=2), place=place)
    found = compared(replace(one, baseline="manual", candidate="manual"), [standard(30)])[0].before
    assert found.minutes == 480.0 and found.molds == pytest.approx(960.0)
    assert found.lifts == pytest.approx(960 * 2 / 4)
    assert found.mass_handled == pytest.approx(960 * 2 * 10 / 2 / 4)


def test_the_busiest_quarter_of_an_hour_by_hand():
    """Ten minutes' lifting, five more, then one: of 15 minutes 15 in that order and not 11, so the rate itself."""
    assert averaged_per_min(6.0, [(10.0, 0.0), (5.0, 10.0), (1.0, 30.0)]) == pytest.approx(6.0)
    assert averaged_per_min(6.0, [(10.0, 0.0), (1.0, 30.0), (5.0, 10.0)]) == pytest.approx(6 * 11 / 15)
    assert averaged_per_min(6.0, [(0.0, 0.0), (0.0, 0.0)]) == 0.0


def test_the_curve_of_pace_by_hand():
    """30 s a mold are 120 an hour, 27 s observed 133.3; the curve goes a step beyond and is the index at each pace."""
    a_case = case(lift())
    found = curves(a_case, [standard(30)], "P1")[0]
    assert found.standard_per_h == pytest.approx(120) and found.observed_per_h == pytest.approx(3600 / 27)
    assert found.standard_interval_per_h == pytest.approx((3600 / 31.5, 3600 / 28.5))
    assert found.molds_per_h[-1] == pytest.approx(120 * BEYOND_STANDARD) and found.molds_per_h[0] > 0
    job = job_of(a_case, pattern="P1", method="manual")
    ends = [index_at(job, float(pace)).index for pace in found.molds_per_h[[0, 50, -1]]]
    assert found.index[[0, 50, -1]] == pytest.approx(ends)
