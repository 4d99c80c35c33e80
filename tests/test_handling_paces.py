"""Handling: where the pace of a task comes from, what is said of it, and measures as they stand by default."""

from dataclasses import replace

import pytest
from handling_cases import case, lift, standard
from test_handling_smallest import task

from coreset.lifting.controls import whole_measures
from coreset.lifting.screen import frequency, screen

ONCE = {"lifts_per_mold": 0.0}


def test_a_pace_is_that_of_the_mold_before_that_of_the_run():
    """At 30 s a mold: one a mold is two a minute, whatever a run adds; two a run of 500 are 0.008."""
    a_case = case(lift())
    assert frequency(a_case, lift(lifts_per_run=2.0), 30.0) == (pytest.approx(2.0), "standard")
    assert frequency(a_case, lift(**ONCE, lifts_per_run=2.0), 30.0) == (pytest.approx(2 / 500 * 2), "run")
    assert frequency(a_case, lift(**ONCE), 30.0) == (0.0, "standard")


@pytest.mark.parametrize(
    ("what", "molds_a_run", "said"),
    [
        ({"lifts_per_run": 6.0}, 500, True),
        ({"lifts_per_run": 3.0}, 500, False),
        ({"lifts_per_run": 6.0, "hoist": True}, 500, False),
        ({"lifts_per_run": 60.0, "lifts_per_mold": 1.0}, 500, False),
        ({"lifts_per_run": 60.0}, 10, False),
    ],
)
def test_lifts_of_a_set_up_in_one_quarter_of_an_hour(what, molds_a_run, said):
    """[waters1994] section 1.3: F is a mean over 15 minutes. Six lifts in one are 0.4 a minute, more than spread over
    the run and than the 0.2 that counts at least; three are 0.2; 60 in ten molds of 30 s are 12 a minute anyway."""
    one = lift(**ONCE | what)
    a_case = case(one)
    (pattern,) = a_case.patterns
    a_case = replace(a_case, patterns=(replace(pattern, runs_per_year=20_000 / molds_a_run),))
    assert ("bunched" in screen(a_case, [standard(30.0)])[0].limits) is said


def test_limits_that_are_passed_are_told_of_covered_tasks_only():
    """Two people at 70 cm: the equation does not hold, so its limit of reach is not passed; one person alone does."""
    one, two = screen(case(lift(persons=2, horizontal_destination=70.0), lift(task="b", horizontal_destination=70.0)),
                      [standard(30.0)])  # fmt: skip
    assert one.why_not == ("two_persons",) and two.why_not == ("reach_limit",)
    (fine,) = screen(case(lift()), [standard(30.0)])
    assert fine.why_not == ()


@pytest.mark.unverified
def test_measures_without_hours_are_those_of_eight():
    """[iso11228_2021], memory: no factor up to eight hours; only a platform has a height."""
    one = task(mass=20.0, height=75.0, vertical_destination=75.0)
    found = whole_measures(one, lift())
    assert found == whole_measures(one, lift(), hours=8.0)
    assert {row.height for row in found if row.code != "platform"} == {0.0}
