"""Handling: what improves a task, proved by brute force; how sure an index is."""

import itertools
import math

import numpy as np
import pytest
from handling_cases import case, lift, standard
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.lifting.lever_ranges import usual_ranges
from coreset.lifting.lift_end import MULTIPLIERS
from coreset.lifting.redesign import ideal_multipliers, in_halves, single_changes, smallest_change
from coreset.lifting.screen import screen
from coreset.lifting.task_values import index_of, task_at
from coreset.lifting.uncertainty import sureness


def task(seconds=60.0, **what):
    """A task at the pace of its standard."""
    a_lift = lift(**what)
    a_case = case(a_lift)
    return task_at(a_case, a_lift, screen(a_case, [standard(seconds)])[0])


def test_the_task_has_the_index_of_the_screen():
    """The redesign starts from what the screen says."""
    a_lift = lift()
    found = screen(case(a_lift), [standard(60)])[0]
    assert index_of(task()) == pytest.approx(found.li)


@pytest.mark.rules("N-r-mult")
def test_multipliers_are_ranked_alone_and_in_pairs():
    """Six alone, fifteen pairs; a pair is never worse than either alone; the binding one alone improves most."""
    found = ideal_multipliers(task())
    alone = {one.names[0]: one.li for one in found if len(one.names) == 1}
    assert len(alone) == 6 and len(found) == 21
    assert [one.li for one in found[:6]] == sorted(alone.values())
    for one in found[6:]:
        assert one.li <= min(alone[name] for name in one.names) + 1e-12
    wide = task(horizontal_destination=60.0, vertical_destination=75.0, coupling="good")
    assert ideal_multipliers(wide)[0].names == ("hm",)
    assert set(alone) == set(MULTIPLIERS)


def test_mending_a_reach_beyond_the_limit_gives_an_index_again():
    """RWL 0 for reach: every change but one that corrects the reach leaves no index."""
    found = {one.names: one.li for one in ideal_multipliers(task(horizontal_destination=70.0))}
    assert found["hm",] is not None and found["vm",] is None and found["hm", "vm"] is not None


POSSIBLE = st.fixed_dictionaries(
    {
        "horizontal_origin": st.floats(30, 60),
        "horizontal_destination": st.floats(30, 62),
        "vertical_origin": st.floats(20, 160),
        "vertical_destination": st.floats(20, 160),
        "asymmetry_destination_deg": st.floats(0, 90),
        "mass": st.floats(5, 14),
    }
)


@pytest.mark.rules("N-r-again")
@settings(max_examples=25, deadline=None)
@given(what=POSSIBLE)
def test_a_single_change_reaches_its_target_and_is_the_nearest(what):
    """Each answer reaches LI 1 inside its range, and no nearer value on a fine grid does."""
    one = task(**what)
    ranges = usual_ranges(one)
    for change in single_changes(one, ranges):
        if not change.total:
            continue
        ((name, value),) = change.after.items()
        low, high = ranges[name]
        assert low <= value <= high and change.li <= 1 + 1e-9
        now = one.values[name]
        grid = np.linspace(low, high, 1501)
        nearer = grid[np.abs(grid - now) < abs(value - now) - 1e-6 * abs(now) - 1e-9]
        assert (index_of(one, **{name: nearer}) > 1).all() if nearer.size else True


@settings(max_examples=4, deadline=None)
@given(what=POSSIBLE)
def test_the_smallest_total_change_beats_every_point_of_a_grid(what):
    """Brute force over four values: no point of the grid reaches LI 1 with a smaller total change."""
    one = task(**what)
    names = ("horizontal_origin", "horizontal_destination", "vertical_destination", "asymmetry_destination_deg")
    ranges = {name: span for name, span in usual_ranges(one).items() if name in names}
    found = smallest_change(one, ranges)
    axes = [np.unique(np.append(np.linspace(*ranges[n], 13), one.values[n])) for n in ranges]
    points = np.array(list(itertools.product(*axes)))
    good = index_of(one, **dict(zip(ranges, points.T, strict=True))) <= 1
    wide = np.array([high - low for low, high in ranges.values()])
    now = np.array([one.values[name] for name in ranges])
    if found is None:
        assert not good.any()
        return
    assert found.li <= 1 + 1e-9
    assert all(ranges[n][0] - 1e-9 <= x <= ranges[n][1] + 1e-9 for n, x in found.after.items())
    if good.any():
        assert found.total <= (np.abs(points[good] - now) / wide).sum(axis=1).min() + 1e-3
    singles = single_changes(one, ranges)
    if singles:
        assert found.total <= singles[0].total + 1e-4


def test_a_task_within_its_target_needs_no_change():
    """Nothing to mend: an empty change of size 0."""
    found = smallest_change(task(mass=1.0), usual_ranges(task(mass=1.0)))
    assert found.after == {} and found.total == 0


def test_no_change_within_the_ranges_is_said():
    """40 kg cannot be corrected by reach alone."""
    heavy = task(mass=40.0)
    only = {"horizontal_destination": (25.0, 50.0)}
    assert smallest_change(heavy, only) is None and single_changes(heavy, only) == ()


def test_a_range_away_from_today_reaches_back_to_it():
    """Allowed 30 to 40 cm, today 50 cm: the change found lies between 30 and 50 cm."""
    one = task(mass=8.0)
    only = {"horizontal_destination": (30.0, 40.0)}
    found = smallest_change(one, only)
    assert 30 <= found.after["horizontal_destination"] < 50 and found.li <= 1 + 1e-9
    assert found.after == pytest.approx(single_changes(one, only)[0].after, abs=1e-3)


def test_a_core_in_two_parts_is_half_the_load_twice_as_often():
    """Splitting is not free: the pace doubles."""
    halves = in_halves(task())
    assert (halves.values["mass"], halves.values["frequency_per_min"]) == (5.0, 2.0)
    assert index_of(halves) > index_of(task()) / 2


def test_sureness_without_any_spread_is_the_index_itself():
    """Nothing measured badly, nothing varying: the interval is a point."""
    found = sureness(task(), lift(), seed=1)
    assert found.low == pytest.approx(index_of(task())) == pytest.approx(found.high)
    assert math.isnan(found.from_measuring)


@pytest.mark.parametrize(("error", "cycle", "share"), [(1.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 1.0, 0.5)])
def test_share_of_measuring_error(error, cycle, share):
    """Error and variation of one size on a smooth stretch share the variance evenly (variance of a sum)."""
    a_lift = lift(horizontal_sd=cycle, vertical_sd=cycle, measured_error=error)
    smooth = {"horizontal_destination": 40.0, "vertical_origin": 110.0, "vertical_destination": 100.0}
    found = sureness(task(**smooth), a_lift, seed=2, draws=20_000)
    assert found.from_measuring == pytest.approx(share, abs=0.03)
    assert found.low < index_of(task(**smooth)) < found.high


def test_chances_agree_with_the_quantiles():
    """The chance to exceed 1 is a half where the median is 1; seeds repeat."""
    a_lift = lift(horizontal_sd=4.0)
    one = task()
    scaled = task(mass=10.0 / sureness(one, a_lift, seed=3).median)
    found = sureness(scaled, a_lift, seed=3)
    assert found.above_1 == pytest.approx(0.5, abs=0.02) and found.above_3 < 0.005
    assert found == sureness(scaled, a_lift, seed=3)
