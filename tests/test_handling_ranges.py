"""Handling: how far each value may be changed, and what a slider offers, written out in both unit sets."""

from dataclasses import replace

import pytest
from handling_cases import case, lift
from test_handling_smallest import task

from coreset.lifting.lever_ranges import allowed, grid, highest_platform, slider, usual_ranges
from coreset.lifting.task_values import core_depth, index_of, linked, nearest_reach

US = {"horizontal_origin": 20.0, "vertical_origin": 35.0, "horizontal_destination": 16.0, "vertical_destination": 60.0}
METRIC = {"horizontal_origin": 50.0, "horizontal_destination": 40.0, "vertical_destination": 150.0}


def test_usual_ranges_in_centimetres():
    """Down to 25 cm of reach [waters1994]; hands 40 to 135 cm or where they are, a platform up to the lower place, a
    tilt of 45 degrees where there is depth: common practice, no source. Pace down to 0.2 a minute [waters1994]."""
    one = task(mass=10.0, twist=30.0, height=20.0, frequency_per_min=3.0, **METRIC)
    expected = {
        "horizontal_origin": (25.0, 50.0),
        "vertical_origin": (20.0, 135.0),
        "asymmetry_origin_deg": (0.0, 30.0),
        "horizontal_destination": (25.0, 40.0),
        "vertical_destination": (40.0, 150.0),
        "platform": (0.0, 20.0),
        "frequency_per_min": (0.2, 3.0),
    }
    assert usual_ranges(one) == expected
    assert usual_ranges(replace(one, depth=15.0)) == expected | {"mask_tilt_deg": (0.0, 45.0)}


def test_usual_ranges_in_inches():
    """10 in of reach [waters1994]; hands 16 to 54 in, a platform of 24 in: common practice, no source."""
    one = replace(task(mass=20.0, frequency_per_min=3.0, **US), units="us")
    found = usual_ranges(one)
    assert found["horizontal_origin"] == (10.0, 20.0) and found["vertical_origin"] == (16.0, 54.0)
    assert found["vertical_destination"] == (16.0, 60.0) and found["platform"] == (0.0, 24.0)


def test_what_is_at_its_best_already_has_no_range():
    """At the body, without twist, seldom: no such change; a reach inside 25 cm and a pace below 0.2 are not raised."""
    near = task(mass=10.0, horizontal_origin=22.0, frequency_per_min=0.1)
    names = set(usual_ranges(near))
    assert names == {"vertical_origin", "vertical_destination", "platform"}
    assert usual_ranges(near)["platform"] == (0.0, 20.0)
    assert "platform" not in usual_ranges(task(mass=10.0, height=0.0))
    assert usual_ranges(task(mass=10.0, frequency_per_min=0.5))["frequency_per_min"] == (0.2, 0.5)
    assert highest_platform(task(mass=10.0, height=90.0, vertical_destination=80.0)) == 60.0
    assert highest_platform(task(mass=10.0, height=90.0, vertical_destination=50.0)) == 50.0
    below = task(mass=10.0, height=-5.0)
    assert highest_platform(below) == 0.0 and "platform" not in usual_ranges(below)


def test_the_load_is_no_range_and_a_tilt_must_be_named():
    """A core is split or hoisted, not lightened at will; a mask tilts only where the plant says so."""
    one = replace(task(mass=9.0), depth=15.0)
    assert allowed(one, ("lighter_core",)) == {} and "mass" not in allowed(one, ())
    assert "mask_tilt_deg" not in allowed(one, ()) and set(allowed(one, ("mask_tilt",))) == {"mask_tilt_deg"}


@pytest.mark.rules("N-h-estimate", "N-h-estimate-mark")
def test_the_core_itself_bounds_the_reach():
    """[waters1994] p. 8: 20 cm + W/2, with the hands below 25 cm 25 + W/2; 8, 10 and never below 10 in."""
    deep = replace(task(mass=5.0, **METRIC), core_depth=30.0)
    assert usual_ranges(deep)["horizontal_origin"] == (40.0, 50.0)  # hands at 20 cm
    assert usual_ranges(deep)["horizontal_destination"] == (35.0, 40.0)
    assert "horizontal_destination" not in usual_ranges(replace(deep, core_depth=60.0))
    assert [float(nearest_reach(deep, v)) for v in (24.9, 25.0)] == [40.0, 35.0]
    inches = replace(deep, units="us", core_depth=2.0)
    assert [float(nearest_reach(inches, v)) for v in (9.9, 10.0)] == [11.0, 10.0]
    tilted = linked(replace(deep, depth=40.0), mask_tilt_deg=80.0)
    assert tilted["horizontal_destination"] == 35.0


def test_the_depth_of_a_core_is_its_second_side():
    """A core of 600 by 300 mm is held with 30 cm front to back; with one side alone that; none is not known."""
    one = case(lift())
    for sides, expected in (({"length": 600.0, "width": 300.0}, 30.0), ({"length": 600.0}, 60.0), ({}, 0.0)):
        sized = replace(one, cores=(replace(one.cores[0], **sides),))
        assert core_depth(sized, lift()) == expected
    assert core_depth(one, lift(core="", mass=4.0)) == 0.0


def test_what_can_be_set_are_whole_steps():
    """Heights by the plant's step, reach by the centimeter, angles by 5 degrees; today's own value stays one."""
    one = task(mass=5.0, height=87.0)
    assert list(grid("vertical_origin", one, (80.0, 100.0))) == [80, 85, 87, 90, 95, 100]
    assert list(grid("vertical_origin", one, (80.0, 100.0), height_step=10.0)) == [80, 87, 90, 100]
    assert list(grid("asymmetry_origin_deg", one, (0.0, 12.0))) == [0, 5, 10]
    assert list(grid("frequency_per_min", replace(one, values={"frequency_per_min": 0.55}), (0.2, 0.55))) == [
        0.2,
        0.3,
        0.4,
        0.5,
        0.55,
    ]


SLIDERS = [
    ("horizontal_origin", (10, 76, 0.5), (4, 30, 0.5)),
    ("vertical_destination", (0, 210, 1), (0, 84, 1)),
    ("asymmetry_origin_deg", (0, 180, 1), (0, 180, 1)),
    ("platform", (0, 60, 1), (0, 24, 1)),
    ("mask_tilt_deg", (0, 45, 1), (0, 45, 1)),
    ("frequency_per_min", (0.1, 15, 0.1), (0.1, 15, 0.1)),
]
"""A fifth beyond the limits of the equation: 63 and 175 cm, 25 and 70 in, 15 lifts a minute [waters1994]."""


@pytest.mark.parametrize(("name", "metric", "us"), SLIDERS)
def test_a_slider_reaches_a_fifth_beyond_the_limit(name, metric, us):
    """75.6 and 210 cm, 30 and 84 in, to the whole unit; the angle to a half turn."""
    today = {"platform": 5.0, "mask_tilt_deg": 10.0, "frequency_per_min": 3.0, "horizontal_origin": 20.0}
    one = task(mass=10.0, twist=20.0, **today)
    assert slider(name, one) == metric and slider(name, replace(one, units="us", values=one.values | US)) == us


@pytest.mark.parametrize(("mass", "metric", "us"), [(8.0, 23, 51), (20.0, 40, 51), (0.05, 23, 51), (60.0, 120, 120)])
def test_the_slider_of_the_load_reaches_twice_the_load_or_the_load_constant(mass, metric, us):
    """23 kg or 51 lb [waters1994] at least, else twice today's load; today's value is always inside."""
    one = task(mass=mass)
    assert slider("mass", one) == (min(0.1, mass), metric, 0.1)
    assert slider("mass", replace(one, units="us")) == (min(0.1, mass), us, 0.1)


@pytest.mark.parametrize("value", [-5.0, 300.0])
def test_today_is_inside_every_slider(value):
    """Whatever is entered today can be shown."""
    for name in ("horizontal_origin", "vertical_origin", "asymmetry_origin_deg", "platform", "mask_tilt_deg"):
        low, high, _ = slider(name, moved(name, value))
        assert low <= value <= high and value in (low, high)


def moved(name, value):
    """The task with one value of today replaced."""
    one = task(mass=10.0)
    return replace(one, values=one.values | {name: value})


def test_a_range_of_pace_is_worth_what_the_table_says():
    """[waters1994] Table 5, short: from 3 lifts a minute (0.88) to 0.2 (1.00)."""
    one = task(mass=10.0, frequency_per_min=3.0)
    low, high = usual_ranges(one)["frequency_per_min"]
    assert index_of(one, frequency_per_min=low) / index_of(one, frequency_per_min=high) == pytest.approx(0.88)
