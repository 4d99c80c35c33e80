"""Handling: the smallest change where it can be told with pencil and paper, and each step of its search."""

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import brentq

from coreset.lifting.redesign import (
    FINEST_STEP,
    _descended,
    _directions,
    _improve,
    _lattice,
    _margins,
    ideal_multipliers,
    in_halves,
    single_changes,
    smallest_change,
    with_hold,
)
from coreset.lifting.task_values import TaskAt, index_of

TWIST, HEIGHT = "asymmetry_origin_deg", "vertical_origin"


def task(*, mass, twist=0.0, height=20.0, **also):
    """Held at the body by good handles, seldom: RWL = 23 VM AM, VM = 1 - 0.003 |75 - V|, AM = 1 - 0.0032 A.

    The destination counts for travel only, which below 25 cm takes nothing [waters1994] section 1.3.
    """
    values = {
        "horizontal_origin": 25.0,
        "vertical_origin": height,
        "asymmetry_origin_deg": twist,
        "horizontal_destination": 25.0,
        "vertical_destination": 40.0,
        "asymmetry_destination_deg": 0.0,
        "platform": 0.0,
        "mask_tilt_deg": 0.0,
        "frequency_per_min": 0.1,
        "mass": mass,
    }
    return TaskAt(
        values=values | also, depth=0.0, travel=0.0, duration="short", coupling="good",
        control_at_destination=False, units="metric",
    )  # fmt: skip


def twist_and_height(mass, wide):
    """The task with a twist of 15 + `wide` degrees, what may be changed, and the least change in all, by geometry.

    With x = VM and y = AM the size of a change is x/a + y/b less a constant, a = 0.003 x 40 cm, b = 0.0032 x wide; on
    xy = mass/23 that is least where x/a = y/b (arithmetic and geometric mean), or where a range ends.
    """
    one = task(mass=mass, twist=15 + wide)
    k, a, b = mass / 23, 0.003 * 40, 0.0032 * wide
    x = max(math.sqrt(k * a / b), 1 - 0.003 * 55, k / (1 - 0.0032 * 15))
    height, twist = 75 - (1 - x) / 0.003, (1 - k / x) / 0.0032
    total = (15 + wide - twist) / wide + (height - 20) / 40
    return one, {TWIST: (15.0, 15.0 + wide), HEIGHT: (20.0, 60.0)}, {TWIST: twist, HEIGHT: height}, total


SETS = [(18.63, 37.5), (18.5, 36.0), (18.0, 40.0), (17.0, 40.0), (18.5, 45.0)]
"""The first three have their best inside both ranges, the fourth at today's height, the last at the least twist."""


@pytest.mark.parametrize(("mass", "wide"), SETS)
def test_the_least_change_of_two_values_is_that_of_geometry(mass, wide):
    """Size, values and index of the answer by the docstring above; whatever was not moved stands as it is today."""
    one, ranges, best, total = twist_and_height(mass, wide)
    found = smallest_change(one, ranges)
    assert found.total == pytest.approx(total, abs=1e-6)
    assert one.values | found.after == pytest.approx(one.values | best, abs=0.05)
    assert found.li == index_of(one, **found.after) == pytest.approx(1, abs=1e-9)
    assert found.li <= 1
    assert found.before == {name: one.values[name] for name in found.after}


@pytest.mark.parametrize(("mass", "wide"), SETS)
def test_straight_steps_follow_a_curved_limit_to_the_least_change(mass, wide):
    """The descent alone, from the farthest corner: on xy = k every straight step misses the target by a little."""
    one, ranges, _, total = twist_and_height(mass, wide)
    names, low, high, now = spans(one, ranges)
    end = _descended(one, names, np.array([15.0, 60.0]), (now, low, high), 1.0)
    assert index_of(one, **dict(zip(names, end, strict=True))) <= 1
    assert (np.abs(end - now) / (high - low)).sum() == pytest.approx(total, abs=1e-6)


def spans(one, ranges):
    """Names, ends of the ranges and values of today."""
    low, high = np.array(list(ranges.values())).T
    return list(ranges), low, high, np.array([one.values[name] for name in ranges])


@pytest.mark.parametrize(("mass", "wide"), SETS)
def test_walking_ends_where_no_neighbour_is_nearer(mass, wide):
    """From the farthest corner: the end reaches the target, and no step of its finest size in one or two values does
    so at less cost, the sizes being written out here."""
    one, ranges, _, _ = twist_and_height(mass, wide)
    names, low, high, now = spans(one, ranges)
    end = _improve(one, names, np.array([15.0, 60.0]), (now, low, high), 1.0)
    shares = (0.0, 0.25, 0.5, 0.75, 1.0)
    signed = {sign * share for share in shares for sign in (-1, 1)}
    steps = np.array([pair for pair in itertools.product(signed, repeat=2) if max(np.abs(pair)) == 1])
    steps = steps[~(np.abs(steps) == 1).all(axis=1)]
    assert len(steps) == 28
    step = 2.0 ** math.ceil(math.log2(FINEST_STEP))
    near = np.clip(end + step * steps * (high - low), low, high)
    reach = near[index_of(one, **dict(zip(names, near.T, strict=True))) <= 1]
    cost = (np.abs(reach - now) / (high - low)).sum(axis=1)
    here = (np.abs(end - now) / (high - low)).sum()
    assert index_of(one, **dict(zip(names, end, strict=True))) <= 1
    assert here < 2 and (cost >= here - 1e-9).all()
    assert sorted(map(tuple, _directions(2))) == sorted(map(tuple, steps))


def test_a_value_that_need_not_move_comes_back_to_today():
    """Nearer than 25 cm nothing is won [waters1994]: of 24.3 cm of reach and 8.7 degrees only the twist is needed."""
    one = task(mass=23 * 0.835 * 0.9, twist=60.0, horizontal_origin=22.2)
    ranges = {"horizontal_origin": (20.0, 25.0), TWIST: (0.0, 60.0)}
    names, low, high, now = spans(one, ranges)
    start = np.array([24.3, 8.7])
    walked = _improve(one, names, start, (now, low, high), 1.0)
    assert walked[0] == 22.2 and walked[1] == pytest.approx(0.1 / 0.0032, abs=60 * FINEST_STEP)
    assert 0.1 / 0.0032 - walked[1] >= 0
    descended = _descended(one, names, start, (now, low, high), 1.0)
    assert descended == pytest.approx([22.2, 0.1 / 0.0032], abs=1e-4) and descended[0] == 22.2


def test_the_lattice_covers_the_whole_ranges_and_today():
    """Three values: 39 levels each (39^3 is the last cube below 60,000) and today's own where it is none of them."""
    now, low, high = np.array([0.1, 5.0, 7.0]), np.array([0.0, 5.0, 1.0]), np.array([1.0, 6.0, 9.0])
    points = _lattice(now, low, high)
    assert len(points) == 40 * 39 * 40
    assert points.min(axis=0).tolist() == low.tolist() and points.max(axis=0).tolist() == high.tolist()
    assert (points == now).all(axis=1).sum() == 1


def test_a_lighter_core_and_a_higher_place_against_another_target():
    """Straight both: a share of the mass (16 to 18.5 kg) is worth 2.5 kg, one of the height 2.208 (23 x 0.8 x 0.12).

    3.136 kg are lacking to 23 x 0.8 x 0.835 = 15.364 kg: all of the mass, then 0.636/2.208 of the height.
    """
    one = task(mass=18.5)
    found = smallest_change(one, {"mass": (16.0, 18.5), HEIGHT: (20.0, 60.0)}, target=0.8)
    share = (18.5 - 15.364 - 2.5) / 2.208
    assert found.total == pytest.approx(1 + share, abs=1e-6)
    assert found.after == pytest.approx({"mass": 16.0, HEIGHT: 20 + 40 * share}, abs=1e-4)
    assert found.li == pytest.approx(0.8, abs=1e-8)


def test_steps_are_tried_in_one_value_and_in_two():
    """Three values: two ways in each of 3, and 12 parts of the other in each of 6 ordered pairs by 2 ways."""
    steps = _directions(3)
    assert len(steps) == 2 * 3 + 6 * 2 * 6 == len({tuple(step) for step in steps})
    assert np.bincount((steps != 0).sum(axis=1)).tolist() == [0, 2 * 3, 6 * 2 * 6]
    assert (np.abs(steps).max(axis=1) == 1).all()


def test_margins_are_shares_of_what_the_target_asks_for():
    """RWL 23 x 0.835 x 0.84 at 20 cm and 50 degrees, 23 at 75 cm; wanted is mass/target; above a platform -1."""
    one = task(mass=10.0, vertical_destination=75.0)
    points = np.array([[20.0, 50.0, 10.0, 0.0], [75.0, 0.0, 20.0, 0.0], [20.0, 0.0, 10.0, 21.0]])
    found = _margins(one, [HEIGHT, TWIST, "mass", "platform"], points, 0.8)
    dm = 0.82 + 4.5 / 55
    assert found == pytest.approx(np.array([[23 * 0.835 * 0.84 * dm * 0.8 / 10 - 1, 23 * 0.8 / 20 - 1, -1.0]]))
    assert _margins(one, [HEIGHT], np.array([[75.0]]), 0.8) == pytest.approx(np.array([[23 * 0.8 / 10 - 1]]))


def test_of_two_ways_to_the_target_the_nearer_one_is_taken():
    """From 100 cm to a place at 135 cm: lower, VM improves, and higher, DM; the roots by scipy's brentq."""

    def share(v):
        return (1 - 0.003 * (v - 75)) * (0.82 + 4.5 / (135 - v))

    one = task(mass=23 * 0.888, height=100.0, vertical_destination=135.0)
    higher, lower = brentq(lambda v: share(v) - 0.888, 100, 110), brentq(lambda v: share(v) - 0.888, 75, 95)
    assert higher - 100 < 100 - lower
    (found,) = single_changes(one, {HEIGHT: (70.0, 120.0)})
    assert found.after[HEIGHT] == pytest.approx(higher) and found.total == pytest.approx((higher - 100) / 50)
    (other,) = single_changes(one, {HEIGHT: (70.0, 100.0)})
    assert other.after[HEIGHT] == pytest.approx(lower) and other.total == pytest.approx((100 - lower) / 30)


@pytest.mark.rules("N-r-am", "N-r-fm", "N-r-hm", "N-r-vm")
def test_single_changes_by_the_formulas_of_their_multipliers():
    """LI 0.95 at 50 cm and 20 degrees, 0.9 is wanted: m/0.9 = 23 (25/H) AM gives m, H and A; smallest share first."""
    one = task(mass=0.95 * 23 * 0.5 * 0.936, twist=20.0, height=75.0, horizontal_origin=50.0, vertical_destination=75.0)
    ranges = {"mass": (5.0, 12.0), "horizontal_origin": (25.0, 60.0), TWIST: (0.0, 80.0)}
    found = single_changes(one, ranges, target=0.9)
    mass = 0.9 * 23 * 0.5 * 0.936
    reach, twist = 50 * 0.9 / 0.95, (1 - 0.936 * 0.95 / 0.9) / 0.0032
    wanted = {
        "horizontal_origin": (reach, (50 - reach) / 35),
        TWIST: (twist, (20 - twist) / 80),
        "mass": (mass, (one.values["mass"] - mass) / 7),
    }
    assert {name: (c.after[name], c.total) for c in found for name in c.after} == {
        name: pytest.approx(pair) for name, pair in wanted.items()
    }
    assert [next(iter(change.after)) for change in found] == sorted(wanted, key=lambda name: wanted[name][1])


def test_a_task_exactly_at_its_target_needs_nothing():
    """23 kg under the best conditions: LI is 1 exactly, so nothing changes, alone or in all."""
    one = task(mass=23.0, height=75.0, vertical_destination=75.0)
    assert index_of(one) == 1
    ranges = {"mass": (10.0, 23.0), "horizontal_origin": (25.0, 30.0)}
    assert [change.total for change in single_changes(one, ranges)] == [0, 0]
    found = smallest_change(one, ranges)
    assert (found.after, found.total, found.li) == ({}, 0, 1)
    over = task(mass=23.0 + 1e-7, height=75.0, vertical_destination=75.0)
    narrow = {"mass": (23.0, 23.0 + 1e-7)}
    assert single_changes(over, narrow) == () and smallest_change(over, narrow) is None


def test_multipliers_brought_to_1_by_hand():
    """VM 0.835, AM 0.84, 15 kg: without AM 15/(23 x 0.835), without VM 15/(23 x 0.84), without both 15/23."""
    one = task(mass=15.0, twist=50.0)
    found = {m.names: m.li for m in ideal_multipliers(one)}
    assert found["am",] == pytest.approx(15 / (23 * 0.835)) and found["vm",] == pytest.approx(15 / (23 * 0.84))
    assert found["vm", "am"] == pytest.approx(15 / 23)
    for name in ("hm", "dm", "fm", "cm"):
        assert found[name,] == pytest.approx(15 / (23 * 0.835 * 0.84))


@pytest.mark.rules("N-r-cm")
def test_another_hold_and_two_parts_by_the_equation():
    """A fair hold below 75 cm is 0.95 [waters1994] Table 7; half of 15 kg twice as often, 0.1 to 0.2 a minute, FM 1."""
    one = task(mass=15.0)
    assert index_of(with_hold(one, "fair")) == pytest.approx(15 / (23 * 0.835 * 0.95))
    halves = in_halves(one)
    assert index_of(halves) == pytest.approx(7.5 / (23 * 0.835)) and halves.values["frequency_per_min"] == 0.2
