"""Handling: more load, pace or time never makes a job look better, and a pause is credited once."""

import numpy as np
import pytest
from handling_cases import case, lift, standard
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.case import Place
from coreset.lifting.composite import composite_index
from coreset.lifting.constants import DURATIONS
from coreset.lifting.duration import averaged_per_min, duration_class
from coreset.lifting.exposure import compared
from coreset.lifting.job import index_at, job_of
from coreset.lifting.report.exposure import verdict_sentence
from coreset.lifting.rising_sum import rising_sum

FASTER = {"fili": [2.0, 1.6], "vertical": [80, 80], "duration": "long"}
"""Two tasks, one a minute and F2 a minute: at F2 = 2.5 their STLI are equal and their order changes."""


def test_a_faster_task_lowers_the_published_index_but_not_the_sum():
    """By hand from Table 5, long: FM .85 at 1, .7625 at 2.25 and so on; the published order gives 3.58, 3.33, 3.72."""
    published, sums = [], []
    for pace in (2.25, 2.5, 3.0):
        f = {"frequency_per_min": [1.0, pace]}
        published.append(composite_index(stli_independent=FASTER["fili"], **FASTER, **f).index)
        sums.append(rising_sum(**FASTER, **f))
    assert [round(x, 2) for x in published] == [3.58, 3.33, 3.72] and sums == sorted(sums)
    assert sums[0] == pytest.approx(published[0])


TASKS = st.lists(st.tuples(st.floats(0.05, 3), st.floats(0, 4), st.floats(0, 170)), min_size=1, max_size=5)


@settings(max_examples=50)
@given(TASKS, st.integers(0, 4), st.sampled_from(["load", "pace", "hours", "height"]), st.floats(0.01, 4))
def test_the_sum_rises_with_every_load_pace_and_hour(tasks, which, what, by):
    """One task heavier, more frequent, lower, or the job longer: the sum does not fall, and no value comes back."""
    load, pace, height = (np.array(column) for column in zip(*tasks, strict=True))
    which %= len(tasks)
    classes = ("moderate", "long") if what == "hours" else ("moderate", "moderate")
    before = rising_sum(fili=load, frequency_per_min=pace, vertical=height, duration=classes[0])
    load[which] += by if what == "load" else 0
    pace[which] += by if what == "pace" else 0
    height[which] = min(height[which], 40.0) if what == "height" else height[which]
    after = rising_sum(fili=load, frequency_per_min=pace, vertical=height, duration=classes[1])
    assert after is None or (before is not None and after >= before * (1 - 1e-12))


@settings(max_examples=50)
@given(st.lists(st.floats(0.1, 3), min_size=1, max_size=4), st.floats(0.2, 2), st.sampled_from(DURATIONS))
def test_the_sum_is_the_composite_index_where_the_order_agrees(loads, pace, duration):
    """[waters1994] section 2.4.5: of tasks equally frequent the one of the highest FILI has the highest STLI."""
    shared = {"fili": loads, "frequency_per_min": [pace] * len(loads), "vertical": [80.0] * len(loads)}
    found = composite_index(stli_independent=loads, duration=duration, **shared).index
    assert rising_sum(duration=duration, **shared) == (None if found is None else pytest.approx(found))


def test_before_and_after_are_compared_by_the_sum():
    """The setter's second task is a little faster: its published index falls, and the work is said to be harder."""
    lifts = [
        lift(task=f"{task} {method}", method=method, mass=mass, frequency_per_min=pace)
        for method, second in (("manual", 2.25), ("core setter", 2.5))
        for task, mass, pace in (("a", 20.0, 1.0), ("b", 16.0, second))
    ]
    (row,) = compared(case(*lifts), [standard(60.0), standard(60.0, "core setter")])
    assert row.after.index < row.before.index and (row.verdict, row.order_only) == ("worse", True)
    assert "only because the order of the tasks" in verdict_sentence([row], "manual", "core setter")


@pytest.mark.rules("N-t-least")
@pytest.mark.parametrize(("pause", "hours"), [(10.0, 8.0), (11.0, 7.5), (12.0, 6.0)])
def test_a_pause_is_credited_once(pause, hours):
    """[waters1994] p. 16: 9 a minute for 5 of 15 minutes is 3 a minute, long; a minute more of pause changes no class.

    A pause of 33 minutes is enough for a sample of 15, with its recovery of 18; the 2021 revision asks for 30.
    """
    spells = [(5.0, pause)] * int(hours * 60 / (5 + pause))
    assert averaged_per_min(9.0, spells) == pytest.approx(3.0) and duration_class(spells) == "long"
    assert duration_class([(5.0, 33.0)]) == duration_class([(5.0, 30.0)], edition="2021") == "short"
    assert duration_class([(5.0, 30.0)]) == "moderate"


def test_a_frequency_that_was_counted_is_not_averaged_again():
    """An override is the mean of 15 minutes already: alone and in a job the pause is credited as often, not at all."""
    place = Place(sessions_min=((5.0, 10.0),))
    job = job_of(case(lift(frequency_per_min=3.0), place=place), pattern="P1", method="manual")
    plain = job_of(case(lift(frequency_per_min=3.0, duration=job.duration)), pattern="P1", method="manual")
    assert index_at(job, 0.0).index == index_at(plain, 0.0).index


def test_the_heaviest_piece_of_a_mix_counts_in_the_sum():
    """[waters1994] p. 27: a largest load of 18 beside a mean of 10 kg raises the sum to 1.8 times the index."""
    found = index_at(job_of(case(lift(mass_max=18.0)), pattern="P1", method="manual"), 60.0)
    assert found.rising == pytest.approx(1.8 * found.index)


def test_frequencies_that_add_up_to_the_last_row_of_the_table_lie_in_it():
    """3.2 + 1.6 + 3.4 + 1.3 + 2.5 is a bit above 12 in binary digits; equal loads give FILI over the FM of 12 (.37)."""
    f = [3.2, 1.6, 3.4, 1.3, 2.5]
    assert np.cumsum(f)[-1] > 12
    found = rising_sum(fili=[1.0] * 5, frequency_per_min=f, vertical=[80.0] * 5, duration="short")
    assert found == pytest.approx(1 / 0.37)
