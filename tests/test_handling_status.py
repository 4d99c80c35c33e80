"""Handling: what is said of a task is never more than its carry, its place and its job allow."""

import math
from dataclasses import replace

import pytest
from assessed import assessed
from handling_cases import case, lift, standard
from hypothesis import given
from hypothesis import strategies as st

from coreset.bodywork.applicable_method import fittings
from coreset.brief import tables
from coreset.brief.screen import screen as screen_text
from coreset.case import Place
from coreset.decision.recommendation import load_on_people
from coreset.lifting.buildable import redesign_of
from coreset.lifting.exposure import compared
from coreset.lifting.report import redesign as more
from coreset.lifting.report import sentences as words
from coreset.lifting.report import status
from coreset.lifting.report.exposure import fitting_rows
from coreset.lifting.report.task_table import table_row
from coreset.lifting.screen import screen
from coreset.lifting.whole_job import with_jobs

BEST = "the goal of the manual"


def rated(*lifts, seconds=30.0, **what):
    """Tasks of a case, each with its job."""
    a_case = case(*lifts, **what)
    timed = [standard(seconds), standard(seconds, "core setter")]
    return with_jobs(a_case, timed, screen(a_case, timed))


@pytest.mark.rules("CARRY-mass")
def test_a_carried_lift_is_still_rated_as_a_lift():
    """60 kg carried 3 m: the index of the same lift set down at once, and beyond the carrying limit in mass."""
    (plain,), (carried,) = (rated(lift(mass=60.0, carry=carry, lifts_per_mold=0.01)) for carry in (0.0, 3.0))
    assert carried.li == plain.li > 6 and carried.at_least == ("carrying",)
    assert carried.carrying.beyond_mass and carried.carrying.share == pytest.approx(60 / 25)
    said = words.task_sentence(carried, "metric")
    assert "LI at least" in said and "beyond the limit in mass, 60.0 kg against 25.0 kg" in said


@pytest.mark.rules("N-l-zero")
def test_nothing_may_be_lifted_however_it_is_carried():
    """A reach of 70 cm: RWL 0 with and without a carry, and first in the list."""
    (row,) = rated(lift(horizontal_destination=70.0, carry=5.0))
    assert row.applies and row.rwl == 0 and row.why_not == ("reach_limit",) and row.governing == math.inf
    assert "RWL 0: the reach" in status.status_text(row)
    a_case = case(lift(horizontal_destination=70.0, carry=5.0))
    (told,) = fitting_rows(fittings(a_case, (row,)), (row,), "metric")
    assert told["What it says"].startswith("RWL 0: the reach")


@pytest.mark.rules("N-l-priority")
def test_the_worse_of_lift_and_carry_governs():
    """An easy lift carried often 15 m ranks above a lift of index 1.5, and its band is that of no easy lift."""
    light = lift(task="far", mass=6.0, carry=15.0, horizontal_destination=30.0, coupling="good")
    rows = words.worst_first(rated(lift(), light))
    assert [row.task for row in rows] == ["far", "set core"]
    assert rows[0].li < 1 < rows[0].carrying.share == rows[0].governing
    assert status.status_text(rows[0]).startswith("Carrying: ")
    assert "Beyond a carrying limit: 1, first P1 · far" in words.answer(rows)


def test_the_carrying_limits_are_those_of_two_hands():
    """One hand: no share of a limit made for two, and that is said; the lift is rated, as a lower limit."""
    a_case = case(lift(hands=1, mass=20.0, carry=6.0))
    (row,) = screen(a_case, [standard(30.0)])
    (found,) = fittings(a_case, (row,))
    assert row.carrying is None and found.carrying is None and found.missing[-1] == "carry_one_hand"
    assert row.li > 1 and row.at_least == ("one_handed", "carrying")


@pytest.mark.rules("CARRY-share")
@pytest.mark.unverified
def test_of_a_load_that_two_carry_each_bears_a_share():
    """[iso11228_2003], memory: 40 kg carried by two are 20 of 25 kg each."""
    (row,) = rated(lift(mass=40.0, persons=2, carry=3.0, lifts_per_mold=0.01))
    assert row.carrying.carried["mass"] == 20 and not row.carrying.beyond_mass


OUTSIDE = [
    ({"hands": 1}, {}, "one_handed"),
    ({"seated": True}, {}, "seated"),
    ({"restricted": True}, {}, "restricted"),
    ({"unstable": True}, {}, "unstable"),
    ({"slippery": True}, {}, "slippery"),
    ({"fast": True}, {}, "fast"),
    ({"carry": 4.0}, {}, "carrying"),
    ({}, {"hours_per_shift": 10.0}, "over_8_h"),
    ({}, {"temperature": 31.0}, "hot"),
    ({}, {"temperature": 12.0}, "cold"),
]


@pytest.mark.rules(
    "N-t-8h",
    "N-x-8h",
    "N-x-carry",
    "N-x-friction",
    "N-x-onehand",
    "N-x-refuse",
    "N-x-seated",
    "N-x-space",
    "N-x-speed",
    "N-x-unstable",
)
@pytest.mark.parametrize(("what", "place", "code"), OUTSIDE, ids=[code for _, _, code in OUTSIDE])
def test_outside_the_conditions_the_index_is_a_lower_limit(what, place, code):
    """[waters1994] section 1.2: index, RWL 0 and order stand as they were, marked, with the reason."""
    lifts = lift(), lift(task="far", horizontal_destination=70.0), lift(task="near", horizontal_destination=40.0)
    within = rated(*lifts)
    outside = rated(*(replace(one, **what) for one in lifts), place=Place(**place))
    assert [row.li for row in outside] == [row.li for row in within]
    assert [row.rwl for row in outside] == [row.rwl for row in within] and outside[1].rwl == 0
    assert all(row.at_least == (code,) and row.applies for row in outside)
    order = [[row.task for row in words.worst_first(rows)] for rows in (within, outside)]
    assert order[0] == order[1]
    cells = table_row(outside[0], "metric")
    assert cells["LI"].startswith("≥ ") and status.why_not([code]) in words.task_sentence(outside[0], "metric")
    assert status.why_not([code]) in words.answer(outside)


def test_a_good_index_in_the_heat_proves_nothing():
    """0.3 at 31 °C is not the band of the protected; redesign does not say that no change is needed."""
    a_case = case(lift(mass=2.0), place=Place(temperature=31.0))
    (row,) = screen(a_case, [standard(30.0)])
    assert row.li < 1 and BEST not in status.status_text(row) and "not proven" in status.status_text(row)
    said = redesigned(row, redesign_of(more_task(a_case, row), lift(), {}))
    assert "No change is needed" not in said and "hotter than 26" in said


def redesigned(row, found):
    """What is said of the redesign of a row of a case in metric units."""
    return more.redesign_sentence(found, "metric", target=1.0, at_least=row.at_least, part=status.part_sentence(row))


def more_task(a_case, row):
    """The task of a row, ready to be changed."""
    from coreset.lifting.task_values import task_at

    return task_at(a_case, a_case.lifts[0], row)


PLACE = st.fixed_dictionaries({"temperature": st.floats(-5, 45), "hours_per_shift": st.floats(1, 14)})
TASK = st.fixed_dictionaries(
    {
        "mass": st.floats(0.5, 200),
        "carry": st.floats(0, 40),
        "hands": st.sampled_from([1, 2]),
        "seated": st.booleans(),
        "slippery": st.booleans(),
        "horizontal_destination": st.floats(25, 80),
        "lifts_per_mold": st.floats(0.01, 8),
    }
)
WORSE = ("temperature", "cold", "hours", "carry", "mass", "seated", "slippery", "pace", "reach")


def worsened(what, place, which, by):
    """The same task with one thing made worse."""
    what, place = dict(what), dict(place)
    if which == "temperature":
        place["temperature"] = max(place["temperature"], 19.0) + by
    elif which == "cold":
        place["temperature"] = min(place["temperature"], 26.0) - by
    elif which == "hours":
        place["hours_per_shift"] += by
    elif which in {"seated", "slippery"}:
        what[which] = True
    elif which == "pace":
        what["lifts_per_mold"] += by / 10
    else:
        name = {"reach": "horizontal_destination"}.get(which, which)
        what[name] += by
    return what, place


@given(TASK, PLACE, st.sampled_from(WORSE), st.floats(0.1, 100))
def test_worse_never_looks_better(what, place, which, by):
    """Whatever is made worse, nothing that was known is lost, nothing falls, and the place in the list is no later."""
    if which in {"temperature", "cold"}:  # from a place within the range, or on that side of it
        place["temperature"] = max(place["temperature"], 19.0) if which == "temperature" else 20.0
    (before,), (after,) = (
        rated(lift(**w), place=Place(**p)) for w, p in ((what, place), worsened(what, place, which, by))
    )
    assert before.applies and after.applies
    assert after.governing >= before.governing - 1e-9
    assert {*before.at_least} - {"hot", "cold"} <= {*after.at_least}
    assert not (before.rwl == 0 and after.rwl)
    assert (before.carrying is None) or (after.carrying.share >= before.carrying.share - 1e-9)
    assert words.rank(after) <= (*words.rank(before)[:2], words.rank(before)[2] + 1e-9)
    better = BEST in status.status_text(after) and BEST not in status.status_text(before)
    assert not better


def test_an_index_that_is_a_lower_limit_proves_no_one_better_off():
    """From two hands to one hand at a shorter reach: not better; the same heat on both sides compares as before."""
    hand, near = lift(horizontal_destination=55.0), lift(task="mask", method="core setter", horizontal_destination=35.0)
    timed = [standard(30), standard(30, "core setter")]
    assert compared(case(hand, replace(near, hands=1)), timed)[0].verdict == "unknown"
    assert compared(case(replace(hand, hands=1), near), timed)[0].verdict == "better"
    assert compared(case(hand, near, place=Place(temperature=31.0)), timed)[0].verdict == "better"


def of_the_job():
    """The two tasks of the demo that are within the limit one by one, and above it together."""
    return [
        row for row in assessed().handling if (row.pattern, row.method, bool(row.job)) == ("VB24", "core setter", True)
    ]


def test_a_task_within_the_limit_in_a_job_above_it():
    """0.79 and 0.67 within a composite of 1.61: every output says the job's index with the task's."""
    rows = of_the_job()
    assert [round(row.li, 2) for row in rows] == [0.79, 0.67] and {round(row.job.index, 2) for row in rows} == {1.61}
    for row in rows:
        cells = table_row(row, "metric")
        assert BEST not in cells["Band"] and cells["Job"] == "CLI 1.61" and "increased risk" in cells["Band"]
        assert "composite index governs: CLI 1.61" in words.task_sentence(row, "metric")
    assert (
        "Jobs of several lifts with a composite index above 1.0: 2 of 3; the highest is VB24 (core setter), CLI 1.61"
        in (words.answer(assessed().handling))
    )


def test_redesign_of_a_part_does_not_speak_for_the_whole():
    """That no change is needed is said of no task whose job is above the target, or is not this task alone."""
    row = of_the_job()[0]
    index = assessed().handling.index(row)
    task = more_task(replace(assessed().case, lifts=(assessed().case.lifts[index],)), row)
    found = redesign_of(task, assessed().case.lifts[index], {})
    said = redesigned(row, found)
    assert "No change is needed" not in said and "CLI 1.61" in said
    assert "No change is needed" in redesigned(replace(row, job=None), found)


@pytest.mark.parametrize("output", ["screen", "short table"])
def test_the_command_and_the_brief_name_the_job(output):
    """The lines of its tasks that the short tables hold have the 1.61 of the job."""
    text = screen_text(assessed()) if output == "screen" else "\n".join(map(str, tables.handling(assessed())))
    lines = [line for line in text.splitlines() if "core into mask" in line and "VB24" in line]
    assert lines and all("CLI 1.61" in line for line in lines)


def test_the_highest_index_of_the_brief_is_that_of_a_job_where_it_is_higher():
    """Without its masks the setter's highest index is the composite of one pattern."""
    left = tuple(row for row in assessed().handling if row.pattern == "VB24" and "mask of" not in row.task)
    said = load_on_people(replace(assessed(), handling=left))
    assert "is 1.11 under manual and 1.61 under core setter" in said


def test_a_job_that_leaves_lifts_out_says_so():
    """A lift by two people beside a lift alone is no part of the composite: a lower limit, with the reason."""
    first, second, _ = rated(lift(), lift(task="b", mass=4.0), lift(task="box", persons=2))
    assert first.job.at_least == ("left_out",) == second.job.at_least
    assert status.job_text(first.job).startswith("CLI ≥ ") and "not covered" in words.task_sentence(first, "metric")


def test_a_job_beyond_the_table_is_told_in_every_task():
    """Two tasks of five a minute from below 75 cm in a long shift: each has an index, together their RWL is 0."""
    low = {"lifts_per_mold": 5.0, "vertical_origin": 70.0}
    first, second = rated(lift(**low), lift(task="b", **low), seconds=60.0)
    assert first.li and second.li and first.job.index is None and first.governing == math.inf
    assert status.status_text(first) == "RWL 0 for its job of 2 tasks" and status.job_text(first.job) == "RWL 0"
