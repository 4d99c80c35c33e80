"""Handling: what improves a task, proved by brute force; how sure an index is."""

import math

import pytest
from handling_cases import case, lift, standard

from coreset.lifting.lift_end import MULTIPLIERS
from coreset.lifting.redesign import ideal_multipliers, in_halves
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
