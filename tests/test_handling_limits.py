"""Where handling has little or nothing to rate: no pace, no pattern, hoists only, one end that counts."""

import math
from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard
from test_handling_refusals import ROW, task

from coreset.bodywork.applicable_method import fittings
from coreset.bodywork.energy import endurance_min
from coreset.bodywork.static_hold import holds, static_rest_share
from coreset.bodywork.workload import workload, workloads
from coreset.case import Pattern, Place, Range
from coreset.lifting.controls import whole_measures
from coreset.lifting.duration import averaged_per_min
from coreset.lifting.en_iso import factored_index
from coreset.lifting.exposure import compared
from coreset.lifting.job import crossings, index_at, job_of
from coreset.lifting.lever_ranges import allowed, usual_ranges
from coreset.lifting.lift_table import variable_of_rows
from coreset.lifting.pace_and_mix import job_mix, rotation
from coreset.lifting.redesign import smallest_changes
from coreset.lifting.screen import screen
from coreset.lifting.task_values import index_of, linked, task_at

OTHER = Pattern(pattern="P2", molds_per_year=Range.exactly(5_000), runs_per_year=10)


def with_other(a_case):
    """The same case with a second pattern that nobody timed."""
    return replace(a_case, patterns=(*a_case.patterns, OTHER))


def test_a_pattern_that_was_not_timed_is_left_out_everywhere():
    """P2 has lifts and no standard: comparison, job mix and rotation are those of P1 alone, and P2 has no workload."""
    lifts = [lift(method=m, pattern=p, core="", mass=8.0) for p in ("P1", "P2") for m in ("manual", "core setter")]
    two, alone = with_other(case(*lifts)), case(*[one for one in lifts if one.pattern == "P1"])
    timed = [standard(40.0), standard(30.0, method="core setter")]
    assert [row.pattern for row in compared(two, timed)] == ["P1"]
    assert compared(two, timed)[0].before == compared(alone, timed)[0].before
    for method in ("manual", "core setter"):
        mixed, own = job_mix(two, timed, method=method), job_mix(alone, timed, method=method)
        assert (mixed.total_per_min, mixed.variable.index) == (own.total_per_min, own.variable.index)
        assert rotation(two, timed, method=method) == rotation(alone, timed, method=method)
    assert {(row.pattern, row.method) for row in workloads(two, timed)} == {("P1", "manual"), ("P1", "core setter")}
    assert holds(two, "P2", "manual", timed) == ()


def test_hoists_alone_leave_no_index():
    """What a hoist holds is not lifted: no job mix, no rotation, nothing to rate together."""
    a_case = case(lift(hoist=True))
    found = job_mix(a_case, [standard(40.0)], method="manual")
    assert (found.variable, found.gridded, found.total_per_min, found.left_out) == (None, None, 0.0, 1)
    assert rotation(a_case, [standard(40.0)], method="manual") is None
    none = variable_of_rows([{**ROW, "two_persons": True}], total_per_min=1.0)
    assert (none.rated, none.variable, none.gridded) == (0, None, None)


@pytest.mark.rules("N-r-dest", "N-s-both")
def test_only_the_end_that_needs_control_counts():
    """Without control at the destination its longer reach lowers nothing; with it, it does."""
    indices = []
    for control in (False, True):
        level = {"vertical_origin": 75.0, "vertical_destination": 75.0}
        one = lift(horizontal_origin=30.0, horizontal_destination=60.0, control_at_destination=control, **level)
        job = job_of(case(one), pattern="P1", method="manual")
        assert job.tasks[0].end == ("destination" if control else "origin")
        indices.append(index_at(job, 60.0).index)
    assert indices[1] / indices[0] == pytest.approx(60 / 30)


def test_a_light_task_done_seldom_passes_no_limit_at_any_pace():
    """One lift in a thousand molds: no pace of a mold line brings it above 3, so the limit lies nowhere."""
    job = job_of(case(lift(lifts_per_mold=0.001), mass=2.0), pattern="P1", method="manual")
    assert {row.molds_per_h for row in crossings(job, (1.0, 3.0))} == {math.inf}
    heavy = job_of(case(lift(), mass=40.0), pattern="P1", method="manual")
    assert [(row.molds_per_h, row.kind) for row in crossings(heavy, (1.0,))] == [(0.0, "always")]


def test_a_platform_under_high_places_is_the_best_height():
    """Both places at 130 cm: over 55 cm of platform the hands are at 75 cm, where VM is 1 by the equation."""
    high = {"vertical_origin": 130.0, "vertical_destination": 130.0}
    a_case = case(lift(**high))
    one = task_at(a_case, lift(**high), screen(a_case, [standard(60.0)])[0])
    measures = {row.code: row for row in whole_measures(one, lift(**high))}
    assert measures["platform"].height == pytest.approx(55.0, abs=0.5)
    vm = 1 - 0.003 * 55
    assert measures["platform"].index == pytest.approx(float(index_of(one)) * vm, rel=1e-3)
    assert linked(one, platform=55.0)["vertical_origin"] == 75.0
    assert "platform" not in {row.code for row in whole_measures(task(), lift())}


def test_a_lighter_core_is_a_change_only_where_it_is_named():
    """The mass stands unless a lighter core is named: then down to half of it; a range of no width changes nothing."""
    one = task()
    assert "mass" not in allowed(one, ()) and set(usual_ranges(one)) - set(allowed(one, ())) == {"mask_tilt_deg"}
    assert allowed(one, ("lighter_core", "split_core")) == {}
    index = float(index_of(one))
    (after,) = smallest_changes(one, {"mass": np.arange(5.0, 10.1, 0.5)}, target=0.8 * index)
    assert after == {"mass": 8.0}


def test_spells_without_any_minutes_hold_no_lifts():
    """Neither work nor light work: nothing is lifted in the busiest quarter of an hour, and the calculation ends."""
    assert averaged_per_min(6.0, [(0, 0)]) == 0.0
    assert averaged_per_min(6.0, [(5, 10)]) == pytest.approx(2.0)


@pytest.mark.unverified
def test_long_shifts_and_other_tasks_multiply_into_the_limit():
    """[en1005_2], [iso11228_2021], memory: ten hours 0.93, other heavy tasks 0.8; beyond 12 h at least the last."""
    plain, both = (factored_index(20.0, 10.0, hands=2, persons=1, hours=h, extra_tasks=h > 8) for h in (8.0, 10.0))
    assert plain.factors == {} and plain.index == 0.5
    assert both.factors == pytest.approx({"long_shift": 0.93, "extra_tasks": 0.8})
    assert both.rwl == pytest.approx(20 * 0.93 * 0.8)
    one = lift(hands=1, mass=6.0)
    indices = []
    for hours, at_least in ((12.0, False), (12.5, True)):
        a_case = case(one, place=Place(hours_per_shift=hours))
        found = fittings(a_case, screen(a_case, [standard(30.0)]))[0].factored
        assert found.at_least is at_least
        indices.append(found.index)
    assert indices[0] == indices[1]


@pytest.mark.unverified
def test_rest_after_a_hold_needs_its_effort_and_its_seconds():
    """[rohmert1960], memory, at 60 holds an hour of 3 s at 0.3 of strength; what is not stated has no hold."""
    stated = lift(effort_borg=3.0, exertion_s=3.0)
    a_case = case(stated, lift(task="b", effort_borg=3.0), lift(task="c", exertion_s=3.0))
    found = holds(a_case, "P1", "manual", [standard(60.0)])
    assert [row.task for row in found] == ["set core"]
    t, whole = 3 / 60, endurance_min(0.3)
    assert found[0].rest_min_per_h == pytest.approx(60 * t * 18 * (t / whole) ** 1.4 * (0.3 - 0.15) ** 0.5)
    assert static_rest_share(0.0, 0.3) == 0.0
    weak = holds(case(lift(effort_borg=1.0, exertion_s=3.0)), "P1", "manual", [standard(60.0)])[0]
    assert (weak.endurance_min, weak.rest_min_per_h) == (0.0, 0.0)


def test_a_lift_without_a_known_load_does_no_work():
    """A mask whose mass nobody entered adds nothing to the energy: the figure is that of the known lift alone."""
    known, unknown = lift(), lift(task="mask", core="")
    both, alone = (workload(case(*lifts), pattern="P1", method="manual", standard_s=40.0)
                   for lifts in ((known, unknown), (known,)))  # fmt: skip
    assert both == alone
    resting = workload(case(unknown), pattern="P1", method="manual", standard_s=40.0)
    assert resting.kcal_per_min < alone.kcal_per_min
