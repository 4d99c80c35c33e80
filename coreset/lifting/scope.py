"""What the lifting equation does not cover, conditions it assumes, and values that are more likely a slip."""

from __future__ import annotations

import math

from coreset.case import Lift, Place
from coreset.lifting.constants import constants
from coreset.lifting.pushing import pushed
from coreset.units import MIN_PER_H

COOLEST = {"metric": 19.0, "us": 66.0}  # [waters1994] section 1.2, reprinted with both. [C, F]
WARMEST = {"metric": 26.0, "us": 79.0}
DRIEST_PCT, DAMPEST_PCT = 35.0, 50.0  # [waters1994] section 1.2, p. 6, reprinted
CARRY_MAX = {"metric": 2.0, "us": 6.6}  # [en1005_2] scope: lifting with less than 2 m of carrying. [m, ft]
LIGHT = {"metric": 3.0, "us": 6.6}  # [iso11228_2003] scope: 3 kg or more. [kg, lb]
HELD_MAX_S = 5.0  # common practice, no source: what the "few seconds" of [waters1994] section 1.2 are taken as
MASS_MAX = {"metric": 150.0, "us": 330.0}  # common practice, no source: beyond what one person moves by hand
REACH_MIN = {"metric": 10.0, "us": 4.0}  # common practice, no source: inside the body
REACH_MAX = {"metric": 200.0, "us": 79.0}  # common practice, no source: farther than arms and a bent trunk reach
DEPTH_MAX = {"metric": 100.0, "us": 40.0}  # common practice, no source: deeper than arms reach around
HEIGHT_MAX = {"metric": 300.0, "us": 118.0}  # common practice, no source: higher than hands reach
FREQUENCY_MAX_PER_MIN = 60.0  # common practice, no source: a lift a second; more is likely a count per hour
TOO_MUCH = ("mass_high", "reach_high", "height_high", "frequency_high")
"""Unlikely values that are questioned but rated: leaving the index out would make the heaviest lift look best."""


def not_covered(lift: Lift, *, units: str = "metric") -> tuple[str, ...]:
    """Why the revised lifting equation has no index for a task: nobody lifts it, or nobody lifts all of it; as codes.

    With a hoist what is left may be a push, or a reach held while standing, for a specialist. `units` is the unit set
    of its forces.

    Examples
    --------
    >>> lift = Lift(task="t", method="m", pattern="p", horizontal_origin=30, vertical_origin=80,
    ...     horizontal_destination=30, vertical_destination=80, persons=2)
    >>> not_covered(lift)
    ('two_persons',)
    """
    push = pushed(lift, units=units) if lift.hoist else None
    found = {
        "hoist": lift.hoist,
        "two_persons": lift.persons > 1,
        "push": push is not None and bool(push.why),
        "reach": lift.hoist and lift.reach_s > 0,
    }
    return tuple(code for code, true in found.items() if true)


def outside_conditions(lift: Lift, place: Place, *, units: str) -> tuple[str, ...]:
    """Every condition of the revised lifting equation that a task does not meet, as codes.

    Each of them makes the lift harder than the equation assumes, so that RWL is at most, and the index at least, what
    the equation gives.

    Parameters
    ----------
    lift : Lift
        The task.
    place : Place
        Where and how long it is done.
    units : {"metric", "us"}
        Unit set of the task.

    Returns
    -------
    tuple of str
        Codes; each has a sentence in the text file `handling`. Empty where all conditions are met.

    References
    ----------
    [waters1994] section 1.2; carrying by [en1005_2].

    Examples
    --------
    >>> lift = Lift(task="t", method="m", pattern="p", horizontal_origin=30, vertical_origin=80,
    ...     horizontal_destination=30, vertical_destination=80, hands=1)
    >>> outside_conditions(lift, Place(temperature=31.0), units="metric")
    ('one_handed', 'hot')
    """
    shift_h = max(place.hours_per_shift, sum(work for work, _ in place.sessions_min) / MIN_PER_H)
    air = math.nan if place.temperature is None else place.temperature
    entered = (place.temperature, place.wet_bulb, place.wbgt)
    warmest = max((one for one in entered if one is not None), default=math.nan)
    found = {
        "one_handed": lift.hands == 1,
        "seated": lift.seated,
        "restricted": lift.restricted,
        "unstable": lift.unstable,
        "slippery": lift.slippery,
        "fast": lift.fast,
        "carrying": lift.carry > CARRY_MAX[units],
        "over_8_h": shift_h > constants(units).shift_limit,
        "hot": warmest > WARMEST[units],
        "cold": air < COOLEST[units],
        "humid": place.humidity_pct is not None and place.humidity_pct > DAMPEST_PCT,
        "held": lift.hold_s > HELD_MAX_S,
        "pushing": pushed(lift, units=units) is not None,
        "reaching": lift.reach_s > 0,
    }
    return tuple(code for code, true in found.items() if true)


def limits_of_result(place: Place) -> tuple[str, ...]:
    """What narrows a result without forbidding it, as codes: humidity outside 35-50 %, no temperature [waters1994]."""
    found = {
        "humidity": place.humidity_pct is not None and not DRIEST_PCT <= place.humidity_pct <= DAMPEST_PCT,
        "unknown_climate": place.temperature is None,
    }
    return tuple(code for code, true in found.items() if true)


def slips(
    *,
    units: str,
    mass: float | None,
    horizontal: float,
    vertical: float,
    frequency_per_min: float,
    angle_deg: float,
    core_depth: float | None = None,
) -> tuple[str, ...]:
    """Values that no lift has and that look like a slip of unit or of digits, as codes.

    Parameters
    ----------
    units : {"metric", "us"}
        Unit set.
    mass : float or None
        Load. [kg or lb]
    horizontal, vertical : float
        H and V. [cm or in]
    frequency_per_min : float
        F. [lifts/min]
    angle_deg : float
        A. [degrees]
    core_depth : float or None
        W, the core front to back. [cm or in]

    Examples
    --------
    >>> slips(units="metric", mass=400, horizontal=4, vertical=80, frequency_per_min=1, angle_deg=0)
    ('mass_high', 'reach_low')
    """
    found = {
        "mass_zero": mass is not None and mass <= 0,
        "mass_high": mass is not None and mass > MASS_MAX[units],
        "reach_low": horizontal < REACH_MIN[units],
        "reach_high": horizontal > REACH_MAX[units],
        "height_negative": vertical < 0,
        "height_high": vertical > HEIGHT_MAX[units],
        "frequency_negative": frequency_per_min < 0,
        "frequency_high": frequency_per_min > FREQUENCY_MAX_PER_MIN,
        "angle_negative": angle_deg < 0,
        "angle_high": angle_deg > 180.0,
        "depth_low": core_depth is not None and core_depth <= 0,
        "depth_high": core_depth is not None and core_depth > DEPTH_MAX[units],
    }
    return tuple(code for code, true in found.items() if true)


def past_limits(
    *, units: str, horizontal: float, vertical: float, travel: float, angle_deg: float, fm: float
) -> tuple[str, ...]:
    """Why RWL is 0: each limit of the equation that is passed, as codes.

    Parameters
    ----------
    units : {"metric", "us"}
        Unit set.
    horizontal, vertical, travel : float
        H, V and D. [cm or in]
    angle_deg : float
        A. [degrees]
    fm : float
        Frequency multiplier. [-]

    Examples
    --------
    >>> past_limits(units="us", horizontal=26, vertical=40, travel=10, angle_deg=0, fm=0.5)
    ('reach_limit',)
    """
    c = constants(units)
    found = {
        "reach_limit": horizontal > c.horizontal_limit,
        "height_limit": vertical > c.vertical_limit,
        "travel_limit": travel > c.travel_limit,
        "angle_limit": angle_deg > c.asymmetry_limit,
        "frequency_limit": fm == 0,
    }
    return tuple(code for code, true in found.items() if true)
