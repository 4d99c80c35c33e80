"""COSI and CUSI [garg2017cosi]: limiting cases that any right formula gives back, and one sum by hand."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from handling_cases import case, lift, standard
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.bodywork.applicable_method import fittings
from coreset.bodywork.composite_strain import composite_strain, cumulative_strain, hand_jobs
from coreset.bodywork.hand_work import Hands, revised_hours, revised_rate, revised_strain_index
from coreset.bodywork.report import hand_jobs as words
from coreset.errors import OutOfRange
from coreset.lifting.screen import screen

RATE, HOURS = st.floats(0.5, 40), st.floats(0.1, 4)


def index(rate, hours=8.0):
    """RSI of one kind of effort at a rate."""
    return revised_strain_index(Hands(effort_borg=4, efforts_per_min=rate, exertion_s=0.5, hours=hours)).index


@pytest.mark.rules("COSI-sum")
@settings(max_examples=30)
@given(rates=st.lists(RATE, min_size=1, max_size=4))
def test_equal_tasks_are_one_task_of_the_added_rate(rates):
    """Tasks that differ in nothing but their rate are one task that has all their efforts."""
    found = composite_strain(indices=[index(rate) for rate in rates], efforts_per_min=rates)
    assert found.index == pytest.approx(index(1.0) / revised_rate(1.0) * revised_rate(sum(rates)))


@pytest.mark.rules("CUSI-sum")
@settings(max_examples=30)
@given(parts=st.lists(HOURS, min_size=1, max_size=4))
def test_a_job_split_over_the_day_is_the_job(parts):
    """A job done in several parts of a day is the job of all its hours."""
    found = cumulative_strain(indices=[index(10.0, h) for h in parts], hours=parts)
    assert found.index == pytest.approx(index(10.0, sum(parts)))


@pytest.mark.rules("COSI-sum")
def test_the_sum_of_different_tasks_by_hand():
    """RSI 6 at 10 a minute, 3 at 20: EM 2.6 and 5.1, together 7.6; 6 + 3/5.1 x (7.6 - 2.6) = 8.941."""
    found = composite_strain(indices=[3.0, 6.0], efforts_per_min=[20.0, 10.0])
    assert found.order == (1, 0) and found.increments[0] == 6.0
    assert found.index == pytest.approx(6 + 3 / 5.1 * 5.0)


@settings(max_examples=30)
@given(tasks=st.lists(st.tuples(st.floats(0.5, 20), RATE), min_size=2, max_size=5))
def test_the_whole_is_never_below_its_worst_task(tasks):
    """Each further task adds something, and one that hardly occurs adds hardly anything."""
    indices, rates = zip(*tasks, strict=True)
    found = composite_strain(indices=indices, efforts_per_min=rates)
    assert found.index > max(indices) and all(added > 0 for added in found.increments)
    assert all(indices[a] >= indices[b] for a, b in pairwise(found.order))
    seldom = composite_strain(indices=[*indices, min(indices) * 1e-6], efforts_per_min=[*rates, 1e-9])
    assert seldom.index == pytest.approx(found.index, rel=1e-4)


@pytest.mark.parametrize("given_", [([], []), ([1.0], [1.0, 2.0]), ([-1.0], [1.0])])
def test_what_cannot_be_is_refused(given_):
    """No task, another number of rates, less than nothing; an unknown rate leaves the index unknown."""
    with pytest.raises(OutOfRange):
        composite_strain(indices=given_[0], efforts_per_min=given_[1])
    assert math.isnan(composite_strain(indices=[1.0, 1.0], efforts_per_min=[math.nan, 2.0]).index)


def test_the_hand_tasks_of_a_case_are_one_job_and_a_shift():
    """Two hand tasks of each of two patterns: a COSI each, and the CUSI of the shift at the hours of each pattern."""
    hand = {"hands": 1, "mass": 1.0, "effort_borg": 3.0, "exertion_s": 1.0, "method": "manual"}
    lifts = [lift(task=f"t{n}", pattern=p, lifts_per_mold=n, **hand) for p in ("P1", "P2") for n in (2, 4)]
    one = case(*lifts)
    one = replace(one, patterns=(*one.patterns, replace(one.patterns[0], pattern="P2")))
    timed = [standard(60.0), standard(60.0, pattern="P2")]
    screened = screen(one, timed)
    *jobs, day = hand_jobs(one, fittings(one, screened), screened, timed)
    assert [job.pattern for job in jobs] == ["P1", "P2"] and day.pattern == ""
    for job in jobs:
        single = revised_strain_index(Hands(effort_borg=3.0, efforts_per_min=6.0, exertion_s=1.0))
        assert job.total.index == pytest.approx(single.index)
    hours = sum(job.minutes for job in jobs) / 60
    assert day.total.index == pytest.approx(jobs[0].total.index * revised_hours(hours) / revised_hours(8.0))
    assert words.several([*jobs, day]) == (*jobs, day)
    assert [row["pattern"] for row in words.hand_job_rows([day])] == ["all patterns of a shift"]
    *parts, whole = words.working(day)
    for line in parts:
        alone, share = map(float, line.numbers.split(" × "))
        assert alone * share == pytest.approx(line.value, abs=1e-3) and line.status == "memory"
    assert whole.value == day.total.index == pytest.approx(sum(line.value for line in parts))
