"""Single readings: what a running watch tells, which rating holds, which cycles are tries."""

import numpy as np
import pytest
from study_cases import NAN, case, study

from coreset.case import Correction, Element
from coreset.errors import StudyError
from coreset.study.attempts import tries
from coreset.study.element_times import element_times
from coreset.study.pooling import standards
from coreset.study.time_balance import balance

WHO = {"who": "E1", "when": "2026-01-01", "why": "stuck"}


@pytest.mark.rules("CLOCK-modes")
def test_a_running_watch_by_hand():
    """Two breakpoints at once leave 0 s between them; after one that was not read the next row spans both."""
    rows = [(1, "a", 5.0), (1, "b", 5.0), (2, "a", NAN, NAN, "missed"), (2, "b", 12.0), (3, "a", 15.0)]
    timed = element_times(study(rows, "ab", timing="continuous"))
    assert timed.seconds[[0, 1, 3, 4]].tolist() == [5.0, 0.0, 7.0, 3.0] and np.isnan(timed.seconds[2])
    assert timed.missed.tolist() == [False, False, True, True, False]
    assert timed.good.tolist() == [True, True, False, False, True]
    first = element_times(study([(1, "a", NAN, NAN, "missed"), (1, "b", 4.0)], "ab", timing="continuous"))
    assert first.seconds[1] == 4.0 and first.missed.tolist() == [True, True]


@pytest.mark.parametrize("timing", ["continuous", "snapback"])
def test_a_study_without_readings_has_no_times(timing):
    """Nothing is read, nothing is refused."""
    timed = element_times(study([], "a", timing=timing))
    assert len(timed.seconds) == len(timed.good) == len(timed.rating) == 0
    assert standards(case([study([], "a", timing=timing)])) == ()


def test_a_watch_that_is_set_back_takes_no_negative_time():
    """0 s is a time; less is none, and is named."""
    assert element_times(study([(1, "a", 0.0)], "a")).seconds.tolist() == [0.0]
    with pytest.raises(StudyError, match="row 2, column reading_s: found .*-0.1"):
        element_times(study([(1, "a", -0.1)], "a"))


def test_which_rating_holds():
    """A reading's own, else its element's, else the study's; 0 is none, a small one counts; machines have none."""
    rows = [(1, "a", 5.0, 120.0), (1, "b", 5.0), (1, "c", 5.0), (1, "m", 5.0, 120.0), (2, "a", 5.0, 0.0),
            (2, "b", 5.0, 0.5), (2, "f", 5.0, 90.0, "foreign")]  # fmt: skip
    elements = [Element(name="a", rating_pct=80.0), Element(name="b", rating_pct=70.0), "c",
                Element(name="m", kind="machine")]  # fmt: skip
    found = element_times(study(rows, elements, rating_pct=95.0)).rating
    assert found[[0, 1, 2, 4, 5]].tolist() == [120.0, 70.0, 95.0, 80.0, 0.5] and np.isnan(found[[3, 6]]).all()


def test_tries_leave_out_cycles_that_are_not_known():
    """One row missed or set aside is enough; a row of foreign time is none of the work."""
    rows = [(1, "a", 5.0), (1, "b", 2.0), (2, "a", NAN, NAN, "missed"), (2, "b", 2.0), (3, "a", 6.0), (3, "b", 2.0),
            (4, "a", 7.0), (4, "x", 9.0, NAN, "foreign"), (4, "b", 2.0, NAN, "failed")]  # fmt: skip
    times, done = tries(study(rows, "ab", corrections=(Correction(seq=6, action="exclude", **WHO),)))
    assert (times.tolist(), done.tolist()) == ([7.0, 9.0], [True, False])


def test_foreign_time_after_a_missed_breakpoint_is_not_all_foreign():
    """a 5 s, b 7 s; then b missed and a truck until 40 s: 40 - 17 = 23 s, of which b's mean of 7 s is work."""
    missed, truck = (2, "b", NAN, NAN, "missed"), (2, "truck", 40.0, NAN, "foreign")
    begun = [(1, "a", 5.0), (1, "b", 12.0), (2, "a", 17.0), missed]
    made = study([*begun, truck, (3, "a", 45.0), (3, "b", 52.0)], "ab", timing="continuous")
    found = balance(made, element_times(made))
    assert (found.ineffective_s, found.effective_s, found.missed_s) == (16.0, 36.0, 7.0)
    assert found.effective_s + found.ineffective_s == 52.0
    short = [*begun, (2, "truck", 20.0, NAN, "foreign"), (3, "a", 25.0), (3, "b", 32.0)]
    made = study(short, "ab", timing="continuous")
    assert balance(made, element_times(made)).ineffective_s == 0.0
