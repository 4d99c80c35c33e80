"""Handling: every limit of scope and of sense stands where it is printed, and what lies on it is still inside.

Sources of the limits: [waters1994] section 1.2 (19 to 26 C; 35 to 50 % from memory; 8 hours) and section 1.3 (25 in or
63 cm, 70 in or 175 cm, 135 degrees); [en1005_2] scope (2 m of carrying, memory); the limits of sense are common
practice, no source.
"""

from dataclasses import replace

import pytest
from handling_cases import lift

from coreset.case import Place
from coreset.lifting.scope import limits_of_result, outside_conditions, past_limits, slips

HAIR = 1e-9


@pytest.mark.parametrize(
    ("what", "border", "past", "code"),
    [
        ("temperature", 26.0, 1, "hot"),
        ("temperature", 19.0, -1, "cold"),
        ("hours_per_shift", 8.0, 1, "over_8_h"),
    ],
)
def test_limits_of_the_place(what, border, past, code):
    """On the border the equation holds, a hair past it no longer; both ends of the temperatures."""
    assert outside_conditions(lift(), Place(**{what: border}), units="metric") == ()
    assert outside_conditions(lift(), Place(**{what: border + past * HAIR}), units="metric") == (code,)


@pytest.mark.parametrize(("sessions", "codes"), [(((240, 0), (240, 0)), ()), (((240, 0), (241, 0)), ("over_8_h",))])
def test_sessions_count_as_hours_of_the_shift(sessions, codes):
    """Two sessions of four hours are eight hours; a minute more is over; light work between them does not count."""
    assert outside_conditions(lift(), Place(sessions_min=sessions), units="metric") == codes
    lightly = tuple((work, 300) for work, _ in sessions)
    assert outside_conditions(lift(), Place(sessions_min=lightly), units="metric") == codes


@pytest.mark.rules("N-x-climate")
@pytest.mark.parametrize(("humidity", "narrowed"), [(35, False), (50, False), (35 - HAIR, True), (50 + HAIR, True)])
def test_humidity_narrows_outside_35_to_50_percent(humidity, narrowed):
    """[waters1994] section 1.2, p. 6, reprinted: on both borders nothing is said."""
    place = Place(humidity_pct=humidity, temperature=22.0)
    assert limits_of_result(place) == (("humidity",) if narrowed else ())
    assert limits_of_result(replace(place, temperature=None))[-1] == "unknown_climate"


@pytest.mark.rules("EN-scope")
@pytest.mark.unverified
@pytest.mark.parametrize(("units", "border"), [("metric", 2.0), ("us", 6.6)])
def test_carrying_up_to_two_metres_is_lifting(units, border):
    """[en1005_2] scope, from memory: 2 m, which are 6.6 ft."""
    assert outside_conditions(lift(carry=border), Place(), units=units) == ()
    assert outside_conditions(lift(carry=border + HAIR), Place(), units=units) == ("carrying",)


SENSIBLE = {"mass": 10.0, "horizontal": 40.0, "vertical": 75.0, "frequency_per_min": 1.0, "angle_deg": 0.0}


@pytest.mark.parametrize(
    ("what", "border", "code"),
    [
        ("mass", {"metric": 150, "us": 330}, "mass_high"),
        ("horizontal", {"metric": 10, "us": 4}, "reach_low"),
        ("horizontal", {"metric": 200, "us": 79}, "reach_high"),
        ("vertical", {"metric": 0, "us": 0}, "height_negative"),
        ("vertical", {"metric": 300, "us": 118}, "height_high"),
        ("frequency_per_min", {"metric": 0, "us": 0}, "frequency_negative"),
        ("frequency_per_min", {"metric": 60, "us": 60}, "frequency_high"),
        ("angle_deg", {"metric": 0, "us": 0}, "angle_negative"),
        ("angle_deg", {"metric": 180, "us": 180}, "angle_high"),
        ("core_depth", {"metric": 100, "us": 40}, "depth_high"),
    ],
)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_slips_begin_beyond_what_a_body_does(what, border, code, units):
    """Common practice, no source: 150 kg is 330 lb, 200 cm 79 in, 300 cm 118 in, to the whole pound and inch."""
    past = -HAIR if code.endswith(("low", "negative")) else HAIR
    assert slips(units=units, **SENSIBLE | {what: border[units]}) == ()
    assert slips(units=units, **SENSIBLE | {what: border[units] + past}) == (code,)


def test_no_mass_is_a_slip_and_an_unknown_one_is_none():
    """Zero and less weighs nothing; None means that nobody entered one; half a kilogram is a load."""
    for mass, codes in ((0.0, ("mass_zero",)), (-1.0, ("mass_zero",)), (None, ()), (0.5, ())):
        assert slips(units="metric", **SENSIBLE | {"mass": mass}) == codes


@pytest.mark.parametrize(
    ("what", "border", "code"),
    [
        ("horizontal", {"metric": 63, "us": 25}, "reach_limit"),
        ("vertical", {"metric": 175, "us": 70}, "height_limit"),
        ("travel", {"metric": 175, "us": 70}, "travel_limit"),
        ("angle_deg", {"metric": 135, "us": 135}, "angle_limit"),
    ],
)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_limit_of_the_equation_is_passed_beyond_its_printed_value(what, border, code, units):
    """[waters1994] section 1.3: a multiplier is 0 where a value is greater than its limit, not on it."""
    inside = {"horizontal": 20, "vertical": 60, "travel": 20, "angle_deg": 0, "fm": 0.5}
    assert past_limits(units=units, **inside | {what: border[units]}) == ()
    assert past_limits(units=units, **inside | {what: border[units] + HAIR}) == (code,)
    assert past_limits(units=units, **inside | {"fm": 0.0}) == ("frequency_limit",)
