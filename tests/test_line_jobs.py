"""The job mix: hours by hand, mask changes only where a mask is there."""

from dataclasses import replace

import plant
import pytest

from coreset.case import Line
from coreset.line.job_mix import job_mix


def mix(masks=(), **line):
    """A year of the invented plant with masks on some patterns."""
    case = plant.plant(line=Line(changeover_min=15.0, shifts_per_day=2.0, days_per_year=230, **line))
    case = replace(case, setter=replace(case.setter, mask_change_min=12.0))
    return job_mix(case, plant.rates(), dict.fromkeys(masks, "core setter"))


def test_hours_by_hand():
    """210 runs of 15 min and the molds at their rates; what is left is the rest of 3,680 h."""
    found = mix()
    molding = 60_000 * 41 / 3600 + 40_000 * 62 / 3600 + 50_000 * 24 / 3600 + 1_500 * 48 / 3600
    assert len(found.runs) == 210
    assert found.needed_h == pytest.approx(molding + 210 * 0.25)
    assert found.left_h == pytest.approx(3_680 - found.needed_h)


def test_mask_changes_of_masked_runs_and_of_those_after_them():
    """All masked: every run changes a mask. One masked: its 60 runs, and each run by hand after one of them."""
    everything, nothing = mix(("HUB", "BOX", "CAP", "JOB")), mix()
    saved = sum(nothing.change_h.values()) + 210 * 12 / 60
    assert sum(everything.change_h.values()) == pytest.approx(saved)
    one = mix(("BOX",))
    after = sum(
        a.method == "core setter" and b.method == "manual" for a, b in zip(one.runs, one.runs[1:], strict=False)
    )
    assert sum(one.change_h.values()) == pytest.approx(210 * 0.25 + (60 + after) * 0.2)


def test_runs_follow_one_another_without_gaps():
    """Each run begins where the one before ended, and every pattern comes as often as it is set up."""
    found = mix(("HUB",))
    assert all(b.start_h == pytest.approx(a.end_h) for a, b in zip(found.runs, found.runs[1:], strict=False))
    assert sum(run.pattern == "JOB" for run in found.runs) == 40
    assert 0 < len(found.first(40.0)) < 210
