"""Handling: the smallest change in all where it can be told with pencil and paper, whole and step by step."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.handling.ends import TaskAt, index_of
from coreset.handling.redesign import (
    _descended,
    _directions,
    _improve,
    _margins,
    in_halves,
    mended,
    single_changes,
    smallest_change,
    with_hold,
)

TWIST_HEIGHT = {"asymmetry_origin_deg": (0.0, 90.0), "vertical_origin": (20.0, 44.0)}
"""Ranges in which the hands stay below 75 cm and travel less than 25 cm: DM is 1 throughout."""


def task(*, mass, twist=90.0, height=20.0, units="metric", **also):
    """Held at the body by good handles, seldom: RWL = 23 VM AM, with VM = 1 - 0.003 (75 - V), AM = 1 - 0.0032 A."""
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
        control_at_destination=False, units=units,
    )  # fmt: skip


def best_of_twist_and_height(mass, target):
    """Least (90 - A)/90 + (V - 20)/24 with VM AM = mass/(23 target): both terms equal along xy = k, or height full.

    With x = VM, y = AM the cost is x/a + y/b less a constant, a = 0.003 x 24, b = 0.0032 x 90; on xy = k it is least
    where x/a = y/b, so x = sqrt(k a/b), held between 0.835 (V 20) and 0.907 (V 44), and y = k/x.
    """
    k, a, b = mass / (23 * target), 0.003 * 24, 0.0032 * 90
    x = min(max(math.sqrt(k * a / b), 0.835), 0.907)
    y = k / x
    height, twist = 75 - (1 - x) / 0.003, (1 - y) / 0.0032
    return twist, height, (90 - twist) / 90 + (height - 20) / 24


@pytest.mark.parametrize(("mass", "target"), [(16.0, 1.0), (18.0, 1.0), (15.0, 0.8), (20.0, 1.2)])
def test_turning_nearer_costs_least_where_lifting_higher_would_cost_as_much(mass, target):
    """Twist and height together, by the geometry of xy = k (docstring above): place, size and index of the change."""
    twist, height, total = best_of_twist_and_height(mass, target)
    one = task(mass=mass)
    found = smallest_change(one, TWIST_HEIGHT, target=target)
    now = {"asymmetry_origin_deg": 90.0, "vertical_origin": 20.0} | found.after
    assert found.total == pytest.approx(total, abs=2e-6) and found.li == pytest.approx(target, abs=1e-6)
    assert found.li <= target * (1 + 1e-12)
    assert now == pytest.approx({"asymmetry_origin_deg": twist, "vertical_origin": height}, abs=0.05)
    assert found.before == {name: one.values[name] for name in found.after}


INSIDE = {"asymmetry_origin_deg": (0.0, 90.0), "vertical_origin": (20.0, 60.0)}


def inside(mass, wide=300.0):
    """The same where the best lies inside: twist over 90 degrees of a range of `wide`, height over 40 of 40 cm.

    a = 0.003 x 40 = 0.12 and b = 0.0032 x 37.5 = 0.12: x = y = sqrt k.
    """
    x = math.sqrt(mass / 23)
    return (1 - x) / 0.0032, 75 - (1 - x) / 0.003


def test_where_both_weigh_the_same_both_multipliers_come_out_the_same():
    """Ranges of 40 cm and 37.5 degrees weigh 0.12 each: VM = AM = sqrt(m/23) by the inequality of the means."""
    ranges = {"asymmetry_origin_deg": (15.0, 52.5), "vertical_origin": (20.0, 60.0)}
    mass = 23 * 0.9**2
    one = task(mass=mass, twist=52.5)
    found = smallest_change(one, ranges)
    assert found.after["asymmetry_origin_deg"] == pytest.approx(0.1 / 0.0032, abs=0.02)
    assert found.after["vertical_origin"] == pytest.approx(75 - 0.1 / 0.003, abs=0.02)
    expected = (52.5 - 31.25) / 37.5 + (75 - 100 / 3 - 20) / 40
    assert found.total == pytest.approx(expected, abs=2e-6)
