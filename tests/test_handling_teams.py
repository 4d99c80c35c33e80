"""Handling: loads that several people lift together."""

from dataclasses import replace

import pytest
from handling_cases import case, lift, standard

from coreset.lifting.job_status import job_statuses
from coreset.lifting.report.job_status import job_rows
from coreset.lifting.report.status import team_text
from coreset.lifting.report.task_table import task_rows
from coreset.lifting.screen import screen
from coreset.lifting.whole_job import with_jobs


def screened_and_jobs(*lifts, seconds=30.0):
    one = replace(case(*lifts), baseline="manual", candidate="manual")
    rows = with_jobs(one, [standard(seconds)], screen(one, [standard(seconds)]))
    return rows, job_statuses(one, [standard(seconds)], rows)


@pytest.mark.parametrize(
    ("mass", "persons", "status"),
    [(8.0, 2, "not_covered"), (25.0, 2, "above_1"), (25.0, 5, "above_1"), (80.0, 3, "above_3")],
)
def test_a_team_above_its_limit_is_not_just_unknown(mass, persons, status):
    """[hse2004] two thirds and half of the sum: above 1 it is said; below, an assessment is still needed."""
    (row,), (job,) = screened_and_jobs(lift(core="", mass=mass, persons=persons, lifts_per_mold=0.02))
    (alone,), _ = screened_and_jobs(lift(core="", mass=mass, lifts_per_mold=0.02))
    sum_of_limits = {2: 2 * 2 / 3, 3: 3 / 2, 5: 3 / 2}[persons] * alone.rwl
    assert row.li is None and row.team.index == pytest.approx(mass / sum_of_limits)
    assert (job.status, job.governing) == (status, pytest.approx(mass / sum_of_limits))
    assert job.at_least and job.kind == "team"


def test_where_one_person_may_lift_nothing_a_team_may_not_either():
    """Beyond 63 cm RWL is 0 [waters1994]: no share of nothing makes it good."""
    (row,), (job,) = screened_and_jobs(lift(persons=2, horizontal_destination=70.0))
    assert job.status == "beyond" and row.governing == float("inf")


def test_the_largest_load_counts_and_a_plain_lift_stays():
    """A team's index is for the heaviest piece; a lift by one person has none."""
    (usual, heavy, alone), _ = screened_and_jobs(
        lift(persons=2), lift(task="b", persons=2, mass_max=20.0), lift(task="c")
    )
    assert heavy.team.index == pytest.approx(2 * usual.team.index) and alone.team is None


@pytest.mark.parametrize("persons", [2, 3, 4])
def test_no_cell_of_a_team_is_empty(persons):
    """Table and jobs show the index as a lower limit, or RWL 0, never a dash."""
    rows, jobs = screened_and_jobs(lift(persons=persons), lift(task="far", persons=persons, horizontal_origin=80.0))
    cells = [list(row.values()) for row in task_rows(rows, "metric")]
    assert any("≥" in str(cell) and f"team of {persons}" in str(cell) for cell in cells[1])
    assert "RWL 0" in cells[0]
    assert "RWL 0" in job_rows(jobs)[0].values()


@pytest.mark.rules("HSE-team-uneven")
def test_the_cautions_of_a_team_are_said():
    """Uneven heights and grips, the weaker member, and that no factor above three was read."""
    (two, five), _ = screened_and_jobs(lift(persons=2), lift(task="b", persons=5))
    assert "heights or grips differ" in team_text(two.team) and "more than 3" not in team_text(two.team)
    assert "more than 3 people" in team_text(five.team) and team_text(None) == ""
