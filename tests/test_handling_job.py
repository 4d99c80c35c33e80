"""Handling: composite, variable and sequential indices; the index against pace; bands."""

import math

import numpy as np
import pytest
from handling_cases import case, lift
from hypothesis import assume, given
from hypothesis import strategies as st

from coreset.errors import OutOfRange
from coreset.lifting.bands import band_of, bands
from coreset.lifting.composite import composite_index, sequential_index, variable_index
from coreset.lifting.equation import frequency_multiplier
from coreset.lifting.job import crossings, index_at, job_of, pace_curve
from coreset.sources import table

TASKS = st.lists(st.tuples(st.floats(0.1, 4), st.floats(0.05, 2), st.floats(0.5, 1)), min_size=1, max_size=6)
DURATION = st.sampled_from(["short", "moderate", "long"])


@pytest.mark.rules("N-m-cli")
@pytest.mark.unverified
def test_composite_example():
    """[waters1994] section 2.4.5, from memory: 1.6 + 0.07 + 0.20 printed 1.9; exactly 1.863."""
    rows = table("waters1994/example_cli").rows
    part = {name: np.array([float(row[name]) for row in rows]) for name in rows[0]}
    fili = part["load_lb"] / part["firwl_lb"]
    found = composite_index(
        fili=fili,
        stli_independent=fili,
        frequency_per_min=part["frequency_per_min"],
        vertical=[40, 40, 40],
        duration="short",
        units="us",
    )
    assert found.index == pytest.approx(1.863, abs=5e-4)
    assert round(found.index, 1) == 1.9
    assert found.order == (0, 1, 2)
    assert found.fili == pytest.approx(part["fili"], abs=0.0051)
    assert found.stli == pytest.approx(part["stli"], abs=0.051)
    assert found.increments == pytest.approx(part["increment"], abs=0.0055)


@pytest.mark.rules("N-m-fmsum")
@given(tasks=TASKS, duration=DURATION)
def test_composite_is_bounded_by_its_tasks(tasks, duration):
    """Largest STLI <= CLI <= largest FILI at the total frequency (arithmetic of the definition)."""
    fili, f, share = (np.array(column) for column in zip(*tasks, strict=True))
    found = composite_index(
        fili=fili, stli_independent=fili * share, frequency_per_min=f, vertical=[80] * len(f), duration=duration
    )
    at_total = frequency_multiplier(f.sum(), duration, 80)
    assume(found.index is not None)
    assert found.stli.max() <= found.index + 1e-12
    assert found.index <= fili.max() / at_total + 1e-9


@given(tasks=TASKS, duration=DURATION, more=st.floats(0.1, 3))
def test_more_of_anything_bad_never_lowers_the_composite(tasks, duration, more):
    """A task more, or a heavier largest load, never lowers the index."""
    fili, f, _ = (list(column) for column in zip(*tasks, strict=True))

    def index(load, frequency):
        return composite_index(
            fili=load, stli_independent=load, frequency_per_min=frequency, vertical=[80] * len(load), duration=duration
        ).index

    base, further = index(fili, f), index([*fili, 0.5], [*f, more])
    assert further is None or (base is not None and further >= base - 1e-9)
    heavier = index([x + more for x in fili], f)
    assert heavier is None or heavier >= base - 1e-9


def test_beyond_the_table_the_composite_is_outside_the_method():
    """FM 0 at the cumulated frequency: no index, and the task that takes it there is named."""
    found = composite_index(
        fili=[1, 1], stli_independent=[1, 1], frequency_per_min=[9, 8], vertical=[80, 80], duration="short"
    )
    assert found.index is None and found.outside == 1


@pytest.mark.rules("N-v-cli")
def test_above_8_a_minute_the_added_task_chooses_the_column():
    """The rule for mixed heights is stated: the added task's own V."""
    task = {"fili": [1.0, 0.5], "stli_independent": [1.0, 0.5], "frequency_per_min": [6.0, 3.0], "duration": "long"}
    assert composite_index(vertical=[40, 80], **task).index is not None
    assert composite_index(vertical=[80, 40], **task).index is None


@pytest.mark.rules("VLI-lifts")
@given(fili=st.floats(0.1, 5), f=st.floats(0.2, 8), duration=DURATION)
def test_variable_index_of_one_category_is_the_index(fili, f, duration):
    """[waters2016]: when every lift is the same, VLI is LI."""
    found = variable_index(fili=[fili] * 7, weight=[1] * 7, total_per_min=f, vertical=[80] * 7, duration=duration)
    assert found.index == pytest.approx(fili / frequency_multiplier(f, duration, 80))


@given(st.lists(st.tuples(st.floats(0.1, 4), st.floats(0.1, 5)), min_size=2, max_size=60), DURATION)
def test_variable_index_lies_between_its_lifts(cells, duration):
    """VLI is at least the index at the mean, at most that of the worst lift at the total frequency."""
    fili, weight = (np.array(column) for column in zip(*cells, strict=True))
    found = variable_index(
        fili=fili, weight=weight, total_per_min=6.0, vertical=np.full(len(fili), 80.0), duration=duration
    )
    fm = frequency_multiplier(6.0, duration, 80)
    assert found.index <= fili.max() / fm + 1e-9
    assert found.share.sum() == pytest.approx(1)
    assert (found.share * found.mean_fili).sum() == pytest.approx(np.average(fili, weights=weight))
    assert len(found.mean_fili) <= 6
    assert found.rule == ("ranges" if len(fili) <= 30 else "sextiles")


@pytest.mark.rules("SLI-formula")
@pytest.mark.unverified
def test_sequential_index():
    """[waters2007], from memory: one slot gives its own index; all slots alike give that of the whole shift."""
    assert sequential_index(own=[1.5], whole_shift=[2.0], hours=[2]) == pytest.approx(2.0)
    assert sequential_index(own=[2, 2], whole_shift=[3, 3], hours=[1, 3]) == pytest.approx(3.0)
    mixed = sequential_index(own=[2, 0.5], whole_shift=[3, 0.75], hours=[1, 1])
    assert 2 < mixed < 3
    assert math.isnan(sequential_index(own=[2, math.nan], whole_shift=[3, 1], hours=[1, 1]))
    with pytest.raises(OutOfRange, match="must be at least that at its own"):
        sequential_index(own=[2], whole_shift=[1], hours=[1])


@pytest.mark.rules("BAND-fine", "N-l-bands")
def test_bands_carry_their_scheme_and_status():
    """[waters1994] 1 and 3; [fox2019] 1, 1.5, 2, 3, from memory but for 1.5."""
    assert [band.to for band in bands("1994")] == [1.0, 3.0, math.inf]
    assert [band.to for band in bands("2021")] == [1.0, 1.5, 2.0, 3.0, math.inf]
    assert {band.status for band in bands("1994")} == {"reprinted"}
    assert {band.status for band in bands("2021")} == {"memory"}
    assert band_of(3.0).place == 1 and band_of(1.2, "2021").words == "low"
    with pytest.raises(OutOfRange, match="scheme of bands must be one of"):
        bands("ours")
    with pytest.raises(OutOfRange, match="index must be a number"):
        band_of(math.nan)


def job(**what):
    """A job of two careful lifts."""
    lifts = lift(**what), lift(task="second", horizontal_destination=40.0, mass=6.0)
    return job_of(case(*lifts), pattern="P1", method="manual")


@pytest.mark.rules("N-m-when")
def test_one_task_is_an_index_and_several_are_a_composite():
    """[waters1994]: LI of one task, CLI of several, VLI above ten."""
    single = job_of(case(lift()), pattern="P1", method="manual")
    assert index_at(single, 60).kind == "LI"
    assert index_at(job(), 60).kind == "CLI"
    many = [lift(task=f"t{k}", horizontal_origin=30.0 + k, lifts_per_mold=0.1) for k in range(12)]
    assert index_at(job_of(case(*many), pattern="P1", method="manual"), 60).kind == "VLI"


def test_tasks_that_are_not_covered_are_left_out_and_named():
    """A task of two people is no part of the composite, and the job says so: its index is then a lower limit."""
    found = job_of(case(lift(), lift(task="mask", persons=2)), pattern="P1", method="manual")
    assert [task.lift.task for task in found.tasks] == ["set core"]
    assert found.left_out == (("mask", ("two_persons",)),) and found.at_least == ("left_out",)
    by_hoist = job_of(case(lift(), lift(task="mask", hoist=True)), pattern="P1", method="manual")
    assert by_hoist.at_least == ()


def test_a_task_in_which_nothing_should_be_lifted_leaves_the_job_without_an_index():
    """The rest of the job does not hide it."""
    found = job_of(case(lift(), lift(task="far", horizontal_destination=70.0)), pattern="P1", method="manual")
    assert found.forbidden and index_at(found, 60).index is None
    assert {one.kind for one in crossings(found)} == {"forbidden"}
    silent = job_of(case(lift(persons=2)), pattern="P1", method="manual")
    assert silent.silent and {one.kind for one in crossings(silent)} == {"silent"}


def test_lifts_of_a_set_up_stand_on_their_own():
    """A heavy mask moved twice a run is no part of the index of the molds between."""
    mask = lift(task="mask", core="", mass=18.0, lifts_per_mold=0.0, lifts_per_run=2.0)
    found = job_of(case(lift(), mask), pattern="P1", method="manual")
    assert found.set_up == ("mask",) and index_at(found, 60).kind == "LI"


def test_paces_at_which_the_index_passes_its_limits():
    """Just below the pace of a crossing the index is at most the level, just above it is more."""
    found = crossings(job())
    paces = [c.molds_per_h for c in found]
    assert paces == sorted(paces)
    for one in found:
        if one.kind == "crosses":
            assert index_at(job(), one.molds_per_h * 0.999).index <= one.level
            assert index_at(job(), one.molds_per_h * 1.001).index > one.level
    assert {c.kind for c in found} >= {"crosses"}
    assert crossings(job(mass=40.0), (1.0,))[0].kind == "always"
    light = job_of(case(lift(mass=0.5)), pattern="P1", method="manual")
    assert crossings(light, (3.0,))[0].kind == "table_end"


def test_a_composite_can_step_down_where_the_order_of_its_tasks_changes():
    """By the published procedure itself: STLI of the frequent task overtakes, and its FILI is no longer added."""
    tasks = {"fili": [1.0, 1.35], "stli_independent": [1.0, 1.35], "vertical": [80, 80], "duration": "long"}
    paces = np.linspace(0.2, 2.5, 200)
    found = [composite_index(frequency_per_min=[3 * pace, pace], **tasks) for pace in paces]
    index, orders = np.array([one.index for one in found]), [one.order for one in found]
    drops = np.flatnonzero(np.diff(index) < -1e-9)
    assert drops.size and all(orders[k] != orders[k + 1] for k in drops)


def test_the_index_of_a_single_task_never_falls_with_pace():
    """Faster is never easier; beyond the table there is no number."""
    curve = pace_curve(job_of(case(lift()), pattern="P1", method="manual"), np.linspace(1, 700, 60))
    known = curve[~np.isnan(curve)]
    assert (np.diff(known) >= -1e-9).all() and np.isnan(curve[-1])


@pytest.mark.parametrize(
    ("lifts", "total", "duration", "index"),
    [
        ([(1.2, 2, 93.7), (1.8, 6, 49.4), (1.9, 2, 99.4)], 12.0, "moderate", 7.978778467908903),
        ([(2.1, 8, 101.2), (2.2, 2, 104.5)], 12.0, "moderate", 10.113871635610765),
        ([(0.4, 8, 72.3), (2.7, 2, 69.0)], 12.0, "short", 3.6423282971167157),
    ],
)
def test_shares_that_add_up_to_the_last_row_of_the_table_lie_in_it(lifts, total, duration, index):
    """Their sum in binary digits is a bit above 12; the index is that of exact fractions (second program)."""
    fili, weight, v = zip(*lifts, strict=True)
    found = variable_index(fili=fili, weight=weight, total_per_min=total, vertical=v, duration=duration)
    assert found.index == pytest.approx(index)
