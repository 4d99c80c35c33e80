"""How far each value of a task may be changed: what a plant usually can do, what its named measures allow, sliders."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from coreset.case import PLANT_CHANGES
from coreset.errors import OutOfRange
from coreset.lifting.constants import constants
from coreset.lifting.scope import REACH_MIN
from coreset.lifting.task_values import TaskAt, nearest_reach

LEVERS = {
    "rack_height": ("vertical_origin",),
    "rack_near": ("horizontal_origin",),
    "mask_height": ("vertical_destination",),
    "mask_near": ("horizontal_destination",),
    "mask_tilt": ("mask_tilt_deg",),
    "platform": ("platform",),
    "turntable": ("asymmetry_origin_deg", "asymmetry_destination_deg"),
    "slower": ("frequency_per_min",),
}
"""Values that each measure may change; the other changes of a plant are all or nothing."""
HANDS_LOW = {"metric": 40.0, "us": 16.0}  # common practice, no source: about knee height
HANDS_HIGH = {"metric": 135.0, "us": 54.0}  # common practice, no source: about shoulder height
PLATFORM_MAX = {"metric": 60.0, "us": 24.0}  # common practice, no source: a step that is still safe to work from
TILT_MAX_DEG = 45.0  # common practice, no source: steeper, cores slide out of their prints
SLIDER_LIMIT_SHARE = 1.2
TILT = "mask_tilt"
HEIGHT_STEP = {"metric": 5.0, "us": 2.0}  # common practice, no source
REACH_STEP = {"metric": 1.0, "us": 0.5}
ANGLE_STEP_DEG, PACE_STEP_PER_MIN = 5.0, 0.1
NARROWEST = 1e-6
"""Ranges narrower than this cannot be used to change anything."""
SLACK, DIGITS = 1e-9, 6
"""What a whole step may miss by as a binary fraction, and the decimals it is rounded to."""
Ranges = Mapping[str, tuple[float, float]]


def highest_platform(task: TaskAt) -> float:
    """The highest platform that leaves both places above the operator's floor. [length]"""
    v = task.values
    return max(0.0, min(PLATFORM_MAX[task.units], v["vertical_origin"], v["vertical_destination"]))


def usual_ranges(task: TaskAt) -> dict[str, tuple[float, float]]:
    """Ranges to start from: reach down to the core against the body, hands knee to shoulder, less twist, slower.

    A platform and a tilt of the mask start from none. Common practice, no source, but the reach [waters1994] p. 8; the
    user sets the plant's own. The load stands: a casting needs its core, unless it is split or hoisted.
    """
    c, v = constants(task.units), task.values
    low, high = HANDS_LOW[task.units], HANDS_HIGH[task.units]
    found: dict[str, tuple[float, float]] = {}
    for end in ("origin", "destination"):
        reach, height = v[f"horizontal_{end}"], v[f"vertical_{end}"]
        found[f"vertical_{end}"] = (min(low, height), max(high, height))
        found[f"horizontal_{end}"] = (min(float(nearest_reach(task, min(low, height))), reach), reach)
        found[f"asymmetry_{end}_deg"] = (0.0, v[f"asymmetry_{end}_deg"])
    found["platform"] = (0.0, highest_platform(task))
    found["mask_tilt_deg"] = (0.0, TILT_MAX_DEG if task.depth else 0.0)
    found["frequency_per_min"] = (min(c.frequency_floor, v["frequency_per_min"]), v["frequency_per_min"])
    return {name: span for name, span in found.items() if span[1] - span[0] > NARROWEST}


def allowed(task: TaskAt, names: tuple[str, ...]) -> dict[str, tuple[float, float]]:
    """Usual ranges of the values that the named measures may change; all but a tilt where none is named.

    A mask or table tilts only where that is named. The load is no range: it changes by splitting the core or a hoist.

    Raises
    ------
    OutOfRange
        If a measure has no such name.
    """
    for name in names:
        if name not in PLANT_CHANGES:
            raise OutOfRange(f"change must be one of {', '.join(PLANT_CHANGES)}, got {name!r}")
    ranges = usual_ranges(task)
    values = {value for name in names or set(LEVERS) - {TILT} for value in LEVERS.get(name, ())}
    return {name: span for name, span in ranges.items() if name in values}


def slider(name: str, task: TaskAt) -> tuple[float, float, float]:
    """Lowest, highest and step of a value that can be moved by hand, today's value inside."""
    c, now = constants(task.units), task.values[name]
    height = task.values.get(name.replace("horizontal", "vertical"), 0.0)
    nearest = float(nearest_reach(task, height)) if task.core_depth else REACH_MIN[task.units]
    spans = {
        "horizontal": (nearest, SLIDER_LIMIT_SHARE * c.horizontal_limit, 0.5),
        "vertical": (0.0, SLIDER_LIMIT_SHARE * c.vertical_limit, 1.0),
        "asymmetry": (0.0, 180.0, 1.0),
        "platform": (0.0, PLATFORM_MAX[task.units], 1.0),
        "mask": (0.0, TILT_MAX_DEG, 1.0),
        "frequency": (0.1, c.frequency_limit, 0.1),
        "mass": (0.1, 2.0 * max(now, c.load_constant / 2), 0.1),
    }
    low, high, step = spans[name.split("_")[0]]
    return float(min(low, now)), float(max(round(high), now)), step


def grid(name: str, task: TaskAt, span: tuple[float, float], *, height_step: float = 0.0) -> NDArray[np.float64]:
    """Values of one lever that can be set: whole steps within its range, and today's value. Rising.

    Heights and platforms take the plant's own step, or 5 cm (2 in); reach whole centimeters (half inches); angles 5
    degrees; the pace 0.1 lifts a minute.

    Parameters
    ----------
    name : str
        Lever, as in `TaskAt.values`.
    task : TaskAt
        The lift as it stands.
    span : tuple of float
        Lowest and highest value. [length, degrees or lifts/min]
    height_step : float
        Step of heights in this plant; 0 takes the usual one. [length]

    Examples
    --------
    >>> from coreset.lifting.task_values import TaskAt
    >>> one = TaskAt(
    ...     values={"platform": 0.0}, depth=0.0, travel=0.0, duration="long", coupling="poor",
    ...     control_at_destination=True, units="metric",
    ... )
    >>> grid("platform", one, (0.0, 17.0))
    array([ 0.,  5., 10., 15.])
    """
    height = height_step or HEIGHT_STEP[task.units]
    step = {"horizontal": REACH_STEP[task.units], "vertical": height, "platform": height}.get(name.split("_")[0])
    step = step or (PACE_STEP_PER_MIN if name == "frequency_per_min" else ANGLE_STEP_DEG)
    low, high = span
    first, last = math.ceil(low / step - SLACK), math.floor(high / step + SLACK)
    places = np.round(np.arange(first, last + 1) * step, DIGITS)
    return np.unique(np.append(places[(places >= low) & (places <= high)], task.values[name]))
