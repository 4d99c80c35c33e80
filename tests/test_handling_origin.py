"""FM takes V at the origin at both ends of a lift, wherever a lift is rated; [waters1994] section 1.3.5 and Table 5."""

from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard
from test_handling_smallest import task

from coreset.case import Case
from coreset.lifting.job import index_at, job_of
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.pace_and_mix import job_mix
from coreset.lifting.report.working import working_of
from coreset.lifting.screen import screen
from coreset.lifting.task_values import ends_of, limit_at

NINE_PER_MIN_S = 60 / 9
"""Standard time at which one lift a mold is nine a minute: long, FM is 0.15 for V of 75 cm or more, else 0."""
HEIGHTS = {"lowered": (90.0, 70.0, 0.15), "raised": (70.0, 90.0, 0.0)}


def lowered_or_raised(kind) -> Case:
    """One lift a mold, from a bench down to a mold, or up."""
    origin, destination, _ = HEIGHTS[kind]
    return case(lift(vertical_origin=origin, vertical_destination=destination, mass=1.0))


@pytest.mark.rules("N-v-fm")
@pytest.mark.parametrize("kind", HEIGHTS)
def test_both_ends_of_a_screened_task_take_the_multiplier_of_the_origin(kind):
    """[waters1994] Table 5, long, 9 a minute: 0.15 from 75 cm on, 0 below; V of the destination does not enter."""
    one = lowered_or_raised(kind)
    (row,) = screen(one, [standard(NINE_PER_MIN_S)])
    assert row.origin.fm == row.destination.fm == HEIGHTS[kind][2]
    assert (row.rwl > 0) == (kind == "lowered")


@pytest.mark.rules("N-s-multi", "N-v-fm")
@pytest.mark.parametrize("kind", HEIGHTS)
def test_the_job_and_the_mix_take_the_multiplier_of_the_origin(kind):
    """One task: its index is FILI over FM at the origin; none where that is 0."""
    one = lowered_or_raised(kind)
    job = job_of(one, pattern="P1", method="manual")
    fm = HEIGHTS[kind][2]
    expected = job.tasks[0].fili / fm if fm else None
    assert job.tasks[0].end == "destination"
    assert index_at(job, 3600 / NINE_PER_MIN_S).index == (expected and pytest.approx(expected))
    mix = job_mix(one, [standard(NINE_PER_MIN_S)], method="manual")
    for found in (mix.variable, mix.gridded):
        assert found.index == (expected and pytest.approx(expected))


@pytest.mark.rules("N-v-fm")
@pytest.mark.parametrize("kind", HEIGHTS)
def test_what_is_changed_in_redesign_takes_the_multiplier_of_the_origin(kind):
    """A task with values that can be changed, scalars and arrays."""
    origin, destination, fm = HEIGHTS[kind]
    one = task(mass=1.0, vertical_origin=origin, vertical_destination=destination, frequency_per_min=9.0)
    one = replace(one, duration="long", control_at_destination=True)
    assert [rate(end).fm for end in ends_of(one).values()] == [fm, fm]
    limits = limit_at(one, vertical_origin=np.array([80.0, 60.0]))
    assert limits[0] > 0 == limits[1]


def test_the_working_says_whose_height_was_taken():
    """FM names V at the origin, CM the height of its own end."""
    posture = Posture(
        horizontal=30, vertical=70, vertical_at_origin=90, frequency_per_min=9, duration="long", coupling="fair"
    )
    lines = {line.symbol: line for line in working_of(posture, rate(posture), mass=1.0)}
    assert lines["FM"].numbers == "table at 9/min, long, V at the origin from 75 cm" and lines["FM"].value == 0.15
    assert lines["CM"].numbers == "fair, V below 75 cm" and lines["CM"].value == 0.95
